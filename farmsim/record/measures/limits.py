"""What holds the others up from moment to moment: active periods of places and crews (Roser, Nakano and Tanaka).

A crew is active while nobody of it who is present is free; a place is active while it is full and lots wait. At any moment
the one in the longest active period of all that are active is the one that holds the others up. When its period ends, the
next is the longest of those active then; while the two overlap, the role shifts from one to the other.

After Roser, Nakano and Tanaka, "A practical bottleneck detection method" (Winter Simulation Conference 2001) and "Shifting
bottleneck detection" (2002). Theirs are machines; what active means for places and crews is said above. It is evidence of
what was seen, not of what one more would bring.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from farmsim.record.measures.course import NOTHING, Course
from farmsim.record.measures.declare import measure
from farmsim.record.tables import Flags

PER = "place, crew"
ACTIVE = "active: full with lots waiting, or nobody present free"
OF = "hours of the measured time"


class Periods(NamedTuple):
    """Active periods of one place or crew, one after another, none touching the next [h]."""

    begin: list[float]
    end: list[float]


class Turn(NamedTuple):
    """An active period that held the others up: whose, and from when until when [h]."""

    whose: int
    begin: float
    end: float


class Evidence(NamedTuple):
    """One place or crew in the measured time: how long it was active, in how many periods, and held the others up [h]."""

    active: float
    periods: int
    sole: float
    shifting: float
    time: float


@measure(name="active_share", unit="share", meaning=ACTIVE, denominator=OF, per=PER)
def active_share(seen: Evidence) -> float:
    return seen.active / seen.time if seen.time > 0 else float("nan")


@measure(
    name="active_mean_h",
    unit="h",
    meaning="length of an active period on average, those at the ends of the measured time cut there; 0 without any",
    denominator="active periods",
    per=PER,
)
def active_mean_h(seen: Evidence) -> float:
    return seen.active / seen.periods if seen.periods else 0.0


@measure(
    name="sole_share",
    unit="share",
    meaning="in the longest active period of all places and crews that are active, and no other is taking over",
    denominator=OF,
    per=PER,
)
def sole_share(seen: Evidence) -> float:
    return seen.sole / seen.time if seen.time > 0 else float("nan")


@measure(
    name="shifting_share",
    unit="share",
    meaning="its longest active period overlaps with that of the next, or of the one before; counted for both",
    denominator=OF,
    per=PER,
)
def shifting_share(seen: Evidence) -> float:
    return seen.shifting / seen.time if seen.time > 0 else float("nan")


MEASURES = (active_share, active_mean_h, sole_share, shifting_share)


def of_place(course: Course, start: float, end: float) -> Periods:
    """When a place was full and lots waited."""
    return periods(course, course.waited_for, start, end)


def of_crew(course: Course, start: float, end: float) -> Periods:
    """When nobody of a crew who was present was free."""
    return periods(course, (course.there > 0) & (course.used >= course.there), start, end)


def periods(course: Course, active: Flags, start: float, end: float) -> Periods:
    """The stretches of a course in which a flag is up, within the measured time."""
    cut = course.within(start, end)
    up = np.concatenate([[False], active[cut.at], [False]])
    rises, falls = up[1:-1] & ~up[:-2], up[1:-1] & ~up[2:]
    return Periods(cut.begin[rises].tolist(), cut.end[falls].tolist())


def evidence(active: Sequence[Periods], start: float, end: float) -> list[Evidence]:
    """How long each was active and held the others up, in their order."""
    sole, shifting = held_up(turns(active, start), len(active))
    return [
        Evidence(sum(each.end) - sum(each.begin), len(each.begin), alone, overlap, end - start)
        for each, alone, overlap in zip(active, sole, shifting, strict=True)
    ]


def turns(active: Sequence[Periods], start: float) -> list[Turn]:
    """The active periods that held the others up, one after another.

    Of those going on it is the longest; of equals the one that goes on longest, then the first listed.
    """
    whose, begin, end = _never_within_another(active)
    lengths = [(until - since, until) for since, until in zip(begin, end, strict=True)]
    found: list[Turn] = []
    now, over = start, 0
    while True:
        over = bisect_right(end, now, over)  # periods up to here are over
        begun = bisect_right(begin, now, over)
        if begun > over:
            at = max(range(over, begun), key=lengths.__getitem__)
            found.append(Turn(whose[at], begin[at], end[at]))
            now = end[at]
        elif begun == len(begin):
            return found
        else:
            now = begin[begun]


def _never_within_another(active: Sequence[Periods]) -> tuple[list[int], list[float], list[float]]:
    """Whose, begin and end of the periods that lie within no other, in their order: only these are ever the longest."""
    whose = np.repeat(np.arange(len(active)), [len(each.begin) for each in active])
    begin = np.concatenate([NOTHING, *(each.begin for each in active)])
    end = np.concatenate([NOTHING, *(each.end for each in active)])
    order = np.lexsort((whose, -end, begin))
    latest = np.maximum.accumulate(end[order])
    kept = order[np.append(True, latest[1:] > latest[:-1])[: len(order)]]
    return whose[kept].tolist(), begin[kept].tolist(), end[kept].tolist()


def held_up(found: Sequence[Turn], count: int) -> tuple[list[float], list[float]]:
    """Hours in which each was the only one that held the others up, and hours in which the role shifted."""
    sole, shifting = [0.0] * count, [0.0] * count
    for at, turn in enumerate(found):
        before = found[at - 1].end if at else turn.begin
        after = found[at + 1].begin if at + 1 < len(found) else turn.end
        sole[turn.whose] += max(0.0, min(turn.end, after) - max(turn.begin, before))
        overlap = turn.end - after
        if overlap > 0.0:
            shifting[turn.whose] += overlap
            shifting[found[at + 1].whose] += overlap
    return sole, shifting
