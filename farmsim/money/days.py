"""The calendar of a run's days, looked up in one table: dates are worked out once and not for every delivery."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from farmsim.record.tables import Figures, Numbers
from farmsim.units import HOURS_A_DAY

MONTHS_A_YEAR = 12
AT_ONCE = 512  # days: tables begin and end at multiples of it, so that one serves for all moments of a run


class Days(NamedTuple):
    """Days one after another, day by day: its month (0 is January), how many days that has, whole years since the start."""

    low: int
    month: Numbers
    of_month: Numbers
    years: Numbers

    def at(self, when: Figures) -> Numbers:
        """Where the day of each moment stands [h since the start]."""
        return np.floor_divide(when, HOURS_A_DAY).astype(np.int64) - self.low


def days_of(first_day: date, when: Figures) -> Days:
    """A table that holds the day of every moment [h since the first day]."""
    low, high = (int(when.min() // HOURS_A_DAY), int(when.max() // HOURS_A_DAY)) if len(when) else (0, 0)
    return _days(first_day, low // AT_ONCE * AT_ONCE, (high // AT_ONCE + 1) * AT_ONCE)


@lru_cache(maxsize=16)
def _days(first_day: date, low: int, high: int) -> Days:
    """low: number of the first day; high: of the day after the last."""
    days = np.datetime64(first_day, "D") + np.arange(low, high)
    months = days.astype("datetime64[M]")
    begins = months.astype("datetime64[D]")
    number = months.astype(np.int64)
    since = number - int(np.datetime64(first_day, "M").astype(np.int64))
    # A year is whole on the day that has the number of the first day; after a 29 February on the 1 March.
    passed = since - ((days - begins).astype(np.int64) + 1 < first_day.day)
    of_month = ((months + 1).astype("datetime64[D]") - begins).astype(np.int64)
    return Days(low, number % MONTHS_A_YEAR, of_month, passed // MONTHS_A_YEAR)


def month_ends(first: date, days: int) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which of so many days from the first on are the last of their month."""
    mornings = HOURS_A_DAY * np.arange(days + 1, dtype=np.float64)
    table = days_of(first, mornings)
    month = table.month[table.at(mornings)]
    found: np.ndarray[tuple[int], np.dtype[np.bool_]] = month[1:] != month[:-1]
    return found
