"""Things that wait without a place of their own: lots on the racks, until called or sold; picked mushrooms, until packed."""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

from farmsim.model.lot import Lot
from farmsim.model.places import Places


class Ripe:
    """Ripe lots by strain, from ripeness until their cold shock (or opening) begins; and those that are still to ripen."""

    def __init__(self, strains: list[str], places: Places) -> None:
        self.lots: dict[str, list[Lot]] = {strain: [] for strain in strains}
        self.unripe: dict[str, dict[Lot, None]] = {strain: {} for strain in strains}
        self.changes = dict.fromkeys(strains, 0)  # how often a strain's blocks, or those promised, have changed
        self._free: dict[str, tuple[int, int]] = {}
        self._places = places

    def expect(self, lot: Lot) -> None:
        """The lot stands on the rack and is still to ripen."""
        self.unripe[lot.strain][lot] = None

    def add(self, lot: Lot) -> None:
        """The lot is ripe."""
        self.unripe[lot.strain].pop(lot, None)
        self.lots[lot.strain].append(lot)
        self.count_again(lot.strain)

    def remove(self, lot: Lot) -> None:
        """The lot goes to be fruited, was sold whole, or is lost."""
        self.lots[lot.strain].remove(lot)
        self.count_again(lot.strain)

    def forget(self, lot: Lot) -> None:
        """The lot is no more, ripe or not."""
        if self.unripe[lot.strain].pop(lot, self) is None:
            self.count_again(lot.strain)
        elif lot in self.lots[lot.strain]:
            self.remove(lot)

    def count_again(self, strain: str) -> None:
        """The strain's ripe blocks, or those promised, are not what they were."""
        self._free.pop(strain, None)
        self.changes[strain] += 1
        self._places.look_again(strain)

    def oldest_first(self, strain: str) -> list[Lot]:
        """The strain's ripe lots, those not called to a room yet before the others, ripe longest first."""
        return sorted(self.lots[strain], key=lambda lot: ("booked" in lot.stays, lot.ripe_at, lot.key))

    def freshest_first(self, strain: str) -> list[Lot]:
        """The strain's ripe lots, those not called to a room yet before the others, ripe last first."""
        return sorted(self.lots[strain], key=lambda lot: ("booked" in lot.stays, -lot.ripe_at, lot.key))

    def free_blocks(self, strain: str, moves: int) -> int:
        """Ripe blocks that can still be sold and are not called to a room yet [blocks].

        moves: how often a lot has been called or has left so far; only then are the blocks counted again
        """
        counted = self._free.get(strain)
        if counted is None or counted[0] != moves:
            free = 0
            for lot in self.lots[strain]:
                if "booked" not in lot.stays and not lot.is_overripe:
                    free += lot.blocks
            counted = self._free[strain] = (moves, free)
        return counted[1]


class Picked(NamedTuple):
    """What one picking round brought."""

    strain: str
    picked: float  # [h]
    firsts: float  # [kg]
    seconds: float  # [kg]

    def part(self, share: float) -> Picked:
        """A share of it."""
        return self._replace(firsts=self.firsts * share, seconds=self.seconds * share)


class Unpacked:
    """Picked mushrooms that wait to be packed, in the order in which they were picked."""

    def __init__(self) -> None:
        self.waiting: deque[Picked] = deque()
        self.in_hand: list[Picked] = []  # somebody is packing it

    def add(self, picked: Picked) -> None:
        """A round has come in. Rounds of one instant are kept in the order of their strains, whoever came first."""
        behind: list[Picked] = []
        while self.waiting and self.waiting[-1] > picked and self.waiting[-1].picked == picked.picked:
            behind.append(self.waiting.pop())
        self.waiting.append(picked)
        self.waiting.extend(reversed(behind))

    def take(self, strain: str, pace: float, hours: float) -> tuple[Picked, float]:
        """What waits of a strain, picked first goes first, as much as can be packed in `hours`; and how long it takes [h].

        pace: how much is packed in an hour [kg/h]
        """
        since, firsts, seconds, needed = float("inf"), 0.0, 0.0, 0.0
        at = 0
        while at < len(self.waiting) and needed < hours:
            picked = self.waiting[at]
            if picked.strain != strain:
                at += 1
                continue
            del self.waiting[at]
            takes = (picked.firsts + picked.seconds) / pace
            if takes > hours - needed:
                share = (hours - needed) / takes
                self.waiting.insert(at, picked.part(1.0 - share))
                picked, takes = picked.part(share), hours - needed
            needed += takes
            since = min(since, picked.picked)
            firsts += picked.firsts
            seconds += picked.seconds
        return Picked(strain, since, firsts, seconds), needed
