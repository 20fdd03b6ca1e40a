"""Fruiting: flush after flush on the shelf, with a rest between and, for some strains, another soak.

Steps of a flush: the mornings on which its mushrooms ripen are counted from shelving (or from the end of rest and
soak); the flush is over when the last of them is picked; then it rests. After the last flush the block is spent.
The farm's rule on the number of flushes is the one in force when a flush ends. By another house rule a lot goes sooner,
when little is still to come and a fresh lot waits for its room.
"""

from __future__ import annotations

from functools import partial
from typing import Final

from farmsim.model.calendar import ticks
from farmsim.model.desk import Wait
from farmsim.model.lot import Lot
from farmsim.model.site import Site
from farmsim.model.steps import Step, go_to, stage
from farmsim.scenario.rules import CLEAR_OUT
from farmsim.scenario.strain import Strain

SPENT: Final = "fruit: be spent"
PICKED: Final = "fruit: be picked"
AFTER_THE_LAST: Final = CLEAR_OUT[0]


def set_fruit(site: Site, lot: Lot) -> None:
    months, month = site.farm.months, site.year.month(site.desk.now)
    site.crop.begin_flush(lot, months.yield_[month], months.days[month])
    if site.house.promises_shelves:
        promise_shelf(site, lot)


def be_picked(site: Site, lot: Lot) -> Wait | None:
    return site.crop.flush_over(lot)


def end_of_flush(site: Site, lot: Lot) -> None:
    if _is_last(site, lot) or _makes_way(site, lot):
        go_to(lot, SPENT)


def rest(site: Site, lot: Lot) -> Wait | None:
    return site.desk.until(ticks(lot.since + site.strains[lot.strain].flushes.rest))


def go_on(site: Site, lot: Lot) -> None:
    lot.flush += 1


def be_spent(site: Site, lot: Lot) -> None:
    site.places.ready(lot, "shelf")


def promise_shelf(site: Site, lot: Lot) -> None:
    """In its last flush a lot's shelf is promised on, so early that the next lot is ready for it when it is free."""
    if not _is_last(site, lot) or "booked" not in lot.stays:
        return
    strain = site.strains[lot.strain]
    expected = site.crop.expected_end(lot)
    site.desk.at(max(site.desk.now, ticks(expected - _call_to_shelf(strain))), partial(_promise, site, lot))


def _is_last(site: Site, lot: Lot) -> bool:
    """Whether the lot is not kept for another flush: by the rule in force, or because nothing more will grow on it."""
    if lot.fates is None:
        raise AssertionError(f"{lot.key} has no fate")
    return lot.flush + 1 >= min(len(site.strains[lot.strain].flushes.share), lot.fates.flushes)


def _makes_way(site: Site, lot: Lot) -> bool:
    """Whether the lot goes before its last flush: what is still to come is little, and another waits for its room."""
    rules, share = site.farm.rules, site.strains[lot.strain].flushes.share
    if rules.clear_out == AFTER_THE_LAST or share[lot.flush + 1] >= rules.small_flush:
        return False
    return any(site.places.somebody_waits(place) for place in (site.booked[lot.room], site.shelves[lot.room]))


def _promise(site: Site, lot: Lot) -> None:
    if "booked" in lot.stays:
        site.places.leave(lot, "booked")


def _call_to_shelf(strain: Strain) -> float:
    """Usual time from call to shelving [h]."""
    cold = strain.cold_shock.usual if strain.cold_shock is not None else 0.0
    soak = strain.soak.most if strain.soak is not None else 0.0
    return cold + soak


_FLUSH = stage(7, "fruit", set_fruit, be_picked, end_of_flush)
_BETWEEN = stage(7, "fruit", rest, go_on)
_END = stage(7, "fruit", be_spent)


def steps(flushes: int, again: tuple[Step, ...]) -> tuple[Step, ...]:
    """The steps of up to `flushes` flushes; `again` are the steps of another soak, done after each rest."""
    between = _BETWEEN + again + _FLUSH
    return _FLUSH + between * (flushes - 1) + _END
