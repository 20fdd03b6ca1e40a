"""Picking, every day: people walk a room's ripe lots of one strain in rounds and carry the crates out when a round ends.

Steps of a round: by the house rule it begins at the ripest bed (or the dearest strain's); lot after lot is looked over
block by block and picked, until the round is long enough or the shift is over; then everything is weighed and graded.
A morning missed adds weight; past the picking window it takes grade by the strain's table: firsts, seconds, culls.

Goes wrong when more is ripe than people can pick: it grows, opens, and becomes seconds and culls.
"""

from __future__ import annotations

from typing import NamedTuple

from farmsim.model.calendar import DAY, ticks
from farmsim.model.crew import WORTH_BEGINNING, Pool, Round
from farmsim.model.crop import Grading, Share
from farmsim.model.heaps import Picked
from farmsim.model.lot import Lot
from farmsim.model.site import Site
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import dearest_first

NOTHING = (0.0, 0.0, 0.0)


class Basket(NamedTuple):
    """What a round takes, worked out when it begins."""

    strain: str
    day: int
    shares: list[Share]


class Beds(Pool):
    """The pool of picking work: all that is ripe."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self.heap = site.crop.beds  # what is ripe that nobody is picking
        self._ranks: dict[str, int] = {}
        self._ranked: Farm | None = None  # the state of the farm the ranks are of

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when nothing is ripe or there is no time to begin."""
        crop, farm = self._site.crop, self._site.farm
        if most_hours < WORTH_BEGINNING or not crop.beds:
            return None
        bed = self._first()
        asked = crop.beds[bed][0].ripe[0][0] * DAY
        hours, shares = crop.take_out(bed, min(farm.farm.round, most_hours), most_hours)
        return Round(min(ticks(hours), most_hours), asked, Basket(bed[1], crop.today, shares))

    def done(self, round_: Round) -> None:
        """Weigh, grade, carry out."""
        basket = round_.load
        assert isinstance(basket, Basket)
        site = self._site
        firsts = seconds = 0.0
        for lot, share in basket.shares:
            first, second = _pick(site, site.crop.grading[basket.strain], lot, share, basket.day)
            firsts += first
            seconds += second
            site.crop.hand_back(lot)
        if firsts + seconds > 0.0:
            site.unpacked.add(Picked(basket.strain, site.desk.now, firsts, seconds))
            site.people.look()

    def _first(self) -> tuple[int, str]:
        """Which bed goes first: the ripest lot's, or the dearest strain's."""
        beds = self._site.crop.beds
        if self._site.farm.rules.pick_first == "dearest":
            rank = self._rank()
            return min(beds, key=lambda bed: (rank[bed[1]], beds[bed][0].age))
        ripest, age = None, (0, 0.0, "")
        for bed, lots in beds.items():
            if ripest is None or lots[0].age < age:
                ripest, age = bed, lots[0].age
        if ripest is None:
            raise AssertionError("a round of picking where nothing is ripe")
        return ripest

    def _rank(self) -> dict[str, int]:
        """Which place each strain takes by how dear it is, as the farm is now."""
        if self._ranked is not self._site.farm:
            self._ranked = self._site.farm
            in_order = dearest_first(self._ranked, self._site.strain_number)
            self._ranks = {strain: rank for rank, strain in enumerate(in_order)}
        return self._ranks


def _pick(site: Site, grading: Grading, lot: Lot, share: float, day: int) -> tuple[float, float]:
    """Pick a share of what is ripe on a lot, write it down by lateness; returns firsts and seconds [kg]."""
    if len(lot.ripe) > 1 or lot.ripe[0][0] > day:
        return _pick_mornings(site, grading, lot, share, day)
    (morning, kg), left = lot.ripe[0], 1.0 - share
    late, firsts, seconds, culls = grading.picked(kg * share, day - morning)
    lot.ripe = [(morning, kg * left)] if share < 1.0 else []
    lot.look *= left
    site.journal.picks((lot.number, lot.flush, lot.room, site.desk.now, late, firsts, seconds, culls))
    return firsts, seconds


def _pick_mornings(site: Site, grading: Grading, lot: Lot, share: float, day: int) -> tuple[float, float]:
    """The same where more than one morning's mushrooms stand."""
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
    return sum(row[0] for _, row in sorted(sums.items())), sum(row[1] for _, row in sorted(sums.items()))
