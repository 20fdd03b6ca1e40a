"""The rows of one lot, gathered from the tables of the record: its stays by kind of place, its work, its blocks."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import isfinite

import numpy as np

from farmsim.record.columns import WHATS
from farmsim.record.tables import Record

Row = dict[str, float]


@dataclass(frozen=True, slots=True)
class Task:
    """Work on a lot, all its stretches together [h]."""

    duty: str
    flush: int
    asked: float
    began: float
    ended: float
    worked: float
    who: tuple[str, ...]


@dataclass(slots=True)
class Seen:
    """The rows of one lot."""

    record: Record
    lot: int
    key: str
    stays: dict[str, list[Row]] = field(default_factory=dict)
    tasks: list[Task] = field(default_factory=list)
    blocks: dict[str, list[Row]] = field(default_factory=dict)

    def first(self, kind: str, flush: float | None = None) -> Row | None:
        """The first stay in a kind of place that was taken up, in a flush."""
        taken = (row for row in self.stays.get(kind, []) if isfinite(row["came"]))
        return next((row for row in taken if flush is None or row["flush"] == flush), None)

    def work(self, duty: str, flush: int | None = None) -> list[Task]:
        """Work of one duty, in the order in which it was begun."""
        return [task for task in self.tasks if task.duty == duty and flush in (None, task.flush)]


def see(record: Record, lot: int, key: str) -> Seen:
    """What the record has of one lot."""
    seen = Seen(record, lot, key, tasks=tasks_of(record, lot))
    for row in sorted(rows_of(record, "stays", lot), key=lambda row: row["asked"]):
        seen.stays.setdefault(record.names.places[int(row["place"])][1], []).append(row)
    for row in rows_of(record, "blocks", lot):
        seen.blocks.setdefault(WHATS[int(row["what"])], []).append(row)
    return seen


def rows_of(record: Record, table: str, lot: int) -> list[Row]:
    """The rows of a table that are of one lot, or of a load (less than 0)."""
    found = np.flatnonzero(record.numbers(table, "lot") == lot)
    columns = record.tables[table]
    picked = {name: values[found].astype(float).tolist() for name, values in columns.items()}
    return [dict(zip(picked, row, strict=True)) for row in zip(*picked.values(), strict=True)]


def tasks_of(record: Record, lot: int) -> list[Task]:
    """Work on the lot; a task done over several shifts is one."""
    stretches: dict[tuple[float, float, float], list[Row]] = {}
    for row in rows_of(record, "tasks", lot):
        stretches.setdefault((row["duty"], row["flush"], row["asked"]), []).append(row)
    tasks = []
    for (duty, flush, asked), rows in stretches.items():
        who = tuple(dict.fromkeys(record.names.crews[int(row["crew"])] for row in rows))
        began, ended = min(row["began"] for row in rows), max(row["ended"] for row in rows)
        worked = sum(row["worked"] for row in rows)
        tasks.append(Task(record.names.duties[int(duty)], int(flush), asked, began, ended, worked, who))
    return sorted(tasks, key=lambda task: task.began)
