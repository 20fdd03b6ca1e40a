"""Which of the farm's states is in force when, and what the calendar makes of prices and energy in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

import numpy as np

from farmsim.money.days import days_of
from farmsim.record.tables import Figures, Numbers, Record
from farmsim.scenario.farm import Farm

NONE = float("nan")


class States:
    """The farm's first state and those its dated changes bring, as a run goes through them."""

    def __init__(self, record: Record) -> None:
        if record.farm is None:
            raise AssertionError("a record that does not know its farm cannot be put in money")
        self.farms: list[Farm] = [record.farm, *(state for _, state in record.farm.changes)]
        self._since = np.array([since for since, _ in record.farm.changes])
        self._first_day = record.first_day
        self._asked: dict[int, tuple[Figures, Numbers]] = {}

    def at(self, when: Figures) -> Numbers:
        """The number of the state in force at each moment [h]; of the very same moments it is looked up once."""
        asked = self._asked.get(id(when))
        if asked is None:
            found = np.searchsorted(self._since, when, side="right").astype(np.int64)
            asked = self._asked[id(when)] = when, found
        return asked[1]

    def factors(self, when: Figures, twelve: Callable[[Farm], tuple[float, ...]]) -> Figures:
        """At each moment the factor of its calendar month, as the farm is then.

        twelve: the twelve factors of a state, January first
        """
        table = np.array([twelve(farm) for farm in self.farms])
        found: Figures = table[self.at(when), self._months(when)]
        return found

    def _months(self, when: Figures) -> Numbers:
        days = days_of(self._first_day, when)
        return days.month[days.at(when)]

    def drift(self, when: Figures, of: str) -> Figures:
        """At each moment the factor of a yearly drift: a step on each anniversary of the start, none before the first.

        of: which, as the figures of [drift] are called
        """
        drift = self.farms[0].drift
        if drift is None or not (rate := getattr(drift, of)):
            return np.ones(len(when))
        days = days_of(self._first_day, when)
        by_day: Figures = (1.0 + rate) ** np.maximum(0, days.years)
        return by_day[days.at(when)]

    def values(self, names: Sequence[str], of: Callable[[Farm, str], list[float] | None]) -> Figures:
        """What each state says of each name; a name that is gone keeps what was said of it last.

        of: what a state says of a name; None when the state has no such thing
        """
        found = []
        for name in names:
            said = [of(farm, name) for farm in self.farms]
            known = [each for each in said if each is not None]
            last = known[0] if known else [NONE]
            column = []
            for each in said:
                last = last if each is None else each
                column.append(last)
            found.append(column)
        table: Figures = np.array(found, dtype=float)
        return table


def years_between(first: date, day: date) -> int:
    """Whole years from one day to another; one that ends on the day counts."""
    return day.year - first.year - ((day.month, day.day) < (first.month, first.day))
