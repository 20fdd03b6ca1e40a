"""The pieces put together: a small line from Python, for a published case or a quick question.

    line = Line(
        "wash and pack",
        arrivals=(Arrivals(every=Exponential(1.0)),),
        stages=(Stage("wash", takes=Exponential(0.7), places=1), Stage("pack", takes=0.5, places=1, waiting=2)),
    )
    seen = run(line, seed=1, hours=10_000.0)
    seen.mean_inside("wash", since=1_000.0)

It is no second engine: lots walk over the farm's own `Desk`, `Places` and `People`, with the farm's luck. The name of
the line is part of its luck.

A lot's way through a stage:

1. it asks for room to wait in (or, if there is none, to stand in); until it gets it, it keeps its place in the stage
   before but no people (blocking after service), or it is turned away;
2. it waits for a place to stand in and there, if some crew has the stage among its duties, for people;
3. the work is done, and it asks for the next stage.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from typing import TypeAlias, TypeVar

from simpy.core import EmptySchedule
from simpy.events import Event

from farmsim.errors import RunStuck
from farmsim.model.breakdown import Breakdowns, Uptime, Wear
from farmsim.model.calendar import NAN, ticks
from farmsim.model.crew import People
from farmsim.model.desk import Desk
from farmsim.model.line_pieces import Door, Figures, LineLog, LineLot, Way
from farmsim.model.line_plan import OUT, Arrivals, Crew, Line, Stage, check
from farmsim.model.line_seen import INSIDE, SPOILED, TURNED_AWAY, WENT_OUT, LotBook, Seen, Visit, visits_of
from farmsim.model.luck import Luck
from farmsim.model.place import Need, Request
from farmsim.model.places import Places
from farmsim.record.columns import ROOM_ENOUGH

__all__ = ["OUT", "Arrivals", "Crew", "Line", "Seen", "Stage", "run"]

ONE = 1000  # one place, in thousandths
TURN_AWAY, HOLDS_BACK = "turned away", "holds back"
BEFORE = (("wait 0", "stand 0"), ("wait 1", "stand 1"))  # names of a lot's holds in the stage it comes from

Said = TypeVar("Said")
Steps: TypeAlias = Generator[Event, None, Said]


def run(line: Line, seed: int, number: int = 0, *, hours: float | None = None, lots_out: int | None = None) -> Seen:
    """Run a line until an hour, until so many lots are out or, if neither is given, until it is empty.

    seed, number: the luck of a study and of one of its runs
    hours: when the run ends [h];  lots_out: or after how many lots [lots]

    Goes wrong when nothing moves any more: `RunStuck` says who waits for what.
    """
    check(line, ends=hours is not None or lots_out is not None)
    floor = _Floor(line, Luck(seed, number), lots_out)
    if hours is not None:
        floor.desk.at(ticks(hours), floor.close)
    floor.open()
    return floor.watch()


class _Spot:
    """A stage as it stands on the floor."""

    def __init__(self, stage: Stage, index: int, floor: _Floor) -> None:
        self.stage, self.index = stage, index
        holds = ROOM_ENOUGH // ONE if stage.places is None else stage.places
        stand = floor.places.add(stage.name, holds)
        self.standing = [Need(f"stand {turn}", (stand,), ONE) for turn in range(2)]
        self.entry: list[tuple[Need, ...]] = [(), ()]
        if stage.waiting:
            lobby = floor.places.add(f"{stage.name}, with those who wait", holds + stage.waiting)
            self.entry = [(Need(f"wait {turn}", (lobby,), ONE),) for turn in range(2)]
        elif stage.waiting == 0:
            self.entry = [(need,) for need in self.standing]
        self.takes = Figures(floor.line, floor.luck, stage.takes, f"hours in {stage.name}")
        self.way = Way(floor.line, floor.luck, stage)
        self.by_people = any(stage.name in crew.duties for crew in floor.line.crews)
        self.wear: list[Wear] = []
        self.rows: list[float] = []
        if stage.breaks is not None:
            self._may_break(stage.breaks, floor)

    def _may_break(self, breaks: Breakdowns, floor: _Floor) -> None:
        """A place that breaks by the wall clock is a crew of one with irregular hours."""
        for place in range(self.stage.places or 0):
            name = f"{floor.line.name}: {self.stage.name}, place {place + 1}"
            if breaks.clock == "working":
                self.wear.append(Wear(breaks, floor.luck, name))
            else:
                self.by_people = True
                floor.people.add(name, Uptime(breaks, floor.luck, name), (self.stage.name,))


class _Floor:
    """One run of a line."""

    def __init__(self, line: Line, luck: Luck, lots_out: int | None) -> None:
        self.line, self.luck = line, luck
        self.desk, self.log = Desk(), LineLog()
        self.places = Places(self.desk, self.log)
        self.door = Door(self.desk, self.places)
        self.people = People(self.desk, self.log, [stage.name for stage in line.stages])
        for crew in line.crews:
            rota = crew.rota
            if isinstance(rota, Breakdowns):
                rota = Uptime(rota, luck, f"{line.name}: {crew.name}")
            self.people.add(crew.name, rota, crew.duties, crew.begun_if_fits)
        self._loops = any(line.loops(stage) for stage in line.stages)
        self.spots = {stage.name: _Spot(stage, index, self) for index, stage in enumerate(line.stages)}
        self.cap: tuple[Need, ...] = ()
        if line.at_most is not None:
            self.cap = (Need("line", (self.places.add("the line", line.at_most),), ONE),)
        self._inside: dict[int, LineLot] = {}
        self._book = LotBook()
        self._coming, self._to_go = len(line.arrivals), lots_out
        self._closed = False

    def open(self) -> None:
        """Let the first lots come."""
        for index, arrivals in enumerate(self.line.arrivals):
            if arrivals.saturated:
                self._come_again(index, 0)
            else:
                self.desk.process(self._arrive(index, arrivals))

    def watch(self) -> Seen:
        """Let things happen until the line is closed, then tell what was seen."""
        try:
            while not self._closed:
                self.desk.step()
        except EmptySchedule:
            raise RunStuck(f"{self.line.name}: nothing moves any more", self._who_waits()) from None
        for lot in self._inside.values():
            for visit in (lot.visit, lot.asking):
                if visit is not None:
                    visit.over(NAN)
        tables = self.log.columns()
        at = {name: visits_of(spot.rows) for name, spot in self.spots.items()}
        return Seen(self.desk.now, self._book.lots(), at, tables["tasks"], tables["rostered"])

    def close(self) -> None:
        """Nothing more is looked at."""
        self._closed = True

    def _who_waits(self) -> list[str]:
        return [
            f"{lot.key} waits for {lot.request.needs[0].places[0].name if lot.request else 'people'}"
            for lot in self._inside.values()
        ]

    # --- coming and going ---------------------------------------------------------------------------------------

    def _arrive(self, index: int, arrivals: Arrivals) -> Generator[Event, None, None]:
        gaps = Figures(self.line, self.luck, arrivals.every or 0.0, "arrivals")
        turn = 0
        while turn != arrivals.in_all:
            gap = arrivals.at[turn] - self.desk.now if arrivals.at else gaps.at(index, turn)
            yield self.desk.timeout(ticks(gap))
            for place in range(arrivals.group):
                self._come(index, turn * arrivals.group + place)
            turn += 1
        self._coming -= 1
        self._see_whether_empty()

    def _come_again(self, index: int, position: int) -> None:
        """The heap at the door moves up by one."""
        if position != self.line.arrivals[index].count:
            self._come(index, position)
        else:
            self._coming -= 1

    def _come(self, index: int, position: int) -> None:
        arrivals = self.line.arrivals[index]
        number = self._book.comes(index, self.desk.now)
        lot = LineLot(f"{arrivals.name}/{position:08d}", self.desk.now, number, index, position)
        self._inside[number] = lot
        self.desk.process(self._walk(lot, arrivals.to or self.line.stages[0].name))

    def _go(self, lot: LineLot, fate: int) -> None:
        """A lot goes out, or is lost: it gives everything back."""
        self._leave(lot, list(lot.stays))
        del self._inside[lot.number]
        self._book.goes(lot.number, fate, self.desk.now)
        if fate == WENT_OUT and self._to_go is not None:
            self._to_go -= 1
            self._closed = self._to_go <= 0
        self._see_whether_empty()

    def _leave(self, lot: LineLot, purposes: Sequence[str]) -> None:
        for purpose in purposes:
            if purpose in lot.stays:
                self.places.leave(lot, purpose)
        if lot.visit is not None:
            lot.visit.over(self.desk.now)
            lot.visit = None

    def _see_whether_empty(self) -> None:
        self._closed = self._closed or (not self._inside and self._coming == 0)

    # --- through the line ---------------------------------------------------------------------------------------

    def _walk(self, lot: LineLot, name: str) -> Steps[None]:
        while name != OUT:
            spot = self.spots[name]
            before = lot.been_at(name) if self._loops else 0
            fate = yield from self._pass(lot, spot, before)
            if fate != INSIDE:
                return self._go(lot, fate)
            name = spot.way.after(lot, before)
        return self._go(lot, WENT_OUT)

    def _pass(self, lot: LineLot, spot: _Spot, before: int) -> Steps[int]:
        """Come in, stand, be worked on. Says what became of the lot: still inside, turned away or spoiled."""
        lot.rank = spot.index
        visit = lot.asking = Visit(spot.rows, lot.number, self.desk.now)
        if (spot.entry[0] or self.cap) and not (yield from self._come_in(lot, spot)):
            visit.over(self.desk.now)
            return TURNED_AWAY
        self._leave(lot, BEFORE[lot.flush % 2])
        lot.flush += 1
        lot.visit, lot.asking = visit, None
        visit.came = self.desk.now
        if not (yield from self._stand(lot, spot)):
            return SPOILED
        yield from self._work(visit, lot, spot, ticks(spot.takes.of(lot, before)))
        visit.ready = self.desk.now
        return INSIDE

    def _come_in(self, lot: LineLot, spot: _Spot) -> Steps[bool]:
        """Room to wait in, with nobody's hands; a first visit also needs room under the line's cap."""
        first = lot.flush < 0
        needs = [need for need in spot.entry[(lot.flush + 1) % 2] if need.purpose not in lot.stays]
        needs += self.cap if first else ()
        request = self.places.ask(lot, *needs) if needs else None
        if request is not None:
            if TURN_AWAY in (spot.stage.full, self.line.full if first else ""):
                self.door.watch(request)
            yield self.desk.as_event(request)
            if needs[0].purpose not in lot.stays:
                return False
        if first and self.line.arrivals[lot.arrivals].saturated:
            self._come_again(lot.arrivals, lot.position + 1)
        return True

    def _stand(self, lot: LineLot, spot: _Spot) -> Steps[bool]:
        """A place to be worked in, and before work is begun a sure place in a next stage that holds back."""
        needs = [spot.standing[lot.flush % 2]]
        following = self.spots.get(spot.way.names[0])
        if following is not None and following.stage.full == HOLDS_BACK:
            needs += following.entry[(lot.flush + 1) % 2]
        needs = [need for need in needs if need.purpose not in lot.stays]
        request = self.places.ask(lot, *needs) if needs else None
        if request is not None:
            if spot.stage.spoils is not None:
                self.desk.at(self.desk.now + ticks(spot.stage.spoils), lambda: self._spoil(request))
            yield self.desk.as_event(request)
        return spot.standing[lot.flush % 2].purpose in lot.stays

    def _spoil(self, request: Request) -> None:
        if request.lot.request is request:
            self.places.give_up(request.lot)

    def _work(self, visit: Visit, lot: LineLot, spot: _Spot, hours: float) -> Steps[None]:
        if spot.by_people:
            self.log.in_work[lot.number] = visit
            yield self.desk.as_event(self.people.do(lot, spot.stage.name, hours))
            del self.log.in_work[lot.number]
            return
        visit.started = self.desk.now
        if spot.wear:
            wear = spot.wear.pop()
            yield self.desk.timeout(wear.finish(self.desk.now, hours) - self.desk.now)
            spot.wear.append(wear)
        else:
            yield self.desk.timeout(hours)
