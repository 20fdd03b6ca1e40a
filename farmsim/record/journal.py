"""The journal: what happened, one row at a time, in the order in which it ended.

A row is one tuple in the order of the columns declared in `columns.py`:

    journal = Journal(names)
    journal.stays((lot, place, flush, amount, asked, came, ready, left))

Times are hours since Monday 00:00 of the first measured week, so the lead-in has negative hours. Places are counted in
whole thousandths. Names are numbers into the lists of `Names`. The journal adds nothing up and knows nothing of how a
farm works.
"""

from collections.abc import Callable
from struct import Struct
from struct import error as PackError
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from farmsim.record.columns import LOTS, TABLES
from farmsim.record.layout import Layout
from farmsim.record.names import Names

Array: TypeAlias = npt.NDArray[np.generic]
Row: TypeAlias = tuple[float, ...]
PACKED = {"f8": "d", "i4": "i", "i8": "q"}
"""How a column that is kept so is packed."""
Lot: TypeAlias = tuple[str, int, int, float, int, float, float, str]


def _packer(name: str) -> Callable[..., bytes]:
    """Packs the figures of a row of a table: it takes a third of the room of a tuple, and nothing to sweep."""
    (columns,) = (layout.columns for layout in TABLES if layout.name == name)
    return Struct("<" + "".join(PACKED[column.kept] for column in columns)).pack


OFTEN = ("stays", "tasks", "picks", "crates", "stock_out", "blocks", "freed")
"""Tables of which a row is written so often that the call that does it is spelled out."""
_STAYS: Final = _packer("stays")
_TASKS: Final = _packer("tasks")
_PICKS: Final = _packer("picks")
_CRATES: Final = _packer("crates")
_STOCK_OUT: Final = _packer("stock_out")
_BLOCKS: Final = _packer("blocks")
_FREED: Final = _packer("freed")


class Journal:
    """Append-only tables. Each table's name is the call that writes a row of it."""

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
        self.names = names
        self._lots: list[Lot] = []
        self._nameless = -1
        self._written: dict[str, bytearray] = {}
        for layout in TABLES:
            if layout is not LOTS:
                rows = self._written[layout.name] = bytearray()
                if layout.name not in OFTEN:
                    setattr(self, layout.name, _writer(layout, rows))
        self._stays = self._written["stays"]
        self._tasks = self._written["tasks"]
        self._picks = self._written["picks"]
        self._crates = self._written["crates"]
        self._stock_out = self._written["stock_out"]
        self._blocks = self._written["blocks"]
        self._freed = self._written["freed"]

    # What is written often: the same as `_writer` does for all others, spelled out, so that it becomes machine code.

    def stays(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        lot, place, flush, amount, asked, came, ready, left = row
        self._stays += _STAYS(lot, place, flush, amount, asked, came, ready, left)

    def tasks(self, row: tuple[int, int, int, int, int, float, float, float, float, float]) -> None:
        crew, person, duty, lot, flush, asked, began, ended, worked, overtime = row
        self._tasks += _TASKS(crew, person, duty, lot, flush, asked, began, ended, worked, overtime)

    def picks(self, row: tuple[int, int, int, float, int, float, float, float]) -> None:
        lot, flush, room, when, late, firsts, seconds, culls = row
        self._picks += _PICKS(lot, flush, room, when, late, firsts, seconds, culls)

    def crates(self, row: tuple[int, float, float, float, float, float, int]) -> None:
        strain, picked, warm_until, firsts, seconds, in_, place = row
        self._crates += _CRATES(strain, picked, warm_until, firsts, seconds, in_, place)

    def stock_out(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        strain, grade, why, customer, picked, dies, when, kg = row
        self._stock_out += _STOCK_OUT(strain, grade, why, customer, picked, dies, when, kg)

    def blocks(self, row: tuple[int, int, int, float, float, int]) -> None:
        lot, strain, what, when, blocks, customer = row
        self._blocks += _BLOCKS(lot, strain, what, when, blocks, customer)

    def freed(self, row: tuple[int, int, float, int]) -> None:
        lot, place, when, amount = row
        self._freed += _FREED(lot, place, when, amount)

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
                tables[layout.name] = _columns_of(layout, _taken(self._written[layout.name]))
        return tables


def _writer(layout: Layout, rows: bytearray) -> Callable[[Row], None]:
    """The call that writes a row of a table.

    Goes wrong when a row has too few or too many figures, or none but a whole number would do.
    """
    pack, extend = _packer(layout.name), rows.extend

    def write(row: Row) -> None:
        try:
            extend(pack(*row))
        except PackError as fault:
            wanted = ", ".join(column.name for column in layout.columns)
            raise ValueError(f"journal.{layout.name}: a row does not fit the columns ({wanted}): {fault}") from fault

    return write


def _taken(rows: bytearray) -> bytes:
    """What was written, and nothing is left there.

    Copied, because the rows cannot be emptied while an array lies in them, and who holds such an array for a moment longer
    is not ours to say: a profiler in another thread does.
    """
    taken = bytes(rows)
    rows.clear()
    return taken


def _columns_of(layout: Layout, rows: bytes) -> dict[str, Array]:
    packed = np.frombuffer(rows, dtype=np.dtype([(column.name, column.kept) for column in layout.columns]))
    return {column.name: np.array(packed[column.name]) for column in layout.columns}


def _columns_of_lots(lots: list[Lot]) -> dict[str, Array]:
    columns = list(zip(*lots, strict=True)) or [() for _ in LOTS.columns]
    return {
        column.name: np.array(values, dtype=np.str_ if column.kept == "str" else column.kept)
        for column, values in zip(LOTS.columns, columns, strict=True)
    }
