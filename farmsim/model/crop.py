"""What is ripe, where, and since when: the crop stands between fruiting and picking, so that neither needs the other.

Mornings are whole days. At midnight what ripens that morning joins what is ripe; what was not picked yesterday is a
morning older, heavier, and takes a lower grade by the strain's table.
"""

from __future__ import annotations

from typing import final

from farmsim.model.calendar import DAY
from farmsim.model.desk import Desk, Wait
from farmsim.model.fate import Mornings
from farmsim.model.lot import Lot
from farmsim.scenario.strain import Strain


@final
class Grading:
    """A strain's table of what a missed morning does, by mornings since it ripened: 0 is the morning itself.

    Weight grows with every morning missed, up to the end of the table; grade falls once the picking window is over.
    """

    __slots__ = ("fit", "growth", "last", "look", "pace", "parts")

    def __init__(self, strain: Strain) -> None:
        picking = strain.picking
        self.fit = max(0, int(picking.window // DAY) - 1)  # mornings after the first on which it is still fit to pick
        self.last = self.fit + len(picking.late) - 1
        self.growth = [(1.0 + picking.gain) ** missed for missed in range(self.last + 1)]
        rows = [picking.late[max(0, missed - self.fit)] for missed in range(self.last + 1)]
        self.parts = [(row.firsts, row.seconds, row.culls) for row in rows]
        self.look, self.pace = picking.look, picking.pace

    def picked(self, kg: float, missed: int) -> tuple[int, float, float, float]:
        """Mornings past the window, firsts, seconds, culls, of what was ripe `missed` mornings ago [kg]."""
        at = missed if missed < self.last else self.last
        firsts, seconds, culls = self.parts[at]
        weight = kg * self.growth[at]
        late = missed - self.fit if missed > self.fit else 0
        return late, weight * firsts, weight * seconds, weight * culls

    def hours(self, lot: Lot, today: int) -> float:
        """Time to look over the lot's blocks and pick what is ripe [h]."""
        kg, last = 0.0, self.last
        for day, ripe in lot.ripe:
            missed = today - day
            kg += ripe * self.growth[missed if missed < last else last]
        return lot.blocks * self.look * lot.look + kg / self.pace


@final
class Bed:
    """What is ripe of one strain in one room: the lots that nobody is picking, the ripest first."""

    __slots__ = ("lots", "room", "strain")

    def __init__(self, room: int, strain: str) -> None:
        self.room = room
        self.strain = strain
        self.lots: list[Lot] = []

    def add(self, lot: Lot) -> None:
        """The lot stands in turn."""
        lots = self.lots
        first, end = 0, len(lots)
        while first < end:
            middle = (first + end) // 2
            if is_riper(lot, lots[middle]):
                end = middle
            else:
                first = middle + 1
        lots.insert(first, lot)


def is_riper(lot: Lot, other: Lot) -> bool:
    """Whether a lot is picked before another: ripe since an earlier morning, then started earlier, then by key."""
    if lot.ripe_since != other.ripe_since:
        return lot.ripe_since < other.ripe_since
    if lot.started != other.started:
        return lot.started < other.started
    return lot.key < other.key


@final
class Crop:
    """Ripe lots by room and strain, and what ripens on the mornings to come."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._coming: dict[int, list[Lot]] = {}  # by day: who has a morning then
        self._beds: dict[tuple[int, str], Bed] = {}  # (room, strain)
        self.beds: list[Bed] = []  # those with ripe lots
        self.grading: dict[str, Grading] = {}

    @property
    def today(self) -> int:
        """The day it is; day 0 is the first Monday."""
        return int(self._desk.now // DAY)

    def begin_flush(self, lot: Lot, brings: float = 1.0, days: float = 1.0) -> None:
        """Count the mornings of the lot's flush from today.

        brings, days: what the month makes of its weight and of its mornings [1]
        """
        if lot.fates is None:
            raise AssertionError(f"{lot.key} has no fate")
        lot.shelved = self.today
        if days == 1.0:
            self.expect(lot, lot.fates.crop(lot.row, lot.flush, lot.top, lot.vigour, brings))
        else:
            mornings = _stretched(lot.fates.crop(lot.row, lot.flush, lot.top), days)
            self.expect(lot, [(morning, kg * lot.vigour * brings) for morning, kg in mornings])

    def expect(self, lot: Lot, mornings: list[tuple[int, float]]) -> None:
        """`mornings`: (mornings after the day it was shelved, kg) still to come."""
        lot.mornings = len(mornings)
        lot.crop = mornings
        coming = self._coming
        for morning, _ in mornings:
            day = lot.shelved + morning
            others = coming.get(day)
            if others is None:
                coming[day] = [lot]
            else:
                others.append(lot)

    def expected_end(self, lot: Lot) -> float:
        """When the last of the flush should be ripe [h]."""
        return (lot.shelved + (lot.crop[-1][0] if lot.crop else 0)) * DAY

    def flush_over(self, lot: Lot) -> Wait | None:
        """The moment at which the last of the lot's flush is picked; None when there is nothing to pick."""
        if not lot.mornings and not lot.ripe:
            return None
        lot.flush_over = Wait()
        return lot.flush_over

    def dawn(self) -> None:
        """A new morning: what ripens today can be picked from now on."""
        today = self.today
        for lot in self._coming.pop(today, []):
            crop, ripe = lot.crop, lot.ripe
            _, kg = crop[len(crop) - lot.mornings]
            lot.mornings -= 1
            lot.look = 1.0
            ripe.append((today, kg))
            if len(ripe) == 1 and not lot.in_round:
                self.put_back(lot)

    def put_back(self, lot: Lot) -> None:
        """The lot has something ripe on it. Ripest first: since the earliest morning, then started earlier, then by key."""
        lot.in_round = False
        lot.ripe_since, _ = lot.ripe[0]
        bed = lot.bed or self._give_bed(lot)
        if not bed.lots:
            self.beds.append(bed)
        bed.add(lot)

    def _give_bed(self, lot: Lot) -> Bed:
        """The bed of a lot that stands in its room."""
        where = lot.room, lot.strain
        if where not in self._beds:
            self._beds[where] = Bed(lot.room, lot.strain)
        bed = lot.bed = self._beds[where]
        return bed

    def take_out(self, bed: Bed, enough: float, most: float) -> tuple[float, list[Lot]]:
        """Take lots of a bed out into somebody's round, the ripest first, each with its share: hours of work, and the lots.

        enough: a round that has this many hours takes no further lot [h]
        most: how long a round may be; of the last lot only a part may be taken [h]
        """
        grading, today, lots = self.grading[bed.strain], self.today, bed.lots
        hours, count = 0.0, 0
        for lot in lots:
            if hours >= enough:
                break
            lot.in_round = True
            needed = grading.hours(lot, today)
            lot.share = (most - hours) / needed if needed > most - hours else 1.0
            hours += needed * lot.share
            count += 1
        taken = lots[:count]
        del lots[:count]
        if not lots:
            self.beds.remove(bed)
        return hours, taken

    def hand_back(self, lot: Lot) -> None:
        """The round is over: the lot has more to pick, or its flush may be over."""
        if lot.ripe:
            self.put_back(lot)
            return
        lot.in_round = False
        if not lot.mornings and lot.flush_over is not None:
            over, lot.flush_over = lot.flush_over, None
            self._desk.happen(over)


def _stretched(mornings: Mornings, days: float) -> Mornings:
    """The same kg on mornings that come sooner or later, none on the day of shelving."""
    found: dict[int, float] = {}
    for morning, kg in mornings:
        later = max(1, round(morning * days))
        found[later] = found.get(later, 0.0) + kg
    return sorted(found.items())
