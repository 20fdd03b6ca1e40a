"""The order within an instant, and the only file that touches SimPy's schedule.

An instant has three parts: what happens; places settle, again and again until nothing moves; then people are sent. If
that makes something happen at once, the three repeat before the clock moves on. What settles registers with the desk
(`join`) in that order; each part says when it has work (`desk.mark`).

Why it matters: who gets a freed person depends on whether the lots that can move have moved. Handing a freed person on
at once silently builds another model (`tests/known_answers/test_naive_desk.py`).

SimPy keeps the schedule of everything that is due later, and its processes can live here (`Desk.process`). What follows
in the same instant waits in a plain row, in the order in which it came up; SimPy would keep the same order at a multiple
of the cost. Whatever is read or called often is a plain attribute or method of a plain class, which becomes machine code.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from functools import partial
from heapq import heappop, heappush
from typing import Any, Final

import simpy
from simpy.core import EmptySchedule
from simpy.events import NORMAL, Event, Process, Timeout

from farmsim.model.breath import breathe
from farmsim.model.calendar import FOREVER

BREATH: Final = 256
"""So many things happen from one breath to the next: about as many as on the benchmark's farm in a day."""


DAY: Final = 24.0  # [h]
_NORMAL: Final = int(NORMAL)  # what is called often is given a name of our own: machine code need not look it up then
_push: Final = heappush
_pop: Final = heappop


class Part:
    """Something that settles at the end of an instant: the places, the sales counter, the people."""

    def __init__(self, call: Callable[[], None] | None = None) -> None:
        self.stale = False  # it has something to settle
        self._call = call

    def settle(self) -> None:
        """Settle what there is."""
        if self._call is not None:
            self._call()


class Follower:
    """Somebody who waits, and goes on then."""

    __slots__ = ()

    def follow(self) -> None:
        """What was waited for has happened."""


class Wait:
    """Something that is going to happen, and what follows then. One at a time waits for it: a follower, or a call."""

    __slots__ = ("follower", "then")

    def __init__(self, then: Callable[[], None] | None = None) -> None:
        self.then = then
        self.follower: Follower | None = None

    def happen(self) -> None:
        """It has happened."""
        if self.follower is not None:
            self.follower.follow()
        elif self.then is not None:
            self.then()


