"""The twin: a small farm written a second time, the usual plain-SimPy way, from the stated rules.

One process a lot, `yield env.timeout(...)` for every wait, an event for every wish, plain lists for queues, and its own
bookkeeping. Only luck is shared with the engine, so that both must come to the same totals, to the last gram. It does
what the farm in `farms/bench-small.toml` needs (pull, tanks, one walk-in), not all that a farm can have.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import Any

import simpy

from farmsim.model.fate import Fates
from farmsim.model.luck import Luck
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import Start

from .twin_care import Care, overripe_days
from .twin_floor import Crew, Floor, People
from .twin_harvest import Harvest
from .twin_hours import NEVER, Presence, shift, ticks
from .twin_lots import Load, Lot, lots_of_week
from .twin_sales import Sales

DAY, WEEK = 24.0, 168.0
BENCH, RACK, COLD, SOAK, OPEN, FRUIT, CLEAR = range(2, 9)
STORES, STORES_COLD = ("rack", "held"), ("held", "cold")


def run(farm: Farm, seed: int, weeks: int | None = None) -> dict[str, float]:
    """Run the farm once; totals of the measured weeks by name."""
    twin = Twin(farm, Luck(seed, 0), farm.farm.weeks if weeks is None else weeks)
    twin.run()
    return dict(twin.totals)


class Twin:
    """The farm."""

    def __init__(self, farm: Farm, luck: Luck, weeks: int) -> None:
        assert farm.farm.lead_in is not None
        self.farm, self.luck = farm, luck
        self.begin, self.end = -WEEK * farm.farm.lead_in, WEEK * weeks
        self.env = env = simpy.Environment(self.begin)
        self.totals: defaultdict[str, float] = defaultdict(float)
        self.floor, self.people = Floor(env), People(env, self.note)
        self.sales = Sales(self)
        self.lots: dict[str, Lot] = {}
        self.ripe: dict[str, list[Lot]] = {name: [] for name in farm.strain}
        self.harvest = Harvest(self)
        self.lay_out()
        self.care = Care(self)
        self.people.hire([Crew(crew.name, crew.duties, crew.fits) for crew in farm.crew])
        self.people.pools = {"pick": self.harvest.pick_round, "pack": self.harvest.pack_round}
        self.soakers = Presence(farm, "soak", self.begin, self.end)
        self.openers = Presence(farm, "open", self.begin, self.end)
        env.process(self.calendar())
        for crew in self.people.crews:
            env.process(self.rota(crew))

    def lay_out(self) -> None:
        farm, add = self.farm, self.floor.add
        assert farm.sterilizer and farm.clean_bench and farm.soak and farm.sterilizer.cooling_holds
        self.sterilizer = add("sterilizer", farm.sterilizer.count)
        self.cooling = add("cooling floor", farm.sterilizer.cooling_holds)
        self.benches = add("clean benches", farm.clean_bench.people)
        self.racks = add("racks", farm.incubation.holds)
        self.booked = [add(f"{room.name}, promised", room.holds) for room in farm.room]
        (self.walk_in,) = farm.walk_in.values()
        self.cold = add("walk-in", self.walk_in.holds)
        self.tanks = add("soak tanks", farm.soak.tanks)
        self.opening = add("opening benches", farm.opening.benches)
        self.shelves = [add(room.name, room.holds) for room in farm.room]
        self.rooms_for = {
            name: [n for n, room in enumerate(farm.room) if room.range.inside(strain.range)]
            for name, strain in farm.strain.items()
        }

    def note(self, what: str, amount: float) -> None:
        if self.env.now >= 0.0:
            self.totals[what] += amount

    # --- the clock -------------------------------------------------------------------------------------------------

    def run(self) -> None:
        """What happens; then places settle; then sales; then people are sent; only then the clock moves."""
        env = self.env
        while True:
            if env.peek() > env.now:
                if self.floor.changed:
                    self.floor.settle()
                    continue
                if self.sales.due:
                    self.sales.serve_all()
                    continue
                if self.people.dirty:
                    self.people.send()
                    continue
            if env.peek() >= self.end:
                return
            env.step()

    def until(self, when: float) -> simpy.Event:
        return self.env.timeout(max(0.0, when - self.env.now))

    def at(self, when: float, call: Callable[[], None]) -> None:
        self.until(when).callbacks.append(lambda _: call())

    def calendar(self) -> Any:
        """Every midnight: starts, the week's orders, what ripens, what is overripe, what is past its date."""
        fates = [(line, self.fates(line)) for line in self.farm.start]
        while True:
            day = int(self.env.now // DAY)
            for line, luck in fates:
                self.start(line, luck, day)
            if day % 7 == 0:
                self.sales.week(day // 7)
            self.harvest.dawn(day)
            self.care.inspect(day)
            self.care.look_after()
            self.sales.due.append(((-1.0,), self.sales.throw_out))
            self.care.close_rooms()
            self.people.dirty = True
            yield self.until((day + 1) * DAY)

    def rota(self, crew: Crew) -> Any:
        of = next(each for each in self.farm.crew if each.name == crew.name)
        for day in range(int(self.begin // DAY), int(self.end // DAY)):
            found = shift(of, day, self.luck)
            if found is not None:
                yield self.until(found.pieces[0][0])
                self.people.come(crew, found)
                for begin, _ in found.pieces[1:]:
                    yield self.until(begin)
                    self.people.dirty = True

    # --- making blocks ----------------------------------------------------------------------------------------------

    def fates(self, line: Start) -> tuple[list[Any], Fates]:
        sterilizer = self.farm.sterilizer
        load = round(sterilizer.load) if sterilizer and line.made == "here" else None
        slots = lots_of_week(line, round(self.farm.farm.lot), load)
        weeks = range(int(self.begin // WEEK), int(self.end // WEEK) + 1)
        strain, lot = self.farm.strain[line.strain], round(self.farm.farm.lot)
        return slots, Fates(self.luck, line, strain, slots, weeks, lot)  # type: ignore[arg-type]  # a slot of our own

    def start(self, line: Start, luck: tuple[list[Any], Fates], day: int) -> None:
        """Mix a day's loads, or wait for the delivery of bought blocks."""
        slots, fates = luck
        today = [slot for slot in slots if slot.weekday == day % 7]
        if line.made == "bought":
            self.env.process(self.delivery(line, today, fates, day))
            return
        for ordinal in dict.fromkeys(slot.load for slot in today):
            members = [slot for slot in today if slot.load == ordinal]
            lots = [self.lot(line, slot, fates, day // 7) for slot in members]
            self.env.process(self.load(Load(self.farm, line, day // 7, ordinal, self.env.now), lots))

    def lot(self, line: Start, slot: Any, fates: Fates, week: int) -> Lot:
        return Lot(self.farm, line, slot, fates, week, self.env.now)

    def delivery(self, line: Start, slots: list[Any], fates: Fates, day: int) -> Any:
        yield self.until(ticks(day * DAY + line.arrives))
        for slot in slots:
            lot = self.lot(line, slot, fates, day // 7)
            self.lots[lot.key] = lot
            self.env.process(self.life(lot, bought=True))

    def load(self, load: Load, lots: list[Lot]) -> Any:
        """Mix and bag, sterilizer, overnight cooling; then each lot goes to the clean bench."""
        farm, blocks = self.farm, sum(lot.blocks for lot in lots)
        assert farm.mix and farm.sterilizer
        yield self.people.work(load, "mix", blocks / farm.mix.pace)
        yield self.floor.ask(load, ("sterilizer", [self.sterilizer], 1000))
        yield self.env.timeout(ticks(farm.sterilizer.cycle))
        yield self.floor.ask(load, ("cooling", [self.cooling], blocks * 1000))
        self.floor.leave(load, "sterilizer")
        yield self.env.timeout(ticks(farm.sterilizer.cool))
        self.floor.leave(load, "cooling")
        for lot in lots:
            self.lots[lot.key] = lot
            self.floor.occupy(lot, "cooling", self.cooling, lot.blocks * 1000)
            self.env.process(self.life(lot, bought=False))

    # --- the life of a lot ------------------------------------------------------------------------------------------

    def life(self, lot: Lot, bought: bool) -> Any:
        lot.stage = BENCH
        if not bought:
            yield from self.inoculation(lot)
        yield self.floor.ask(lot, ("rack", [self.racks], lot.blocks * 1000))
        self.floor.leave(lot, "bench")
        self.note("blocks bought" if bought else "blocks made", lot.blocks)
        lot.begin_to_grow(self.env.now)
        yield self.until(lot.ripe_at)
        lot.stage = RACK
        self.ripe[lot.strain_name].append(lot)
        rooms = [self.booked[n] for n in self.rooms_for[lot.strain_name]]
        gate = self.gate_of_call(lot)
        yield self.floor.ask(lot, ("booked", rooms, lot.blocks * 1000), gate=gate, group=lot.strain_name)
        if not lot.gone:
            lot.room = self.booked.index(lot.holds["booked"][0])
            yield from self.to_the_shelf(lot)
        if not lot.gone:
            yield from self.flushes(lot)

    def inoculation(self, lot: Lot) -> Any:
        assert self.farm.clean_bench
        yield self.floor.ask(lot, ("bench", [self.benches], 1000))
        self.floor.leave(lot, "cooling")
        yield self.people.work(lot, "inoculate", lot.blocks / self.farm.clean_bench.pace)

    def gate_of_call(self, lot: Lot) -> Callable[[], float]:
        """Not while promised to block customers; on a day from which soak and opening fall on days with people."""

        def gate() -> float:
            ripe = [other for other in self.ripe[lot.strain_name] if "booked" not in other.holds]
            free = sum(other.blocks for other in ripe if not other.is_overripe)
            promised = self.sales.promised[lot.strain_name]
            held_back = self.farm.rules.ripe_blocks == "promised blocks first" and not lot.is_overripe
            if held_back and free - lot.blocks < promised:
                return NEVER
            return self.call_from(lot)

        return gate

    def call_from(self, lot: Lot) -> float:
        strain, now = lot.strain, self.env.now
        tomorrow, ahead = next_midnight(now), now
        if strain.cold_shock and "cold shock" in strain.steps:
            ahead += strain.cold_shock.usual
        if strain.soak and "soak" in strain.steps:
            filled = self.soak_from(lot, ahead)
            if filled >= next_midnight(ahead):
                return tomorrow
            ahead = self.soakers.next(filled + lot.blocks / strain.soak.load + strain.soak.least)
        return tomorrow if self.openers.next(ahead) >= next_midnight(ahead) else now

    def soak_from(self, lot: Lot, when: float) -> float:
        """The first moment from `when` on from which somebody is there again within the soak's most."""
        soak = lot.strain.soak
        assert soak is not None
        filling = lot.blocks / soak.load
        for _ in range(15):
            when = self.soakers.next(when)
            if when == NEVER:
                break
            morning = self.soakers.next(when + filling + soak.least)
            if morning - (when + filling) <= soak.most:
                return when
            when = morning - soak.most - filling
        return NEVER

    def leave_store(self, lot: Lot) -> None:
        """Out of the store: no longer for sale, and how overripe it is counts from here on."""
        if lot in self.ripe[lot.strain_name]:
            lot.overripe = overripe_days(lot, self.env.now)
            self.ripe[lot.strain_name].remove(lot)
        self.floor.leave(lot, *STORES)

    def to_the_shelf(self, lot: Lot) -> Any:
        if lot.strain.cold_shock:
            yield from self.cold_shock(lot)
        if lot.strain.soak and not lot.gone:
            yield from self.soak(lot)
        if lot.gone:
            return
        lot.stage = OPEN
        bench, shelf = ("opening", [self.opening], 1000), ("shelf", [self.shelves[lot.room]], lot.blocks * 1000)
        yield self.floor.ask(lot, bench, shelf)
        if lot.gone:
            return
        self.leave_store(lot)
        self.floor.leave(lot, "tank", "cold")
        cut, each = lot.strain.open, 1.0 / lot.strain.open.pace
        each += cut.strip * cut.strip_takes + cut.flip * cut.flip_takes
        yield self.people.work(lot, "open", lot.blocks * (each + (lot.strain.overripe.trim if lot.overripe else 0.0)))
        self.floor.leave(lot, "opening")
        lot.vigour *= max(0.0, 1.0 - lot.strain.overripe.loses * lot.overripe)
        self.lose(lot, "contaminated", lot.found(NEVER))
        self.note("blocks fruited", lot.blocks)

    def cold_shock(self, lot: Lot) -> Any:
        """In the walk-in for the usual time; less if it would end when nobody is there to soak."""
        lot.stage = COLD
        shock, soak = lot.strain.cold_shock, lot.strain.soak
        assert shock is not None and soak is not None
        if "held" in lot.holds:
            place, amount = lot.holds["held"]
            self.leave_store(lot)
            self.floor.occupy(lot, "cold", place, amount)
        else:
            yield self.floor.ask(lot, ("cold", [self.cold], self.crates_for(lot)))
            if lot.gone:
                return
            self.leave_store(lot)
        lot.cold_since = self.env.now
        usual = ticks(self.env.now + shock.usual)
        if self.soakers.next(usual) >= next_midnight(usual):
            earlier = ticks(self.soakers.last(usual, lot.blocks / soak.load))
            usual = earlier if earlier >= self.env.now + shock.least else usual
        yield self.until(usual)

    def crates_for(self, lot: Lot) -> int:
        return round(lot.blocks * (self.walk_in.uses.cold_shock or 0.0) * 1000)

    def soak(self, lot: Lot) -> Any:
        """Into a tank, over night under water, out in the morning."""
        lot.stage = SOAK
        soak, shock = lot.strain.soak, lot.strain.cold_shock
        assert soak is not None and shock is not None
        gate = lambda: ticks(self.soak_from(lot, self.env.now))  # noqa: E731
        yield self.floor.ask(lot, ("tank", [self.tanks], 1000), gate=gate, group=lot.strain_name)
        if "cold" in lot.holds:
            days = max(0.0, self.env.now - lot.cold_since - shock.most) / DAY
            lot.vigour *= max(0.0, 1.0 - shock.loses * days)
            self.floor.leave(lot, "cold")
        yield self.people.work(lot, "soak", lot.blocks / soak.load)
        filled = self.env.now
        yield self.until(self.soakers.next(ticks(filled + soak.least)))
        yield self.people.work(lot, "soak", lot.blocks / soak.unload)
        lot.vigour *= max(0.0, 1.0 - soak.loses * max(0.0, self.env.now - filled - soak.most))
        if "shelf" in lot.holds:
            self.floor.leave(lot, "tank")

    def flushes(self, lot: Lot) -> Any:
        """Fruit, rest, soak again; when the last flush is picked the block is spent and cleared away."""
        flushes = lot.strain.flushes
        for flush in range(len(flushes.share)):
            if flush:
                yield self.env.timeout(ticks(flushes.rest))
                lot.flush = flush
                if flushes.soak_again:
                    yield from self.soak(lot)
            lot.stage = FRUIT
            last = self.harvest.begin_flush(lot)
            if self.farm.rules.call_in == "when a shelf is promised" and flush + 1 == len(flushes.share):
                self.promise_shelf(lot, last)
            if last is not None:
                lot.picked_clean = self.env.event()
                yield lot.picked_clean
        lot.stage = CLEAR
        yield self.people.work(lot, "clear", lot.blocks / lot.strain.clear)
        self.note("blocks cleared", lot.blocks)
        self.floor.leave(lot, "shelf", "booked")
        del self.lots[lot.key]
        self.care.clean_if_empty(lot.room)

    def promise_shelf(self, lot: Lot, last: int | None) -> None:
        """The shelf is promised on so early that the next lot is ready for it when this one should be picked."""
        cold, soak = lot.strain.cold_shock, lot.strain.soak
        ahead = (cold.usual if cold else 0.0) + (soak.most if soak else 0.0)
        picked = (self.env.now // DAY + (last or 0)) * DAY
        self.at(ticks(picked - ahead), lambda: self.floor.leave(lot, "booked"))

    # --- blocks lost or sold ----------------------------------------------------------------------------------------

    def lose(self, lot: Lot, why: str, blocks: int) -> None:
        """Blocks leave the lot; their places are free at once, except in a tank. Without blocks the lot is no more."""
        self.note(f"blocks {why}", blocks)
        before, lot.blocks = lot.blocks, lot.blocks - blocks
        if not lot.blocks:
            self.end_of(lot)
            return
        for purpose in ("rack", "shelf", "booked"):
            self.floor.leave(lot, purpose, part=blocks * 1000)
        for purpose in STORES_COLD:
            if purpose in lot.holds:
                self.floor.leave(lot, purpose, part=lot.holds[purpose][1] * blocks // before)
        shelf = dict.fromkeys(("rack", "shelf", "booked"), lot.blocks * 1000)
        self.floor.ask_less(lot, {**shelf, "cold": self.crates_for(lot)})

    def end_of(self, lot: Lot) -> None:
        lot.gone = True
        if lot in self.ripe[lot.strain_name]:
            self.ripe[lot.strain_name].remove(lot)
        self.floor.leave(lot, *list(lot.holds))
        self.floor.withdraw(lot)
        self.lots.pop(lot.key, None)


def next_midnight(when: float) -> float:
    """The end of the day that `when` lies in [h]."""
    return (when // DAY + 1) * DAY
