"""What came of a run: tables as they are, or packed as they are stored. From one process to another they go packed."""

from __future__ import annotations

from collections.abc import Collection

from farmsim.record.measures import RunTables
from farmsim.study.packed import pack, unpack

TOLD_OFTEN = ("weekly", "money", "money_strains")  # tables of a run that most questions need, kept apart from the rest


class Done:
    """The tables of one run. Packed at most once, and only if they travel or are stored; unpacked only if asked for."""

    __slots__ = ("_pieces", "_tables")

    def __init__(self, tables: RunTables) -> None:
        self._tables: RunTables | None = tables
        self._pieces: tuple[bytes, bytes] | None = None

    def __reduce__(self) -> tuple[type[_Arrived], tuple[bytes, bytes]]:
        return _Arrived, self.pieces

    @property
    def pieces(self) -> tuple[bytes, bytes]:
        """The tables that are told often, and the rest, packed."""
        if self._pieces is None:
            tables = self._tables or {}
            often = {name: table for name, table in tables.items() if name in TOLD_OFTEN}
            rest = {name: table for name, table in tables.items() if name not in TOLD_OFTEN}
            self._pieces = pack(often), pack(rest)
        return self._pieces

    def tables(self, names: Collection[str] | None = None) -> RunTables:
        """Those of its tables that are wanted, None for all."""
        if self._tables is None:
            return unpacked(self.pieces, names)
        return self._tables if names is None else {name: self._tables[name] for name in names if name in self._tables}


class _Arrived(Done):
    """A run that was worked out in another process."""

    __slots__ = ()

    def __init__(self, often: bytes, rest: bytes) -> None:
        self._tables, self._pieces = None, (often, rest)


def is_told_often(names: Collection[str] | None) -> bool:
    """Whether all tables that are wanted are among those that are kept apart; None for all there are."""
    return names is not None and set(names) <= set(TOLD_OFTEN)


def unpacked(pieces: Collection[bytes], names: Collection[str] | None) -> RunTables:
    """The wanted tables of one run out of its pieces, of which the second may be left out where it is not needed."""
    needed = list(pieces)[:1] if is_told_often(names) else pieces
    return {name: table for piece in needed for name, table in unpack(piece, names).items()}
