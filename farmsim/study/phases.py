"""The phases of a farm that grows, each summed up by itself. Loads neither pandas nor pictures."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from farmsim.record.measures import RunTables, Table, summarise
from farmsim.record.tables import Figures, Record
from farmsim.scenario.farm import Farm
from farmsim.units import HOURS_A_WEEK

LEVELS = ("blocks_inside", "stock_kg")  # measures of what there is, not of what passes
OF_EACH = ("places", "crews", "duties", "hours_of_week", "customers")
PREFIX = "phase_"  # of the tables that hold these of every phase


@dataclass(frozen=True)
class Span:
    """One phase within the measured weeks: which it is, from 1; its name; its first week, from 0; the week after it."""

    number: int
    name: str
    first: int
    after: int

    @property
    def weeks(self) -> int:
        """How long it lasts [weeks]."""
        return self.after - self.first


def spans(farm: Farm, weeks: int) -> tuple[Span, ...]:
    """The phases that begin within the measured weeks [weeks]."""
    begins = [(int(since // HOURS_A_WEEK), name) for since, name in farm.phases]
    ends = [*(first for first, _ in begins[1:]), weeks]
    return tuple(
        Span(number, name, first, min(after, weeks))
        for number, ((first, name), after) in enumerate(zip(begins, ends, strict=False), 1)
        if first < weeks
    )


def by_phase(record: Record, farm: Farm, weeks: int, weekly: Table) -> RunTables:
    """One row for each phase with all that passed in it, and tables of each phase under one another; none without phases.

    weekly: the run's table of all its measured weeks
    """
    found = spans(farm, weeks)
    if not found:
        return {}
    parts = [summarise(_part(record, span), OF_EACH) for span in found]
    passed = {name: np.asarray(values, dtype=float) for name, values in weekly.items() if name != "week"}
    sums = {
        name: np.array([_sum(name, values[span.first : span.after]) for span in found])
        for name, values in passed.items()
    }
    rows: RunTables = {
        "phases": {
            "phase": np.array([float(span.number) for span in found]),
            "name": [span.name for span in found],
            "first_week": np.array([span.first + 1.0 for span in found]),
            "weeks": np.array([float(span.weeks) for span in found]),
            **sums,
        }
    }
    return rows | {f"{PREFIX}{name}": _under_one_another(found, parts, name) for name in OF_EACH}


def _part(record: Record, span: Span) -> Record:
    end = min(record.end, float(span.after * HOURS_A_WEEK))
    return replace(record, start=float(span.first * HOURS_A_WEEK), end=end)


def _sum(name: str, weekly: Figures) -> float:
    return float(weekly[-1] if name in LEVELS else weekly.sum())


def _under_one_another(found: tuple[Span, ...], parts: list[RunTables], name: str) -> dict[str, list[str] | np.ndarray]:
    tables = [part[name] for part in parts]
    rows = [len(next(iter(table.values()))) for table in tables]
    joined: dict[str, list[str] | np.ndarray] = {"phase": np.repeat([float(span.number) for span in found], rows)}
    for column in tables[0]:
        cells = [table[column] for table in tables]
        if any(isinstance(each, list) for each in cells):
            joined[column] = [value for each in cells for value in each]
        else:
            joined[column] = np.concatenate([np.asarray(each) for each in cells])
    return joined
