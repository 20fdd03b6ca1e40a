"""Rules about who takes blocks: terms that agree with one another, with the house rules and with how long blocks keep."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from itertools import pairwise

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.block_sales import KINDS, BlockCustomer
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import ripening
from farmsim.scenario.forms import listed
from farmsim.scenario.part import NotKnown
from farmsim.scenario.rules import CLEAR_OUT, ON_MOVING_DAYS
from farmsim.scenario.values import DAYS
from farmsim.units import HOURS_A_DAY

Path = tuple[str | int, ...]
STANDING, OUTLET = KINDS
OF_ORDERS = ("varies", "part_deliveries", "unfilled", "patience", "boxing", "fails")
SELL_CHEAP = "sell cheap"
FIGURES_OF_RULES = (
    ("surplus_left", "surplus_blocks", ("fruit", SELL_CHEAP)),
    ("moving_days", "call_in", (ON_MOVING_DAYS,)),
    ("small_flush", "clear_out", CLEAR_OUT[1:]),
)
"""Figures of house rules, each with its choice and what is chosen there where it is heard."""


def an_outlet_takes_any_blocks(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """An outlet takes what nobody is promised; a standing order names strains."""
    if customer.kind == OUTLET and customer.takes != "anything":
        mend = 'Write takes = "anything", or kind = "standing".'
        yield Fault((*path, "takes"), "an outlet takes surplus blocks", 'needs "anything"', mend)
    if customer.kind == STANDING and customer.takes == "anything":
        mend = 'Write it like { shiitake = "60 blocks a week" }, or kind = "outlet".'
        yield Fault((*path, "takes"), 'a standing order takes "anything"', "needs strains with amounts", mend)


def an_outlet_has_no_terms_of_orders(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """What is promised to nobody is not short, does not follow and is not made good."""
    for name in OF_ORDERS if customer.kind == OUTLET else ():
        if getattr(customer, name) != BlockCustomer.figures[name].default:
            mend = 'Leave it out, or write kind = "standing".'
            yield Fault((*path, name), "is given for an outlet", "needs a standing order", mend)


def an_outlet_is_sold_to(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """An outlet gets something only where the house sells surplus blocks."""
    if customer.kind == OUTLET and farm.rules.surplus_blocks != SELL_CHEAP:
        found = f'is an outlet, but surplus_blocks is "{farm.rules.surplus_blocks}"'
        mend = "Write it under [rules], or leave the outlet out."
        yield Fault((*path, "kind"), found, f'needs surplus_blocks = "{SELL_CHEAP}"', mend)


def patience_is_for_what_follows(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """An order that is lost on its day has no use for patience."""
    if customer.unfilled == "lost" and customer.patience is not None:
        mend = 'Write unfilled = "next carrier day", or leave patience out.'
        yield Fault((*path, "patience"), 'is given, but unfilled is "lost"', "needs an order that follows", mend)


def patience_lasts_until_it_follows(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """Patience that always ends before what was short could follow is none."""
    wait = _shortest_wait(customer)
    if customer.kind == OUTLET or customer.follows == "lost" or customer.patience is None:
        return
    if customer.patience < wait:
        when = "day" if customer.follows == "next day" else "carrier day"
        found = f"is {units.show(customer.patience, 'h')}, the next {when} comes after {units.show(wait, 'h')}"
        mend = 'Make it longer, or write unfilled = "lost" and leave it out.'
        yield Fault((*path, "patience"), found, "needs to last until what was short can follow", mend)


def _shortest_wait(customer: BlockCustomer) -> float:
    """The least time from a day on which blocks leave to when what was short may follow [h]."""
    if customer.follows == "next day" or not customer.days:
        return HOURS_A_DAY
    week = sorted(DAYS.index(day) for day in customer.days)
    return HOURS_A_DAY * min(later - day for day, later in pairwise([*week, week[0] + len(DAYS)]))


def terms_have_what_they_are_about(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """What is made good has failed, and what is boxed ahead is boxed."""
    if "made_good" in customer.given and "fails" not in customer.given:
        found, mend = "is given, but fails is not", 'Leave it out, or add fails = "2 %".'
        yield Fault((*path, "made_good"), found, "needs fails", mend)
    if "boxed_from" in customer.given and customer.boxing is None:
        found, mend = "is given, but boxing is not", 'Leave it out, or add boxing = "80 blocks/h each".'
        yield Fault((*path, "boxed_from"), found, "needs boxing", mend)


def blocks_reach_the_age(farm: Farm, customer: BlockCustomer, path: Path) -> Iterator[Fault]:
    """Blocks are of the age the customer takes at some time: colonised, and not overripe."""
    if customer.age is None:
        return
    for name in [name for name in customer.promised if name in farm.strain]:
        holds = farm.strain[name].holds_ripe
        keeps = holds.on_the_rack + (holds.cold if farm.ripe_block_room() is not None else 0.0)
        if customer.age.low > keeps:
            found = f"takes blocks from {units.show(customer.age.low, 'h')} after ripeness on"
            allowed = f"{name} keeps {units.show(keeps, 'h')} once ripe"
            yield Fault((*path, "age"), found, f"needs younger ones: {allowed}", "Take them younger.")
        if customer.age.high < 0.0 and ripening(farm, name) == 0.0:
            found = "takes blocks only before they are ripe"
            allowed = f"needs ripe ones: {name} is ripe as soon as it is colonised"
            yield Fault((*path, "age"), found, allowed, 'Write it like "0 d to 14 d".')


def somebody_takes_surplus_blocks(farm: Farm) -> Iterator[Fault]:
    """Surplus blocks can be sold cheap only to somebody."""
    if farm.rules.surplus_blocks == SELL_CHEAP and all(each.kind != OUTLET for each in farm.block_customer):
        found = f'is "{SELL_CHEAP}", but no block customer is an outlet'
        mend = 'Add a [[block_customer]] with kind = "outlet" and takes = "anything".'
        path = ("rules", "surplus_blocks")
        yield Fault(path, found, "needs somebody who takes surplus blocks", mend, misses=("block_customer",))


def rules_have_the_choice_that_uses_them(farm: Farm) -> Iterator[Fault]:
    """A figure of a house rule is heard only where the rule is chosen; a choice that is written may be another one."""
    for name, choice, wanted in FIGURES_OF_RULES:
        if name in farm.rules.given and choice not in farm.rules.given:
            found, mend = f"is given, but {choice} is not", f'Leave it out, or add {choice} = "{wanted[0]}".'
            yield Fault(("rules", name), found, f"needs {choice} = {listed(wanted)}", mend)


CUSTOMER_RULES = (
    an_outlet_takes_any_blocks,
    an_outlet_has_no_terms_of_orders,
    an_outlet_is_sold_to,
    patience_is_for_what_follows,
    patience_lasts_until_it_follows,
    terms_have_what_they_are_about,
    blocks_reach_the_age,
)


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about block customers, asked of each."""
    with suppress(NotKnown):
        for at, customer in enumerate(farm.block_customer):
            yield from (rule(farm, customer, ("block_customer", at)) for rule in CUSTOMER_RULES)
    yield somebody_takes_surplus_blocks(farm)
    yield rules_have_the_choice_that_uses_them(farm)
