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
from farmsim.model.crop import Share, age_of
from farmsim.model.heaps import Picked
from farmsim.model.lot import Lot
from farmsim.model.site import Site
from farmsim.scenario.strain import Strain


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
        bed = min(site.crop.beds, key=self._turn)
        strain, long_enough = site.strains[bed[1]], min(site.farm.farm.round, most_hours)
        asked = site.crop.beds[bed][0].ripe[0][0] * DAY
        hours, shares = 0.0, []
        while hours < long_enough and bed in site.crop.beds:
            lot = site.crop.take_out(bed)
            needed = _hours(strain, lot, site.crop.today)
            share = min(1.0, (most_hours - hours) / needed) if needed > 0.0 else 1.0
            hours += needed * share
            shares.append(Share(lot, share))
        return Round(min(ticks(hours), most_hours), asked, Basket(bed[1], site.crop.today, shares))

    def done(self, round_: Round) -> None:
        """Weigh, grade, carry out."""
        basket = round_.load
        assert isinstance(basket, Basket)
        site = self._site
        firsts = seconds = 0.0
        for lot, share in basket.shares:
            first, second = _pick(site, site.strains[basket.strain], lot, share, basket.day)
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


def _hours(strain: Strain, lot: Lot, today: int) -> float:
    """Time to look over the lot's blocks and pick what is ripe [h]."""
    kg = sum(_weight(strain, kg, today - day) for day, kg in lot.ripe)
    return lot.blocks * strain.picking.look * lot.look + kg / strain.picking.pace


def _fit_mornings(strain: Strain) -> int:
    """Mornings after the first on which it is still fit to pick."""
    return max(0, int(strain.picking.window // DAY) - 1)


def _weight(strain: Strain, kg: float, missed: int) -> float:
    """Weight after some missed mornings; it stops growing where the table of grades ends [kg]."""
    return kg * (1.0 + strain.picking.gain) ** min(missed, _fit_mornings(strain) + len(strain.picking.late) - 1)


def _pick(site: Site, strain: Strain, lot: Lot, share: float, day: int) -> tuple[float, float]:
    """Pick a share of what is ripe on a lot, write it down by lateness; returns firsts and seconds [kg]."""
    fit, table = _fit_mornings(strain), strain.picking.late
    sums: dict[int, list[float]] = {}
    left: list[tuple[int, float]] = []
    for morning, kg in lot.ripe:
        if morning > day:  # ripened while the round went on
            left.append((morning, kg))
            continue
        late = max(0, day - morning - fit)
        grades = table[min(late, len(table) - 1)]
        weight = _weight(strain, kg * share, day - morning)
        row = sums.setdefault(late, [0.0, 0.0, 0.0])
        for index, part in enumerate((grades.firsts, grades.seconds, grades.culls)):
            row[index] += weight * part
        if share < 1.0:
            left.append((morning, kg * (1.0 - share)))
    lot.ripe = left
    if not any(morning > day for morning, _ in left):  # else a new morning wants every block looked over again
        lot.look *= 1.0 - share
    for late, (firsts, seconds, culls) in sorted(sums.items()):
        site.journal.picks((lot.number, lot.flush, lot.room, site.desk.now, late, firsts, seconds, culls))
    return sum(row[0] for row in sums.values()), sum(row[1] for row in sums.values())
