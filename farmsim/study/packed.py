"""Tables of a run as bytes and back, to the last bit. Nothing in them is ever executed."""

from __future__ import annotations

import json
import zlib
from collections.abc import Collection, Sequence
from sys import intern
from typing import Any

import numpy as np

from farmsim.errors import FarmsimError
from farmsim.record.measures import RunTables, Table

LEVEL = 1  # of compression: more takes three times as long for a tenth less
LENGTH = 4  # bytes that tell how long a list is
APART = b"\x02"  # begins a piece whose tables can be read one by one; older ones begin as zlib does


class Unreadable(FarmsimError):
    """Bytes that are no tables of a run, or damaged."""


def pack(tables: RunTables) -> bytes:
    """A list of the tables, then each by itself, so that one can be read without the others."""
    pieces = {name: _compressed(table) for name, table in tables.items()}
    told = _as_bytes([[name, len(piece)] for name, piece in pieces.items()])
    return b"".join((APART, len(told).to_bytes(LENGTH, "big"), told, *pieces.values()))


def _compressed(table: Table) -> bytes:
    """A list of its columns, then the figures as they lie in memory."""
    figures: list[bytes] = []
    told = _as_bytes([_packed(column, values, figures) for column, values in table.items()])
    return zlib.compress(len(told).to_bytes(LENGTH, "big") + told + b"".join(figures), LEVEL)


def _as_bytes(told: object) -> bytes:
    return json.dumps(told, separators=(",", ":"), ensure_ascii=False).encode()


def _packed(column: str, values: object, figures: list[bytes]) -> list[object]:
    if isinstance(values, list):
        return [column, "texts", values]
    array = np.ascontiguousarray(values)
    figures.append(array.tobytes())
    return [column, array.dtype.str, len(array)]


def unpack(packed: bytes, names: Collection[str] | None = None) -> RunTables:
    """The tables in a piece made by `pack`, now or when all of them were still packed together.

    names: of those that are wanted, None for all; others take no time
    Goes wrong when the bytes are damaged: Unreadable.
    """
    try:
        found = _apart(packed, names) if packed[:1] == APART else _together(zlib.decompress(packed))
    except (zlib.error, ValueError, TypeError, KeyError) as fault:
        raise Unreadable(f"the tables of a stored run are damaged ({fault})") from None
    return found if names is None else {name: table for name, table in found.items() if name in names}


def _apart(packed: bytes, names: Collection[str] | None) -> RunTables:
    told, at = _list_in(packed, len(APART))
    found: RunTables = {}
    for name, size in told:
        if names is None or name in names:
            raw = zlib.decompress(packed[at : at + size])
            found[name], _ = _table(raw, *_list_in(raw, 0))
        at += size
    return found


def _together(raw: bytes) -> RunTables:
    told, at = _list_in(raw, 0)
    found: RunTables = {}
    for name, columns in told:
        found[name], at = _table(raw, columns, at)
    return found


def _list_in(raw: bytes, at: int) -> tuple[list[Any], int]:
    """A list with its length before it, and where it ends."""
    begin = at + LENGTH
    end = begin + int.from_bytes(raw[at:begin], "big")
    return json.loads(raw[begin:end]), end


def _table(raw: bytes, columns: Sequence[tuple[str, str, Any]], at: int) -> tuple[Table, int]:
    """A table whose figures begin at a place, and where they end."""
    table: Table = {}
    for column, kind, values in columns:
        if kind == "texts":
            table[column] = list(map(intern, values))  # the same names row after row, run after run
            continue
        of = np.dtype(kind)
        table[column] = np.frombuffer(raw, of, values, at).copy()
        at += of.itemsize * values
    return table, at
