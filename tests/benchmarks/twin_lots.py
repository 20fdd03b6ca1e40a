"""The twin's lots and loads, and which of them a line starts in a week."""

from __future__ import annotations

from datetime import timedelta
from typing import NamedTuple

import simpy

from farmsim.model.fate import Fates
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import Start
from farmsim.scenario.strain import Strain
from farmsim.scenario.values import DAYS

from .twin_floor import Party


class Slot(NamedTuple):
    """One lot of a line's week: its position, its day, its blocks, and the load it is made in."""

    position: int
    weekday: int
    blocks: int
    load: int


def lots_of_week(line: Start, lot: int, load: int | None) -> list[Slot]:
    """Whole blocks spread over the days, the first days taking the rest; a load is filled up before the next."""
    days = [day for day, name in enumerate(DAYS) if name in line.days]
    total = round(line.blocks)
    slots: list[Slot] = []
    ordinal = -1
    for index, day in enumerate(days):
        blocks = total // len(days) + (index < total % len(days))
        room = 0
        while blocks > 0:
            size = min(lot, blocks)
            if size > room:
                ordinal, room = ordinal + 1, blocks if load is None else load
            slots.append(Slot(len(slots), day, size, ordinal))
            room, blocks = room - size, blocks - size
    return slots


class Load(Party):
    """Lots of one strain that are steamed together."""

    def __init__(self, farm: Farm, line: Start, week: int, ordinal: int, now: float) -> None:
        monday = farm.farm.start + timedelta(weeks=week)
        super().__init__(f"{line.name}/{monday}/L{ordinal:02d}", now, stage=1)


class Lot(Party):
    """Blocks on one cart, with the luck that befalls them."""

    def __init__(self, farm: Farm, line: Start, slot: Slot, fates: Fates, week: int, now: float) -> None:
        monday = farm.farm.start + timedelta(weeks=week)
        super().__init__(f"{line.name}/{monday}/{slot.position:02d}", now)
        self.strain_name = line.strain
        self.strain: Strain = farm.strain[line.strain]
        self.fates, self.row = fates, fates.row(week, slot.position)
        self.blocks = self.top = slot.blocks
        self.bad: list[tuple[float, int]] = []
        self.ripe_at = float("inf")
        self.cold_since = 0.0
        self.is_overripe = self.gone = False
        self.overripe = 0.0
        self.vigour = 1.0
        self.room = -1
        self.to_come = 0
        self.ripe: list[tuple[int, float]] = []
        self.look = 0.0
        self.picked_clean: simpy.Event | None = None

    def begin_to_grow(self, now: float) -> None:
        fate = self.fates.of(self.row)
        self.ripe_at = now + fate.until_ripe
        self.bad = [(now + shows, block) for shows, block in fate.bad]

    def found(self, when: float) -> int:
        """Bad blocks that can be seen by now, taken off the list."""
        seen = [bad for bad in self.bad if bad[0] <= when]
        self.bad = [bad for bad in self.bad if bad[0] > when]
        return len(seen)

    def part_with(self, blocks: int) -> None:
        """`blocks` are sold from the far end of the lot; blocks thrown out before are not there any more."""
        hidden = {block for _, block in self.bad}
        while blocks and self.top:
            self.top -= 1
            if self.top in hidden or self.fates.is_good(self.row, self.top):
                blocks -= 1
        self.bad = [bad for bad in self.bad if bad[1] < self.top]

    @property
    def age(self) -> tuple[int, float, str]:
        """Ripest first: ripe since the earliest morning, started earlier, by key."""
        return (self.ripe[0][0], self.started, self.key)
