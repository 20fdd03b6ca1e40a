"""Tables of a run as bytes and back, to the last bit. Nothing in them is ever executed."""

from __future__ import annotations

import json
import zlib

import numpy as np

from farmsim.errors import FarmsimError
from farmsim.record.measures import RunTables, Table

LEVEL = 1  # of compression: more takes three times as long for a tenth less
LENGTH = 4  # bytes that tell how long the list of columns is


class Unreadable(FarmsimError):
    """Bytes that are no tables of a run, or damaged."""


def pack(tables: RunTables) -> bytes:
    """All tables in one piece: a list of their columns, then the figures as they lie in memory."""
    columns: list[list[object]] = []
    figures: list[bytes] = []
    for name, table in tables.items():
        columns.append([name, [_packed(column, values, figures) for column, values in table.items()]])
    told = json.dumps(columns, separators=(",", ":"), ensure_ascii=False).encode()
    return zlib.compress(len(told).to_bytes(LENGTH, "big") + told + b"".join(figures), LEVEL)


def _packed(column: str, values: object, figures: list[bytes]) -> list[object]:
    if isinstance(values, list):
        return [column, "texts", values]
    array = np.ascontiguousarray(values)
    figures.append(array.tobytes())
    return [column, array.dtype.str, len(array)]


def unpack(packed: bytes) -> RunTables:
    """The tables in a piece made by `pack`.

    Goes wrong when the bytes are damaged: Unreadable.
    """
    try:
        return _unpacked(zlib.decompress(packed))
    except (zlib.error, ValueError, TypeError, KeyError) as fault:
        raise Unreadable(f"the tables of a stored run are damaged ({fault})") from None


def _unpacked(raw: bytes) -> RunTables:
    at = LENGTH + int.from_bytes(raw[:LENGTH], "big")
    found: RunTables = {}
    for name, columns in json.loads(raw[LENGTH:at]):
        table: Table = {}
        for column, kind, values in columns:
            if kind == "texts":
                table[column] = values
                continue
            of = np.dtype(kind)
            table[column] = np.frombuffer(raw, of, values, at).copy()
            at += of.itemsize * values
        found[name] = table
    return found
