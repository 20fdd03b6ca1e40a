"""The order within an instant, and the only file that touches SimPy's schedule.

An instant has three parts: what happens; places settle, again and again until nothing moves; then people are sent. If
that makes something happen at once, the three repeat before the clock moves on. What settles registers with the desk
(`join`) in that order; each part says when it has work (`desk.mark`).

Why it matters: who gets a freed person depends on whether the lots that can move have moved. Handing a freed person on
at once silently builds another model (`tests/known_answers/test_naive_desk.py`).

SimPy keeps the clock and everything that is due later. What follows in the same instant waits in a plain row, in the
order in which it came up; SimPy would keep the same order at a multiple of the cost.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from functools import partial
from heapq import heappop, heappush
from typing import Any, Protocol

import simpy
from simpy.core import EmptySchedule
from simpy.events import NORMAL, Event


class Part(Protocol):
    """Something that settles at the end of an instant: the places, the sales counter, the people."""

    stale: bool

    def settle(self) -> None: ...


def nothing() -> None:
    """What a wait leads to while nobody waits."""


class Wait:
    """Something that is going to happen, and what follows then. One at a time waits for it."""

    __slots__ = ("then",)

    def __init__(self, then: Callable[[], None] = nothing) -> None:
        self.then = then


class Desk(simpy.Environment):
    """A SimPy environment that lets its parts settle before the clock moves."""

    now: float = 0.0  # read more often than anything else, so a plain attribute

    def __init__(self, start: float = 0.0) -> None:
        super().__init__(start)
        self.now = start
        self._due: list[tuple[float, int, int, Any]] = self._queue  # type: ignore[assignment]  # waits stand there too
        self._next: deque[Wait] = deque()  # what follows in this instant
        self.happen: Callable[[Wait], None] = self._next.append
        """Let a wait happen in this instant. It is the row's own append: no Python frame on the way."""
        self._parts: list[Part] = []
        self.stale = False  # a part has something to settle

    def join(self, part: Part) -> None:
        """Register a part; parts settle in the order in which they joined."""
        self._parts.append(part)

    def mark(self, part: Part) -> None:
        """Say that `part` has something to settle in this instant."""
        part.stale = True
        self.stale = True

    @property
    def quiet(self) -> bool:
        """Nothing else is due now: the parts of the instant that come next have nothing new to expect."""
        due = self._due
        return not self._next and (not due or due[0][0] > self.now)

    def run(self, until: float | Event | None = None) -> Any:
        """Let things happen up to an hour, which is not looked at any more; or as SimPy does."""
        if until is None or isinstance(until, Event):
            return super().run(until)
        if until <= self.now:
            raise ValueError(f"it is {self.now} h already: the farm cannot be run until {until} h")
        self._go(float(until))
        return None

    def step(self) -> None:
        """Let the next thing happen; before the clock moves, settle until nothing moves."""
        self._go(None)

    def _go(self, until: float | None) -> None:
        """Let things happen until an hour; only the next one when no hour is given."""
        due, follows = self._due, self._next
        while True:
            if due and due[0][0] <= self.now:
                thing = heappop(due)[3]
            elif follows:
                thing = follows.popleft()
            elif self.stale:
                self._settle()
                continue
            elif until is not None and (not due or due[0][0] >= until):
                self.now = self._now = until
                return
            elif not due:
                raise EmptySchedule
            else:
                self.now, _, _, thing = heappop(due)
                self._now = self.now
            if isinstance(thing, Wait):
                thing.then()
            else:
                _happen(thing)
            if until is None:
                return

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

    def until(self, when: float) -> Wait | None:
        """Wait until `when`; None when that is not in the future, so that there is nothing to wait for."""
        if when <= self.now:
            return None
        wait = Wait()
        heappush(self._due, (when, NORMAL, next(self._eid), wait))
        return wait

    def at(self, when: float, call: Callable[[], None]) -> None:
        """Ring a bell: `call` happens at `when`, which may not lie in the past."""
        if when > self.now:
            heappush(self._due, (when, NORMAL, next(self._eid), Wait(call)))
        elif when == self.now:
            self.happen(Wait(call))
        else:
            raise ValueError(f"a bell at {when} h cannot ring: it is {self.now} h already")

    def as_event(self, wait: Wait) -> Event:
        """The same for a SimPy process, which waits for events."""
        event = Event(self)
        event._ok = True
        event._value = None
        wait.then = partial(_happen, event)
        return event


def _happen(event: Event) -> None:
    """Let those who wait for an event know. Goes wrong when a SimPy process has failed, with its own exception."""
    callbacks, event.callbacks = event.callbacks, None  # type: ignore[assignment]  # SimPy's mark of what has happened
    for callback in callbacks:
        callback(event)
    if not event._ok and not event.defused:
        raise event._value
