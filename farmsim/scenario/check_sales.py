"""Rules about what is started and what is promised."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import flow
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.part import NotKnown
from farmsim.scenario.sales import BlockCustomer, Customer, Start

Path = tuple[str | int, ...]
IMPOSSIBLE = 1.5  # promises beyond this share of what the plan brings can never be kept


def _unknown_strain(farm: Farm, path: Path, name: str) -> Fault:
    known = list(farm.strain)
    allowed = f"needs one of {listed(known)}" if known else "needs a strain of this farm"
    return Fault(path, f'"{name}" is no strain of this farm', allowed, nearest(name, known, f"Add [strain.{name}]."))


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


def an_outlet_takes_anything(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """An outlet takes what is left; a standing order names strains."""
    if customer.kind == "outlet" and customer.takes != "anything":
        mend = 'Write takes = "anything", or kind = "standing".'
        yield Fault((*path, "takes"), "an outlet takes what is left", 'needs "anything"', mend)
    if customer.kind == "standing" and customer.takes == "anything":
        mend = 'Write it like { shiitake = "140 lb a delivery" }, or kind = "outlet".'
        yield Fault((*path, "takes"), 'a standing order takes "anything"', "needs strains with amounts", mend)
    if customer.kind == "standing" and customer.takes_firsts_left is not None:
        mend = 'Leave it out, or write kind = "outlet".'
        yield Fault((*path, "takes_firsts_left"), "is given for a standing order", "needs an outlet", mend)


def a_customer_takes_what_is_grown(farm: Farm, customer: Customer | BlockCustomer, path: Path) -> Iterator[Fault]:
    """Only strains that the farm has, and starts, can be promised."""
    if isinstance(customer.takes, str):
        return
    started = {line.strain for line in farm.start}
    for name in customer.takes:
        if name not in farm.strain:
            yield _unknown_strain(farm, (*path, "takes", name), name)
        elif name not in started and started <= farm.strain.keys():
            mend = "Add a [[start]] for it, or do not promise it."
            yield Fault(
                (*path, "takes", name), f"no blocks of {name} are started", "needs a strain that is started", mend
            )


def blocks_promised_are_made(farm: Farm) -> Iterator[Fault]:
    """Far more blocks promised than are ever made can never be delivered."""
    for name in {line.strain: None for line in farm.start if line.strain in farm.strain}:
        usual = flow(farm, name)
        if usual.promised > IMPOSSIBLE * (usual.started - usual.bad):
            at = next(at for at, customer in enumerate(farm.block_customer) if name in customer.takes)
            good = units.show(usual.started - usual.bad, "blocks/week", digits=3)
            found = f"{units.show(usual.promised, 'blocks/week')} of {name} are promised, the plan brings {good}"
            allowed = f"needs at most {IMPOSSIBLE:g} times what the plan brings"
            yield Fault(("block_customer", at, "takes", name), found, allowed, "Promise less or start more.")


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about starts and sales, asked of every line and customer."""
    with suppress(NotKnown):
        for at, line in enumerate(farm.start):
            rules = (a_line_starts_a_known_strain, blocks_are_whole, bought_blocks_have_their_own_times)
            yield from (rule(farm, line, ("start", at)) for rule in rules)
    with suppress(NotKnown):
        for at, customer in enumerate(farm.customer):
            yield an_outlet_takes_anything(farm, customer, ("customer", at))
            yield a_customer_takes_what_is_grown(farm, customer, ("customer", at))
    with suppress(NotKnown):
        for at, block_customer in enumerate(farm.block_customer):
            yield a_customer_takes_what_is_grown(farm, block_customer, ("block_customer", at))
    yield blocks_promised_are_made(farm)