class Desk:
    """The clock, and the order in which things happen; its parts settle before the clock moves."""

    __deletable__ = ("simpy",)  # machine code wants to be told

    def __init__(self, start: float = 0.0) -> None:
        self.now = start  # [h]
        self.number = 0  # of what stands in the schedule, to keep the order of what is due at the same time
        self.simpy = _Environment(self, start)
        """The same desk for SimPy, whose processes, events and resources want an environment of its own kind."""
        self._due: list[tuple[Any, ...]] = self.simpy._queue  # waits stand there too
        self._later: dict[int, list[tuple[Any, ...]]] = {}  # what is due on days to come, by day
        self._horizon = (start // DAY + 1.0) * DAY  # what is due sooner stands in SimPy's schedule [h]
        self._next: list[Wait] = []  # what follows in this instant
        self._done = 0  # how many of these have happened
        self._parts: list[Part] = []
        self._happened = 0  # since the last breath
        self.stale = False  # a part has something to settle

    def join(self, part: Part) -> None:
        """Register a part; parts settle in the order in which they joined."""
        self._parts.append(part)

    def mark(self, part: Part) -> None:
        """Say that `part` has something to settle in this instant."""
        part.stale = True
        self.stale = True

    def happen(self, wait: Wait) -> None:
        """Let a wait happen in this instant."""
        self._next.append(wait)

    @property
    def quiet(self) -> bool:
        """Nothing else is due now: the parts of the instant that come next have nothing new to expect."""
        if self._next:
            return False
        soonest: float = self._due[0][0] if self._due else FOREVER
        return soonest > self.now

    def run(self, until: float) -> None:
        """Let things happen up to an hour, which is not looked at any more [h]."""
        if until <= self.now:
            raise ValueError(f"it is {self.now} h already: the farm cannot be run until {until} h")
        self._go(until, False)

    def step(self) -> None:
        """Let the next thing happen; before the clock moves, settle until nothing moves. Goes wrong when nothing is due."""
        if not self._go(FOREVER, True):
            raise EmptySchedule

    def _go(self, until: float, is_step: bool) -> bool:
        """Let things happen until an hour, or only the next one; false when nothing was left to happen."""
        due, follows = self._due, self._next
        while True:
            soonest: float = due[0][0] if due else FOREVER
            if soonest <= self.now:
                thing = _pop(due)[3]
            elif follows:
                thing = self._following()
            elif self.stale:
                self._settle()
                continue
            elif self._later and soonest >= self._horizon:
                self._open_day()
                continue
            elif is_step and not due:
                return False
            elif soonest >= until:
                self.now = until
                return True
            else:
                first = _pop(due)
                self.now, thing = first[0], first[3]
            if isinstance(thing, Wait):
                thing.happen()
            else:
                _happen(thing)
            self._happened += 1
            if self._happened == BREATH:
                self._happened = 0
                breathe()
            if is_step:
                return True

    def _following(self) -> Wait:
        """The next that follows in this instant."""
        wait = self._next[self._done]
        self._done += 1
        if self._done == len(self._next):
            self._next.clear()
            self._done = 0
        return wait

    def _settle(self) -> None:
        """Let the parts settle in turn, as far as nothing happens at once and no part before has to look again."""
        self.stale = False
        for part in self._parts:
            if part.stale:
                part.stale = False
                part.settle()
                if self.stale or self._next:
                    self.stale = True
                    return

    # --- what is due later --------------------------------------------------------------------------------------

    def until(self, when: float) -> Wait | None:
        """Wait until `when`; None when that is not in the future, so that there is nothing to wait for."""
        if when <= self.now:
            return None
        wait = Wait()
        self.due(when, wait)
        return wait

    def at(self, when: float, call: Callable[[], None]) -> None:
        """Ring a bell: `call` happens at `when`, which may not lie in the past."""
        self.ring(when, Wait(call))

    def ring(self, when: float, wait: Wait) -> None:
        """Let a wait happen at `when`, which may not lie in the past [h]."""
        if when > self.now:
            self.due(when, wait)
        elif when == self.now:
            self._next.append(wait)
        else:
            raise ValueError(f"a bell at {when} h cannot ring: it is {self.now} h already")

    def due(self, when: float, wait: Wait) -> None:
        """Let a wait happen at `when`, which lies in the future [h].

        What is due on a later day waits beside SimPy's schedule until that day is begun: most of what is due is far off,
        and a short schedule is quick.
        """
        self.number += 1
        if when < self._horizon or when == FOREVER:
            _push(self._due, (when, _NORMAL, self.number, wait))
            return
        day = int(when // DAY)
        rows = self._later.get(day)
        if rows is None:
            self._later[day] = [(when, _NORMAL, self.number, wait)]
        else:
            rows.append((when, _NORMAL, self.number, wait))

    def _open_day(self) -> None:
        """Put what is due on the next day on which anything is into SimPy's schedule."""
        day = min(self._later)
        rows = self._later.pop(day)
        self._horizon = (day + 1) * DAY
        rows.sort()  # so that each is put behind the others at once
        for row in rows:
            _push(self._due, row)

    def close(self) -> None:
        """Nothing is due any more and nobody settles: what stood in the schedule is let go of."""
        self._due.clear()
        self._later.clear()
        self._next.clear()
        self._parts.clear()
        del self.simpy  # which holds the desk

    # --- for SimPy's processes ----------------------------------------------------------------------------------

    def process(self, generator: Generator[Event, Any, Any]) -> Process:
        """A SimPy process that lives on this desk."""
        return self.simpy.process(generator)

    def timeout(self, hours: float) -> Timeout:
        """What a SimPy process waits for to let time pass [h]."""
        return self.simpy.timeout(hours)

    def as_event(self, wait: Wait) -> Event:
        """A wait for a SimPy process, which waits for events."""
        event = Event(self.simpy)
        event._ok = True
        event._value = None
        wait.then = partial(_happen, event)
        return event


class _Environment(simpy.Environment):
    """What SimPy's processes take for their environment: the hour, the steps and the order are the desk's."""

    def __init__(self, desk: Desk, start: float) -> None:
        self.desk = desk
        super().__init__(start)
        self._eid = _numbers(desk)  # type: ignore[assignment]  # so that one row of numbers tells what was due first

    @property
    def _now(self) -> float:
        return self.desk.now

    @_now.setter
    def _now(self, now: float) -> None:
        self.desk.now = now

    @property
    def now(self) -> float:
        """What the time is [h]."""
        return self.desk.now

    def step(self) -> None:
        """Let the next thing happen, as the desk does."""
        self.desk.step()


def _numbers(desk: Desk) -> Iterator[int]:
    """The desk's numbers of what stands in the schedule, one after the other."""
    while True:
        desk.number += 1
        yield desk.number


def _happen(event: Event) -> None:
    """Let those who wait for an event know. Goes wrong when a SimPy process has failed, with its own exception."""
    callbacks, event.callbacks = event.callbacks, None  # type: ignore[assignment]  # SimPy's mark of what has happened
    for callback in callbacks:
        callback(event)
    if not event._ok and not event.defused:
        raise event._value
