"""What was seen in a run of a small line: the times of every lot, and means over time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from farmsim.model.calendar import NAN
from farmsim.record.journal import Array

Numbers: TypeAlias = NDArray[np.float64]

INSIDE, WENT_OUT, TURNED_AWAY, SPOILED = range(4)
FATES = ("inside", "out", "turned away", "spoiled")
"""What became of a lot by the end; `Lots.fate` counts in this list."""


@dataclass(frozen=True, slots=True)
class Lots:
    """One row a lot, in the order of arrival.

    kind: which of the line's arrivals it belongs to [index]
    arrived: when it came to the door [h]
    out: when it went out or was lost; not a number while inside [h]
    fate: counts in `FATES`
    """

    kind: NDArray[np.int64]
    arrived: Numbers
    out: Numbers
    fate: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Visits:
    """One row for each lot in one stage, in the order in which they asked; what has not happened is not a number.

    lot: row in `Lots`
    asked: wanted to come in [h]; came: was in, waiting or not [h]; started, ready: work begun, and done [h]; left [h]

    Work of people that is in hand at the end of the run counts as not started.
    """

    lot: NDArray[np.int64]
    asked: Numbers
    came: Numbers
    started: Numbers
    ready: Numbers
    left: Numbers


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen from hour 0 to `end` [h]. A window is `since` <= hour < `until`; untold, the whole run."""

    end: float
    lots: Lots
    at: dict[str, Visits]
    tasks: dict[str, Array]
    """What people did, as in the journal's table of that name; crews and duties count in the order of the line."""
    rostered: dict[str, Array]
    """When people came for how long, as in the journal's table of that name."""

    def waits(self, stage: str, since: float = 0.0, until: float | None = None) -> Numbers:
        """How long each lot waited that came in the window, until its work began; not a number if it never did [h]."""
        visits = self.at[stage]
        chosen = self._in(visits.came, since, until)
        return visits.started[chosen] - visits.came[chosen]

    def mean_inside(self, stage: str, since: float = 0.0, until: float | None = None) -> float:
        """Lots in the stage, waiting, in work or stuck, on average over time [lots]."""
        visits = self.at[stage]
        return self._mean(visits.came, visits.left, since, until)

    def mean_waiting(self, stage: str, since: float = 0.0, until: float | None = None) -> float:
        """Lots in the stage whose work has not begun, on average over time [lots]."""
        visits = self.at[stage]
        return self._mean(visits.came, np.fmin(visits.started, _end(visits.left, self.end)), since, until)

    def mean_working(self, stage: str, since: float = 0.0, until: float | None = None) -> float:
        """Lots in work, shift ends and breakdowns included, on average over time [lots]."""
        visits = self.at[stage]
        return self._mean(visits.started, visits.ready, since, until)

    def mean_stuck(self, stage: str, since: float = 0.0, until: float | None = None) -> float:
        """Lots that are done and have nowhere to go, on average over time [lots]."""
        visits = self.at[stage]
        return self._mean(visits.ready, visits.left, since, until)

    def mean_in_line(self, since: float = 0.0, until: float | None = None) -> float:
        """Lots between arrival and the way out, those at the door included, on average over time [lots]."""
        return self._mean(self.lots.arrived, self.lots.out, since, until)

    def done(self, stage: str, since: float = 0.0, until: float | None = None) -> int:
        """Lots whose work in the stage was done in the window [lots]."""
        return int(self._in(self.at[stage].ready, since, until).sum())

    def out(self, since: float = 0.0, until: float | None = None) -> int:
        """Lots that went out in the window, whole and well [lots]."""
        return int((self._in(self.lots.out, since, until) & (self.lots.fate == WENT_OUT)).sum())

    def rate(self, since: float = 0.0, until: float | None = None) -> float:
        """Lots out an hour in the window [lots/h]."""
        return self.out(since, until) / ((self.end if until is None else until) - since)

    def share(self, fate: int, since: float = 0.0, until: float | None = None) -> float:
        """Of the lots that arrived in the window and are no longer inside, the share with this fate [fraction]."""
        gone = self.lots.fate[self._in(self.lots.arrived, since, until) & (self.lots.fate != INSIDE)]
        return float((gone == fate).mean())

    def _in(self, when: Numbers, since: float, until: float | None) -> NDArray[np.bool_]:
        return np.asarray((when >= since) & (when < (np.inf if until is None else until)))

    def _mean(self, begin: Numbers, end: Numbers, since: float, until: float | None) -> float:
        until = self.end if until is None else until
        overlap = np.minimum(_end(end, until), until) - np.maximum(begin, since)
        return float(np.nansum(np.maximum(overlap, 0.0)) / (until - since))


def _end(when: Numbers, horizon: float) -> Numbers:
    """What has not ended yet is still so at the horizon."""
    return np.where(np.isnan(when), horizon, when)


class LotBook:
    """Who came, and what became of them; plain numbers by the lot's number, as for visits."""

    def __init__(self) -> None:
        self._kind: list[int] = []
        self._arrived: list[float] = []
        self._out: list[float] = []
        self._fate: list[int] = []

    def comes(self, kind: int, when: float) -> int:
        """A lot of a kind arrives; says its number."""
        self._kind.append(kind)
        self._arrived.append(when)
        self._out.append(NAN)
        self._fate.append(INSIDE)
        return len(self._kind) - 1

    def goes(self, number: int, fate: int, when: float) -> None:
        """It goes out, or is lost."""
        self._fate[number] = fate
        self._out[number] = when

    def lots(self) -> Lots:
        """All lots as columns."""
        whole = np.array([self._kind, self._fate], dtype=np.int64)
        return Lots(whole[0], np.array(self._arrived, np.float64), np.array(self._out, np.float64), whole[1])


class Visit:
    """A lot in a stage, while it lasts; `rows` is where it is written down when it is over."""

    __slots__ = ("asked", "came", "lot", "ready", "rows", "started")

    def __init__(self, rows: list[float], lot: int, asked: float) -> None:
        self.rows = rows
        self.lot = lot
        self.asked = asked
        self.came = self.started = self.ready = NAN

    def over(self, left: float) -> None:
        """Write it down. Plain numbers in a row, because millions of small objects slow Python down."""
        self.rows.extend((self.lot, self.asked, self.came, self.started, self.ready, left))


def visits_of(rows: list[float]) -> Visits:
    """Rows of visits as columns, in the order of asking."""
    table = np.array(rows, dtype=np.float64).reshape(-1, 6)
    table = table[np.lexsort((table[:, 0], table[:, 1]))]
    return Visits(table[:, 0].astype(np.int64), *table[:, 1:].T.copy())
