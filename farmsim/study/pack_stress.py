"""Blows, each simulated again on the luck of the plan: what a year's coverage and the lowest cash then come to."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.record.tables import Figures
from farmsim.study import frames
from farmsim.study.answers import Total
from farmsim.study.pack_answers import Stressed
from farmsim.study.pack_sides import of_year
from farmsim.study.weeks import total

YEARS = "books_years"
COVERAGE, SIMPLE, MARGIN = "term_debt_coverage", "simple_debt_service_coverage", "capital_debt_repayment_margin"


def stressed(key: str, told: str, runs: Sequence[RunTables], year: int, is_simulated: bool) -> Stressed:
    """What a farm comes to after a blow.

    runs: its runs, with their books by year; year: of which its coverages and its margin are told
    is_simulated: whether the farm works otherwise after it, so that it was simulated anew and not only put in other money
    """
    years = frames.frames([{YEARS: run[YEARS]} for run in runs])[YEARS]
    margin, missing = of_year(years, MARGIN, year), _most(years, "not_covered")
    return Stressed(
        key=key,
        told=told,
        year=year,
        runs=len(runs),
        simulated=is_simulated,
        coverage=_total(of_year(years, COVERAGE, year)),
        simple=_total(of_year(years, SIMPLE, year)),
        margin=total(margin.tolist()),
        short_in=int((margin < 0).sum()),
        lowest=total(years.groupby("run")["lowest_cash"].min()),
        line_most=total(_most(years, "line_most").tolist()).usual,
        missing=total(missing.tolist()).usual,
        missing_in=int((missing > 0).sum()),
        by_year=tuple(_total(of_year(years, COVERAGE, int(number))) for number in sorted(years["year"].unique())),
    )


def _most(years: pd.DataFrame, name: str) -> Figures:
    """The most of something over all years, run by run."""
    found: Figures = years.groupby("run")[name].max().to_numpy(dtype=np.float64)
    return found


def _total(values: Figures) -> Total | None:
    """Over runs; None where a run has nothing to cover."""
    return None if np.isnan(values).any() else total(values.tolist())
