"""The record: the journal of one run read into columns, with what its numbers stand for.

`Record.rows` gives the canonical rows of a table: names instead of numbers, lot keys instead of lot numbers, sorted by
when they ended. Two runs can be compared by them whatever the order of insertion and however lots were numbered.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeAlias, TypeVar, cast

import numpy as np
import numpy.typing as npt

from farmsim.record.columns import TABLES
from farmsim.record.journal import Array, Journal
from farmsim.record.layout import Column, Layout
from farmsim.record.names import Names

if TYPE_CHECKING:
    from farmsim.record.measures.course import Course
    from farmsim.scenario.farm import Farm

Figures: TypeAlias = npt.NDArray[np.float64]
Numbers: TypeAlias = npt.NDArray[np.signedinteger]
Texts: TypeAlias = npt.NDArray[np.str_]
Flags: TypeAlias = npt.NDArray[np.bool_]
Cell: TypeAlias = str | float | None
Found = TypeVar("Found")
Also = ParamSpec("Also")

HOURS_A_WEEK = 168


class Known:
    """What has been worked out of a journal's names and tables alone, for every record that is a cut of it."""

    def __init__(self, names: Names | None = None, tables: Mapping[str, Mapping[str, Array]] | None = None) -> None:
        self._of = names, tables
        self.found: dict[Hashable, object] = {}

    def __getstate__(self) -> dict[str, object]:
        """What can be worked out again is not sent along."""
        return {**self.__dict__, "found": {}}

    def is_of(self, names: Names, tables: Mapping[str, Mapping[str, Array]]) -> bool:
        """Whether this is known of these very names and tables."""
        return self._of[0] is names and self._of[1] is tables


class Cut:
    """What was asked of a record's measured time before.

    kept, days: which of some moments are measured, and on which day, by their place in memory and with the moments themselves
    courses: of its places
    """

    def __init__(self) -> None:
        self.kept: dict[int, tuple[Figures, Flags]] = {}
        self.days: dict[int, tuple[Figures, Numbers]] = {}
        self.courses: dict[int, Course] | None = None

    def __reduce__(self) -> tuple[type[Cut], tuple[()]]:
        """Nothing of it travels: in another process other things lie at these places."""
        return Cut, ()


def once(of: Callable[Concatenate[Record, Also], Found]) -> Callable[Concatenate[Record, Also], Found]:
    """Work out once what follows from a record's names and tables, whatever of its time is measured and whosever farm it is.

    A run is cut up by dated changes and phases, and put in money farm by farm: all these records share what is known here.
    What a function of this kind returns is read by many, so nobody may change it: its arrays cannot be written to.
    """

    @wraps(of)
    def known(record: Record, /, *args: Also.args, **more: Also.kwargs) -> Found:
        assert not more, "what is asked besides the record is named by its place"
        found, key = record.known.found, (of, *args)
        if key not in found:
            found[key] = locked(of(record, *args, **more))
        return cast(Found, found[key])

    return known


def locked(found: Found) -> Found:
    """The same; no array in it can be written to any more."""
    if isinstance(found, np.ndarray):
        found.flags.writeable = False
    elif isinstance(found, Mapping):
        for each in found.values():
            locked(each)
    elif isinstance(found, list | tuple):
        for each in found:
            locked(each)
    elif is_dataclass(found):
        for part in fields(found):
            locked(getattr(found, part.name))
    return found


