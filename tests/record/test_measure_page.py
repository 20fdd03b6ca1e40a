"""The page of measures is made from the declarations, and is up to date."""

from datetime import date
from pathlib import Path

from farmsim.record.journal import Journal
from farmsim.record.measures import MEASURES, measure_page, summarise
from farmsim.record.measures.page import TABLES
from farmsim.record.names import Names
from farmsim.record.tables import Record

PAGE = Path(__file__).parents[2] / "docs" / "measures.md"


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == measure_page(), "write it again: farmsim.record.measures.measure_page()"


def test_every_measure_has_one_name_and_says_unit_meaning_denominator_and_what_there_is_one_for() -> None:
    assert len({one.name for one in MEASURES}) == len(MEASURES)
    assert all(one.unit and one.meaning and one.denominator and one.per for one in MEASURES)


def test_every_column_of_every_table_of_a_run_is_on_the_page(record: Record) -> None:
    tables = summarise(record)
    told = {table.file: {name for name, _, _ in table.columns} for table in TABLES}
    assert set(tables) <= set(told)
    measures = {one.name for one in MEASURES}
    for table, columns in tables.items():
        assert [column for column in columns if column not in measures | told[table]] == []


def test_nothing_is_told_of_a_table_that_is_not_in_it(record: Record) -> None:
    tables = summarise(record)
    for table in TABLES:
        if table.file in tables:
            assert {name for name, _, _ in table.columns} - {"run"} <= set(tables[table.file])


def test_a_journal_without_a_row_has_every_table(journal: Journal) -> None:
    empty = summarise(Record.read(Journal(journal.names), date(2027, 1, 4), 336.0))
    assert empty["weekly"]["picked_kg"].tolist() == [0.0, 0.0]
    assert empty["deliveries"]["customer"] == [] and empty["days"]["strain"] == []


def test_a_farm_without_names_has_every_table() -> None:
    empty = summarise(Record.read(Journal(Names()), date(2027, 1, 4), 336.0))
    assert empty["places"]["place"] == [] and empty["strains"]["strain"] == []
