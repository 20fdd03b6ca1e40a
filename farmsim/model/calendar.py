"""Working-time arithmetic: when people are at work, and when work that begins now is done.

Nothing here knows the clock of a run. A `Shift` is one stretch of presence with its breaks cut out; a `Rota` says which
shift comes next. Bells (shift ends, breaks) are known beforehand, so a task's end is worked out when it begins and
nothing is ever interrupted.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple, Protocol

from farmsim.model.total import total

TICKS_PER_HOUR: Final = 2.0**30
_COARSE: Final = 6291456.0  # 1.5 * 2^22: floats near it lie one tick apart, so adding it rounds to whole ticks
DAY: Final = 24.0
WEEK: Final = 168.0
FOREVER: Final = float("inf")
NEVER: Final = float("inf")
NAN: Final = float("nan")
"""An hour that has not come, or that nobody knows."""


def ticks(hours: float) -> float:
    """Hours rounded to whole ticks of 2^-30 h (3.4 microseconds), so that sums are exact and ties are true ties [h].

    Beyond 2^21 h (239 years) ticks grow coarser, as floats themselves do somewhat later.
    """
    return (hours + _COARSE) - _COARSE


class Stretch(NamedTuple):
    """What becomes of a task that begins in a shift."""

    end: float  # when the person stops: the task is done, or the bell rings [h]
    worked: float  # working time spent on it, overtime included [h]
    left: float  # what is still to do after `end` [h]
    overtime: float  # part of `worked` after the shift's end [h]


class Shift:
    """One stretch of presence: pieces of working time, who is there, and how long a task in hand may run over."""

    __slots__ = ("begin", "end", "overtime", "people", "pieces")

    def __init__(
        self, pieces: tuple[tuple[float, float], ...], people: tuple[int, ...] = (0,), overtime: float = 0.0
    ) -> None:
        self.pieces = pieces
        self.people = people
        self.overtime = overtime
        self.begin = pieces[0][0]
        self.end = pieces[-1][1]

    def open_from(self, when: float) -> float:
        """The first working instant at or after `when` in this shift; `FOREVER` when it is over [h]."""
        for begin, end in self.pieces:
            if when < end:
                return max(when, begin)
        return FOREVER

    def hours_until(self, when: float) -> float:
        """Working time from the begin to `when`, overtime left out [h]."""
        return total([min(end, when) - begin for begin, end in self.pieces if begin < when])

    def hours_left(self, when: float, overtime: float | None = None) -> float:
        """Working time from `when` to the end, the overtime a task in hand may take included [h].

        overtime: how much one person may still do, where that differs from the others [h]
        """
        left = self.overtime if overtime is None else overtime
        for begin, end in self.pieces:
            if end > when:
                left += end - max(begin, when)
        return left

    def last_start(self, hours: float, overtime: float | None = None) -> float:
        """From when on at the latest so much work is done in the shift and its overtime; -inf if it is too short [h]."""
        hours -= self.overtime if overtime is None else overtime
        for begin, end in reversed(self.pieces):
            if end - begin >= hours:
                return end - max(0.0, hours)
            hours -= end - begin
        return -FOREVER

    def finish(self, when: float, hours: float, overtime: float | None = None) -> Stretch:
        """Work `hours` from `when` on: through the breaks, at the end into overtime up to its limit, the rest is left.

        overtime: how much one person may still do, where that differs from the others [h]
        """
        worked = 0.0
        for begin, end in self.pieces:
            if end <= when:
                continue
            begin = max(begin, when)
            if worked + (end - begin) >= hours:
                return Stretch(begin + (hours - worked), hours, 0.0, 0.0)
            worked += end - begin
        extra = min(self.overtime if overtime is None else overtime, hours - worked)
        return Stretch(max(self.end, when) + extra, worked + extra, hours - worked - extra, extra)


class Rota(Protocol):
    """Says when a crew is there. `following(when)` is the first shift that ends after `when`, None when none ever comes."""

    def following(self, when: float) -> Shift | None: ...


class Always:
    """A crew that never goes home, such as a machine."""

    def __init__(self, people: int = 1) -> None:
        self._shift = Shift(((-FOREVER, FOREVER),), tuple(range(people)))

    def following(self, when: float) -> Shift | None:
        """The one shift that never ends."""
        return self._shift


class Weekly:
    """The same hours on the same weekdays for everybody, week after week; enough for a published case.

    `hours` maps a weekday (0 is Monday) to (start, end) [h of the day]; the farm's own rota is in `crew_rota`.
    """

    def __init__(self, hours: dict[int, tuple[float, float]], people: int = 1, overtime: float = 0.0) -> None:
        self._hours = hours
        self._people = tuple(range(people))
        self._overtime = overtime

    def following(self, when: float) -> Shift | None:
        """The first shift that ends after `when`."""
        for day in days_from(when - 2 * DAY, 10):
            span = self._hours.get(day % 7)
            if span is not None and day * DAY + span[1] > when:
                return Shift(((day * DAY + span[0], day * DAY + span[1]),), self._people, self._overtime)
        return None


def days_from(when: float, count: int) -> Iterator[int]:
    """Day numbers (0 is the Monday of the start week) from the day that holds `when` on."""
    first = int(when // DAY)
    return iter(range(first, first + count))


def pieces_of(begin: float, end: float, pause_at: float, pause: float) -> tuple[tuple[float, float], ...]:
    """A shift with one break of `pause` hours at `pause_at` cut out; whole when there is none [h]."""
    if pause <= 0.0 or not begin <= pause_at < pause_at + pause <= end:
        return ((begin, end),)
    pieces = ((begin, pause_at), (pause_at + pause, end))
    return tuple(piece for piece in pieces if piece[0] < piece[1])
