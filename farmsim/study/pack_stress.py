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


def stressed(
    key: str,
    told: str,
    runs: Sequence[RunTables],
    plan: Sequence[RunTables],
    opens: int,
    by: str,
    is_simulated: bool,
) -> Stressed:
    """What a farm comes to after a blow, in its worst year, beside the plan in the same year and over the same runs.

    runs, plan: those after the blow and as planned, with their books by year
    opens: the first year that may be told; by: the coverage by which the worst is found
    is_simulated: whether the farm works otherwise after it, so that it was simulated anew and not only put in other money
    """
    years, planned = (frames.frames([{YEARS: run[YEARS]} for run in each])[YEARS] for each in (runs, plan))
    year = worst_year(years, by, opens)
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
        by_year=_by_year(years, COVERAGE),
        simple_by_year=_by_year(years, SIMPLE),
        planned_coverage=_total(of_year(planned, COVERAGE, year)),
        planned_simple=_total(of_year(planned, SIMPLE, year)),
    )


def worst_year(years: pd.DataFrame, by: str, opens: int) -> int:
    """The year with the lowest usual coverage from the opening on; the first of those, where years are alike.

    A year in which a run has nothing to cover has none; where none has one, that with the least left after all payments.
    """
    numbers = [int(number) for number in sorted(years["year"].unique()) if number >= opens]
    for line in (by, MARGIN):
        usual = {
            number: found.usual for number in numbers if (found := _total(of_year(years, line, number))) is not None
        }
        if usual:
            return min(usual, key=lambda number: usual[number])
    raise AssertionError("no year of the books comes after the opening")


def _by_year(years: pd.DataFrame, line: str) -> tuple[Total | None, ...]:
    return tuple(_total(of_year(years, line, int(number))) for number in sorted(years["year"].unique()))


def _most(years: pd.DataFrame, name: str) -> Figures:
    """The most of something over all years, run by run."""
    found: Figures = years.groupby("run")[name].max().to_numpy(dtype=np.float64)
    return found


def _total(values: Figures) -> Total | None:
    """Over runs; None where a run has nothing to cover."""
    return None if np.isnan(values).any() else total(values.tolist())
