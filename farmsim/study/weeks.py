"""How much comes out: the usual, thin and fat week, the whole run, and the months."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Sequence
from datetime import date

import numpy as np
import pandas as pd

from farmsim.study.answers import Known, Month, Total, Week
from farmsim.study.precision import between, known, of_runs, quantile

THIN, USUAL, FAT = 0.1, 0.5, 0.9
NEARLY_WHOLE = 3  # days that may be missing of a month that still counts as a whole one


def weeks(weekly: pd.DataFrame) -> dict[str, Week]:
    """Every weekly measure over all weeks of all runs, and how well each figure is known."""
    measures = [column for column in weekly.columns if column not in ("run", "week")]
    return {name: _week(weekly, name) for name in measures}


def _week(weekly: pd.DataFrame, name: str) -> Week:
    one_a_run = [group.to_numpy() for _, group in weekly.groupby("run")[name]]
    shares = {share: _pooled(weekly[name].to_numpy(), one_a_run, share) for share in (THIN, USUAL, FAT)}
    return Week(shares[THIN], shares[USUAL], shares[FAT], known([float(run.mean()) for run in one_a_run]))


def _pooled(every: np.ndarray, one_a_run: Sequence[np.ndarray], share: float) -> Known:
    """A quantile of all weeks together; its give is that of the same quantile run by run."""
    return Known(quantile(every, share), known([quantile(run, share) for run in one_a_run]).give)


def totals(weekly: pd.DataFrame) -> dict[str, Total]:
    """Every weekly measure added up over each run."""
    sums = weekly.drop(columns="week").groupby("run").sum()
    found = {str(name): total(sums[name]) for name in sums.columns}
    for of, promised, delivered in (
        ("kg", "promised_kg", "delivered_kg"),
        ("blocks", "blocks_promised", "blocks_delivered"),
    ):
        if (sums[promised] > 0).all():
            found[f"delivered_share_{of}"] = total(sums[delivered] / sums[promised])
    return found


def total(runs: Sequence[float] | pd.Series[float]) -> Total:
    """One figure a run: mean, and where eight runs in ten lie."""
    values = tuple(float(value) for value in runs)
    low, usual, high = (of_runs(values, share) for share in (THIN, USUAL, FAT))
    return Total(known(values), low, usual, high, values, between(values, THIN), between(values, FAT))


def months(table: pd.DataFrame, start: date) -> tuple[Month, ...]:
    """The harvest month by month, over runs [kg]."""
    found = []
    for label, group in table.groupby("month", sort=False):
        year, month = (int(part) for part in str(label).split("-"))
        first, days = max(start, date(year, month, 1)), round(float(group["days"].iloc[0]))
        kg = group["picked_kg"].to_numpy()
        found.append(
            Month(
                first=first.isoformat(),
                days=days,
                whole=days >= monthrange(year, month)[1] - NEARLY_WHOLE,
                thin=of_runs(kg, THIN),
                usual=of_runs(kg, USUAL),
                fat=of_runs(kg, FAT),
                a_week=float(kg.mean()) / days * 7,
            )
        )
    return tuple(found)
