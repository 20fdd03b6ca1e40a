"""The farm without the expansion and with it, each with its runs on common luck, its tables and its books."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.record.tables import Figures
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.study import frames, headroom, tight
from farmsim.study.books import TABLES, kept
from farmsim.study.books_answers import Kept, YearTold
from farmsim.study.changes import weeks_before

OF_BOTH = ("weekly", "months", "books_customers", *tight.TABLES, *headroom.TABLES)
"""Tables that are looked into besides those of the books."""
TAKEN = (*TABLES, *OF_BOTH)
DAYS_A_WEEK = 7


@dataclass(frozen=True)
class Side:
    """One of the two farms, over all its runs.

    runs: tables of every run, in their order; tables: all runs under one another, by name
    """

    farm: Farm
    weeks: int
    runs: Sequence[RunTables]
    tables: Mapping[str, pd.DataFrame]
    kept: Kept

    @property
    def told(self) -> int:
        """Weeks since the last dated change, of which tables without dates are [weeks]."""
        return self.weeks - weeks_before(self.farm, self.weeks)

    def by_run(self, line: str, year: int) -> Figures:
        """A line of the books of a year, one figure a run, in the order of the runs [unit of the line]."""
        return of_year(self.kept.runs_years, line, year)

    def rows_of(self, year: int) -> pd.DataFrame:
        """A year of the books, one row a run, in the order of the runs."""
        return rows_of(self.kept.runs_years, year)

    def weeks_of(self, year: YearTold) -> range:
        """The measured weeks that begin in a year of the books, counted from 1."""
        first, last = ((date.fromisoformat(day) - self.farm.farm.start).days for day in (year.first, year.last))
        return range(math.ceil(first / DAYS_A_WEEK) + 1, last // DAYS_A_WEEK + 2)


def side(farm: Farm, runs: Sequence[RunTables], weeks: int, seed: int, lead_in: int) -> Side:
    """One farm with its runs summed up."""
    told = weeks - weeks_before(farm, weeks)
    wanted = [{name: run[name] for name in OF_BOTH if name in run} for run in runs]
    return Side(farm, weeks, runs, frames.frames(wanted), kept(farm, runs, seed, lead_in, told))


def of_year(years: pd.DataFrame, line: str, year: int) -> Figures:
    """A line of a year, one figure a run, in the order of the runs; years: "books_years" of all runs."""
    found: Figures = rows_of(years, year)[line].to_numpy(dtype=np.float64)
    return found


def rows_of(years: pd.DataFrame, year: int) -> pd.DataFrame:
    """A year of all runs, one row a run, in the order of the runs."""
    return years[years["year"] == year].sort_values("run")


def states(farm: Farm) -> Iterator[tuple[float, Farm]]:
    """The farm as it begins and as each of its dated changes makes it, with the hour from which it is so [h]."""
    yield 0.0, farm
    yield from farm.changes


def customers(farm: Farm) -> dict[tuple[str, str], Customer | BlockCustomer]:
    """Everybody a state of the farm sells to, by name and by what: "kg" of mushrooms, or "blocks"."""
    fresh = {(each.name, "kg"): each for each in farm.customer}
    return fresh | {(each.name, "blocks"): each for each in farm.block_customer}
