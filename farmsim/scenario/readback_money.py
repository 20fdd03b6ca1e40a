"""Prices, wages and energy read back, and for whom or what they are missing."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario import prices
from farmsim.scenario.farm import Farm
from farmsim.scenario.price_form import Prices
from farmsim.scenario.readback_books import books_sentences, source_of
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.say import Say, joined


def money_sentences(farm: Farm, say: Say) -> Iterator[str]:
    """What is counted as money, and what is not; of a farm without prices only that nothing is."""
    if not prices.is_told(farm):
        if farm.energy is not None:
            yield f"{_energy(farm, say)} But no price is given, so nothing is told of money."
        elif prices.has_books(farm):
            yield "No price is given, so nothing is told of money and no books are kept."
        return
    for customer in farm.customer:
        weighed = " of what is dry" if customer.dries is not None else ""
        yield from _pays(customer.name, customer.price, "currency/kg", weighed, say, _source(customer))
        yield from _pays(customer.name, customer.price_of_seconds, "currency/kg", f"{weighed} for seconds", say)
    for block_customer in farm.block_customer:
        yield from _pays(block_customer.name, block_customer.price, "currency/block", "", say, _source(block_customer))
    if farm.energy is not None:
        yield _energy(farm, say)
    yield from books_sentences(farm, say)
    yield from _missing(farm)


def _pays(name: str, paid: Prices | None, unit: str, what: str, say: Say, source: str = "") -> Iterator[str]:
    if isinstance(paid, dict):
        each = joined([f"{say.amount(price, unit)} for {strain}" for strain, price in paid.items()])
        yield f"{name} pays {each}{what and f',{what}'}{source}."
    elif paid is not None:
        yield f"{name} pays {say.amount(paid, unit)}{what}{source}."


def _source(customer: Customer | BlockCustomer) -> str:
    return source_of(customer.prices_of, customer.prices_from)


def _energy(farm: Farm, say: Say) -> str:
    assert farm.energy is not None
    rooms = [f"{say.amount(cost, 'currency/week')} for {room}" for room, cost in farm.energy.by_room.items()]
    more = f", and {joined(rooms)}" if rooms else ""
    source = source_of(farm.energy.bills_of, farm.energy.bills_from)
    return f"Power and fuel cost {say.amount(farm.energy.a_week, 'currency/week')}{more}{source}."


def _missing(farm: Farm) -> Iterator[str]:
    customers, crews = list(prices.not_priced(farm)), prices.not_paid(farm)
    if customers:
        yield f"No price is given for {joined(customers)}: what they take brings nothing in the figures of money."
    if crews:
        yield f"No wage is given for {joined(crews)}: their hours cost nothing in the figures of money."
    if farm.energy is None:
        yield "No [energy] is given: power and fuel cost nothing in the figures of money."


def picked_first(farm: Farm, say: Say) -> str:
    """Which strain is picked first where the dearest is."""
    usual = {strain: prices.usual_price(farm, strain) for strain in prices.dearest_first(farm, farm.strain)}
    priced = [f"{strain} ({say.amount(each, 'currency/kg')})" for strain, each in usual.items() if each is not None]
    if not priced:
        return "The dearest strain is picked first: no price is given, so the one that stands first in the file."
    last = [strain for strain, each in usual.items() if each is None]
    return f"The dearest strain is picked first: {', then '.join(priced + last)}."
