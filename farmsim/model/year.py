"""The calendar year: which month an hour lies in, and on which days the farm stands still."""

from __future__ import annotations

import datetime

from farmsim.model.calendar import DAY
from farmsim.scenario.farm import Farm
from farmsim.scenario.seasons import STOPS

Shut = dict[str, frozenset[int]]
"""By what does not take place: the days without it, counted from the start day."""


class Year:
    """Dates, found from the hours and days of a run."""

    def __init__(self, start: datetime.date) -> None:
        self._start = start
        self._months: dict[int, int] = {}

    def month(self, hour: float) -> int:
        """The month an hour lies in; 0 is January."""
        day = int(hour // DAY)
        found = self._months.get(day)
        if found is None:
            found = self._months[day] = (self._start + datetime.timedelta(days=day)).month - 1
        return found


def shut_days(farm: Farm) -> Shut:
    """The days on which nothing is started, nothing delivered, or nobody works."""
    found: dict[str, set[int]] = {what: set() for what in STOPS}
    for shut in farm.shut:
        days = range((shut.first - farm.farm.start).days, (shut.end - farm.farm.start).days + 1)
        for what in shut.stops:
            found[what].update(days)
    return {what: frozenset(days) for what, days in found.items()}


def next_day(when: float, shut: frozenset[int]) -> float:
    """The same hour on the next day that is not among `shut` [h]."""
    when += DAY
    while int(when // DAY) in shut:
        when += DAY
    return when
