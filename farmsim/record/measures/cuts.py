"""Sums of a flow by week, by calendar month and by strain: measured time only, from the record's start to its end."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from farmsim.record.measures.declare import Flow
from farmsim.record.tables import HOURS_A_WEEK, Figures, Flags, Numbers, Record

HOURS_A_DAY = 24


def measured(record: Record, when: Figures) -> Flags:
    """Which moments count: at or after the start, before the end of the measured time."""
    return (when >= record.start) & (when < record.end)


def added(group: Numbers, amount: Figures, count: int) -> Figures:
    """Amounts added up by the number of their group."""
    return np.bincount(group, amount, count).astype(np.float64, copy=False)


def week_edges(record: Record) -> Figures:
    """Where the measured weeks begin, and the end of the last [h]."""
    return np.minimum(record.start + HOURS_A_WEEK * np.arange(record.weeks + 1.0), record.end)


def month_edges(record: Record) -> tuple[list[str], Figures]:
    """The calendar months of the measured time, such as "2027-03", and where each begins in it, then the end [h]."""
    first = record.first_day + timedelta(hours=record.start)
    labels, edges = [], [record.start]
    year, month = first.year, first.month
    while True:
        labels.append(f"{year}-{month:02d}")
        year, month = year + month // 12, month % 12 + 1
        begins = float((date(year, month, 1) - record.first_day).days * HOURS_A_DAY)
        if begins >= record.end:
            return labels, np.array([*edges, record.end])
        edges.append(begins)


def summed(flow: Flow, edges: Figures) -> Figures:
    """The flow between one edge and the next; what lies outside all of them is left out."""
    slot: Numbers = np.searchsorted(edges, flow.when, side="right") - 1
    kept = (slot >= 0) & (slot < len(edges) - 1)
    return added(slot[kept], flow.amount[kept], len(edges) - 1)


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
