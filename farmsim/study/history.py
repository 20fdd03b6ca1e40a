"""The farm's own twelve months beside the model's: which lie where a year of the model may lie, and which do not.

The farm's year is one draw of what might have happened, as each run is. So it is not held against the mean of the runs
but against where single runs lie: nine runs in ten, with as many below as above. That holds whatever the shape of the
spread. By luck alone one total in ten lies outside even when the model is right, and so does one month in ten; months of
one year are alike, so how many of the twelve may lie outside is counted run by run, each held against all the others.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from farmsim.scenario.farm import Farm
from farmsim.study.own_year import Beside, Compared, OwnYear
from farmsim.study.precision import of_runs
from farmsim.units import HOURS_A_DAY

LEVEL = 0.9  # of the runs lie between the bounds shown
LOW, HIGH = (1 - LEVEL) / 2, (1 + LEVEL) / 2
ENOUGH = 19  # runs, the fewest of which the lowest and the highest bound nine in ten of all to come
ALMOST_ALL = 0.95  # of the runs have no more months outside than this many
WHOLE = "all"
Runs = np.ndarray[tuple[int, int], np.dtype[np.float64]]  # one row a run, one column a month

MEASURED: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "blocks_made": ("blocks", ("blocks_made",)),
    "blocks_sold": ("blocks", ("blocks_sold",)),
    "picked": ("kg", ("picked_kg",)),
    "sold": ("kg", ("sold_kg", "outlet_kg")),
    "paid_hours": ("h", ("paid_h",)),
}
"""What the farm may give, its unit, and the measures that add up to it."""


@dataclass(frozen=True)
class Stretch:
    """The farm and the weeks in which the months lie; is_own: they lie in the weeks that the study measures anyway."""

    farm: Farm
    weeks: int
    is_own: bool


def stretch(farm: Farm, weeks: int) -> Stretch | None:
    """Where the months are to be found; None of a farm that gives none.

    In the study's own weeks if they hold all twelve. Else, if the months come after the farm's first day, in longer runs
    from that day on; if they come before it, in runs of the farm as it begins, from the Monday on or before their first day.
    """
    history, start = farm.history, farm.farm.start
    if history is None:
        return None
    if history.from_ < start:
        monday = history.from_ - timedelta(days=history.from_.weekday())
        return Stretch(begun_on(farm, monday), _weeks(monday, history.end), False)
    needed = _weeks(start, history.end)
    return Stretch(farm, max(weeks, needed), needed <= weeks)


def begun_on(farm: Farm, monday: date) -> Farm:
    """The farm with another first day, its changes on the dates they had."""
    hours = (farm.farm.start - monday).days * HOURS_A_DAY
    about = farm.farm.but(start=monday)
    later = tuple((since + hours, state.but(farm=about)) for since, state in farm.changes)
    return farm.but(farm=about, changes=later, phases=())


def _weeks(first: date, end: date) -> int:
    return math.ceil((end - first).days / 7)


def compare(farm: Farm, months: pd.DataFrame, of: Stretch) -> OwnYear:
    """The farm's own months beside those of the runs.

    months: the "months" table of all runs, in which all twelve are whole
    """
    history = farm.history
    assert history is not None
    kept = months[months["month"].isin(history.months)]
    found = []
    for name, own in history.totals.items():
        unit, measures = MEASURED[name]
        by_run = kept.assign(sum=kept[list(measures)].sum(axis=1)).pivot(index="run", columns="month", values="sum")
        found.append(_compared(name, unit, own, by_run[list(history.months)].to_numpy(float)))
    return OwnYear(history.months, months["run"].nunique(), of.is_own, of.farm.farm.start.isoformat(), tuple(found))


def _compared(name: str, unit: str, own: Sequence[float], runs: Runs) -> Compared:
    months = tuple(beside(one, runs[:, at]) for at, one in enumerate(own))
    most = None
    if len(runs) > ENOUGH:
        counts = [months_outside(run, np.delete(runs, at, axis=0)) for at, run in enumerate(runs)]
        most = int(np.quantile(counts, ALMOST_ALL, method="inverted_cdf"))
    return Compared(name, unit, beside(sum(own), runs.sum(axis=1)), months, len(own) * (1 - LEVEL), most)


def beside(own: float, runs: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Beside:
    """One figure of the farm beside that of every run; no verdict from too few of them."""
    mean, low, high = float(runs.mean()), of_runs(runs, LOW), of_runs(runs, HIGH)
    near = 1e-9 * max(abs(low), abs(high), 1.0)  # sums of the same amounts in another order
    if len(runs) < ENOUGH:
        return Beside(own, mean, low, high, "too few runs")
    verdict = "model too high" if own < low - near else "model too low" if own > high + near else "inside"
    return Beside(own, mean, low, high, verdict)


def months_outside(own: Sequence[float] | np.ndarray[tuple[int], np.dtype[np.float64]], runs: Runs) -> int:
    """How many months lie outside of where nine of ten of these runs lie."""
    return sum(beside(float(one), runs[:, at]).is_outside for at, one in enumerate(own))


def table(found: OwnYear) -> pd.DataFrame:
    """One row for each figure and month, and for all twelve."""
    rows = []
    for one in found.figures:
        for month, row in zip((*found.months, WHOLE), (*one.months, one.whole), strict=True):
            rows.append((one.name, one.unit, month, row.own, row.mean, row.low, row.high, row.verdict))
    return pd.DataFrame(rows, columns=["figure", "unit", "month", "farm", "mean", "low", "high", "verdict"])
