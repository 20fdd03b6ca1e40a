"""What happens on which day while the farm grows: phases, purchases, loans, customers, people, starts, rooms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import pairwise

from farmsim.money.loan import schedule
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import Loan
from farmsim.scenario.phases import AT_FIRST
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.say import Say
from farmsim.scenario.stall import STALL, as_market_day
from farmsim.study.pack_answers import Step
from farmsim.study.pack_beside import new_items
from farmsim.study.pack_differs import places, the_rest
from farmsim.study.pack_sides import customers, states
from farmsim.units import cents_of


def steps(base: Farm, expanded: Farm) -> tuple[Step, ...]:
    """Everything that happens, in the order of its days; on one day money first, then what is built, sold and done.

    Differences from the farm without the expansion that hold from the start on are told on its first day.
    """
    say = Say(expanded.farm.units, expanded.farm.currency)
    found = [*_money(base, expanded, say), *_grows(base, expanded, say)]
    return tuple(Step(day.isoformat(), what) for day, what in sorted(found, key=lambda step: step[0]))


Dated = tuple[date, str]


# --- money ------------------------------------------------------------------------------------------------------------


def _money(base: Farm, expanded: Farm, say: Say) -> Iterator[Dated]:
    """What is bought, and the loans that come with the expansion."""
    for loan in expanded.loan:
        if loan not in base.loan:
            yield from _of_loan(loan, say, cents_of(expanded.farm.currency))
    for item in new_items(base, expanded):
        more = ", contingency included" if item.contingency else ""
        yield item.bought, f"{item.name} bought: {say.money(item.spent)}{more}"


def _of_loan(loan: Loan, say: Say, per: int) -> Iterator[Dated]:
    """When a loan is paid out, when it is paid for first, and from when on it is paid back."""
    yield loan.from_, f"{loan.name} paid out: {say.money(loan.amount)}"
    payments = schedule(loan, per)
    if loan.interest_only:
        first = payments[0]
        yield first.due, f"first payment of {loan.name}, interest only: {say.money(first.whole / per)}"
    first = payments[loan.interest_only]
    often = "" if loan.every == "month" else f", one every {loan.every}"
    yield first.due, f"first payment of {loan.name} with principal: {say.money(first.whole / per)}{often}"


# --- the farm ---------------------------------------------------------------------------------------------------------


def _grows(base: Farm, expanded: Farm, say: Say) -> Iterator[Dated]:
    """Phases by name, and what each state of the farm has otherwise than the one before it; not what it has so anyway."""
    names, known = dict(expanded.phases), dict(base.phases)
    anyway = {(since, what) for since, what in _changes(list(states(base)), say)}
    start, first = expanded.farm.start, base.but(changes=())
    told = [
        (since, what) for since, what in _changes([(0.0, first), *states(expanded)], say) if (since, what) not in anyway
    ]
    for since in dict.fromkeys((*names, *(since for since, _ in told))):
        day = start + timedelta(hours=since)
        if names.get(since, AT_FIRST) not in (AT_FIRST, known.get(since)):
            yield day, f"phase {names[since]} begins"
        yield from ((day, what) for at, what in told if at == since)


def _changes(of: Sequence[tuple[float, Farm]], say: Say) -> Iterator[tuple[float, str]]:
    """What each state has otherwise than the one before it, with the hour from which it is so [h]."""
    for (_, before), (since, after) in pairwise(of):
        for what in (
            *places(before, after, say),
            *_people(before, after),
            *_starts(before, after),
            *_sold(before, after, say),
            *the_rest(before, after, say),
        ):
            yield since, what


def _people(before: Farm, after: Farm) -> Iterator[str]:
    """Crews that come, go, grow or shrink."""
    old, new = ({crew.name: crew.people for crew in farm.crew} for farm in (before, after))
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name), new.get(name)
        if was is None:
            yield f"crew {name} comes: {_so_many(now or 0)}"
        elif now is None:
            yield f"crew {name} goes: {_so_many(was)} fewer"
        elif was != now:
            yield f"{name}: {_so_many(now)} instead of {was}"


def _so_many(people: int) -> str:
    return "1 person" if people == 1 else f"{people:,} people"


def _starts(before: Farm, after: Farm) -> Iterator[str]:
    """Lines of blocks of which more or fewer are started."""
    old, new = ({line.name: line.blocks for line in farm.start} for farm in (before, after))
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name, 0.0), new.get(name, 0.0)
        if was != now:
            yield f"{name}: {now:,.0f} instead of {was:,.0f} blocks a week"


def _sold(before: Farm, after: Farm, say: Say) -> Iterator[str]:
    """Customers that come, go or take another amount."""
    old, new = customers(before), customers(after)
    for who in dict.fromkeys((*old, *new)):
        was, now = old.get(who), new.get(who)
        if now is None:
            yield f"{who[0]} no longer buys"
        elif was is None:
            yield f"{who[0]} begins to buy{_terms(now, say)}"
        elif was.takes != now.takes:
            yield f"{who[0]} takes {_amounts(now, say)} instead of {_amounts(was, say)}"
        if was is not None and now is not None and _firm(was) != _firm(now):
            yield f"{who[0]}: {_firm(now)} instead of {_firm(was)}"


def _terms(customer: Customer | BlockCustomer, say: Say) -> str:
    """How firm it is and how much is taken: " (signed): 30 lb a delivery of shiitake"."""
    firm = f" ({firm})" if (firm := _firm(customer)) else ""
    return f"{firm}: {_amounts(customer, say)}" if customer.takes else firm


def _firm(customer: Customer | BlockCustomer) -> str:
    """How firm it is; nothing of an outlet, which takes what is left."""
    return customer.firm if customer.kind != "outlet" else ""


def _amounts(customer: Customer | BlockCustomer, say: Say) -> str:
    """What it takes; of a stall nothing is delivered: it is taken to a market day."""
    told = say.figure(type(customer).figures["takes"], customer.takes)
    return as_market_day(told) if customer.kind == STALL else told
