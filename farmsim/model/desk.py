"""The order within an instant, and the only file that touches SimPy's schedule.

An instant has three parts: what happens; places settle, again and again until nothing moves; then people are sent. If
that makes something happen at once, the three repeat before the clock moves on. What settles registers with the desk
(`join`) in that order; each part says when it has work (`desk.mark`).

Why it matters: who gets a freed person depends on whether the lots that can move have moved. Handing a freed person on
at once silently builds another model (`tests/known_answers/test_naive_desk.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import simpy
from simpy.events import NORMAL, Event


class Part(Protocol):
    """Something that settles at the end of an instant: the places, the sales counter, the people."""

    stale: bool

    def settle(self) -> None: ...


class Desk(simpy.Environment):
    """A SimPy environment that lets its parts settle before the clock moves."""

    def __init__(self, start: float = 0.0) -> None:
        super().__init__(start)
        self._parts: list[Part] = []
        self._stale = False

    def join(self, part: Part) -> None:
        """Register a part; parts settle in the order in which they joined."""
        self._parts.append(part)

    def mark(self, part: Part) -> None:
        """Say that `part` has something to settle in this instant."""
        part.stale = True
        self._stale = True

    @property
    def quiet(self) -> bool:
        """Nothing else is due now: the parts of the instant that come next have nothing new to expect."""
        return not self._queue or self._queue[0][0] > self._now

    def step(self) -> None:
        """Settle until nothing moves, then let the next thing happen."""
        queue = self._queue
        while self._stale and (not queue or queue[0][0] > self._now):
            self._settle_next()
        super().step()

    def _settle_next(self) -> None:
        for part in self._parts:
            if part.stale:
                part.stale = False
                part.settle()
                return
        self._stale = False

    def until(self, when: float) -> Event | None:
        """Wait until `when`; None when that is not in the future, so that there is nothing to wait for."""
        return self.timeout(when - self._now) if when > self._now else None

    def happen(self, event: Event, when: float) -> None:
        """Let `event` happen at `when`, which is known now."""
        event._ok = True
        event._value = None
        self.schedule(event, NORMAL, when - self._now)

    def at(self, when: float, call: Callable[[], None]) -> None:
        """Ring a bell: `call` happens at `when`, which may not lie in the past."""
        if when < self._now:
            raise ValueError(f"a bell at {when} h cannot ring: it is {self._now} h already")
        self.timeout(when - self._now).callbacks.append(lambda _: call())
