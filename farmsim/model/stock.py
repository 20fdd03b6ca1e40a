"""Stock with dates: what dies first leaves first.

A `Stock` holds parcels of one kind (one strain and grade in the farm's cooler; any goods in a published case). It
knows nothing of the clock: whoever asks says what time it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, final

from farmsim.model.calendar import FOREVER

LEAST: Final = 1e-9  # kg: less than this is rounding
Key = str | tuple[float | str, ...]


@final
class Parcel:
    """Goods of one kind with one date.

    key: breaks ties between parcels of one date, such as the lot's key; keys of one stock can be compared
    kg: how much is left of it [kg; any unit in a published case]
    picked: when its clock began [h]
    dies: the first moment at which it may no longer be sold [h]
    since, life: from when on warm hours count, and how long it could be kept then [h]; None: a fresh one of its strain
    kept: how much of it is packed, or being packed, for an order: nobody else gets it [kg]
    in_stock: whether any of it is still there
    number: by which its crates are found
    """

    __slots__ = ("dies", "grade", "in_stock", "kept", "key", "kg", "life", "number", "picked", "since", "strain")

    def __init__(
        self, key: Key, kg: float, picked: float = 0.0, dies: float = FOREVER, strain: str = "", grade: int = 0
    ) -> None:
        if not kg >= 0.0:
            raise ValueError(f"parcel {key}: {kg} kg; a parcel holds 0 kg or more")
        self.key = key
        self.kg = kg
        self.picked = picked
        self.dies = dies
        self.strain = strain
        self.grade = grade
        self.since = picked
        self.life: float | None = None
        self.kept = 0.0
        self.in_stock = False
        self.number = 0

    def __repr__(self) -> str:
        return f"<Parcel {self.key}: {self.kg:g} kg until {self.dies:g} h>"


@final
class Stock:
    """Parcels of one kind in the order of their dates, first expired first out.

    keeps: whether some of it may be kept for an order: then what is less than rounding is never taken by itself
    """

    __slots__ = ("_keeps", "_parcels")

    def __init__(self, keeps: bool = False) -> None:
        self._parcels: list[Parcel] = []
        self._keeps = keeps

    def __len__(self) -> int:
        return len(self._parcels)

    def __iter__(self) -> Iterator[Parcel]:
        return iter(self._parcels)

    @property
    def level(self) -> float:
        """How much there is, whatever its date [kg]."""
        level = 0.0
        for parcel in self._parcels:
            level += parcel.kg
        return level

    @property
    def first(self) -> Parcel | None:
        """The parcel that leaves next."""
        return self._parcels[0] if self._parcels else None

    @property
    def free(self) -> float:
        """How much there is that is kept for nobody [kg]."""
        free = 0.0
        for parcel in self._parcels:
            free += parcel.kg - parcel.kept
        return free

    def add(self, parcel: Parcel) -> None:
        """Put a parcel in the place its date gives it."""
        parcels = self._parcels
        first, end = 0, len(parcels)
        while first < end:
            middle = (first + end) // 2
            if _dies_before(parcel, parcels[middle]):
                end = middle
            else:
                first = middle + 1
        parcels.insert(first, parcel)
        parcel.in_stock = True

    def take(self, amount: float) -> list[tuple[Parcel, float]]:
        """Take `amount`, or all there is: (parcel, how much of it) with the earliest date first [kg].

        A parcel taken whole leaves the stock and keeps its `kg`; of the last one a part may stay, and what is kept for
        an order stays in any case. Call `past` before, so that nothing is sold past its date.
        """
        taken: list[tuple[Parcel, float]] = []
        whole = 0
        if self._keeps:
            return self._take_free(amount)
        for parcel in self._parcels:
            if amount <= 0.0:
                break
            if parcel.kg > amount:
                parcel.kg -= amount
                taken.append((parcel, amount))
                break
            amount -= parcel.kg
            taken.append((parcel, parcel.kg))
            parcel.in_stock = False
            whole += 1
        del self._parcels[:whole]
        return taken

    def keep(self, parcel: Parcel, kg: float) -> None:
        """Keep so much of a parcel for an order; less than 0: no longer [kg]."""
        self._keeps = True
        parcel.kept = max(0.0, parcel.kept + kg)

    def _take_free(self, amount: float) -> list[tuple[Parcel, float]]:
        """The same past what is kept for orders."""
        taken: list[tuple[Parcel, float]] = []
        for parcel in list(self._parcels):
            part = min(parcel.kg - parcel.kept, amount)
            if part > LEAST:
                self.take_of(parcel, part)
                taken.append((parcel, part))
                amount -= part
        return taken

    def take_of(self, parcel: Parcel, part: float) -> None:
        """Take a part of one parcel, or all of it: it then leaves the stock and keeps its `kg`."""
        if part < parcel.kg - LEAST:
            parcel.kg -= part
        else:
            self._parcels.remove(parcel)
            parcel.in_stock = False

    def past(self, now: float) -> list[Parcel]:
        """Take out and return every parcel whose date has come."""
        parcels, count = self._parcels, 0
        while count < len(parcels) and parcels[count].dies <= now:
            parcels[count].in_stock = False
            count += 1
        gone = parcels[:count]
        del parcels[:count]
        return gone

    def redate(self, parcel: Parcel, dies: float) -> None:
        """Give a parcel in stock another date, as when it has stood warm [h]."""
        self._parcels.remove(parcel)
        parcel.dies = dies
        self.add(parcel)


def _dies_before(parcel: Parcel, other: Parcel) -> bool:
    """Whether a parcel leaves before another: an earlier date, then by key."""
    if parcel.dies != other.dies:
        return parcel.dies < other.dies
    return parcel.key < other.key  # type: ignore[operator]  # keys of one stock can be compared
