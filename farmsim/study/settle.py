"""Has the farm filled up before the first measured week? MSER-5 on weekly series, confirmed by the drift of each run.

MSER-5 (White 1997): means of five weeks each; cut off so many at the front that the rest is known best. On a year of weeks
it lands on the end of its search range in one of ten perfectly steady farms (tried with 3,000 of them), so its word alone
is not taken: the runs must agree, too, that the series still moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from farmsim.study.answers import Drift, Known, Settled
from farmsim.study.precision import known

Rows = np.ndarray[tuple[int, int], np.dtype[np.float64]]  # one row a run, one column a week
BATCH = 5  # weeks in one mean
SURE = 0.99  # how sure the drift must be before it is called one
MATTERS = 0.02  # of the level, from the middle of the stretch to its end: less than this nobody would act on
SLOW = 0.03  # of the level; what comes in the same weeks of every run, a room emptied for cleaning, stays below it
DRIFTS = 0.05  # the same for stock, which is told and withholds nothing
FEWEST_RUNS, FEWEST_WEEKS = 3, 20  # with less there is nothing to judge by


@dataclass(frozen=True)
class Cut:
    """Where MSER-5 cuts: the first weeks to leave out, and whether the search could have gone on."""

    weeks: int
    statistics: tuple[float, ...]
    at_the_end: bool


def mser5(series: Sequence[float] | np.ndarray[tuple[int], np.dtype[np.float64]]) -> Cut:
    """MSER-5 of one series: sum of squares over the square of the count, searched over the first half."""
    values = np.asarray(series, dtype=float)
    count = len(values) // BATCH
    means = values[: count * BATCH].reshape(count, BATCH).mean(axis=1)
    last = count // 2
    found = [float(np.square(means[cut:] - means[cut:].mean()).sum() / (count - cut) ** 2) for cut in range(last + 1)]
    best = min(range(last + 1), key=lambda cut: (round(found[cut], 15), cut))
    return Cut(best * BATCH, tuple(found), best == last > 0)


def judge(series: dict[str, Rows]) -> Settled:
    """The farm is as settled as its least settled series (each: one row a run, one column a week)."""
    found = [_judge_one(name, rows) for name, rows in series.items()]
    order = ("settled", "too short to tell", "slow start", "did not settle")
    return max(found, key=lambda one: order.index(one.verdict), default=Settled("too short to tell"))


def _judge_one(name: str, rows: Rows) -> Settled:
    runs, weeks = rows.shape
    if runs < FEWEST_RUNS or weeks < FEWEST_WEEKS:
        return Settled("too short to tell", series=name)
    cut = mser5(rows.mean(axis=0))
    if cut.weeks == 0:
        return Settled("settled", series=name)
    level = abs(float(rows[:, cut.weeks :].mean()))
    if cut.at_the_end:
        drift = known(_slopes(rows), SURE)
        if _sure(drift) and abs(drift.value) * weeks / 2 > MATTERS * level:
            return Settled("did not settle", 0, cut.weeks, name, drift)
    step = known(rows[:, : cut.weeks].mean(axis=1) - rows[:, cut.weeks :].mean(axis=1), SURE)
    if _sure(step) and abs(step.value) > SLOW * level:
        return Settled("slow start", 0, cut.weeks, name)
    return Settled("settled", series=name)


def drift(rows: Rows) -> Drift | None:
    """How a series still moves (one row a run, one column a week); None if it does not surely, or hardly."""
    runs, weeks = rows.shape
    if runs < FEWEST_RUNS or weeks < FEWEST_WEEKS:
        return None
    growth, level = known(_slopes(rows), SURE), abs(float(rows.mean()))
    if not _sure(growth) or abs(growth.value) * weeks / 2 <= DRIFTS * level:
        return None
    return ends(rows)


def ends(rows: Rows) -> Drift:
    """The mean of a series in the first and in the last quarter of the weeks."""
    quarter = max(1, rows.shape[1] // 4)
    return Drift(float(rows[:, :quarter].mean()), float(rows[:, -quarter:].mean()))


def _slopes(rows: Rows) -> list[float]:
    """Growth of every run by least squares [unit per week]."""
    week = np.arange(rows.shape[1], dtype=float)
    week -= week.mean()
    return [float(value) for value in rows @ week / (week @ week)]


def _sure(figure: Known) -> bool:
    return figure.give is not None and abs(figure.value) > figure.give
