"""The journal: what happened, one row at a time, in the order in which it ended.

A row is one tuple in the order of the columns declared in `columns.py`:

    journal = Journal(names)
    journal.stays((lot, place, flush, amount, asked, came, ready, left))

Times are hours since Monday 00:00 of the first measured week, so the lead-in has negative hours. Places are counted in
whole thousandths. Names are numbers into the lists of `Names`. The journal adds nothing up and knows nothing of how a
farm works.
"""

from collections.abc import Callable
from struct import error as PackError
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from farmsim.record.columns import LOTS, TABLES
from farmsim.record.layout import Layout, packer
from farmsim.record.names import Names
from farmsim.record.rows import OFTEN, Rows

Array: TypeAlias = npt.NDArray[np.generic]
Row: TypeAlias = tuple[float, ...]
Lot: TypeAlias = tuple[str, int, int, float, int, float, float, str]


class Journal(Rows):
    """Append-only tables. Each table's name is the call that writes a row of it; those written most are in `rows.py`."""

    waits: Callable[[tuple[int, int, int, float, float]], None]
    packs: Callable[[tuple[int, float, float]], None]
    orders: Callable[[tuple[int, int, float, float, float, float]], None]
    substituted: Callable[[tuple[int, int, int, float, float]], None]
    customers_left: Callable[[tuple[int, float, int, float]], None]
    not_ordered: Callable[[tuple[int, int, float, float]], None]
    market_days: Callable[[tuple[int, int, float, float, float, float, float, float, float, float]], None]
    dried: Callable[[tuple[int, int, float, float, float]], None]
    block_orders: Callable[[tuple[int, int, float, float, float, float]], None]
    unboxed: Callable[[tuple[int, int, float, float]], None]
    block_claims: Callable[[tuple[int, int, float, float, float, float]], None]
    price_luck: Callable[[tuple[int, int, float, float]], None]
    packed_orders: Callable[[tuple[int, int, float, float, float]], None]
    shorts: Callable[[tuple[int, int, float, int, float, float]], None]
    rounds: Callable[[tuple[int, float, float, float, int, float, float, float, float, float]], None]
    room_days: Callable[[tuple[int, float, int]], None]
    capacity: Callable[[tuple[int, float, int]], None]
    rostered: Callable[[tuple[int, float, float, float]], None]
    attended: Callable[[tuple[int, int, float, float, float, float, float, float, float, float]], None]
    inside: Callable[[tuple[int, float, float]], None]
    left_over: Callable[[tuple[int, int, float, float]], None]

    def __init__(self, names: Names) -> None:
        super().__init__()
        self.names = names
        self._lots: list[Lot] = []
        self._nameless = -1
        self._written: dict[str, bytearray] = {}
        for layout in TABLES:
            if layout is not LOTS and layout.name not in OFTEN:
                rows = self._written[layout.name] = bytearray()
                setattr(self, layout.name, _writer(layout, rows))

    def nameless(self) -> int:
        """The next number for something that is no lot: a load, or crates."""
        self._nameless -= 1
        return self._nameless

    def lot(self, row: Lot) -> int:
        """Write down a new lot and return its number."""
        self._lots.append(row)
        return len(self._lots) - 1

    def columns(self) -> dict[str, dict[str, Array]]:
        """Every table as columns, in the order written; the journal is empty afterwards."""
        tables = {LOTS.name: _columns_of_lots(self._lots)}
        self._lots.clear()
        for layout in TABLES:
            if layout is not LOTS:
                tables[layout.name] = _columns_of(layout, self.taken(layout.name))
        return tables

    def taken(self, name: str) -> bytes:
        """What was written of a table; nothing is left there. Copied, for the reason told in `Rows.taken`."""
        if name in OFTEN:
            return super().taken(name)
        rows = self._written[name]
        taken = bytes(rows)
        rows.clear()
        return taken


def _writer(layout: Layout, rows: bytearray) -> Callable[[Row], None]:
    """The call that writes a row of a table.

    Goes wrong when a row has too few or too many figures, or none but a whole number would do.
    """
    pack, extend = packer(layout).pack, rows.extend

    def write(row: Row) -> None:
        try:
            extend(pack(*row))
        except PackError as fault:
            wanted = ", ".join(column.name for column in layout.columns)
            raise ValueError(f"journal.{layout.name}: a row does not fit the columns ({wanted}): {fault}") from fault

    return write


def _columns_of(layout: Layout, rows: bytes) -> dict[str, Array]:
    packed = np.frombuffer(rows, dtype=np.dtype([(column.name, column.kept) for column in layout.columns]))
    return {column.name: np.array(packed[column.name]) for column in layout.columns}


def _columns_of_lots(lots: list[Lot]) -> dict[str, Array]:
    columns = list(zip(*lots, strict=True)) or [() for _ in LOTS.columns]
    return {
        column.name: np.array(values, dtype=np.str_ if column.kept == "str" else column.kept)
        for column, values in zip(LOTS.columns, columns, strict=True)
    }
