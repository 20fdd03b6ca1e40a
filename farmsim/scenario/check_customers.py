"""Rules about who takes fresh mushrooms: each kind of customer has the figures it needs, and no others."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.fresh_sales import Customer
from farmsim.scenario.part import NotKnown
from farmsim.units import HOURS_A_DAY

Path = tuple[str | int, ...]

SAID = {
    "standing": "a standing order",
    "call-off": "a call-off customer",
    "market stall": "a market stall",
    "outlet": "an outlet",
}
ORDERS, STALL, OUTLET = ("standing", "call-off"), ("market stall",), ("outlet",)
ONLY_FOR = {
    "takes_firsts_left": OUTLET,
    "dries": OUTLET,
    "unfilled": ORDERS,
    "mixed": ORDERS,
    "substitutes": ORDERS,
    "notice": ORDERS,
    "leaves_after": ORDERS,
    "short_below": ORDERS,
    "firm": (*ORDERS, *STALL),
    "goes_short": (*ORDERS, *STALL),
    "calls": ("call-off",),
    "sells": STALL,
    "unsold": STALL,
    "back_at": STALL,
    "comes_back_older": STALL,
}
"""Figures that only some kinds of customer have."""


def an_outlet_takes_anything(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """An outlet takes what is left; all others name strains."""
    if customer.kind == "outlet" and customer.takes != "anything":
        mend = 'Write takes = "anything", or kind = "standing".'
        yield Fault((*path, "takes"), "an outlet takes what is left", 'needs "anything"', mend)
    if customer.kind != "outlet" and customer.takes == "anything":
        mend = 'Write it like { shiitake = "140 lb a delivery" }, or kind = "outlet".'
        yield Fault((*path, "takes"), f'{SAID[customer.kind]} takes "anything"', "needs strains with amounts", mend)
    if customer.kind != "outlet" and not customer.takes and customer.mixed is None:
        mend = 'Add takes = { shiitake = "140 lb a delivery" }.'
        yield Fault((*path, "takes"), "is not given", "needs how much of which strain at each delivery", mend)


def figures_are_of_their_kind(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """A figure that only another kind of customer has would go unheard."""
    for name, kinds in ONLY_FOR.items():
        if name in customer.given and getattr(customer, name) not in (None, {}) and customer.kind not in kinds:
            allowed = " or ".join(SAID[kind] for kind in kinds)
            mend = f'Leave it out, or write kind = "{kinds[0]}".'
            yield Fault((*path, name), f"is given for {SAID[customer.kind]}", f"needs {allowed}", mend)
    if customer.kind == "market stall" and "varies" in customer.given and customer.varies:
        found, mend = "is given for a market stall", "Leave it out, and write how its days vary in sells: { mean, cv }."
        yield Fault((*path, "takes", "varies"), found, "needs a stall to bring what is written", mend)
    if "short_below" in customer.given and customer.leaves_after is None and customer.kind in ORDERS:
        found, mend = "is given, but leaves_after is not", "Leave it out, or add leaves_after = 3."
        yield Fault((*path, "short_below"), found, "needs leaves_after", mend)


def somebody_takes_something(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """A stall brings something, and who calls does so on some day."""
    takes = {} if isinstance(customer.takes, str) else customer.takes
    if customer.kind == "market stall" and takes and not any(takes.values()):
        mend = "Write how much it brings, or take the stall out."
        yield Fault((*path, "takes"), "brings nothing to the market", "needs an amount above 0", mend)
    if customer.kind == "call-off" and not customer.calls:
        found, mend = f"is {units.show(customer.calls, 'fraction')}", "Write how often it calls, or take it out."
        yield Fault((*path, "calls"), found, "needs a share above 0: it never calls", mend)


def a_stall_sells_what_it_brings(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """What is brought to a market is asked for there, and the other way round."""
    if customer.kind != "market stall" or isinstance(customer.takes, str):
        return
    for name in customer.takes:
        if name not in customer.sells:
            found, mend = f"does not say how much {name} is asked for", _mend_sells(name)
            yield Fault((*path, "sells"), found, "needs every strain that is brought", mend)
    for name in customer.sells:
        if name not in customer.takes:
            mend = nearest(name, list(customer.takes), f'Add {name} = "20 lb a market day" to takes, or leave it out.')
            found = f"{name} is asked for, but none is brought"
            yield Fault((*path, "sells", name), found, "needs a strain that it takes there", mend)


def _mend_sells(name: str) -> str:
    return f'Write sells = {{ {name} = {{ mean = "20 lb a market day", cv = 0.3 }} }}.'


def what_is_unsold_comes_back_in_time(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """A stall is back after it left, and on the same day."""
    if customer.kind != "market stall":
        return
    at, mend = (*path, "back_at"), 'Add back_at = "15:00", or write unsold = "lost".'
    if customer.unsold == "lost":
        for name in ("back_at", "comes_back_older"):
            if name in customer.given and getattr(customer, name) is not None:
                leave = 'Leave it out, or write unsold = "comes back".'
                yield Fault(
                    (*path, name), "is given, but what is not sold is lost", "needs goods that come back", leave
                )
    elif customer.back_at is None:
        yield Fault(at, "is not given", "needs the time of day at which what was not sold is back", mend)
    elif not customer.leave_by < customer.back_at < HOURS_A_DAY:
        leaves, back = (units.show_clock(hour) for hour in (customer.leave_by, customer.back_at))
        allowed = "needs a time after it leaves and before midnight"
        yield Fault(at, f"leaves at {leaves}, is back at {back}", allowed, "Make it later, or leave sooner.")


def a_mixed_order_can_be_mixed(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """A mixed order names strains that are grown, and enough of them."""
    if customer.mixed is None:
        return
    path = (*path, "mixed")
    for at, name in enumerate(customer.mixed.of):
        yield from _grown(farm, name, (*path, "of", at))
    if customer.mixed.at_least > len(customer.mixed.of):
        found = f"needs {customer.mixed.at_least} strains out of {len(customer.mixed.of)}"
        mend = "Name more strains, or ask for fewer of them."
        yield Fault((*path, "at_least"), found, "needs no more than it names", mend)


def substitutes_are_grown(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """One strain is taken instead of another that is ordered, and that the farm has."""
    for name, others in customer.substitutes.items():
        here = (*path, "substitutes", name)
        if isinstance(customer.takes, str) or name not in customer.takes:
            mend = nearest(name, list(customer.takes), "Add it to takes, or leave it out.")
            yield Fault(here, f"{name} is not among what it takes", "needs a strain it takes", mend)
        for at, other in enumerate(others):
            if other == name:
                found, mend = f"{name} is to stand in for itself", "Name another strain, or leave it out."
                yield Fault((*here, at), found, "needs another strain", mend)
            else:
                yield from _grown(farm, other, (*here, at))


def _grown(farm: Farm, name: str, path: Path) -> Iterator[Fault]:
    known = list(farm.strain)
    if name not in farm.strain:
        allowed = f"needs one of {listed(known)}" if known else "needs a strain of this farm"
        found, mend = f'"{name}" is no strain of this farm', nearest(name, known, f"Add [strain.{name}].")
        yield Fault(path, found, allowed, mend, misses=("strain", name))
    elif not any(line.strain == name and line.blocks > 0 for line in farm.start):
        found, mend = f"no blocks of {name} are started", "Add a [[start]] for it, or leave it out."
        yield Fault(path, found, "needs a strain that is started", mend, misses=("start",))


RULES = (
    an_outlet_takes_anything,
    figures_are_of_their_kind,
    somebody_takes_something,
    a_stall_sells_what_it_brings,
    what_is_unsold_comes_back_in_time,
    a_mixed_order_can_be_mixed,
    substitutes_are_grown,
)


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about fresh mushrooms, asked of every customer."""
    with suppress(NotKnown):
        for at, customer in enumerate(farm.customer):
            yield from (rule(farm, customer, ("customer", at)) for rule in RULES)
