"""The twin's cooler, stock and sales: what dies first leaves first."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable
from functools import partial
from math import log
from typing import TYPE_CHECKING

from farmsim.model.luck import draw
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.values import DAYS
from farmsim.scenario.vary import MeanCv

from .twin_floor import Party
from .twin_hours import ticks

if TYPE_CHECKING:
    from .twin import Twin
    from .twin_harvest import Picked

DAY, WEEK = 24.0, 168.0
FRESH = 9
FIRSTS, SECONDS = 0, 1
LEAST_KG = 1e-9


class Crates(Party):
    """A parcel of one strain and grade, packed at one moment."""

    def __init__(self, picked: Picked, grade: int, kg: float, now: float, dies: float) -> None:
        super().__init__(f"{picked.strain} {grade} {now:014.6f} {kg:.9f}", picked.when, FRESH)
        self.strain, self.grade, self.kg, self.picked, self.dies = picked.strain, grade, kg, picked.when, dies
        self.gone = False

    @property
    def date(self) -> tuple[float, float, str]:
        return (self.dies, self.picked, self.key)


class Sales:
    """Stock by strain and grade, orders for mushrooms and for blocks."""

    def __init__(self, twin: Twin) -> None:
        self.twin, self.farm = twin, twin.farm
        self.stock: dict[tuple[str, int], list[Crates]] = {(s, g): [] for s in self.farm.strain for g in (0, 1)}
        self.promised = dict.fromkeys(self.farm.strain, 0)
        self.due: list[tuple[tuple[float, ...], Callable[[], None]]] = []
        self.chilled_until = -float("inf")

    # --- the cooler -------------------------------------------------------------------------------------------------

    def put_by(self, picked: Picked, grade: int, kg: float) -> None:
        """Packed crates wait for room in the cooler; standing warm they die sooner."""
        strain = self.farm.strain[picked.strain]
        dies = ticks(picked.when + strain.shelf_life / max(1.0, strain.warm_costs))
        crates = Crates(picked, grade, kg, self.twin.env.now, dies)
        insort(self.stock[picked.strain, grade], crates, key=lambda each: each.date)
        places = max(1, round(kg / strain.crate * (self.twin.walk_in.uses.fresh or 0.0) * 1000))
        wish = self.twin.floor.ask(crates, ("cooler", [self.twin.cold], places))
        wish.callbacks.append(lambda _: self.come_in(crates))

    def come_in(self, crates: Crates) -> None:
        """In the cooler they are chilled in turn, so many kg an hour, and then cool along their curve."""
        if crates.gone:
            return
        strain, walk_in, now = self.farm.strain[crates.strain], self.twin.walk_in, self.twin.env.now
        assert walk_in.chills is not None
        self.chilled_until = ticks(max(now, self.chilled_until) + crates.kg / walk_in.chills)
        warm = self.chilled_until + walk_in.half_cooling / log(2.0) - crates.picked
        stock = self.stock[crates.strain, crates.grade]
        stock.remove(crates)
        always_warm = ticks(crates.picked + strain.shelf_life / max(1.0, strain.warm_costs))
        cooled = ticks(crates.picked + strain.shelf_life - (strain.warm_costs - 1.0) * warm)
        crates.dies = max(now, cooled, always_warm)
        insort(stock, crates, key=lambda each: each.date)

    def take(self, strain: str, grade: int, wanted: float, why: str) -> float:
        """Up to `wanted` out of the stock, what dies first first [kg]."""
        stock, taken = self.stock[strain, grade], 0.0
        while stock and wanted > 0.0:
            crates = stock[0]
            part = min(crates.kg, wanted)
            if crates.kg > wanted:
                if "cooler" in crates.holds:
                    places = int(crates.holds["cooler"][1] * part / crates.kg)
                    self.twin.floor.leave(crates, "cooler", part=places)
                elif crates.wish is not None:
                    asked = crates.wish.needs[0][2]
                    self.twin.floor.ask_less(crates, {"cooler": asked - int(asked * part / crates.kg)})
                crates.kg -= part
            else:
                self.clear(stock.pop(0))
            wanted, taken = wanted - part, taken + part
            self.twin.note(f"kg {why}", part)
        return taken

    def clear(self, crates: Crates) -> None:
        crates.gone = True
        self.twin.floor.leave(crates, "cooler")
        self.twin.floor.withdraw(crates)

    def throw_out(self) -> None:
        """What is past its date leaves the stock."""
        for stock in self.stock.values():
            while stock and stock[0].dies <= self.twin.env.now:
                self.twin.note("kg past date", stock[0].kg)
                self.clear(stock.pop(0))

    # --- orders -----------------------------------------------------------------------------------------------------

    def serve_all(self) -> None:
        """Serve what is due at this moment, in the house's order."""
        due, self.due = sorted(self.due, key=lambda line: line[0]), []
        for _, serve in due:
            serve()

    def week(self, week: int) -> None:
        """Set the week's rounds, and take note of orders for blocks whose notice falls in it."""
        for number, customer in enumerate(self.farm.customer):
            for weekday in range(7):
                if DAYS[weekday] in customer.days:
                    self.round(number, customer, week, weekday)
        for number, taker in enumerate(self.farm.block_customer):
            for day in range(week * 7, week * 7 + 70):
                due = ticks(day * DAY + taker.leave_by)
                if DAYS[day % 7] in taker.days and week * WEEK <= due - taker.notice < (week + 1) * WEEK:
                    orders = self.wanted_blocks(taker, day)
                    self.twin.at(ticks(due - taker.notice), partial(self.promise, number, taker, due, orders))

    def round(self, number: int, customer: Customer, week: int, weekday: int) -> None:
        due = ticks(week * WEEK + weekday * DAY + customer.leave_by)
        if customer.kind == "outlet":
            line = ((1.0, 0.0, float(number)), lambda: self.outlet(customer))
            self.twin.at(due, lambda: self.due.append(line))
            return
        orders = {}
        assert not isinstance(customer.takes, str)
        for strain, usual in customer.takes.items():
            u = self.twin.luck.uniforms("order", f"{customer.name}, {strain}", week, 7)
            orders[strain] = usual * float(draw(MeanCv(1.0, customer.varies), u)[weekday])
        self.twin.at(due, lambda: self.order_due(number, customer, orders))

    def order_due(self, number: int, customer: Customer, orders: dict[str, float], again: bool = False) -> None:
        size = -sum(orders.values()) if self.farm.rules.served_first == "largest first" else 0.0
        self.due.append(((0.0, size, float(number)), lambda: self.deliver(number, customer, orders, again)))

    def deliver(self, number: int, customer: Customer, orders: dict[str, float], again: bool) -> None:
        self.throw_out()
        short = {}
        for strain, wanted in orders.items():
            delivered = self.take(strain, FIRSTS, wanted, "sold")
            self.twin.note("kg promised", wanted)
            if wanted - delivered > LEAST_KG:
                short[strain] = wanted - delivered
        if short and customer.unfilled == "next day" and not again:
            self.twin.at(self.twin.env.now + DAY, lambda: self.order_due(number, customer, short, again=True))

    def outlet(self, customer: Customer) -> None:
        self.throw_out()
        soon = self.twin.env.now + (customer.takes_firsts_left or 0.0)
        for strain in self.farm.strain:
            self.take(strain, SECONDS, float("inf"), "to the outlet")
            old = sum(crates.kg for crates in self.stock[strain, FIRSTS] if crates.dies <= soon)
            if old > LEAST_KG and customer.takes_firsts_left:
                self.take(strain, FIRSTS, old, "to the outlet")

    # --- blocks ready to fruit --------------------------------------------------------------------------------------

    def wanted_blocks(self, customer: BlockCustomer, day: int) -> dict[str, int]:
        wanted = {}
        for strain, a_week in customer.takes.items():
            u = self.twin.luck.uniforms("block order", f"{customer.name}, {strain}", day // 7, 7)
            of_usual = float(draw(MeanCv(1.0, customer.varies), u)[day % 7])
            wanted[strain] = round(a_week / len(customer.days) * of_usual)
        return wanted

    def promise(self, number: int, customer: BlockCustomer, due: float, orders: dict[str, int]) -> None:
        for strain, wanted in orders.items():
            self.promised[strain] += wanted
        line = ((0.0, float(number), due), lambda: self.hand_out(number, customer, due, orders))
        self.twin.at(due, lambda: self.due.append(line))

    def hand_out(self, number: int, customer: BlockCustomer, due: float, orders: dict[str, int]) -> None:
        """Ripe blocks go to the customer, ripe longest first, those called to a room already last."""
        short = {}
        for strain, wanted in orders.items():
            self.promised[strain] -= wanted
            lots = [lot for lot in self.twin.ripe[strain] if not lot.is_overripe]
            missing = wanted
            for lot in sorted(lots, key=lambda each: ("booked" in each.holds, each.ripe_at, each.key)):
                part = min(lot.blocks, missing)
                if part:
                    lot.part_with(part)
                    self.twin.lose(lot, "sold", part)
                missing -= part
            self.twin.note("blocks promised", wanted)
            if missing:
                short[strain] = missing
        if short and customer.unfilled == "next day":
            self.promise(number, customer, ticks(due + DAY), short)
        self.twin.floor.changed.update(self.twin.booked)
