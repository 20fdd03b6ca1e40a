"""The rows of the tables that are written most, packed: a third of the room of a tuple, and nothing to sweep.

Their types alone guard these rows: one that does not fit ends in Python's own error.

This is plain Python; `machine_code/rows.py` is what is translated instead, with the same calls, and packs the same bytes.
"""

from typing import Final

from farmsim.record.columns import TABLES
from farmsim.record.layout import packer

_LAYOUT: Final = {layout.name: layout for layout in TABLES}
_STAYS: Final = packer(_LAYOUT["stays"]).pack
_TASKS: Final = packer(_LAYOUT["tasks"]).pack
_PICKS: Final = packer(_LAYOUT["picks"]).pack
_CRATES: Final = packer(_LAYOUT["crates"]).pack
_STOCK_OUT: Final = packer(_LAYOUT["stock_out"]).pack
_BLOCKS: Final = packer(_LAYOUT["blocks"]).pack
_FREED: Final = packer(_LAYOUT["freed"]).pack

OFTEN: Final = ("stays", "tasks", "picks", "crates", "stock_out", "blocks", "freed")
"""Tables of which a row is written often."""


class Rows:
    """Append-only tables. Each table's name is the call that writes a row of it."""

    def __init__(self) -> None:
        self._rows = {name: bytearray() for name in OFTEN}
        self._stays = self._rows["stays"]
        self._tasks = self._rows["tasks"]
        self._picks = self._rows["picks"]
        self._crates = self._rows["crates"]
        self._stock_out = self._rows["stock_out"]
        self._blocks = self._rows["blocks"]
        self._freed = self._rows["freed"]

    def stays(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        """Write down one row."""
        lot, place, flush, amount, asked, came, ready, left = row
        self._stays += _STAYS(lot, place, flush, amount, asked, came, ready, left)

    def tasks(self, row: tuple[int, int, int, int, int, float, float, float, float, float]) -> None:
        """Write down one row."""
        crew, person, duty, lot, flush, asked, began, ended, worked, overtime = row
        self._tasks += _TASKS(crew, person, duty, lot, flush, asked, began, ended, worked, overtime)

    def picks(self, row: tuple[int, int, int, float, int, float, float, float]) -> None:
        """Write down one row."""
        lot, flush, room, when, late, firsts, seconds, culls = row
        self._picks += _PICKS(lot, flush, room, when, late, firsts, seconds, culls)

    def crates(self, row: tuple[int, float, float, float, float, float, int]) -> None:
        """Write down one row."""
        strain, picked, warm_until, firsts, seconds, in_, place = row
        self._crates += _CRATES(strain, picked, warm_until, firsts, seconds, in_, place)

    def stock_out(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        """Write down one row."""
        strain, grade, why, customer, picked, dies, when, kg = row
        self._stock_out += _STOCK_OUT(strain, grade, why, customer, picked, dies, when, kg)

    def blocks(self, row: tuple[int, int, int, float, float, int]) -> None:
        """Write down one row."""
        lot, strain, what, when, blocks, customer = row
        self._blocks += _BLOCKS(lot, strain, what, when, blocks, customer)

    def freed(self, row: tuple[int, int, float, int]) -> None:
        """Write down one row."""
        lot, place, when, amount = row
        self._freed += _FREED(lot, place, when, amount)

    def taken(self, name: str) -> bytes:
        """What was written of a table; nothing is left there.

        Copied, because the rows cannot be emptied while an array lies in them, and who holds such an array for a moment
        longer is not ours to say: a profiler in another thread does.
        """
        rows = self._rows[name]
        taken = bytes(rows)
        rows.clear()
        return taken
