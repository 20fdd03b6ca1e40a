"""Stock with dates: what dies first leaves first.

A `Stock` holds parcels of one kind (one strain and grade in the farm's cooler; any goods in a published case). It
knows nothing of the clock: whoever asks says what time it is.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator
from operator import attrgetter

FOREVER = float("inf")
LEAST = 1e-9  # kg: less than this is rounding
BY_DATE = attrgetter("dies", "key")
Key = str | tuple[float | str, ...]


class Parcel:
    """Goods of one kind with one date.

    key: breaks ties between parcels of one date, such as the lot's key; keys of one stock can be compared
    kg: how much is left of it [kg; any unit in a published case]
    picked: when its clock began [h]
    dies: the first moment at which it may no longer be sold [h]
    since, life: from when on warm hours count, and how long it could be kept then [h]; None: a fresh one of its strain
    kept: how much of it is packed, or being packed, for an order: nobody else gets it [kg]
    """

    __slots__ = ("dies", "grade", "kept", "key", "kg", "life", "picked", "since", "strain")

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

    def __repr__(self) -> str:
        return f"<Parcel {self.key}: {self.kg:g} kg until {self.dies:g} h>"


class Stock:
    """Parcels of one kind in the order of their dates, first expired first out."""

    __slots__ = ("_keeps", "_parcels")

    def __init__(self) -> None:
        self._parcels: list[Parcel] = []
        self._keeps = False  # whether anything was ever kept for an order

    def __len__(self) -> int:
        return len(self._parcels)

    def __iter__(self) -> Iterator[Parcel]:
        return iter(self._parcels)

    @property
    def level(self) -> float:
        """How much there is, whatever its date [kg]."""
        return sum(parcel.kg for parcel in self._parcels)

    @property
    def first(self) -> Parcel | None:
        """The parcel that leaves next."""
        return self._parcels[0] if self._parcels else None

    @property
    def free(self) -> float:
        """How much there is that is kept for nobody [kg]."""
        return sum(parcel.kg - parcel.kept for parcel in self._parcels)

    def holds(self, parcel: Parcel) -> bool:
        """Whether any of the parcel is still in stock."""
        at = bisect_left(self._parcels, BY_DATE(parcel), key=BY_DATE)
        return at < len(self._parcels) and self._parcels[at] is parcel

    def add(self, parcel: Parcel) -> None:
        """Put a parcel in the place its date gives it."""
        insort(self._parcels, parcel, key=BY_DATE)

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

    def past(self, now: float) -> list[Parcel]:
        """Take out and return every parcel whose date has come."""
        if not self._parcels or self._parcels[0].dies > now:
            return []
        count = bisect_right(self._parcels, now, key=attrgetter("dies"))
        gone = self._parcels[:count]
        del self._parcels[:count]
        return gone

    def redate(self, parcel: Parcel, dies: float) -> None:
        """Give a parcel in stock another date, as when it has stood warm [h]."""
        self._parcels.remove(parcel)
        parcel.dies = dies
        self.add(parcel)
