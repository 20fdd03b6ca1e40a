"""What can happen to the blocks of a lot anywhere on the farm: some are lost, some are sold, the lot ends."""

from __future__ import annotations

from typing import Final

from farmsim.model.lot import Lot
from farmsim.model.place import WHOLE, Request, thousandths
from farmsim.model.site import Site
from farmsim.record.columns import WHATS

WHAT: Final = {name: number for number, name in enumerate(WHATS)}
BLOCK_PLACES: Final = ["rack", "shelf", "booked"]
"""Stays that count one place a block; a tank takes the lot whole."""


def note(site: Site, lot: Lot, what: str, blocks: int, customer: int = -1) -> None:
    """Write down what happened to `blocks` of the lot."""
    site.journal.blocks(
        (lot.number, site.strain_number[lot.strain], WHAT[what], site.desk.now, float(blocks), customer)
    )


def lose(site: Site, lot: Lot, cause: str, blocks: int) -> None:
    """Throw out `blocks` of the lot. Their places are free at once, except in a tank."""
    note(site, lot, cause, blocks)
    take_off(site, lot, blocks)


def take_off(site: Site, lot: Lot, blocks: int) -> None:
    """The lot has `blocks` fewer; it ends when none is left."""
    lot.blocks -= blocks
    site.ripe.count_again(lot.strain)
    if lot.blocks <= 0:
        end(site, lot)
        return
    stays = lot.stays
    for purpose in BLOCK_PLACES:
        if purpose in stays:
            site.places.give_back(lot, purpose, blocks * WHOLE)
    for purpose in ["held", "cold"]:
        if purpose in stays:
            site.places.give_back(lot, purpose, stays[purpose].amount * blocks // (lot.blocks + blocks))
    if lot.request is not None:
        _ask_for_less(site, lot, lot.request)


def _ask_for_less(site: Site, lot: Lot, request: Request) -> None:
    """A lot that has become smaller waits for fewer places; others, such as a tank, look again whether it may go."""
    for need in request.needs:
        if need.purpose in BLOCK_PLACES:
            site.places.shrink(lot, need.purpose, lot.blocks * WHOLE)
        elif need.purpose == "cold":
            site.places.shrink(lot, need.purpose, thousandths(lot.blocks * site.cold_crates))
        else:
            for place in need.places:
                site.places.touch(place)


def end(site: Site, lot: Lot) -> None:
    """The lot is no more: it gives up what it waits for and leaves every place."""
    lot.gone = True
    site.ripe.forget(lot)
    for purpose in list(lot.stays):
        site.places.leave(lot, purpose)
    site.places.give_up(lot)
    site.lots.pop(lot.key, None)


def bad_by(lot: Lot, when: float) -> int:
    """How many bad blocks show by `when`, taken off the lot's list [blocks]."""
    if not lot.bad or lot.bad[0][0] > when:
        return 0
    found = 0
    for shows, _ in lot.bad:
        if shows <= when:
            found += 1
    lot.bad = lot.bad[found:]
    return found


def be_taken(site: Site, lot: Lot) -> None:
    """The lot is to be fruited here and can no longer be sold; how overripe it is by now is settled."""
    if lot in site.ripe.lots[lot.strain]:
        lot.overripe = overripe_days(site, lot)
        site.ripe.remove(lot)


def leave_store(site: Site, lot: Lot) -> None:
    """The lot goes on from where it ripened or was held back."""
    be_taken(site, lot)
    for purpose in ("rack", "held"):
        if purpose in lot.stays:
            site.places.leave(lot, purpose)


def is_surplus(site: Site, lot: Lot) -> bool:
    """Whether a ripe lot's time on the rack (and in the cold, if it is there) is nearly over, by the house rule."""
    holds = site.strains[lot.strain].holds_ripe
    ends = lot.ripe_at + holds.on_the_rack + (holds.cold if "held" in lot.stays else 0.0)
    return lot.ripe_at <= site.desk.now and ends - site.desk.now <= site.farm.rules.surplus_left


def overripe_days(site: Site, lot: Lot) -> float:
    """For how long the lot has stood past its hold, on the rack and in the cold [days]."""
    holds = site.strains[lot.strain].holds_ripe
    in_the_cold = holds.cold if "held" in lot.stays else 0.0
    return max(0.0, (site.desk.now - lot.ripe_at - holds.on_the_rack - in_the_cold) / 24.0)
