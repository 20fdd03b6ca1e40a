"""Block orders as they stand: pieces with their first day, which lots a customer may be given, and what is kept back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from farmsim.model.calendar import DAY
from farmsim.model.lot import Lot
from farmsim.model.site import Site
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.rules import SOLD_FIRST

RIPE, ANY_AGE = 0.0, float("inf")


class Piece(NamedTuple):
    """A part of an order that is still to be delivered."""

    since: float  # the day it was first due [h]
    blocks: int


def amount(pieces: Iterable[Piece]) -> int:
    """How many blocks the pieces come to."""
    return sum([piece.blocks for piece in pieces])


def ages(customer: BlockCustomer) -> tuple[float, float]:
    """The lowest and highest age it takes blocks at, from when they are ripe [h]."""
    return (RIPE, ANY_AGE) if customer.age is None else (customer.age.low, customer.age.high)


def may_be_given(site: Site, customer: BlockCustomer, strain: str, when: float) -> list[Lot]:
    """The lots the customer may be given at `when`, in the order in which they are taken.

    Who finishes the ripening is given the youngest that are taken, so that the racks are free soonest; then, and for
    all others, ripe lots go by the house rule. Those not called to a room yet go first. None is overripe.
    """
    low, high = ages(customer)
    freshest = site.farm.rules.sold_first != SOLD_FIRST[0]
    ripe = site.ripe.freshest_first(strain) if freshest else site.ripe.oldest_first(strain)
    fit = [lot for lot in ripe if not lot.is_overripe and low <= when - lot.ripe_at <= high]
    return [*_unripe(site, strain, when, low, high), *fit] if customer.takes_unripe else fit


def soon_ripe(site: Site, customer: BlockCustomer, strain: str, when: float) -> list[Lot]:
    """Lots that are not ripe now and will be at `when`, of the age the customer takes then."""
    low, high = ages(customer)
    return [] if customer.takes_unripe else _unripe(site, strain, when, low, high)


def _unripe(site: Site, strain: str, when: float, low: float, high: float) -> list[Lot]:
    lots = [
        lot
        for lot in site.ripe.unripe[strain]
        if lot.colonised_at <= when and low <= when - lot.ripe_at <= high and "rack" in lot.stays
    ]
    return sorted(lots, key=lambda lot: (-lot.ripe_at, lot.key))


# --- kept back ------------------------------------------------------------------------------------------------------


class Claim(NamedTuple):
    """What one customer is promised of a strain, and how many blocks there are that it may be given."""

    low: float
    high: float
    when: float  # its next round [h]
    wanted: int
    there: int

    def may_be(self, lot: Lot) -> bool:
        """Whether the lot is of an age that the customer takes at its next round."""
        return self.low <= self.when - lot.ripe_at <= self.high


def is_kept_back(site: Site, lot: Lot) -> bool:
    """Whether a ripe lot is kept from our rooms: without it, less is there than those are promised who may be given it."""
    promised = site.promised_blocks[lot.strain]
    if promised <= 0:
        return False
    if not site.ages_matter:
        return site.ripe.free_blocks(lot.strain, site.calls.count) - lot.blocks < promised
    claims = [claim for claim in _claims(site, lot.strain) if claim.may_be(lot)]
    wanted = sum([claim.wanted for claim in claims])
    return wanted > 0 and max(claim.there for claim in claims) - lot.blocks < wanted


def _claims(site: Site, strain: str) -> list[Claim]:
    """What each customer is promised of the strain; worked out anew when a lot has moved, or on another day."""
    today = site.desk.now // DAY
    moves = site.calls.count
    known = site.claims.get(strain)
    if known is None or known[0] != (moves, today, site.ripe.changes[strain]):
        found = list(_work_out(site, strain))
        site.claims[strain] = known = ((moves, today, site.ripe.changes[strain]), found)
    return known[1]


def _work_out(site: Site, strain: str) -> Iterator[Claim]:
    for customer in site.farm.block_customer:
        number = site.block_customer_number[customer.name]
        due = [when for (whose, when), orders in site.block_orders.items() if whose == number and strain in orders]
        wanted = sum([amount(site.block_orders[number, when][strain]) for when in due])
        wanted += site.owed_blocks.get((number, strain), 0)
        if wanted:
            when = max(site.desk.now, min(due, default=site.desk.now))
            lots = may_be_given(site, customer, strain, when)
            there = sum([lot.blocks for lot in lots if "booked" not in lot.stays])
            yield Claim(*ages(customer), when, wanted, there)
