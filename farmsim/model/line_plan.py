"""What a small line is: where lots come from, its stages, its crews. Values only; `line.py` runs it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from farmsim.model.breakdown import Breakdowns
from farmsim.model.calendar import Always, Rota
from farmsim.model.luck import Spread
from farmsim.model.total import total

OUT = "out"
"""The stage after the last one."""

Times: TypeAlias = Spread | float | tuple[float, ...]
"""A spread, a fixed figure, or a planned list that is used over and over."""
AtFull: TypeAlias = Literal["blocks", "turned away", "holds back"]


@dataclass(frozen=True, slots=True)
class Arrivals:
    """Where lots come from: a spread of times between them, planned hours, or a heap at the door that never ends.

    every: hours from one arrival to the next, the first counted from hour 0 [h]
    at: planned hours [h]
    saturated: a lot always stands at the door
    count: how many arrivals in all; None: for ever [1]
    group: lots that come together [lots]
    to: the stage they go to; "" is the first
    """

    every: Times | None = None
    at: tuple[float, ...] = ()
    saturated: bool = False
    count: int | None = None
    group: int = 1
    to: str = ""
    name: str = "lots"

    @property
    def in_all(self) -> int | None:
        """How many arrivals there are; None: for ever."""
        return len(self.at) if self.every is None and not self.saturated else self.count


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of a line.

    takes: hours of work on a lot, the planned list by lot number [h]
    places: how many lots can stand here, waiting for people, in work or stuck; None: room enough [lots]
    waiting: how many more can wait here to get in; None: room enough [lots]
    full: a lot that finds no room "blocks" its place in the stage before, is "turned away" and lost, or "holds back":
        work in the stage before is begun only when a place here is sure (blocking before service)
    spoils: a lot that is not begun so long after it came is lost [h]
    breaks: breakdowns of each place, each with luck of its own
    then: the stage after it, or the chance of each, the rest goes out; None: the next in the list
    """

    name: str
    takes: Times
    places: int | None = None
    waiting: int | None = None
    full: AtFull = "blocks"
    spoils: float | None = None
    breaks: Breakdowns | None = None
    then: str | Mapping[str, float] | None = None

    @property
    def room(self) -> float:
        """How many lots find room in it [lots]."""
        return float("inf") if self.places is None or self.waiting is None else self.places + self.waiting


@dataclass(frozen=True, slots=True)
class Crew:
    """People who do the work of the stages named in `duties`, those named first going first.

    rota: who is there when, or one person who comes and goes irregularly
    begun_if_fits: duties that are begun only if they can be ended in the same shift
    """

    name: str
    duties: tuple[str, ...]
    rota: Rota | Breakdowns = field(default_factory=Always)
    begun_if_fits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """The whole: its name (part of its luck), where lots come from, its stages in order, its crews.

    at_most: a cap on the lots inside; the others stand at the door, or are turned away if `full` says so [lots]
    """

    name: str
    arrivals: tuple[Arrivals, ...]
    stages: tuple[Stage, ...]
    crews: tuple[Crew, ...] = ()
    at_most: int | None = None
    full: AtFull = "blocks"

    def after(self, stage: Stage) -> dict[str, float]:
        """Where lots go after `stage`, with the chance of each; chances that do not reach 1 leave the rest to `OUT`."""
        if isinstance(stage.then, Mapping):
            return {**stage.then, OUT: max(0.0, 1.0 - total(stage.then.values()))}
        following = [*(other.name for other in self.stages[self.stages.index(stage) + 1 :]), OUT]
        return {stage.then or following[0]: 1.0}

    def loops(self, stage: Stage) -> bool:
        """Whether lots may go back from `stage` to itself or one before."""
        earlier = [other.name for other in self.stages[: self.stages.index(stage) + 1]]
        return any(name in earlier for name in self.after(stage))


def check(line: Line, ends: bool) -> None:
    """Refuse a line that cannot be run, with all its faults; `ends`: an hour or a number of lots ends the run."""
    faults = [*_doubles(line), *_strangers(line), *_arrival_faults(line, ends), *_stage_faults(line)]
    if faults:
        raise ValueError("\n".join(f"{line.name}: {fault}" for fault in faults))


def _doubles(line: Line) -> Iterator[str]:
    for what, names in (("stages", [s.name for s in line.stages]), ("arrivals", [a.name for a in line.arrivals])):
        for name in sorted({name for name in names if names.count(name) > 1}):
            yield f"two {what} are called {name!r}; every name stands for one. Rename one of them."


def _strangers(line: Line) -> Iterator[str]:
    known = [stage.name for stage in line.stages]
    named = [(f"arrivals {a.name!r}", a.to) for a in line.arrivals if a.to]
    named += [(f"crew {c.name!r}", duty) for c in line.crews for duty in (*c.duties, *c.begun_if_fits)]
    named += [(f"stage {s.name!r}", name) for s in line.stages for name in line.after(s) if name != OUT]
    for place, name in named:
        if name not in known:
            yield f"{place}: {name!r} is no stage; stages are {', '.join(known)}. Name one of them."


def _arrival_faults(line: Line, ends: bool) -> Iterator[str]:
    for arrivals in line.arrivals:
        place = f"arrivals {arrivals.name!r}"
        if (arrivals.every is not None) + bool(arrivals.at) + arrivals.saturated != 1:
            yield f"{place}: give one of every, at, saturated."
        if list(arrivals.at) != sorted(arrivals.at) or min(arrivals.at, default=0.0) < 0.0:
            yield f"{place}: planned hours must rise from 0 on. Sort them."
        if not ends and arrivals.in_all is None:
            yield f"{place}: never ends, so the line is never empty. Give it a count, or the run an hour or lots_out."
        first = next((s for s in line.stages if s.name == arrivals.to), line.stages[0])
        if arrivals.saturated and line.at_most is None and first.room == float("inf"):
            yield f"{place}: saturated, and nothing limits {first.name!r}. Limit its places and waiting, or at_most."


def _stage_faults(line: Line) -> Iterator[str]:
    by_people = {duty for crew in line.crews for duty in crew.duties}
    for stage in line.stages:
        place = f"stage {stage.name!r}"
        if stage.places is not None and stage.places < 1:
            yield f"{place}: places is {stage.places}; needs at least 1. Give it one."
        if stage.full != "blocks" and stage.room == float("inf"):
            yield f"{place}: full is {stage.full!r}, but it is never full. Limit places and waiting."
        if stage.spoils is not None and (stage.places is None or stage.name in by_people):
            yield f"{place}: spoils counts until a lot has a place to be worked in. Limit places, without a crew."
        if stage.breaks is not None and (stage.places is None or stage.name in by_people):
            yield f"{place}: breaks needs places that can break, not a crew. Limit places, or break the crew's rota."
        if any(not 0.0 <= chance <= 1.0 + 1e-12 for chance in line.after(stage).values()):
            yield f"{place}: chances lie between 0 and 1."
        if isinstance(stage.then, Mapping) and total(stage.then.values()) > 1.0 + 1e-12:
            yield f"{place}: the chances in then sum to {total(stage.then.values()):g}; at most 1. Lower one."
