"""Picking, every day: people walk a room's ripe lots of one strain in rounds and carry the crates out when a round ends.

Steps of a round: by the house rule it begins at the ripest bed (or the dearest strain's); lot after lot is looked over
block by block and picked, until the round is long enough or the shift is over; then everything is weighed and graded.
A morning missed adds weight; past the picking window it takes grade by the strain's table: firsts, seconds, culls.

Goes wrong when more is ripe than people can pick: it grows, opens, and becomes seconds and culls.
"""

from __future__ import annotations

from typing import Final, final

from farmsim.model.calendar import DAY, ticks
from farmsim.model.crop import Bed, Grading, is_riper
from farmsim.model.heaps import Picked
from farmsim.model.lot import Lot
from farmsim.model.site import Site
from farmsim.model.total import total
from farmsim.model.work import WORTH_BEGINNING, Pool, Round
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import dearest_first

NOTHING: Final = (0.0, 0.0, 0.0)


@final
class Basket:
    """What a round takes, worked out when it begins: lots, of each its share."""

    __slots__ = ("day", "lots", "strain")

    def __init__(self, strain: str, day: int, lots: list[Lot]) -> None:
        self.strain = strain
        self.day = day
        self.lots = lots


class Beds(Pool):
    """The pool of picking work: all that is ripe."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self.heap = site.crop.beds  # what is ripe that nobody is picking
        self._ranks: dict[str, int] = {}  # empty: the ripest goes first, whatever it is worth
        self._ranked: Farm | None = None  # the state of the farm the ranks are of

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when nothing is ripe or there is no time to begin."""
        crop = self._site.crop
        if most_hours < WORTH_BEGINNING or not crop.beds:
            return None
        bed = self._first()
        asked = bed.lots[0].ripe_since * DAY
        hours, lots = crop.take_out(bed, min(self._site.long_enough, most_hours), most_hours)
        return Round(min(ticks(hours), most_hours), asked, Basket(bed.strain, crop.today, lots))

    def done(self, round_: Round) -> None:
        """Weigh, grade, carry out."""
        basket = round_.load
        assert isinstance(basket, Basket)
        site = self._site
        crop, now = site.crop, site.desk.now
        grading, day = crop.grading[basket.strain], basket.day
        firsts = seconds = 0.0
        for lot in basket.lots:
            first, second = _pick(site, grading, lot, day, now)
            firsts += first
            seconds += second
            crop.hand_back(lot)
        if firsts + seconds > 0.0:
            site.unpacked.add(Picked(basket.strain, now, firsts, seconds))
            site.people.look()

    def _first(self) -> Bed:
        """Which bed goes first: the ripest lot's, or the dearest strain's."""
        if self._ranked is not self._site.farm:
            self._rank(self._site.farm)
        beds = self._site.crop.beds
        first = beds[0]
        for bed in beds:
            if bed is not first and self._goes_before(bed, first):
                first = bed
        return first

    def _goes_before(self, bed: Bed, other: Bed) -> bool:
        if self._ranks:
            rank, others = self._ranks[bed.strain], self._ranks[other.strain]
            if rank != others:
                return rank < others
        return is_riper(bed.lots[0], other.lots[0])

    def _rank(self, farm: Farm) -> None:
        """Which place each strain takes by how dear it is, where the dearest goes first, as the farm is now."""
        self._ranked = farm
        in_order = dearest_first(farm, self._site.strain_number) if farm.rules.pick_first == "dearest" else ()
        self._ranks = {strain: rank for rank, strain in enumerate(in_order)}


def _pick(site: Site, grading: Grading, lot: Lot, day: int, now: float) -> tuple[float, float]:
    """Pick the round's share of what is ripe on a lot, write it down by lateness; returns firsts and seconds [kg]."""
    ripe, share = lot.ripe, lot.share
    morning, kg = ripe[0]
    if len(ripe) > 1 or morning > day:
        return _pick_mornings(site, grading, lot, day)
    left = 1.0 - share
    late, firsts, seconds, culls = grading.picked(kg * share, day - morning)
    lot.ripe = [(morning, kg * left)] if share < 1.0 else []
    lot.look *= left
    site.journal.picks((lot.number, lot.flush, lot.room, now, late, firsts, seconds, culls))
    return firsts, seconds


def _pick_mornings(site: Site, grading: Grading, lot: Lot, day: int) -> tuple[float, float]:
    """The same where more than one morning's mushrooms stand."""
    share = lot.share
    ripe = [each for each in lot.ripe if each[0] <= day]
    later = lot.ripe[len(ripe) :]  # ripened while the round went on
    sums: dict[int, tuple[float, float, float]] = {}
    for morning, kg in ripe:
        late, *grades = grading.picked(kg * share, day - morning)
        firsts, seconds, culls = sums.get(late, NOTHING)
        sums[late] = (firsts + grades[0], seconds + grades[1], culls + grades[2])
    lot.ripe = [(morning, kg * (1.0 - share)) for morning, kg in ripe] + later if share < 1.0 else later
    if not later:  # else a new morning wants every block looked over again
        lot.look *= 1.0 - share
    for late, row in sorted(sums.items()):
        site.journal.picks((lot.number, lot.flush, lot.room, site.desk.now, late, *row))
    return total([row[0] for _, row in sorted(sums.items())]), total([row[1] for _, row in sorted(sums.items())])