@dataclass(frozen=True)
class Record:
    """What was seen in one run.

    names: what the numbers in the tables stand for
    tables: table name -> column name -> values
    first_day: the Monday on which the clock is 0
    end: the horizon [h]
    start: from when on things count; before it lies the lead-in [h]
    farm: the farm that was run; None when the record was put together from pieces
    known: what was worked out of it before, see `once`
    cut: what was asked of its measured time before
    """

    names: Names
    tables: Mapping[str, Mapping[str, Array]]
    first_day: date
    end: float
    start: float = 0.0
    farm: Farm | None = None
    known: Known = field(default_factory=Known, repr=False, compare=False)
    cut: Cut = field(default_factory=Cut, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.known.is_of(self.names, self.tables):
            object.__setattr__(self, "known", Known(self.names, self.tables))

    @classmethod
    def read(
        cls, journal: Journal, first_day: date, end: float, start: float = 0.0, farm: Farm | None = None
    ) -> Record:
        """The record of a run that is over; the journal is empty afterwards."""
        return cls(journal.names, locked(journal.columns()), first_day, end, start, farm)

    @property
    def weeks(self) -> int:
        """Measured weeks, the last one perhaps cut short [weeks]."""
        return max(1, int(np.ceil((self.end - self.start) / HOURS_A_WEEK)))

    def figures(self, table: str, column: str) -> Figures:
        """A column of figures."""
        return self.tables[table][column].astype(np.float64, copy=False)

    def numbers(self, table: str, column: str) -> Numbers:
        """A column of whole numbers."""
        return _numbers(self, table, column)

    def texts(self, table: str, column: str) -> Texts:
        """A column of texts."""
        return self.tables[table][column].astype(np.str_, copy=False)

    @property
    def shift_of_tasks(self) -> Numbers:
        """Row in "rostered" of the shift each stretch of work belongs to: its crew's last begun by then; -1 none."""
        return _shift_of_tasks(self)

    def rows(self, table: str, before: float | None = None) -> list[tuple[Cell, ...]]:
        """The canonical rows of a table.

        before: only rows that ended before this hour [h]; None takes all, those not over yet at the end
        """
        layout = layout_of(table)
        ended = self.figures(table, layout.ended)
        kept = np.arange(len(ended)) if before is None else np.flatnonzero(ended < before)
        columns = [self._readable(layout, column)[kept] for column in layout.columns]
        order = np.lexsort([*reversed(columns), ended[kept]])
        return list(zip(*[_cells(column[order]) for column in columns], strict=True))

    def _readable(self, layout: Layout, column: Column) -> Array:
        """A column with names in place of numbers; less than 0 stands for nobody, nowhere, none."""
        values = self.tables[layout.name][column.name]
        if not column.names:
            return values
        names = self.texts("lots", "key") if column.names == "lots" else np.array(names_of(self.names, column.names))
        return np.append(names, "")[np.maximum(values, -1)] if len(names) else np.full(len(values), "")


@once
def _numbers(record: Record, table: str, column: str) -> Numbers:
    return record.tables[table][column].astype(np.int64, copy=False)


@once
def _shift_of_tasks(record: Record) -> Numbers:
    crew, when = record.numbers("rostered", "crew"), record.figures("rostered", "when")
    of_task, began = record.numbers("tasks", "crew"), record.figures("tasks", "began")
    found = np.full(len(began), -1)
    for number in range(len(record.names.crews)):
        shifts, tasks = np.flatnonzero(crew == number), np.flatnonzero(of_task == number)
        shifts = shifts[np.argsort(when[shifts], kind="stable")]
        at = np.searchsorted(when[shifts], began[tasks], side="right") - 1
        found[tasks] = np.append(shifts, -1)[at]
    return found


def layout_of(table: str) -> Layout:
    """The declaration of a table."""
    for layout in TABLES:
        if layout.name == table:
            return layout
    raise KeyError(f"no table {table!r} in the journal; there are {', '.join(layout.name for layout in TABLES)}")


def names_of(names: Names, what: str) -> tuple[str, ...]:
    """The list of names a column points into."""
    if what == "places":
        return tuple(name for name, _, _ in names.places)
    found: tuple[str, ...] = getattr(names, what)
    return found


def _cells(values: Array) -> list[Cell]:
    """Plain values; None for a time that has not come, so that equal rows are equal."""
    return [None if value != value else value for value in values.tolist()]
