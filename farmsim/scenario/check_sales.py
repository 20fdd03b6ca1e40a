"""Rules about what is started and what is promised."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import suppress

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import Flow, flow, promised_fresh
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.part import NotKnown
from farmsim.scenario.sales import BlockCustomer, Customer, Start

Path = tuple[str | int, ...]
IMPOSSIBLE = 1.5  # promises beyond this share of what the plan brings can never be kept


def _unknown_strain(farm: Farm, path: Path, name: str) -> Fault:
    known = list(farm.strain)
    allowed = f"needs one of {listed(known)}" if known else "needs a strain of this farm"
    found, mend = f'"{name}" is no strain of this farm', nearest(name, known, f"Add [strain.{name}].")
    return Fault(path, found, allowed, mend, misses=("strain", name))


def a_line_starts_a_known_strain(farm: Farm, line: Start, path: Path) -> Iterator[Fault]:
    """A line of blocks is of a strain the farm has."""
    if line.strain not in farm.strain:
        yield _unknown_strain(farm, (*path, "strain"), line.strain)


def blocks_are_whole(farm: Farm, line: Start, path: Path) -> Iterator[Fault]:
    """Blocks are counted whole."""
    if line.blocks != round(line.blocks):
        found = f"is {units.show(line.blocks, 'blocks/week')}"
        yield Fault((*path, "blocks"), found, "needs whole blocks", 'Write it like "600 blocks a week".')


def bought_blocks_have_their_own_times(farm: Farm, line: Start, path: Path) -> Iterator[Fault]:
    """Ripening after delivery is a matter of bought blocks only."""
    if line.made == "here" and line.ripe_in is not None:
        mend = 'Leave it out, or write made = "bought".'
        yield Fault((*path, "ripe_in"), "is given for blocks made here", "needs blocks that are bought", mend)


def a_customer_takes_what_is_grown(farm: Farm, customer: Customer | BlockCustomer, path: Path) -> Iterator[Fault]:
    """Only strains that the farm has, and starts, can be promised."""
    if isinstance(customer.takes, str):
        return
    for name in customer.takes:
        if name not in farm.strain:
            yield _unknown_strain(farm, (*path, "takes", name), name)
    lines = {line.strain for line in farm.start}
    started = {line.strain for line in farm.start if line.blocks > 0}
    for name, amount in customer.takes.items():
        if amount > 0 and name in farm.strain and name not in started and lines <= farm.strain.keys():
            mend = f"{'Start some' if name in lines else 'Add a [[start]] for it'}, or do not promise it."
            found, allowed = f"no blocks of {name} are started", "needs a strain that is started"
            yield Fault((*path, "takes", name), found, allowed, mend, misses=("start",))


def promises_can_be_kept(farm: Farm) -> Iterator[Fault]:
    """Far more promised than is ever brought can never be delivered, blocks or mushrooms."""
    for name in {line.strain: None for line in farm.start if line.strain in farm.strain and line.blocks > 0}:
        usual, fresh = flow(farm, name), promised_fresh(farm, name)
        if usual.promised > IMPOSSIBLE * (usual.started - usual.bad):
            yield _broken(farm, "block_customer", name, "blocks/week", usual.promised, usual.started - usual.bad)
        elif fresh > IMPOSSIBLE * (firsts := _most_firsts(farm, usual)):
            yield _broken(farm, "customer", name, "kg/week", fresh, firsts)


def _most_firsts(farm: Farm, usual: Flow) -> float:
    """Firsts the plan brings [kg/week]; where our own rooms come before block orders, as if no block were sold."""
    if farm.rules.ripe_blocks == "promised blocks first":
        return usual.firsts
    return usual.firsts * (usual.fruited + usual.sold) / usual.fruited if usual.fruited else math.inf


def _broken(farm: Farm, kind: str, name: str, unit: str, promised: float, brings: float) -> Fault:
    """A promise that can never be kept, told at the first who is promised the strain."""
    customers: Iterable[Customer | BlockCustomer] = getattr(farm, kind)
    at, key = next((at, key) for at, each in enumerate(customers) for key in _promises(each, name))
    much, have = (units.show(each, unit, farm.farm.units, digits=3) for each in (promised, brings))
    have += " of firsts" * (kind == "customer")
    found = f"{much} of {name} are promised, the plan brings {have}"
    allowed = f"needs at most {IMPOSSIBLE:g} times what the plan brings"
    return Fault((kind, at, *key), found, allowed, "Promise less or start more.")


def _promises(customer: Customer | BlockCustomer, name: str) -> Iterator[Path]:
    """Where a customer is promised a strain."""
    is_promised = not isinstance(customer, Customer) or customer.orders
    if is_promised and not isinstance(customer.takes, str) and name in customer.takes:
        yield "takes", name
    if isinstance(customer, Customer) and customer.orders and customer.mixed and name in customer.mixed.of:
        yield "mixed", "amount"


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about starts and sales, asked of every line and customer."""
    with suppress(NotKnown):
        for at, line in enumerate(farm.start):
            rules = (a_line_starts_a_known_strain, blocks_are_whole, bought_blocks_have_their_own_times)
            yield from (rule(farm, line, ("start", at)) for rule in rules)
    with suppress(NotKnown):
        for at, customer in enumerate(farm.customer):
            yield a_customer_takes_what_is_grown(farm, customer, ("customer", at))
    with suppress(NotKnown):
        for at, block_customer in enumerate(farm.block_customer):
            yield a_customer_takes_what_is_grown(farm, block_customer, ("block_customer", at))
    yield promises_can_be_kept(farm)
