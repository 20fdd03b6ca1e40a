"""Blocks that are boxed before they leave: what is still to be boxed for whom, and what stands boxed.

The boxes stand where the blocks stood, so boxing takes no place of its own. What was boxed and did not leave is there
for the same customer's next round.
"""

from __future__ import annotations

from typing import NamedTuple

from farmsim.model.promised import amount, may_be_given, soon_ripe
from farmsim.model.site import Site
from farmsim.scenario.block_sales import BlockCustomer


class ToBox(NamedTuple):
    """Blocks of a strain that are to be boxed for one round of a customer."""

    due: float  # when the round leaves [h]
    number: int  # the customer's
    strain: str
    blocks: int
    asked: float  # since when they could have been boxed [h]
    pace: float  # [blocks/h]

    def of(self, blocks: int) -> ToBox:
        """A part of it, so many blocks."""
        return self._replace(blocks=blocks)


def ask(site: Site, customer: BlockCustomer) -> None:
    """Work out again what is to be boxed for a customer's rounds that may be boxed for now."""
    if customer.boxing is None:
        return
    number, now = site.block_customer_number[customer.name], site.desk.now
    before = {(line.due, line.strain): line.asked for line in site.to_box if line.number == number}
    lines = [line for line in site.to_box if line.number != number]
    dues = sorted(due for whose, due in site.block_orders if whose == number and due - customer.boxed_from <= now)
    needed: dict[str, int] = {}
    seen_to: dict[str, int] = {}
    for due in dues:
        for strain, pieces in site.block_orders[number, due].items():
            owed = site.owed_blocks.get((number, strain), 0) if due == dues[0] else 0
            needed[strain] = needed.get(strain, 0) + amount(pieces) + owed
            done = seen_to.setdefault(strain, _boxed(site, number, strain))
            more = min(needed[strain], _ready(site, customer, strain, due)) - done
            if more > 0:
                asked = before.get((due, strain), now)
                lines.append(ToBox(due, number, strain, more, asked, customer.boxing))
                seen_to[strain] = done + more
    site.to_box[:] = sorted(lines)
    site.people.look()


def _boxed(site: Site, number: int, strain: str) -> int:
    """Blocks boxed for the customer, or in somebody's hands."""
    return site.boxed.get((number, strain), 0) + site.in_boxing.get((number, strain), 0)


def _ready(site: Site, customer: BlockCustomer, strain: str, due: float) -> int:
    """Blocks the customer may be given when the round leaves, those that will be ripe by then among them."""
    lots = may_be_given(site, customer, strain, due) + soon_ripe(site, customer, strain, due)
    return sum([lot.blocks for lot in lots])
