"""Sums of a flow by week, by calendar month and by strain: measured time only, from the record's start to its end."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil
from typing import NamedTuple

import numpy as np

from farmsim.record.measures.declare import Flow
from farmsim.record.tables import Figures, Flags, Numbers, Record, locked
from farmsim.units import HOURS_A_DAY


def measured(record: Record, when: Figures) -> Flags:
    """Which moments count: at or after the start, before the end of the measured time."""
    found = record.cut.kept.get(id(when))
    if found is None or found[0] is not when:
        found = record.cut.kept[id(when)] = when, locked((when >= record.start) & (when < record.end))
    return found[1]


def added(group: Numbers, amount: Figures, count: int) -> Figures:
    """Amounts added up by the number of their group."""
    return np.bincount(group, amount, count).astype(np.float64, copy=False)


class Periods(NamedTuple):
    """Stretches of whole days, one after another from the start; the last ends with the measured time."""

    labels: list[str]
    first: Numbers
    """Day on which each begins, counted from the start."""
    days: Figures
    """How many days of it lie in the measured time."""


def days_measured(record: Record) -> int:
    """Days begun in the measured time."""
    return max(1, ceil((record.end - record.start) / HOURS_A_DAY))


def weeks(record: Record) -> Periods:
    """The weeks of the measured time, called 1, 2, 3 ..."""
    first = np.arange(0, days_measured(record), 7)
    return _periods(record, [str(number + 1) for number in range(len(first))], first)


def months(record: Record) -> Periods:
    """The calendar months of the measured time, such as "2027-03"."""
    first_day = record.first_day + timedelta(hours=record.start)
    labels, first, begins = [], [0], first_day
    while (begins - first_day).days < days_measured(record):
        labels.append(f"{begins:%Y-%m}")
        begins = date(begins.year + begins.month // 12, begins.month % 12 + 1, 1)
        first.append((begins - first_day).days)
    return _periods(record, labels, np.array(first[:-1]))


def _periods(record: Record, labels: list[str], first: Numbers) -> Periods:
    ends = (record.end - record.start) / HOURS_A_DAY
    return Periods(labels, first, np.diff(np.append(first.astype(float), ends)))


def by_day(record: Record, flow: Flow) -> Figures:
    """The flow on each day of the measured time."""
    kept = measured(record, flow.when)
    found = record.cut.days.get(id(flow.when))
    if found is None or found[0] is not flow.when:
        day = ((flow.when[kept] - record.start) / HOURS_A_DAY).astype(np.int64)
        found = record.cut.days[id(flow.when)] = flow.when, locked(day)
    return added(found[1], flow.amount[kept], days_measured(record))


def summed(daily: Figures, periods: Periods) -> Figures:
    """What passed in each period."""
    sums: Figures = np.add.reduceat(daily, periods.first)
    return sums


def at_ends(opening: float, daily: Figures, periods: Periods) -> Figures:
    """What there was at the end of each period, if there was `opening` at the start and `daily` was added to it."""
    last = np.append(periods.first[1:], len(daily)) - 1
    there: Figures = opening + np.cumsum(daily)[last]
    return there


def quantile(values: Figures, share: float) -> float:
    """The value that so large a share of all lies below, on a straight line between neighbours; unknown of none."""
    if not len(values):
        return float("nan")
    at = share * (len(values) - 1)
    low = int(at)
    near = np.partition(values, (low, min(low + 1, len(values) - 1)))
    return float(near[low] + (near[min(low + 1, len(values) - 1)] - near[low]) * (at - low))


def by_strain(record: Record, flow: Flow) -> Figures:
    """The flow of the measured time, strain by strain; none of a flow that belongs to no strain."""
    count = len(record.names.strains)
    if flow.strain is None:
        return np.zeros(count)
    kept = measured(record, flow.when) & (flow.strain >= 0)
    return added(flow.strain[kept], flow.amount[kept], count)


def total(record: Record, flow: Flow) -> float:
    """The whole flow of the measured time."""
    return float(flow.amount[measured(record, flow.when)].sum())
