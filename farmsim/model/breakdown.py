"""Irregular working time: a machine that breaks down and is mended, or a crew with irregular hours.

The work in hand waits and goes on where it stopped. What the clock of the next breakdown counts must be said:

- `calendar`: the hours of the wall clock, whether the machine has work or not (`Uptime`, a rota like that of a crew,
  so that every bell is known before the work begins);
- `working`: only the hours of work (`Wear`): an idle machine does not break.

Both begin mended, at the hour given.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import Literal

from farmsim.model.calendar import Shift, ticks
from farmsim.model.luck import Luck, Spread


@dataclass(frozen=True, slots=True)
class Breakdowns:
    """How often and for how long a machine stands still.

    up: hours between the end of a repair and the next breakdown [h of `clock`]
    down: hours a repair takes [h]
    """

    up: Spread
    down: Spread
    clock: Literal["calendar", "working"] = "calendar"


class Uptime:
    """A rota of irregular shifts: at work until it breaks, back when it is mended. The wall clock counts."""

    def __init__(self, breaks: Breakdowns, luck: Luck, name: str, people: int = 1, start: float = 0.0) -> None:
        self._up = luck.stream(breaks.up, "breakdown: up", name)
        self._down = luck.stream(breaks.down, "breakdown: down", name)
        self._people = tuple(range(people))
        self._next_begin = start
        self._shifts: list[Shift] = []
        self._ends: list[float] = []

    def following(self, when: float) -> Shift:
        """The first stretch of working order that ends after `when` [h]."""
        while not self._ends or self._ends[-1] <= when:
            self._extend()
        return self._shifts[bisect_right(self._ends, when)]

    def _extend(self) -> None:
        number = len(self._ends)
        begin = self._next_begin
        end = begin + max(ticks(self._up[number]), ticks(1e-9))
        self._shifts.append(Shift(((begin, end),), self._people))
        self._ends.append(end)
        self._next_begin = end + ticks(self._down[number])


class Wear:
    """A machine that only breaks while it works: says when work that begins now is done, repairs included."""

    def __init__(self, breaks: Breakdowns, luck: Luck, name: str) -> None:
        self._up = luck.stream(breaks.up, "breakdown: up", name)
        self._down = luck.stream(breaks.down, "breakdown: down", name)
        self._count = 0
        self._left = ticks(self._up[0])  # working hours until the next breakdown
        self.repairs: list[tuple[float, float]] = []

    def finish(self, begin: float, hours: float) -> float:
        """When `hours` of work begun at `begin` are done; call it once for each task, in order [h]."""
        now = begin
        while hours > self._left:
            hours -= self._left
            broke = now + self._left
            now = broke + ticks(self._down[self._count])
            self.repairs.append((broke, now))
            self._count += 1
            self._left = ticks(self._up[self._count])
        self._left -= hours
        return now + hours
