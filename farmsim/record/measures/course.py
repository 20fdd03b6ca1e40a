"""How full a place was from moment to moment: the course of its levels, and the hours spent in each state.

A course is a list of moments and, from each moment to the next, how many places were used, held by lots that had no
more to do there, promised to lots on their way, there at all, and wanted by the first lot that waited. A crew has a
course too: its people present are the places, its tasks the stays.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from farmsim.record.columns import ROOM_ENOUGH
from farmsim.record.tables import HOURS_A_WEEK, Figures, Flags, Numbers

FOREVER = np.inf
LONG_AGO = np.array([-np.inf])
"""The first moment of every course, with nothing there."""
NOTHING = np.empty(0)
FEW = 5
"""A piece is one of few steps when there are so many times as many moments."""


class Holds(NamedTuple):
    """Amounts that came, were done, and left; one row each."""

    came: Figures
    ready: Figures
    left: Figures
    amount: Figures


class Asks(NamedTuple):
    """Amounts asked for and not had at once, until they came or gave up."""

    asked: Figures
    until: Figures
    amount: Figures


class Steps(NamedTuple):
    """Moments and by how much a level changes at each."""

    when: Figures
    by: Figures


class Cut(NamedTuple):
    """A course between two moments."""

    hours: Figures
    """How long each level lasted within them [h]."""
    at: Numbers
    """Levels that lasted any time, ..."""
    begin: Figures
    """... from when ..."""
    end: Figures
    """... until when [h]."""


@dataclass(frozen=True)
class Course:
    """Levels from each of the moments until the next, the last one for ever; in thousandths or people."""

    when: Figures
    used: Figures
    stuck: Figures
    taken: Figures
    """Used or promised. A lot on a shelf keeps its booking, so those two are not added up but the larger one counts."""
    there: Figures
    waited_for: Flags
    """Full, and lots waiting: the lot that has waited longest does not fit into what is free."""
    usual: float
    """What one lot usually takes here: the median."""
    cuts: dict[tuple[float, float], Cut] = field(default_factory=dict, repr=False, compare=False)
    """Those that were asked for."""

    def within(self, start: float, end: float) -> Cut:
        """The course within the measured time."""
        cut = self.cuts.get((start, end))
        if cut is None:
            edges = np.clip(np.append(self.when, FOREVER), start, end)
            hours = edges[1:] - edges[:-1]
            at = np.flatnonzero(hours > 0)
            cut = self.cuts[start, end] = Cut(hours, at, edges[at], edges[at + 1])
        return cut

    @cached_property
    def free(self) -> Figures:
        """Places neither used nor promised; less than none after places were taken away."""
        return self.there - self.taken

    @property
    def full(self) -> Flags:
        """Full, nothing waits: no room for one more lot of the usual size, and no lot waits for want of room."""
        return ~self.waited_for & (self.free < self.usual) & (self.there > 0)

    @cached_property
    def never_short(self) -> bool:
        """Whether there is always room enough, so that nothing can be said about shares."""
        return bool((self.there >= ROOM_ENOUGH).any()) or not self.there.any()


def first_in_line(asks: Asks) -> Steps:
    """What the lot that has waited longest wants, as steps.

    Whoever asked later becomes the first when all who asked before have come or given up.
    """
    if not len(asks.asked):
        return Steps(NOTHING, NOTHING)
    order = np.lexsort((asks.until, asks.asked))
    until, amount = asks.until[order], asks.amount[order]
    others = np.maximum.accumulate(np.append(-FOREVER, until))[:-1]
    begins = np.maximum(asks.asked[order], others)
    kept = begins < until
    return spans(begins[kept], until[kept], amount[kept])


def course(holds: Holds, booked: Holds, there: Steps, asks: Asks) -> Course:
    """The course of one place."""
    done = holds.ready < holds.left
    pieces = (
        spans(holds.came, holds.left, holds.amount),
        spans(holds.ready[done], holds.left[done], holds.amount[done]),
        spans(booked.came, booked.left, booked.amount),
        there,
        first_in_line(asks),
    )
    when = np.concatenate([LONG_AGO, *(piece.when for piece in pieces)])
    order = np.argsort(when, kind="stable")
    edges = np.cumsum([1, *(len(piece.when) for piece in pieces)])
    used, stuck, promised, there_are, wanted = (_level(order, edges[at], piece.by) for at, piece in enumerate(pieces))
    taken = np.maximum(used, promised)
    waited_for = np.zeros(len(order), dtype=bool)
    if len(pieces[-1].by):
        waited_for = (there_are > 0) & (wanted > 0) & (there_are - taken < wanted)
    return Course(when[order], used, stuck, taken, there_are, waited_for, usual_of(holds.amount, 0.0))


def usual_of(amounts: Figures, of_none: float) -> float:
    """The middle one of some amounts, or halfway between the two in the middle."""
    count = len(amounts)
    if not count:
        return of_none
    low, high = (count - 1) // 2, count // 2
    sides = np.partition(amounts, low)
    return float((sides[low] + sides[high:].min()) / 2.0)


def spans(begin: Figures, end: Figures, amount: Figures) -> Steps:
    """Amounts that are there from their begin to their end, as steps; some never end."""
    ends = np.isfinite(end)
    return Steps(np.concatenate([begin, end[ends]]), np.concatenate([amount, -amount[ends]]))


def _level(order: np.ndarray[tuple[int], np.dtype[np.intp]], first: int, by: Figures) -> Figures:
    """The level that one of the pieces makes, at every moment of all of them."""
    if not len(by):
        return np.zeros(len(order))
    if len(by) * FEW < len(order):  # a level that seldom changes is repeated from step to step
        at = np.flatnonzero((order >= first) & (order < first + len(by)))
        there = np.append(0.0, np.cumsum(by[order[at] - first]))
        return np.repeat(there, np.diff(at, prepend=0, append=len(order)))
    steps = np.zeros(len(order))
    steps[first : first + len(by)] = by
    return np.cumsum(steps[order])


class States(NamedTuple):
    """Place-hours of one place in the measured time; `waited_for`, `full` and `stuck` are parts of `used`."""

    there: float
    """Not a number for a place that is never short: nothing can be said about its shares."""
    used: float
    waited_for: float
    full: float
    stuck: float
    booked: float
    idle: float
    time: float
    """Length of the measured time [h]."""
    time_waited_for: float
    """Hours, not place-hours, in which it was full and lots waited [h]."""


def states(course: Course, start: float, end: float) -> States:
    """What became of the place-hours between `start` and `end`. More used than there are (after a cut) is not idle."""
    hours = course.within(start, end).hours
    busy = (course.used - course.stuck) * hours
    waited_for = course.waited_for
    return States(
        there=_whole(course.there * hours) if not course.never_short else np.nan,
        used=_whole(course.used * hours),
        waited_for=_whole(busy[waited_for]),
        full=_whole(busy[course.full]),
        stuck=_whole(course.stuck * hours),
        booked=_whole((course.taken - course.used) * hours),
        idle=_whole(np.maximum(course.free, 0.0) * hours),
        time=end - start,
        time_waited_for=_whole(hours[waited_for]),
    )


def _whole(parts: Figures) -> float:
    """The sum. Not as a product of vectors: that would use threads, and another order of adding on another machine."""
    return float(parts.sum())


def hour_of_week(course: Course, start: float, end: float) -> Callable[[Figures], Figures]:
    """A function that gives the mean of a level in each of the 168 hours of the week, over the measured time.

    The measured time begins on a Monday 00:00; an hour of the week that never comes has no mean.
    """
    grid, slot, times = _hours_measured(start, end)
    cut = course.within(start, end)
    # Counting the moments in each hour takes less time than looking every hour up among them.
    first_hour = np.clip(np.ceil(cut.begin - start), 0, len(grid)).astype(np.int64)
    at = np.cumsum(np.bincount(first_hour, minlength=len(grid)))[: len(grid)] - 1
    inside, hours = grid - cut.begin[at], cut.hours[cut.at]

    def mean(level: Figures) -> Figures:
        if not level.any():
            return np.where(times > 0, 0.0, np.nan)
        lasting = level[cut.at]
        upto = _so_far(lasting * hours)[at] + lasting[at] * inside
        with np.errstate(invalid="ignore"):
            return np.bincount(slot, upto[1:] - upto[:-1], HOURS_A_WEEK) / times

    return mean


def _so_far(parts: Figures) -> Figures:
    """What they had come to before each of them, and in all."""
    found = np.zeros(len(parts) + 1)
    np.cumsum(parts, out=found[1:])
    return found


@lru_cache(maxsize=32)
def _hours_measured(start: float, end: float) -> tuple[Figures, Numbers, Numbers]:
    """The hours' beginnings with the end of the last, which hour of the week each is, how often each of those comes."""
    grid = np.arange(start, end + 0.5)
    slot = np.arange(len(grid) - 1) % HOURS_A_WEEK
    return grid, slot, np.bincount(slot, minlength=HOURS_A_WEEK)


def by_week(course: Course, start: float, end: float) -> Callable[[Figures], Figures]:
    """A function that gives the mean of a level in each week of the measured time, the last one perhaps cut short."""
    edges, cut = week_edges(start, end), course.within(start, end)
    at = np.searchsorted(cut.begin, edges, side="right") - 1
    inside, hours = edges - cut.begin[at], cut.hours[cut.at]

    def mean(level: Figures) -> Figures:
        if not level.any():
            return np.zeros(len(edges) - 1)
        lasting = level[cut.at]
        found: Figures = np.diff(_so_far(lasting * hours)[at] + lasting[at] * inside) / np.diff(edges)
        return found

    return mean


def week_edges(start: float, end: float) -> Figures:
    """The beginnings of the weeks of the measured time, and its end [h]."""
    return np.append(np.arange(start, end, float(HOURS_A_WEEK)), end)
