"""The smaller parts of a line: its lots, the figures drawn for them, their way, the door, the log. See `line.py`."""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan

from farmsim.model.desk import Desk, Part
from farmsim.model.line_plan import OUT, Line, Stage, Times
from farmsim.model.line_seen import Visit
from farmsim.model.lot import Traveller
from farmsim.model.luck import Chances, Luck, Spread, Stream
from farmsim.model.place import Request
from farmsim.model.places import Places
from farmsim.model.total import total
from farmsim.record.journal import Journal
from farmsim.record.names import Names
from farmsim.scenario.vary import Fixed

MANY, FEW = 512, 16  # draws made at a time: for a row of lots, for one lot that comes back


class LineLot(Traveller):
    """A lot of a line. `flush` counts the stages it has been to; its holds there are named by odd and even."""

    __slots__ = ("arrivals", "asking", "position", "visit", "visits")

    def __init__(self, key: str, started: float, number: int, arrivals: int, position: int) -> None:
        super().__init__(key, started, number)
        self.arrivals = arrivals
        self.position = position
        self.flush = -1
        self.visit: Visit | None = None  # the stage it is in
        self.asking: Visit | None = None  # the stage it wants to come into
        self.visits: dict[str, int] = {}

    def been_at(self, stage: str) -> int:
        """How often it has been worked on in a stage before; this time counts from now on."""
        before = self.visits.get(stage, 0)
        self.visits[stage] = before + 1
        return before


class Figures:
    """A figure by lot: at its first visit by its number in the arrivals, later from a row of its own.

    So neither the order at the stage nor what other lots do changes what befalls a lot.
    """

    def __init__(self, line: Line, luck: Luck, times: Times, cause: str) -> None:
        self._luck, self._cause, self._line = luck, cause, line
        self._planned = times if isinstance(times, tuple) else ()
        self._spread: Spread = Fixed(float(times)) if isinstance(times, int | float) else Fixed(0.0)
        if not isinstance(times, tuple | int | float):
            self._spread = times
        self._first = [self._row(arrivals.name, MANY) for arrivals in line.arrivals]
        self._own: dict[int, Stream] = {}

    def at(self, arrivals: int, position: int) -> float:
        """The figure at a position of the arrivals."""
        return self._planned[position % len(self._planned)] if self._planned else self._first[arrivals][position]

    def of(self, lot: LineLot, before: int) -> float:
        """The figure of a lot that has been here `before` times."""
        if before == 0 or self._planned:
            return self.at(lot.arrivals, lot.position)
        own = self._own.get(lot.number)
        if own is None:
            name = f"{self._line.arrivals[lot.arrivals].name} {lot.position}"
            own = self._own[lot.number] = self._row(name, FEW)
        return own[before - 1]

    def _row(self, name: str, chunk: int) -> Stream:
        return self._luck.stream(self._spread, self._cause, f"{self._line.name}: {name}", chunk)


class Way:
    """Where lots go after a stage."""

    def __init__(self, line: Line, luck: Luck, stage: Stage) -> None:
        ways = line.after(stage)
        self.names = [*ways, OUT] if isinstance(stage.then, Mapping) else list(ways)
        chances = (*ways.values(), max(0.0, 1.0 - total(ways.values())))
        spread = Chances(tuple(float(i) for i in range(len(ways) + 1)), chances)
        self._chosen = Figures(line, luck, spread, f"way after {stage.name}")

    def after(self, lot: LineLot, before: int) -> str:
        """The next stage of a lot that had been here `before` times, or `OUT`."""
        return self.names[0] if len(self.names) == 1 else self.names[int(self._chosen.of(lot, before))]


class Door(Part):
    """Settles after the places and before people: whoever found no room and may not wait is turned away."""

    def __init__(self, desk: Desk, places: Places) -> None:
        super().__init__()
        self._desk, self._places = desk, places
        self._asking: list[Request] = []
        desk.join(self)

    def watch(self, request: Request) -> None:
        """Look at this request once all places have settled."""
        self._asking.append(request)
        self._desk.mark(self)

    def settle(self) -> None:
        """Turn away whoever still asks."""
        asking, self._asking = self._asking, []
        for request in asking:
            if request.lot.request is request:
                self._places.give_up(request.lot)


class LineLog(Journal):
    """The journal of a line: stays are seen lot by lot, and the first stretch of work tells when it was begun."""

    def __init__(self) -> None:
        super().__init__(Names())
        self.in_work: dict[int, Visit] = {}
        self.waits = _forget

    def tasks(self, row: tuple[int, int, int, int, int, float, float, float, float, float]) -> None:
        """Keep it, and note when the work on the lot was begun."""
        super().tasks(row)
        visit = self.in_work[row[3]]
        if isnan(visit.started):
            visit.started = row[6]

    def stays(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        """Lots remember their own stays."""


def _forget(row: tuple[float, ...]) -> None:
    """Lots remember their own waits."""
