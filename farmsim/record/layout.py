"""How a table of the journal and its columns are declared; the tables themselves are in `columns.py`."""

from struct import Struct
from typing import NamedTuple

PACKED = {"f8": "d", "i4": "i", "i8": "q"}
"""How a column that is kept so is packed."""


class Column(NamedTuple):
    """One column of the journal: what it counts, in which unit, and how it is kept."""

    name: str
    unit: str
    meaning: str
    names: str = ""
    """List in `Names` (or "lots") the number points into; empty for a plain figure."""
    kept: str = "f8"
    """How it is kept: "f8" a figure, "i4" a small whole number, "i8" a large one, "str" a text."""


class Layout(NamedTuple):
    """One table of the journal."""

    name: str
    meaning: str
    columns: tuple[Column, ...]
    ended: str


def named(name: str, names: str, meaning: str) -> Column:
    """A number into a list of names."""
    return Column(name, "number", meaning, names, "i4")


def count(name: str, unit: str, meaning: str, kept: str = "i4") -> Column:
    """A whole number."""
    return Column(name, unit, meaning, "", kept)


def moment(name: str, meaning: str) -> Column:
    """A moment, on the clock of the run [h]."""
    return Column(name, "h", meaning)


def kg(name: str, meaning: str) -> Column:
    """A weight [kg]."""
    return Column(name, "kg", meaning)


def packer(layout: Layout) -> Struct:
    """Packs the figures of a row of a table: it takes a third of the room of a tuple, and nothing to sweep."""
    return Struct("<" + "".join(PACKED[column.kept] for column in layout.columns))
