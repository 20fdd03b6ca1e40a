"""The year read back: a strip of twelve months, and the days on which the farm stands still."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from statistics import fmean

from farmsim.scenario.farm import Farm
from farmsim.scenario.seasons import AS_USUAL, STOPS, Shut
from farmsim.scenario.values import MONTHS
from farmsim.units import number

STOPPED = {"starts": "no block is started or bought in", "deliveries": "nothing is delivered", "work": "nobody works"}
LABEL, CELL = 20, 5  # columns kept for what a row tells, and for each month


def year_strip(farm: Farm) -> list[str]:
    """Twelve columns and the year's average, a row for each thing that differs by month; nothing when nothing does."""
    rows = [*_factors(farm), *_months(farm)]
    head = _row("", [month.capitalize() for month in MONTHS], "year")
    return [head, *rows] if rows else []


def _factors(farm: Farm) -> Iterator[str]:
    months = farm.months
    for what, factors in (
        ("fresh orders, %", months.orders),
        ("orders of blocks, %", months.block_orders),
        ("yield, %", months.yield_),
        ("days, %", months.days),
        ("fresh prices, %", months.prices),
        ("prices of blocks, %", months.block_prices),
        ("energy, %", months.energy),
    ):
        if factors != AS_USUAL:
            yield _row(what, [number(100 * factor) for factor in factors], number(round(100 * fmean(factors), 1)))


def _months(farm: Farm) -> Iterator[str]:
    for line in farm.start:
        if line.months != MONTHS:
            yield _row(f"{line.name} starts", ["yes" if month in line.months else "-" for month in MONTHS])
    for room in farm.room:
        if room.rests:
            yield _row(f"{room.name} rests", ["yes" if month in room.rests else "-" for month in MONTHS])


def _row(label: str, cells: list[str], last: str = "") -> str:
    months = "".join(f"{cell:>{CELL}}" for cell in cells)
    return f"{label[: LABEL - 1]:<{LABEL}}{months}{last:>{CELL + 1}}".rstrip()


def _day(date: datetime.date) -> str:
    return f"{date.day} {date:%b %Y}"


def shut_sentences(farm: Farm) -> Iterator[str]:
    """When some or all of the farm stands still."""
    for shut in farm.shut:
        yield f"{_when(shut)} ({shut.name}): {', '.join(STOPPED[what] for what in STOPS if what in shut.stops)}."


def _when(shut: Shut) -> str:
    return f"On {_day(shut.first)}" if shut.end == shut.first else f"From {_day(shut.first)} to {_day(shut.end)}"
