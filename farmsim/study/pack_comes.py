"""Who comes with an expansion: people who are hired, customers who begin to buy or take another amount, on which terms."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from itertools import pairwise
from typing import TypeVar

from farmsim.scenario.averages import days_worked
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.say import Say, days_said, joined
from farmsim.scenario.staffing import is_owner
from farmsim.scenario.stall import STALL, as_market_day
from farmsim.study.pack_days import Arrival, Hired
from farmsim.study.pack_sides import customers, states

OUTLET = "outlet"
T = TypeVar("T", Hired, Arrival)
Told = Callable[[str, Farm, Farm, Say], Iterator[T]]
"""What comes on a day, from the state of the farm before it and that from then on."""


def hired(base: Farm, expanded: Farm) -> tuple[Hired, ...]:
    """Crews that come or grow, and not without the expansion."""
    return _comes(_hired, base, expanded)


def arrivals(base: Farm, expanded: Farm) -> tuple[Arrival, ...]:
    """Customers who come or take another amount, and not without the expansion."""
    return _comes(_arrivals, base, expanded)


def _comes(told: Told[T], base: Farm, expanded: Farm) -> tuple[T, ...]:
    """In the order of the days, without what comes so anyway."""
    say, start = Say(expanded.farm.units, expanded.farm.currency), expanded.farm.start

    def over(every: list[tuple[float, Farm]]) -> Iterator[T]:
        for (_, before), (since, after) in pairwise(every):
            yield from told((start + timedelta(hours=since)).isoformat(), before, after, say)

    anyway = set(over(list(states(base))))
    return tuple(each for each in over([(0.0, base.but(changes=())), *states(expanded)]) if each not in anyway)


# --- people -----------------------------------------------------------------------------------------------------------


def _hired(day: str, before: Farm, after: Farm, say: Say) -> Iterator[Hired]:
    had = {crew.name: crew.people for crew in before.crew}
    for crew in after.crew:
        if crew.people > (was := had.get(crew.name, 0)):
            yield Hired(day, crew.name, crew.people, was, _works(crew, say), _pays(crew, say), _learns(crew, say))


def _works(crew: Crew, say: Say) -> str:
    working = days_worked(crew)
    in_turn = crew.days.days if isinstance(crew.days, PerWeek) else None
    when = days_said(working) if in_turn is None else f"{in_turn} days a week each, days off in turn"
    rest = f", {say.amount(crew.break_, 'h')} of it break" if crew.break_ else ""
    return f"{when}, {say.shifts({day: crew.hours[day] for day in working})}{rest}"


def _pays(crew: Crew, say: Say) -> str:
    if is_owner(crew):
        return "the owner's own hours, not paid"
    return "no wage is given" if crew.wage is None else say.amount(crew.wage, "currency/h")


def _learns(crew: Crew, say: Say) -> str:
    """At which pace new hands work, week by week; "" where they are as quick as all."""
    if crew.new_hands is None:
        return ""
    paces = crew.new_hands.pace
    weeks = "week" if len(paces) == 1 else f"{len(paces)} weeks"
    return f"{joined([say.amount(pace, 'fraction') for pace in paces])} in the first {weeks}"


# --- customers --------------------------------------------------------------------------------------------------------


def _arrivals(day: str, before: Farm, after: Farm, say: Say) -> Iterator[Arrival]:
    had = customers(before)
    for who, customer in customers(after).items():
        was = had.get(who)
        if was is None or was.takes != customer.takes:
            until = "" if was is None else _takes(was, say)
            firm = OUTLET if customer.kind == OUTLET else customer.firm
            yield Arrival(
                day,
                who[0],
                _takes(customer, say),
                until,
                _days(customer),
                _price(customer, say),
                firm,
                _source(customer),
            )


def _takes(customer: Customer | BlockCustomer, say: Say) -> str:
    told = say.figure(type(customer).figures["takes"], customer.takes)
    return as_market_day(told) if customer.kind == STALL else told


def _days(customer: Customer | BlockCustomer) -> str:
    return days_said(customer.days) if customer.days else ""


def _price(customer: Customer | BlockCustomer, say: Say) -> str:
    if customer.price is None:
        return "no price is given"
    late = f", {say.amount(customer.pays_after, 'h')} later" if customer.pays_after else ""
    return f"{say.figure(type(customer).figures['price'], customer.price)}{late}"


def _source(customer: Customer | BlockCustomer) -> str:
    """From where and of which day: "contract, of 2026-11-24"."""
    day = "" if customer.prices_of is None else f"of {customer.prices_of}"
    return ", ".join(filter(None, (customer.prices_from or "", day)))
