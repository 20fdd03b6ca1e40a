"""A shop in front of dated stock: orders, stocking up, what is past its date. For a published stock case.

    shop = Shop("milk", every=24.0, first=12.0, amount=Poisson(5.0), up_to=8.0, each=24.0, life=48.0)
    seen = trade(shop, seed=1, hours=24.0 * 1_000)
    seen.wasted.amount.sum() / 1_000

The stock is the farm's own `Stock`, first expired first out, on the farm's `Desk`. The name of the shop is part of its
luck. In the morning: what is past its date goes out, then the stock is filled up; orders come after that.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Generator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from simpy.events import Event

from farmsim.model.calendar import FOREVER, ticks
from farmsim.model.desk import Desk
from farmsim.model.luck import Luck, Spread, Stream
from farmsim.model.stock import Parcel, Stock
from farmsim.model.total import total
from farmsim.scenario.vary import Fixed


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has and how it is asked.

    every: hours from one order to the next [h];  first: when the first comes; None: after the first such time [h]
    amount: how much an order is for [units]
    up_to: stock, goods on the way and orders that wait are brought up to this together [units]
    each: hours between stocking up; None: at once after every order [h]
    lead: hours until what was bought arrives [h]
    life: hours after arrival for which it can be sold [h]
    unfilled: what is missing of an order is "lost", or "waits" for goods
    """

    name: str
    every: Spread | float
    amount: Spread | float
    up_to: float
    each: float | None = None
    first: float | None = None
    lead: Spread | float = 0.0
    life: float = FOREVER
    unfilled: Literal["lost", "waits"] = "lost"


@dataclass(frozen=True, slots=True)
class Moves:
    """Goods that moved: when [h] and how much [units]."""

    when: NDArray[np.float64]
    amount: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Orders:
    """One row an order: when it came [h], for how much, how much it got at once [units], when it was whole [h]."""

    came: NDArray[np.float64]
    amount: NDArray[np.float64]
    at_once: NDArray[np.float64]
    whole: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Traded:
    """What was seen: every order, what arrived, what was thrown out, and the stock at the end [units]."""

    orders: Orders
    arrived: Moves
    wasted: Moves
    left: float


def trade(shop: Shop, seed: int, number: int = 0, *, hours: float) -> Traded:
    """Run a shop from empty shelves until an hour [h]."""
    counter = _Counter(shop, Luck(seed, number))
    counter.desk.run(until=ticks(hours))
    return counter.seen()


class _Counter:
    """One run of a shop."""

    def __init__(self, shop: Shop, luck: Luck) -> None:
        self.shop, self.desk, self.stock = shop, Desk(), Stock()
        self._gaps = _row(luck, shop.every, "hours between orders", shop.name)
        self._amounts = _row(luck, shop.amount, "amount ordered", shop.name)
        self._leads = _row(luck, shop.lead, "hours on the way", shop.name)
        self._on_the_way = 0.0
        self._bought = 0
        self._orders: list[list[float]] = []
        self._waiting: deque[tuple[int, float]] = deque()
        self._arrived: list[tuple[float, float]] = []
        self._wasted: list[tuple[float, float]] = []
        self.desk.process(self._mornings())
        self.desk.process(self._customers())

    def _mornings(self) -> Generator[Event, None, None]:
        self._stock_up()
        while self.shop.each is not None:
            yield self.desk.timeout(ticks(self.shop.each))
            self._throw_out()
            self._stock_up()

    def _customers(self) -> Generator[Event, None, None]:
        while True:
            number = len(self._orders)
            known = number == 0 and self.shop.first is not None
            yield self.desk.timeout(ticks(self.shop.first or 0.0 if known else self._gaps[number]))
            self._throw_out()
            self._order(self._amounts[number])
            if self.shop.each is None:
                self._stock_up()

    def _order(self, amount: float) -> None:
        now = self.desk.now
        got = total([part for _, part in self.stock.take(amount)])
        self._orders.append([now, amount, got, now if got >= amount else float("nan")])
        if got < amount and self.shop.unfilled == "waits":
            self._waiting.append((len(self._orders) - 1, amount - got))

    def _throw_out(self) -> None:
        for parcel in self.stock.past(self.desk.now):
            self._wasted.append((self.desk.now, parcel.kg))

    def _stock_up(self) -> None:
        """Buy what is missing; stock that waits for nobody, goods on the way and waiting orders count."""
        owed = total([missing for _, missing in self._waiting])
        amount = self.shop.up_to - (self.stock.level + self._on_the_way - owed)
        if amount <= 0.0:
            return
        lead = ticks(self._leads[self._bought])
        self._bought += 1
        self._on_the_way += amount
        if lead <= 0.0:
            self._arrive(amount)
        else:
            self.desk.at(self.desk.now + lead, lambda: self._arrive(amount))

    def _arrive(self, amount: float) -> None:
        now = self.desk.now
        self._on_the_way -= amount
        self._arrived.append((now, amount))
        self.stock.add(Parcel(f"{len(self._arrived):08d}", amount, picked=now, dies=now + self.shop.life))
        while self._waiting and len(self.stock):
            order, missing = self._waiting.popleft()
            missing -= total([part for _, part in self.stock.take(missing)])
            if missing > 0.0:
                self._waiting.appendleft((order, missing))
            else:
                self._orders[order][3] = now

    def seen(self) -> Traded:
        """What was seen until now."""
        orders = np.array(self._orders, dtype=np.float64).reshape(-1, 4).T
        moves = [np.array(rows, dtype=np.float64).reshape(-1, 2).T for rows in (self._arrived, self._wasted)]
        return Traded(Orders(*orders), Moves(*moves[0]), Moves(*moves[1]), self.stock.level)


def _row(luck: Luck, figure: Spread | float, cause: str, name: str) -> Stream:
    return luck.stream(Fixed(float(figure)) if isinstance(figure, int | float) else figure, cause, name)
