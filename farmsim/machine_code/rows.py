"""What is translated into machine code instead of `record/rows.py`: the same calls, and the same bytes."""

from typing import Final

from librt.strings import BytesWriter, write_f64_le, write_i32_le, write_i64_le

OFTEN: Final = ("stays", "tasks", "picks", "crates", "stock_out", "blocks", "freed")
"""Tables of which a row is written often."""


class Rows:
    """Append-only tables. Each table's name is the call that writes a row of it."""

    def __init__(self) -> None:
        self._rows = {name: BytesWriter() for name in OFTEN}
        self._stays = self._rows["stays"]
        self._tasks = self._rows["tasks"]
        self._picks = self._rows["picks"]
        self._crates = self._rows["crates"]
        self._stock_out = self._rows["stock_out"]
        self._blocks = self._rows["blocks"]
        self._freed = self._rows["freed"]

    def stays(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        """Write down one row."""
        rows = self._stays
        write_i32_le(rows, row[0])  # lot
        write_i32_le(rows, row[1])  # place
        write_i32_le(rows, row[2])  # flush
        write_i64_le(rows, row[3])  # amount
        write_f64_le(rows, row[4])  # asked
        write_f64_le(rows, row[5])  # came
        write_f64_le(rows, row[6])  # ready
        write_f64_le(rows, row[7])  # left

    def tasks(self, row: tuple[int, int, int, int, int, float, float, float, float, float]) -> None:
        """Write down one row."""
        rows = self._tasks
        write_i32_le(rows, row[0])  # crew
        write_i32_le(rows, row[1])  # person
        write_i32_le(rows, row[2])  # duty
        write_i32_le(rows, row[3])  # lot
        write_i32_le(rows, row[4])  # flush
        write_f64_le(rows, row[5])  # asked
        write_f64_le(rows, row[6])  # began
        write_f64_le(rows, row[7])  # ended
        write_f64_le(rows, row[8])  # worked
        write_f64_le(rows, row[9])  # overtime

    def picks(self, row: tuple[int, int, int, float, int, float, float, float]) -> None:
        """Write down one row."""
        rows = self._picks
        write_i32_le(rows, row[0])  # lot
        write_i32_le(rows, row[1])  # flush
        write_i32_le(rows, row[2])  # room
        write_f64_le(rows, row[3])  # when
        write_i32_le(rows, row[4])  # late
        write_f64_le(rows, row[5])  # firsts
        write_f64_le(rows, row[6])  # seconds
        write_f64_le(rows, row[7])  # culls

    def crates(self, row: tuple[int, float, float, float, float, float, int]) -> None:
        """Write down one row."""
        rows = self._crates
        write_i32_le(rows, row[0])  # strain
        write_f64_le(rows, row[1])  # picked
        write_f64_le(rows, row[2])  # warm_until
        write_f64_le(rows, row[3])  # firsts
        write_f64_le(rows, row[4])  # seconds
        write_f64_le(rows, row[5])  # in_
        write_i32_le(rows, row[6])  # place

    def stock_out(self, row: tuple[int, int, int, int, float, float, float, float]) -> None:
        """Write down one row."""
        rows = self._stock_out
        write_i32_le(rows, row[0])  # strain
        write_i32_le(rows, row[1])  # grade
        write_i32_le(rows, row[2])  # why
        write_i32_le(rows, row[3])  # customer
        write_f64_le(rows, row[4])  # picked
        write_f64_le(rows, row[5])  # dies
        write_f64_le(rows, row[6])  # when
        write_f64_le(rows, row[7])  # kg

    def blocks(self, row: tuple[int, int, int, float, float, int]) -> None:
        """Write down one row."""
        rows = self._blocks
        write_i32_le(rows, row[0])  # lot
        write_i32_le(rows, row[1])  # strain
        write_i32_le(rows, row[2])  # what
        write_f64_le(rows, row[3])  # when
        write_f64_le(rows, row[4])  # blocks
        write_i32_le(rows, row[5])  # customer

    def freed(self, row: tuple[int, int, float, int]) -> None:
        """Write down one row."""
        rows = self._freed
        write_i32_le(rows, row[0])  # lot
        write_i32_le(rows, row[1])  # place
        write_f64_le(rows, row[2])  # when
        write_i64_le(rows, row[3])  # amount

    def taken(self, name: str) -> bytes:
        """What was written of a table; nothing is left there."""
        rows = self._rows[name]
        taken = rows.getvalue()
        rows.truncate(0)
        return taken
