"""Farms that something hits: each blow makes of a farm another one, in its first state and in every later one alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeVar

from farmsim.scenario.block_sales import KINDS
from farmsim.scenario.buyer import HOPED
from farmsim.scenario.check_blocks import SELL_CHEAP
from farmsim.scenario.delayed import begins_on_its_day, later
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import CreditLine, Loan
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import Prices
from farmsim.scenario.prices import blocks_are_paid, fresh_is_paid
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.strain import Contaminated, Strain, Yield
from farmsim.scenario.stress import BLOWS, Stress, looked_at, told
from farmsim.units import HOURS_A_WEEK

Hit = Callable[[Farm], Farm]
OUTLET = KINDS[1]
Buyer = TypeVar("Buyer", Customer, BlockCustomer)
Who = tuple[str, str]
"""A customer: by what it is in the file, since one for mushrooms may be called like one for blocks, and its name."""


def in_every_state(farm: Farm, alter: Callable[[Farm], Farm]) -> Farm:
    """The farm with the same done to its first state and to each that follows."""
    return alter(farm).but(changes=tuple((since, alter(state)) for since, state in farm.changes))


@dataclass(frozen=True)
class Blow:
    """A farm that something hit; key: the names of the blows with "+" between them; told: as a row of a table."""

    key: str
    told: str
    farm: Farm


def blows(
    change: Path,
    expanded: Farm,
    largest: str | None,
    since: float,
    simulates: int = 0,
    base: Path | None = None,
    late: Farm | None = None,
) -> list[Blow]:
    """The expanded farm after each blow that its [stress] looks at, and after those that come together, in their order.

    Left out is what is not looked at, and what changes nothing, such as dearer power where none is paid for.

    change: the change set that makes the expanded farm, read again for opening late
    largest: name of the largest customer; None when there is none
    since: from when on it is lost [h since the start]; simulates: weeks that are run where the farm says fewer [weeks]
    base: file of the farm without the expansion; None: that which the change set is based on
    late: the farm that opens late, where its files have been read already; else they are, once
    Goes wrong when a phase cannot come so late: ScenarioFault.
    """
    stress = expanded.stress
    hits = _hits(stress, largest, since)
    if late is None and stress.late:
        late = _as_shown(later(change, stress.late, max(simulates, expanded.farm.weeks), base), expanded)
    hits[LATE] = lambda farm: farm if late is None else late
    begins = begins_on_its_day(change, expanded, base)
    found: dict[tuple[str, ...], Farm] = {}
    for row in (*((name,) for name in BLOWS), *stress.together):
        alone_too = len(row) == 1 or all((name,) in found for name in row)
        if alone_too and looked_at(stress, row) and all(name in hits for name in row):
            farm = expanded
            for name in sorted(row, key=lambda name: name != LATE):
                farm = hits[name](farm)
            if farm != expanded:
                found[row] = farm
    return [Blow("+".join(row), told(stress, row, largest or "", begins), farm) for row, farm in found.items()]


LATE = "late"  # comes first: it goes back to the change set, all others take any farm


def _hits(stress: Stress, largest: str | None, since: float) -> dict[str, Hit]:
    """What each blow but opening late does to a farm, by its name; without the largest customer where there is none."""
    hits: dict[str, Hit] = {
        "prices": partial(cheaper, share=stress.prices),
        "yield": partial(poorer_yield, share=stress.yield_),
        "contaminated": partial(more_contaminated, share=stress.contaminated),
        "wages": partial(dearer_wages, share=stress.wages),
        "energy": partial(dearer_energy, share=stress.energy),
        "interest": partial(dearer_money, points=stress.interest),
    }
    if largest is not None:
        hits["largest_customer"] = partial(without_customer, name=largest, since=since)
    return hits


def _as_shown(farm: Farm, like: Farm) -> Farm:
    """The farm read anew, called and shown as another one, as long, and looked at in the same way."""
    return in_every_state(farm, lambda state: state.but(farm=like.farm, stress=like.stress))


# --- money ------------------------------------------------------------------------------------------------------------


def cheaper(farm: Farm, share: float) -> Farm:
    """All that customers pay, for mushrooms, seconds and blocks, is lower by a share [1]."""

    def alter(state: Farm) -> Farm:
        fresh = tuple(_pays(each, 1.0 - share, "price", "price_of_seconds") for each in state.customer)
        blocks = tuple(_pays(each, 1.0 - share, "price") for each in state.block_customer)
        return state.but(customer=fresh, block_customer=blocks)

    return in_every_state(farm, alter)


def _pays(customer: Buyer, factor: float, *names: str) -> Buyer:
    given = {name: price for name in names if (price := getattr(customer, name)) is not None}
    return customer.but(**{name: _times(price, factor) for name, price in given.items()}) if given else customer


def _times(prices: Prices, factor: float) -> Prices:
    """A price, or prices by strain, so many times as high."""
    if isinstance(prices, dict):
        return {strain: price * factor for strain, price in prices.items()}
    return prices * factor


def dearer_wages(farm: Farm, share: float) -> Farm:
    """All wages are higher by a share [1], and what comes on top of them with them; owners are not paid by the hour."""

    def alter(state: Farm) -> Farm:
        paid = (each if each.wage is None else each.but(wage=each.wage * (1.0 + share)) for each in state.crew)
        return state.but(crew=tuple(paid))

    return in_every_state(farm, alter)


def dearer_energy(farm: Farm, share: float) -> Farm:
    """Power and fuel of the whole farm, and of rooms told apart, are dearer by a share [1]."""

    def alter(state: Farm) -> Farm:
        energy = state.energy
        if energy is None:
            return state
        by_room = {room: a_week * (1.0 + share) for room, a_week in energy.by_room.items()}
        return state.but(energy=energy.but(a_week=energy.a_week * (1.0 + share), by_room=by_room))

    return in_every_state(farm, alter)


def dearer_money(farm: Farm, points: float) -> Farm:
    """Interest is higher by so much a year [1/year], on the credit line and on loans from the start on; not on old ones."""

    def alter(state: Farm) -> Farm:
        start, line = state.farm.start, state.credit_line
        loans = (each if each.from_ < start else each.but(rate=_most(Loan, each.rate + points)) for each in state.loan)
        return state.but(
            loan=tuple(loans),
            credit_line=None if line is None else line.but(rate=_most(CreditLine, line.rate + points)),
        )

    return in_every_state(farm, alter)


def _most(part: type[Part], rate: float, name: str = "rate") -> float:
    """No more than the figure may ever be."""
    return min(rate, part.figures[name].most or math.inf)


# --- the crop ---------------------------------------------------------------------------------------------------------


def poorer_yield(farm: Farm, share: float) -> Farm:
    """Every strain yields less by a share [1]; lots and blocks differ as before, in percent."""
    least = Yield.figures["mean"].least or 0.0

    def alter(strain: Strain) -> Strain:
        return strain.but(yield_=strain.yield_.but(mean=max(least, strain.yield_.mean * (1.0 - share))))

    return _all_strains(farm, alter)


def more_contaminated(farm: Farm, share: float) -> Farm:
    """Of every strain so many more blocks are lost to mould, as a share of those lost now [1]; never more than may be lost."""

    def alter(strain: Strain) -> Strain:
        lost = strain.contaminated
        return strain.but(contaminated=lost.but(mean=_most(Contaminated, lost.mean * (1.0 + share), "mean")))

    return _all_strains(farm, alter)


def _all_strains(farm: Farm, alter: Callable[[Strain], Strain]) -> Farm:
    return in_every_state(
        farm, lambda state: state.but(strain={name: alter(strain) for name, strain in state.strain.items()})
    )


# --- who buys ---------------------------------------------------------------------------------------------------------


def without_customer(farm: Farm, name: str, since: float) -> Farm:
    """From an hour on a customer for mushrooms or blocks is gone, from its round too; before that nothing differs.

    name: of one whom the farm has then or later; whom nobody knows, nobody misses
    since: the first Monday 00:00 from then on [h since the start]
    """
    monday = HOURS_A_WEEK * max(0, math.ceil(since / HOURS_A_WEEK))
    then = next((state for hour, state in reversed(farm.changes) if hour <= monday), farm.but(changes=(), phases=()))
    before = tuple((hour, state) for hour, state in farm.changes if hour < monday)
    gone = (("customer", name), ("block_customer", name))
    after = ((hour, _without(state, gone)) for hour, state in farm.changes if hour > monday)
    return farm.but(changes=(*before, (monday, _without(then, gone)), *after))


def without_hoped(base: Farm, expanded: Farm) -> Farm | None:
    """The expanded farm when customers who are only hoped for never come; None when it hopes for none.

    Whom the farm without the expansion has at any time, it has; whoever is more than hoped for when first served, comes.
    """
    known = {who for state in _states(base) for who, _ in _customers(state)}
    first: dict[Who, Customer | BlockCustomer] = {}
    for state in _states(expanded):
        for who, each in _customers(state):
            first.setdefault(who, each)
    hoped = [who for who, each in first.items() if who not in known and each.firm == HOPED]
    return in_every_state(expanded, lambda state: _without(state, hoped)) if hoped else None


def _customers(farm: Farm) -> Iterator[tuple[Who, Customer | BlockCustomer]]:
    """Everybody a state of the farm sells to."""
    yield from ((("customer", each.name), each) for each in farm.customer)
    yield from ((("block_customer", each.name), each) for each in farm.block_customer)


def _states(farm: Farm) -> tuple[Farm, ...]:
    return (farm, *(state for _, state in farm.changes))


def _without(farm: Farm, gone: Collection[Who]) -> Farm:
    """One state of the farm without some customers; a round that serves nobody any more is not driven, its van stays."""
    fresh = tuple(each for each in farm.customer if ("customer", each.name) not in gone)
    blocks = tuple(each for each in farm.block_customer if ("block_customer", each.name) not in gone)
    rounds = [
        each.but(customers=tuple(name for name in each.customers if ("customer", name) not in gone))
        for each in farm.round
    ]
    left = farm.but(customer=fresh, block_customer=blocks, round=tuple(each for each in rounds if each.customers))
    return left.but(rules=_rules(left), months=_months(left))


def _rules(farm: Farm) -> Rules:
    """The house rules; where nobody is left who takes surplus blocks, what becomes of them is what no rule asks for."""
    rules = farm.rules
    if rules.surplus_blocks != SELL_CHEAP or any(each.kind == OUTLET for each in farm.block_customer):
        return rules
    return rules.but(surplus_blocks=Rules.figures["surplus_blocks"].default)


def _months(farm: Farm) -> Months:
    """The months; prices that nobody is left to pay do not differ by month."""
    months = farm.months
    if months.prices != AS_USUAL and not fresh_is_paid(farm):
        months = months.but(prices=AS_USUAL)
    if months.block_prices != AS_USUAL and not blocks_are_paid(farm):
        months = months.but(block_prices=AS_USUAL)
    return months
