"""What is paid to the farm and what it pays for energy: prices as growers and bills give them, and questions about them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from math import fsum
from statistics import fmean
from typing import TYPE_CHECKING

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import BY_NAME
from farmsim.scenario.staffing import is_owner

if TYPE_CHECKING:
    from farmsim.scenario.farm import Farm
    from farmsim.scenario.price_form import Prices
    from farmsim.scenario.sales import BlockCustomer, Customer


class Energy(Part):
    """Power and fuel of the whole farm: heating, cooling, air, light, steam."""

    a_week: float = figure(
        "currency/week",
        meaning="power and fuel of the whole farm in an average week: a year's bills over 52",
        source=FARM,
    )
    by_room: dict[str, float] = figure(
        "currency/week",
        {},
        form=BY_NAME,
        meaning="power and fuel of fruiting rooms by name, in an average week, on top of the above",
    )
    bills_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="last day of the bills these figures are from"
    )
    bills_from: str | None = figure(default=None, form=forms.TEXT, meaning="where these figures stand")

    @property
    def in_all(self) -> float:
        """Power and fuel of the whole farm, rooms that are told apart included [currency/week]."""
        return self.a_week + fsum(self.by_room.values())


def price_of(prices: Prices | None, strain: str) -> float | None:
    """What is paid for a strain; None when no price is given for it [the unit of the prices]."""
    return prices.get(strain) if isinstance(prices, dict) else prices


def fresh_price(customer: Customer, strain: str, is_seconds: bool) -> float | None:
    """What a customer pays for a strain's firsts or seconds [currency/kg]; what is dried is paid by its dried weight."""
    of_seconds = is_seconds and customer.price_of_seconds is not None
    price = price_of(customer.price_of_seconds if of_seconds else customer.price, strain)
    return price if price is None or customer.dries is None else price / customer.dries.ratio


def is_told(farm: Farm) -> bool:
    """Whether anything is told of money: somebody pays a stated price, now or after a dated change."""
    states = (farm, *(state for _, state in farm.changes))
    return any(fresh_is_paid(state) or blocks_are_paid(state) for state in states)


def fresh_is_paid(farm: Farm) -> bool:
    """Whether any customer pays a stated price for mushrooms."""
    return any(each.price is not None or each.price_of_seconds is not None for each in farm.customer)


def blocks_are_paid(farm: Farm) -> bool:
    """Whether any customer pays a stated price for blocks."""
    return any(each.price is not None for each in farm.block_customer)


def not_priced(farm: Farm) -> Iterator[str]:
    """Customers, or strains they take, for which no price is given."""
    customers: tuple[Customer | BlockCustomer, ...] = (*farm.customer, *farm.block_customer)
    for customer in customers:
        none = lacks_price(farm, customer)
        if none:
            yield customer.name if customer.price is None else f"{customer.name} ({', '.join(none)})"


def lacks_price(farm: Farm, customer: Customer | BlockCustomer) -> list[str]:
    """Strains that a customer takes though no price is given for them."""
    strains = list(dict.fromkeys(line.strain for line in farm.start))
    taken: Iterable[str] = strains if isinstance(customer.takes, str) else customer.may_take
    return [strain for strain in taken if price_of(customer.price, strain) is None]


def has_books(farm: Farm) -> bool:
    """Whether anything is given of what the farm pays and owes besides wages and energy."""
    given = (farm.materials, farm.costs, farm.drift, farm.credit_line, farm.balance)
    return any(each is not None for each in given) or bool(farm.fixed_cost or farm.capital or farm.loan)


def not_paid(farm: Farm) -> list[str]:
    """Crews paid by the hour whose hours cost nothing, because no wage is given."""
    return [crew.name for crew in farm.crew if crew.wage is None and not is_owner(crew)]


def usual_price(farm: Farm, strain: str) -> float | None:
    """What standing orders pay for a strain on average, pound for pound; others only where none does [currency/kg]."""
    weighed, others = [], []
    for customer in farm.customer:
        price = fresh_price(customer, strain, is_seconds=False)
        if price is None:
            continue
        if isinstance(customer.takes, str):
            others.append(price)
        else:
            weighed.append((customer.takes.get(strain, 0.0) * len(customer.days), price))
    kg = fsum(much for much, _ in weighed)
    if kg > 0:
        return fsum(much * price for much, price in weighed) / kg
    return fmean(others) if others else None


def dearest_first(farm: Farm, strains: Iterable[str]) -> list[str]:
    """Strains by their usual price; as they come where they are alike, those without a price after the others."""
    usual = {strain: usual_price(farm, strain) for strain in strains}
    return sorted(usual, key=lambda strain: -price if (price := usual[strain]) is not None else 1.0)
