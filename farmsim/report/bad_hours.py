"""Bad hours in words: when a place is full with lots waiting, when a crew leaves work lying."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report.words import DAYS, week_hour
from farmsim.study.answers import Crew, Place

Row = Place | Crew
WEEK = 168


def bad_rows(rows: Sequence[Row]) -> list[Row]:
    """Places and crews with bad hours, the worst first."""
    return sorted((row for row in rows if row.bad), key=lambda row: (-row.worst_share, -len(row.bad), row.name))


def what(row: Row) -> str:
    """What is bad about the bad hours of a place or crew."""
    if isinstance(row, Crew):
        return "all at work, and work left lying at the end of the shift"
    return "full, and lots waiting while people are there" if row.staffed else "full, and lots waiting"


def told(row: Row, at_most: int) -> str:
    """What is bad, when, and how often in the worst hour.

    at_most: stretches told one by one, the longest
    """
    often = f"{row.worst_share * 100:.0f} of 100 weeks"
    return f"{what(row)}, {when(row.bad, at_most)}; worst {week_hour(row.worst)}, in {often}."


def when(hours: Sequence[int], at_most: int) -> str:
    """Stretches of the week, the longest of them in their order: Mon 06:00 to 14:00, Tue 12:00 to Wed 07:00."""
    every = _round_the_week(stretches_of(hours))
    longest = sorted(sorted(every, key=lambda one: (one[0] - one[1], one[0]))[:at_most])
    text = ", ".join(_stretch(*one) for one in longest)
    more = len(every) - len(longest)
    return f"{text} and {more} shorter" if more else text


def stretches_of(hours: Sequence[int]) -> list[tuple[int, int]]:
    """Neighbouring hours as stretches: first hour, and the hour after the last."""
    found: list[tuple[int, int]] = []
    for hour in hours:
        if found and found[-1][1] == hour:
            found[-1] = (found[-1][0], hour + 1)
        else:
            found.append((hour, hour + 1))
    return found


def _round_the_week(stretches: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """What reaches over Sunday midnight is one stretch; all week is one too."""
    if len(stretches) > 1 and stretches[0][0] == 0 and stretches[-1][1] == WEEK:
        return [*stretches[1:-1], (stretches[-1][0], WEEK + stretches[0][1])]
    return stretches


def _stretch(first: int, after: int) -> str:
    if after - first >= WEEK:
        return "all week"
    same = first // 24 == (after - 1) // 24
    end = f"{after % 24 or 24:02d}:00" if same else f"{DAYS[(after - 1) // 24 % 7]} {after % 24 or 24:02d}:00"
    return f"{week_hour(first)} to {end}"
