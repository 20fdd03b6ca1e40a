"""The journal keeps every row; the record gives them back with names, in an order that does not depend on the run."""

import pickle
import sys
from collections.abc import Callable
from datetime import date
from types import FrameType

import numpy as np
import pytest

from farmsim import machine_code
from farmsim.record.columns import TABLES
from farmsim.record.journal import Journal
from farmsim.record.names import Names
from farmsim.record.tables import Record, layout_of

NAMES = Names(
    places=(("racks", "racks", "blocks"),),
    crews=("pickers",),
    duties=("pick",),
    strains=("shiitake",),
    lines=("monday",),
)


def test_a_row_is_what_was_written() -> None:
    journal = Journal(NAMES)
    journal.packs((0, 1.0, 2.5))
    journal.packs((0, 2.0, 3.5))
    journal.packs((0, 3.0, 4.5))
    packs = journal.columns()["packs"]
    assert {name: values.tolist() for name, values in packs.items()} == {
        "strain": [0, 0, 0],
        "when": [1.0, 2.0, 3.0],
        "kg": [2.5, 3.5, 4.5],
    }


def test_rows_are_taken_out_also_while_somebody_watches() -> None:
    """A profiler, as every worker of a Dask cluster has one, holds what a function had a moment longer."""
    journal = Journal(NAMES)
    journal.packs((0, 1.0, 2.5))
    held: list[FrameType] = []
    before = sys.getprofile()
    sys.setprofile(lambda frame, event, _: held.append(frame) if event == "return" else None)
    try:
        first = journal.columns()["packs"]
    finally:
        sys.setprofile(before)
    assert first["kg"].tolist() == [2.5]
    assert len(held) > len(TABLES) or machine_code.in_use()  # machine code has no frames to hold
    assert journal.columns()["packs"]["kg"].tolist() == []


def test_lots_are_numbered_as_they_come() -> None:
    journal = Journal(NAMES)
    assert [journal.lot((f"monday/2027-01-04/{n:02d}", 0, 0, 0.0, n, 0.0, 50.0, "")) for n in (1, 2)] == [0, 1]


def test_an_empty_journal_has_all_its_tables() -> None:
    tables = Journal(NAMES).columns()
    assert {table: list(columns) for table, columns in tables.items()} == {
        layout.name: [column.name for column in layout.columns] for layout in TABLES
    }


def test_a_row_that_is_too_short_names_its_table_and_columns() -> None:
    journal = Journal(NAMES)
    with pytest.raises(ValueError, match=r"journal\.packs: a row does not fit the columns \(strain, when, kg\)"):
        journal.packs((0, 1.0))  # type: ignore[arg-type]


def test_a_name_is_a_whole_number() -> None:
    with pytest.raises(ValueError, match=r"journal\.packs: a row does not fit the columns"):
        Journal(NAMES).packs((0.5, 1.0, 2.5))  # type: ignore[arg-type]


def test_every_column_says_its_unit_and_meaning_and_every_table_when_a_row_ended() -> None:
    for layout in TABLES:
        names = [column.name for column in layout.columns]
        assert layout.meaning and layout.ended in names and len(set(names)) == len(names)
        assert all(column.unit and column.meaning for column in layout.columns)


def test_an_unknown_table_is_named_with_those_there_are() -> None:
    with pytest.raises(KeyError, match="no table 'harvest' in the journal; there are lots, stays"):
        layout_of("harvest")


def _two_lots(order: list[str]) -> Record:
    journal = Journal(NAMES)
    for key in order:
        lot = journal.lot((key, 0, 0, 0.0, 1, 5.0, 50.0, ""))
        journal.stays((lot, 0, 0, 50_000, 1.0, 1.0, 2.0, 9.0))
        journal.stays((lot, 0, 1, 50_000, 9.0, 9.0, float("nan"), float("nan")))
    return Record.read(journal, date(2027, 1, 4), 168.0)


def test_rows_do_not_depend_on_the_order_of_lots_or_their_numbers() -> None:
    one, other = _two_lots(["a", "b"]), _two_lots(["b", "a"])
    assert one.tables["stays"]["lot"].tolist() == other.tables["stays"]["lot"].tolist()
    assert one.rows("lots") == other.rows("lots")
    assert one.rows("stays") == other.rows("stays")
    assert one.rows("stays") == [
        ("a", "racks", 0, 50_000, 1.0, 1.0, 2.0, 9.0),
        ("b", "racks", 0, 50_000, 1.0, 1.0, 2.0, 9.0),
        ("a", "racks", 1, 50_000, 9.0, 9.0, None, None),
        ("b", "racks", 1, 50_000, 9.0, 9.0, None, None),
    ]


def test_rows_before_a_date_are_those_that_ended_before_it() -> None:
    record = _two_lots(["a", "b"])
    assert [row[0] for row in record.rows("stays", before=9.5)] == ["a", "b"]
    assert record.rows("stays", before=9.0) == []


def test_a_number_below_zero_stands_for_none(record: Record) -> None:
    assert record.rows("tasks")[0][:5] == ("lab", 0, "pack", "monday/2027-01-11/01", 1)
    assert record.rows("tasks")[1][:5] == ("pickers", 0, "pick", "", 0)
    assert record.rows("stock_out")[2][:4] == ("oyster", 0, 1, "")


def test_a_record_can_be_sent_to_another_process(record: Record) -> None:
    again = pickle.loads(pickle.dumps(record))
    assert all(again.rows(layout.name) == record.rows(layout.name) for layout in TABLES)


def test_stretches_of_work_belong_to_the_last_shift_that_had_begun(record: Record) -> None:
    assert record.shift_of_tasks.tolist() == [0, 1, 1, 1, 2, 3]


def test_weeks_are_counted_from_the_start(journal: Journal, read: Callable[[Journal], Record]) -> None:
    assert read(journal).weeks == 2
    assert np.isclose(Record.read(Journal(NAMES), date(2027, 1, 4), 500.0, start=168.0).weeks, 2)
