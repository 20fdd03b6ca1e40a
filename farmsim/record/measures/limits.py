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

from farmsim.record.measures.course import Course
from farmsim.record.measures.declare import measure
from farmsim.record.tables import Figures, Flags

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
    edges = np.clip(np.append(course.when, np.inf), start, end)
    lasts = edges[1:] > edges[:-1]
    up = np.concatenate([[False], active[lasts], [False]])
    begin, over = edges[:-1][lasts], edges[1:][lasts]
    rises, falls = up[1:-1] & ~up[:-2], up[1:-1] & ~up[2:]
    return Periods(_plain(begin[rises]), _plain(over[falls]))


def evidence(active: Sequence[Periods], start: float, end: float) -> list[Evidence]:
    """How long each was active and held the others up, in their order."""
    sole, shifting = held_up(turns(active, start), len(active))
    return [
        Evidence(sum(each.end) - sum(each.begin), len(each.begin), alone, overlap, end - start)
        for each, alone, overlap in zip(active, sole, shifting, strict=True)
    ]


def turns(active: Sequence[Periods], start: float) -> list[Turn]:
    """The active periods that held the others up, one after another."""
    found: list[Turn] = []
    now = start
    while True:
        turn = _longest(active, now)
        if turn is not None:
            found.append(turn)
            now = turn.end
        elif (begins := _next_begin(active, now)) is None:
            return found
        else:
            now = begins


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


def _longest(active: Sequence[Periods], now: float) -> Turn | None:
    """The longest period of those going on; of equals the one that goes on longest, then the first listed."""
    best, longest = None, (0.0, 0.0)
    for whose, each in enumerate(active):
        at = bisect_right(each.begin, now) - 1
        if at >= 0 and (ends := each.end[at]) > now:
            length = (ends - each.begin[at], ends)
            if length > longest:
                best, longest = Turn(whose, each.begin[at], ends), length
    return best


def _next_begin(active: Sequence[Periods], now: float) -> float | None:
    """When the next period begins."""
    ahead = [each.begin[at] for each in active if (at := bisect_right(each.begin, now)) < len(each.begin)]
    return min(ahead, default=None)


def _plain(values: Figures) -> list[float]:
    return [float(value) for value in values]
