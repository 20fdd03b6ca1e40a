"""Orders that are packed in a form of their own: what of each is packed, and out of which crates.

What is packed for an order stays in its crates' places and keeps their date, but nobody else gets it. When the order has
left, or is no more, what is left of it is free again.
"""

from __future__ import annotations

from collections.abc import Iterator
from operator import attrgetter
from typing import Final, NamedTuple

from farmsim.model.stock import Parcel, Stock
from farmsim.model.total import total

LEAST: Final = 1e-9  # kg: less than this is rounding
Key = tuple[int, float, bool, str]
"""Customer's number, the hour it is due, whether it was carried over, strain."""


class Part(NamedTuple):
    """So much out of one parcel [kg]."""

    parcel: Parcel
    kg: float


class ToPack:
    """One strain of one order that is packed to order."""

    __slots__ = ("form", "key", "leaves", "on_table", "parts", "since", "turn", "wanted")

    def __init__(
        self, key: Key, form: str, wanted: float, leaves: float, since: float, turn: tuple[float, ...]
    ) -> None:
        self.key = key
        self.form = form
        self.wanted = wanted  # [kg]
        self.leaves = leaves  # when it leaves [h]
        self.since = since  # when it was known [h]
        self.turn = turn  # what leaves first is packed first, then in the house's order
        self.parts: list[Part] = []  # packed
        self.on_table: list[Part] = []  # being packed

    @property
    def packed(self) -> float:
        """How much is packed [kg]."""
        return total([part.kg for part in self.parts])

    @property
    def being_packed(self) -> float:
        """How much is on the table [kg]."""
        return total([part.kg for part in self.on_table])

    @property
    def lacking(self) -> float:
        """How much nobody has packed yet, nor is packing [kg]."""
        return self.wanted - self.packed - self.being_packed


class PackingList:
    """Everything that is to be packed to order, and known by now."""

    def __init__(self, stock: dict[tuple[str, int], Stock]) -> None:
        self.known: dict[Key, ToPack] = {}
        self.open: list[ToPack] = []  # in turn; those of which something is lacking
        self.owed: list[tuple[float, str, float]] = []  # orders in any form: when they leave, strain, kg
        self._stock = stock

    def add(self, order: ToPack) -> None:
        """An order is known from now on."""
        self.known[order.key] = order
        self.look_at(order)

    def look_at(self, order: ToPack) -> None:
        """See whether there is something to pack for it."""
        if order in self.open:
            self.open.remove(order)
        if order.lacking > LEAST and order.key in self.known:
            self.open.append(order)
            self.open.sort(key=attrgetter("turn"))

    def of_strain(self, order: ToPack) -> Stock:
        """The firsts an order is packed from."""
        return self._stock[order.key[3], 0]

    def set_aside(self, order: ToPack, kg: float, now: float) -> list[Part]:
        """Take up to `kg` on the table, the earliest date first, of what keeps until it leaves."""
        stock = self.of_strain(order)
        sooner = total(
            [owed for when, strain, owed in self.owed if strain == order.key[3] and now < when < order.leaves]
        )
        kg = min(kg, stock.free - sooner)
        parts = []
        for parcel in list(stock):
            part = min(parcel.kg - parcel.kept, kg)
            if part > LEAST and parcel.dies > order.leaves:
                stock.keep(parcel, part)
                parts.append(Part(parcel, part))
                kg -= part
        order.on_table += parts
        self.look_at(order)
        return parts

    def put_by(self, order: ToPack, parts: list[Part]) -> float:
        """A round of packing is over; returns how much was packed [kg]. If the order is gone, all of it is free again."""
        mine = {id(part) for part in parts}  # two people may have equal parts of one parcel in hand
        done = [part for part in order.on_table if id(part) in mine]
        order.on_table = [part for part in order.on_table if id(part) not in mine]
        if self.known.get(order.key) is order:
            order.parts += done
        else:
            self._free(order, done)
        return total([part.kg for part in done])

    def forget(self, order: ToPack) -> None:
        """It has left, or is no order any more: what is packed for it and still there is free again."""
        del self.known[order.key]
        self._free(order, order.parts)
        order.parts = []
        self.look_at(order)

    def carry(self, order: ToPack, due: float, leaves: float, wanted: float) -> None:
        """What is missing is carried over; what is packed, or on the table, goes with that."""
        self.known.pop(order.key, None)
        number, _, _, strain = order.key
        order.key, order.leaves, order.wanted = (number, due, True, strain), leaves, wanted
        order.turn = (leaves, *order.turn[1:])
        self.add(order)

    def _free(self, order: ToPack, parts: list[Part]) -> None:
        stock = self.of_strain(order)
        for parcel, kg in parts:
            stock.keep(parcel, -kg)

    def lost(self, parcel: Parcel) -> None:
        """A parcel is past its date: what was packed of it is gone."""
        for order in list(self.known.values()):
            if any(part.parcel is parcel for part in (*order.parts, *order.on_table)):
                order.parts = [part for part in order.parts if part.parcel is not parcel]
                order.on_table = [part for part in order.on_table if part.parcel is not parcel]
                self.look_at(order)

    def hand_out(self, order: ToPack, kg: float) -> Iterator[Part]:
        """Up to `kg` of what is packed, as it is taken out of the stock."""
        stock = self.of_strain(order)
        left = []
        for parcel, packed in order.parts:
            part = min(packed, kg)
            if part > 0.0:
                stock.keep(parcel, -part)
                stock.take_of(parcel, part)
                yield Part(parcel, part)
                kg -= part
            if packed - part > LEAST:
                left.append(Part(parcel, packed - part))
        order.parts = left
