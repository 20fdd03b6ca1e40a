"""How a question about guesses is put so that it is done in the time there is: which guesses, how many runs, about how long."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from farmsim.errors import FarmsimError, ScenarioFault
from farmsim.scenario.doubt import Doubt, Left, doubts
from farmsim.scenario.figure_at import Figures
from farmsim.study import bounds
from farmsim.study.effects import FEWEST_ROWS, FEWEST_STARTS
from farmsim.study.trials import Brief, Case, Tally, Trials

LUCKS = 2  # runs of each farm: two stretches of luck tell an effect from luck
MOST_LUCKS = 100
MINUTES, MOST_MINUTES = 3.0, 10_000.0
MOST_DOUBTS = 20
MOST_STARTS, MOST_ROWS = 30, 256
FEW, SHARED = 5, 4  # of those that matter, so many are looked at closely
SCREENING, ENDS = 0.7, 0.25  # shares of the time where it is too short for more
SCREENING_FIRST, ENDS_NEXT = 0.45, 0.15  # where the rest is enough to find out how much of the spread goes back to what
FEWEST_ENDS, MOST_ENDS = 5, 40  # runs of each farm at an end


class NoTime(FarmsimError, ValueError):
    """A time was given where nobody can tell how many runs fit into it."""

    exit_code = 2


class TooShort(FarmsimError, ValueError):
    """Less time than the question takes at the very least."""

    exit_code = 2


@dataclass(frozen=True)
class Plan:
    """How the question is put.

    starts: starting points of the screening; lucks: runs of each farm in it; ends_lucks: of each farm at an end
    seconds: one run [s], None on a cluster: it takes other time there; hands: runs at once
    budget: runs that fit into the time
    """

    book: Figures
    doubts: tuple[Doubt, ...]
    left: tuple[Left, ...]
    starts: int
    lucks: int
    ends_lucks: int
    seconds: float | None
    hands: int
    budget: int
    few: int = FEW
    shared: int = SHARED

    @property
    def runs(self) -> int:
        """About how many runs it takes, if as many matter as are looked at closely."""
        spent = self._spent(min(self.few, len(self.doubts)))
        shared = min(self.shared, len(self.doubts))
        return spent + self.rows_for(shared, self.budget - spent) * (shared + 2) * self.lucks

    @property
    def minutes(self) -> float | None:
        """About how long that takes [min]; None where nobody can tell."""
        return None if self.seconds is None else self.runs * self.seconds / self.hands / 60

    @property
    def ends_numbers(self) -> range:
        """The runs of the farm as it is and at its ends: on luck that had no say in which ends are looked at."""
        first = self.starts * self.lucks
        return range(first, first + self.ends_lucks)

    def _spent(self, few: int) -> int:
        return _screening(len(self.doubts), self.starts, self.lucks) + (2 * few + 1) * self.ends_lucks

    def left_after(self, few: int) -> int:
        """Runs that are left for the shares, once so many were looked at closely."""
        return self.budget - self._spent(few)

    def rows_for(self, shared: int, trials_left: int) -> int:
        """Rows behind the shares that so many runs allow, a power of 2; 0 when they are too few."""
        if not shared:
            return 0
        rows = FEWEST_ROWS
        while rows * 2 <= MOST_ROWS and rows * 2 * (shared + 2) * self.lucks <= trials_left:
            rows *= 2
        return rows if rows * (shared + 2) * self.lucks <= trials_left else 0

    def least_rows_runs(self, shared: int) -> int:
        """Runs that the shares take at least."""
        return FEWEST_ROWS * (shared + 2) * self.lucks


def plan(
    book: Figures,
    ranges: Sequence[str] = (),
    most: int | None = MOST_DOUBTS,
    lucks: int = LUCKS,
    minutes: float = MINUTES,
    runs: int | None = None,
    brief: Brief | None = None,
    is_timed: bool = True,
) -> Plan:
    """How the guesses of a farm are looked into within a time; makes two runs to see how long one takes.

    ranges: given ranges, "strain.shiitake.picking.pace=15:22"; most: of the others so many figures at most, None for all
    lucks: runs of each farm [runs]; minutes: the time there is [min]
    runs: about how many runs in all instead, which is the same on every machine [runs]; a cluster needs it
    is_timed: with a number of runs, whether it is to be told how long they take
    Goes wrong when a range is none (NoSuchFigure), nothing is in doubt or the time is too short (TooShort), or there is a
    cluster and no number of runs (NoTime).
    """
    brief = brief or Brief()
    bounds.whole("runs of each farm", lucks, LUCKS, MOST_LUCKS)
    found, left = doubts(book, ranges)
    found, refused = _possible(book, found, ranges)
    left = [*left, *refused]
    if most is not None and len(found) > max(most, len(ranges)):
        kept = max(most, len(ranges))
        left += [
            Left(each.name, each.meaning, f"only {kept} are moved, those of most things first", "--all moves all")
            for each in found[kept:]
        ]
        found = found[:kept]
    if not found:
        raise TooShort(
            f"{book.farm.farm.name} has no guess that could be moved: give figures with --figure path=low:high"
        )
    is_timed = not brief.where.cluster and (is_timed or runs is None)
    seconds, hands = _one_run(book, brief) if is_timed else None, brief.where.hands
    budget = _fit(minutes, seconds, hands) if runs is None else runs
    rest = (1 - SCREENING_FIRST - ENDS_NEXT) * budget
    is_roomy = rest >= FEWEST_ROWS * (min(SHARED, len(found)) + 2) * lucks
    first, next_ = (SCREENING_FIRST, ENDS_NEXT) if is_roomy else (SCREENING, ENDS)
    starts = int(first * budget / _screening(len(found), 1, lucks))
    if starts < FEWEST_STARTS:
        raise _too_short(len(found), len(ranges), lucks, budget, seconds and seconds / hands / 60)
    ends = int(next_ * budget / (2 * FEW + 1))
    return Plan(book, tuple(found), tuple(left), min(starts, MOST_STARTS), lucks, max(FEWEST_ENDS, min(ends, MOST_ENDS)),
                seconds, hands, budget)  # fmt: skip


def _fit(minutes: float, seconds: float | None, hands: int) -> int:
    """Runs that fit into a time."""
    if seconds is None:
        raise NoTime(
            "how many runs a cluster does in a time is not known here, as its workers come and go; say with --runs "
            "about how many runs in all"
        )
    return int(minutes * 60 * hands / seconds)


def _too_short(figures: int, given: int, lucks: int, budget: int, minutes: float | None) -> TooShort:
    """That the time is too short, with what it would take.

    given: figures that are moved in any case; minutes: what one run takes [min], None where nobody can tell
    """
    least = math.ceil(_screening(figures, FEWEST_STARTS, lucks) / SCREENING)
    fit = int(SCREENING * budget / FEWEST_STARTS / lucks) - 1
    fewer = f", or fewer figures (--most {fit})" if fit >= max(1, given) else ""
    taken = f"{_taken(figures)} at least {least:,} runs"
    if minutes is None:
        return TooShort(f"{taken}; give more (--runs {least}){fewer}")
    more = f"--budget {math.ceil(1.1 * least * minutes):,} or more, or --runs {least}"
    return TooShort(f"{taken}, about {least * minutes:,.1f} min here; give more time ({more}){fewer}")


def _taken(figures: int) -> str:
    """So many figures, and that they take something."""
    return "1 figure takes" if figures == 1 else f"{figures} figures take"


def _screening(figures: int, starts: int, lucks: int) -> int:
    """Runs of a screening."""
    return (figures + 1) * starts * lucks


def _possible(book: Figures, found: Sequence[Doubt], ranges: Sequence[str]) -> tuple[list[Doubt], list[Left]]:
    """The doubts that can be moved to both of their ends; a range that was given and cannot be is a fault."""
    kept, left = [], []
    for at, doubt in enumerate(found):
        try:
            for share in (0.0, 1.0):
                book.farm_with(doubt.values(share))
        except ScenarioFault as fault:
            if at < len(ranges):
                raise
            left.append(
                Left(doubt.name, doubt.meaning, f"{doubt.low} to {doubt.high} is not possible: {fault.faults[0]}")
            )
            continue
        kept.append(doubt)
    return kept, left


def _one_run(book: Figures, brief: Brief) -> float:
    """How long one run takes here [s]: the second, as the first also loads what all runs need."""
    with Trials(book.farm, replace(brief, store=None, progress=None, tally=Tally())) as trials:
        trials.take([Case(book.farm, 0)])
        began = time.perf_counter()
        trials.take([Case(book.farm, 1)])
        return max(time.perf_counter() - began, 1e-3)
