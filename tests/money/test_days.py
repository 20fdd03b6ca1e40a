"""The table of days says of every day what the calendar says."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta

import numpy as np
import pytest

from farmsim.money.days import days_of, month_ends
from farmsim.money.states import years_between


@pytest.mark.parametrize("first", [date(2027, 1, 4), date(2028, 2, 29), date(2023, 3, 1), date(2027, 12, 31)], ids=str)
def test_every_day_is_told_as_the_calendar_tells_it(first: date) -> None:
    when = 24.0 * np.arange(-400, 2000) + 5.5
    table = days_of(first, when)
    at = table.at(when)
    told = list(zip(*(column[at].tolist() for column in (table.month, table.of_month, table.years)), strict=True))
    days = [first + timedelta(days=number) for number in range(-400, 2000)]
    assert told == [(day.month - 1, monthrange(day.year, day.month)[1], years_between(first, day)) for day in days]


def test_a_moment_before_midnight_is_of_the_day_before() -> None:
    when = np.array([-0.5, 0.0, 23.5, 24.0])
    table = days_of(date(2027, 1, 1), when)
    assert table.month[table.at(when)].tolist() == [11, 0, 0, 0]


def test_no_moments_need_no_day() -> None:
    table = days_of(date(2027, 1, 4), np.empty(0))
    assert table.at(np.empty(0)).tolist() == []


def test_months_end_on_their_last_days() -> None:
    first = date(2028, 2, 28)
    ends = [str(first + timedelta(days=int(day))) for day in np.flatnonzero(month_ends(first, 40))]
    assert ends == ["2028-02-29", "2028-03-31"]
