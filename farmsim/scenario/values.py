"""Small values that several topics share: days of the week, a range, a shift, days by the week."""

from __future__ import annotations

from dataclasses import dataclass

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@dataclass(frozen=True, slots=True)
class Range:
    """A lowest and a highest value, such as a range of temperatures [degC]."""

    low: float
    high: float

    def inside(self, other: Range) -> bool:
        """Whether the whole range lies within the other."""
        return other.low <= self.low and self.high <= other.high


@dataclass(frozen=True, slots=True)
class Shift:
    """Begin and end of a shift [hour of the day]; an end past 24 lies on the next day."""

    start: float
    end: float


@dataclass(frozen=True, slots=True)
class PerWeek:
    """So many days a week for each person, days off rotating through the crew."""

    days: int
