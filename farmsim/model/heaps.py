"""Things that wait without a place of their own: lots on the racks, until called or sold; picked mushrooms, until packed."""

from __future__ import annotations

from typing import final

from farmsim.model.calendar import NEVER
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


@final
class Racked:
    """Lots on the racks, those started earlier first, as they are looked over."""

    def __init__(self) -> None:
        self._lots: list[Lot] = []  # those that have left meanwhile among them

    def add(self, lot: Lot) -> None:
        """The lot has come to the racks."""
        lots = self._lots
        first, end = 0, len(lots)
        while first < end:
            middle = (first + end) // 2
            other = lots[middle]
            if lot.started < other.started or (lot.started == other.started and lot.key < other.key):
                end = middle
            else:
                first = middle + 1
        lots.insert(first, lot)

    def there(self) -> list[Lot]:
        """The lots that are still there."""
        self._lots = [lot for lot in self._lots if "rack" in lot.stays]
        return self._lots


@final
class Picked:
    """What one picking round brought, or what is left of it."""

    __slots__ = ("firsts", "picked", "seconds", "strain")

    def __init__(self, strain: str, picked: float, firsts: float, seconds: float) -> None:
        self.strain = strain
        self.picked = picked  # [h]
        self.firsts = firsts  # [kg]
        self.seconds = seconds  # [kg]

    def told(self) -> tuple[str, float, float, float]:
        """Strain, when it was picked, firsts and seconds."""
        return (self.strain, self.picked, self.firsts, self.seconds)


@final
class Unpacked:
    """Picked mushrooms that wait to be packed, in the order in which they were picked."""

    def __init__(self) -> None:
        self.waiting: list[Picked] = []
        self.in_hand: list[Picked] = []  # somebody is packing it

    def add(self, picked: Picked) -> None:
        """A round has come in. Rounds of one instant are kept in the order of their strains, whoever came first."""
        waiting = self.waiting
        at = len(waiting)
        while at and waiting[at - 1].picked == picked.picked and waiting[at - 1].told() > picked.told():
            at -= 1
        waiting.insert(at, picked)

    def take(self, strain: str, pace: float, hours: float) -> tuple[Picked, float]:
        """What waits of a strain, picked first goes first, as much as can be packed in `hours`; and how long it takes [h].

        pace: how much is packed in an hour [kg/h]
        """
        taken, needed = Picked(strain, NEVER, 0.0, 0.0), 0.0
        waiting, at = self.waiting, 0
        while at < len(waiting) and needed < hours:
            picked = waiting[at]
            if picked.strain != strain:
                at += 1
                continue
            takes, share = (picked.firsts + picked.seconds) / pace, 1.0
            if takes > hours - needed:
                share, takes = (hours - needed) / takes, hours - needed
            needed += takes
            if picked.picked < taken.picked:
                taken.picked = picked.picked
            taken.firsts += picked.firsts * share
            taken.seconds += picked.seconds * share
            if share < 1.0:
                picked.firsts *= 1.0 - share
                picked.seconds *= 1.0 - share
            else:
                del waiting[at]
        return taken, needed
