"""Picking, every day: people walk a room's ripe lots of one strain in rounds and carry the crates out when a round ends.

Steps of a round: by the house rule it begins at the ripest bed (or the dearest strain's); lot after lot is looked over
block by block and picked, until the round is long enough or the shift is over; then everything is weighed and graded.
A morning missed adds weight; past the picking window it takes grade by the strain's table: firsts, seconds, culls.

Goes wrong when more is ripe than people can pick: it grows, opens, and becomes seconds and culls.
"""

from __future__ import annotations

from typing import NamedTuple

from farmsim.model.calendar import DAY, ticks
from farmsim.model.crew import WORTH_BEGINNING, Round
from farmsim.model.crop import Grading, Share, age_of
from farmsim.model.heaps import Picked
from farmsim.model.lot import Lot
from farmsim.model.site import Site


class Basket(NamedTuple):
    """What a round takes, worked out when it begins."""

    strain: str
    day: int
    shares: list[Share]


class Beds:
    """The pool of picking work: all that is ripe."""

    def __init__(self, site: Site) -> None:
        self._site = site

    def waiting(self) -> bool:
        """Whether anything is ripe that nobody is picking."""
        return bool(self._site.crop.beds)

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when nothing is ripe or there is no time to begin."""
        site = self._site
        if most_hours < WORTH_BEGINNING or not site.crop.beds:
            return None
        beds = site.crop.beds
        bed = min(beds, key=self._turn) if len(beds) > 1 else next(iter(beds))
        grading, long_enough, today = site.crop.grading[bed[1]], min(site.farm.farm.round, most_hours), site.crop.today
        asked = site.crop.beds[bed][0].ripe[0][0] * DAY
        hours, shares = 0.0, []
        while hours < long_enough and bed in site.crop.beds:
            lot = site.crop.take_out(bed)
            needed = grading.hours(lot, today)
            share = min(1.0, (most_hours - hours) / needed) if needed > 0.0 else 1.0
            hours += needed * share
            shares.append(Share(lot, share))
        return Round(min(ticks(hours), most_hours), asked, Basket(bed[1], today, shares))

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

    def _turn(self, bed: tuple[int, str]) -> tuple[int, tuple[int, float, str]]:
        """Which bed goes first: the ripest lot's, or the dearest strain's (the one listed first)."""
        dearest = self._site.farm.rules.pick_first == "dearest"
        return (self._site.strain_number[bed[1]] if dearest else 0, age_of(self._site.crop.beds[bed][0]))


def _pick(site: Site, grading: Grading, lot: Lot, share: float, day: int) -> tuple[float, float]:
    """Pick a share of what is ripe on a lot, write it down by lateness; returns firsts and seconds [kg]."""
    sums: dict[int, list[float]] = {}
    left: list[tuple[int, float]] = []
    for morning, kg in lot.ripe:
        if morning > day:  # ripened while the round went on
            left.append((morning, kg))
            continue
        missed = day - morning
        weight = grading.weight(kg * share, missed)
        row = sums.setdefault(max(0, missed - grading.fit), [0.0, 0.0, 0.0])
        firsts, seconds, culls = grading.parts[min(missed, grading.last)]
        row[0] += weight * firsts
        row[1] += weight * seconds
        row[2] += weight * culls
        if share < 1.0:
            left.append((morning, kg * (1.0 - share)))
    lot.ripe = left
    if not left or left[-1][0] <= day:  # else a new morning wants every block looked over again
        lot.look *= 1.0 - share
    firsts = seconds = 0.0
    for late, row in sorted(sums.items()):
        site.journal.picks((lot.number, lot.flush, lot.room, site.desk.now, late, row[0], row[1], row[2]))
        firsts += row[0]
        seconds += row[1]
    return firsts, seconds
