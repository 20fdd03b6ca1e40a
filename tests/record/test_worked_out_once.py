"""What follows from a journal alone is worked out once for all cuts of it, and quick ways give what the plain ones give."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pytest
from two_weeks import END, two_weeks

from farmsim.record.balance import faults
from farmsim.record.journal import Journal, Names
from farmsim.record.measures import RunTables, limits, standing, summarise
from farmsim.record.measures.course import _level, usual_of
from farmsim.record.measures.limits import Periods, Turn
from farmsim.record.tables import Figures, Record, once

WEEK = 168.0
LUCK = np.random.default_rng(7)


def record_of(start: float = 0.0) -> Record:
    return Record.read(two_weeks(), date(2027, 1, 25), END, start)


def plain(tables: RunTables) -> dict[str, list[object]]:
    """Columns as bytes, so that what is not a number is equal to itself."""
    return {
        f"{name} {column}": [values if isinstance(values, list) else np.asarray(values).tobytes()]
        for name, table in tables.items()
        for column, values in table.items()
    }


def test_cuts_of_a_record_share_what_is_known_and_another_journal_does_not() -> None:
    asked: list[float] = []

    @once
    def tasks(record: Record, of: str) -> int:
        asked.append(record.start)
        return len(record.figures("tasks", of))

    record = record_of()
    later = replace(record, start=WEEK, farm=None)
    found = tasks(record, "began")
    assert tasks(later, "began") == found > 1 and asked == [0.0]
    assert tasks(record, "ended") == found and len(asked) == 2
    one = {name: values[:1] for name, values in record.tables["tasks"].items()}
    assert tasks(replace(record, tables={**record.tables, "tasks": one}), "began") == 1
    assert tasks(record, "began") == found


def test_nobody_can_change_what_all_cuts_share() -> None:
    @dataclass
    class Days:
        first: Figures
        later: dict[str, list[Figures]]

    @once
    def days(record: Record) -> tuple[Days, str]:
        first, second = record.figures("tasks", "began") / 24.0, record.figures("tasks", "ended") / 24.0
        return Days(first, {"ended": [second]}), "days"

    found, _ = days(record_of())
    for shared in (found.first, found.later["ended"][0]):
        with pytest.raises(ValueError, match="read-only"):
            shared[0] = 0.0


def test_a_cut_is_told_as_if_nothing_had_been_known() -> None:
    """Whatever of a record was looked at before: another time, another end, its faults."""
    known = record_of()
    assert faults(known) == []
    summarise(known)
    for start, end in ((0.0, WEEK), (WEEK, END), (0.0, END)):
        fresh = replace(record_of(), start=start, end=end)
        assert plain(summarise(replace(known, start=start, end=end))) == plain(summarise(fresh))


def test_a_record_can_be_sent_whatever_is_known_of_it() -> None:
    record = record_of()
    told = plain(summarise(record))
    assert plain(summarise(pickle.loads(pickle.dumps(record)))) == told


# --- quick ways beside plain ones -------------------------------------------------------------------------------------


def test_keys_looked_up_in_a_table_are_those_found_by_searching() -> None:
    for size in (0, 1, 5, 300):
        keys, wanted = LUCK.integers(-400, 400, 500), LUCK.integers(-500, 300, size)
        assert standing._is_among(keys, wanted).tolist() == np.isin(keys, wanted).tolist()
    assert standing._is_among(np.empty(0, np.int64), np.array([3])).tolist() == []


def test_a_level_that_seldom_changes_is_that_added_up_step_by_step() -> None:
    for count in (0, 1, 3, 40, 190):
        order, by = LUCK.permutation(200), LUCK.random(count)
        steps = np.zeros(200)
        steps[7 : 7 + count] = by
        assert _level(order, 7, by).tobytes() == np.cumsum(steps[order]).tobytes()


@pytest.mark.parametrize("count", [1, 2, 3, 8, 101])
def test_the_usual_amount_is_the_median(count: int) -> None:
    amounts: Figures = np.floor(LUCK.random(count) * 20) * 500.0
    assert usual_of(amounts, 3.0) == float(np.median(amounts))


def test_of_none_there_is_no_usual_amount() -> None:
    assert usual_of(np.empty(0), 3.0) == 3.0


def looked_for_one_by_one(active: Sequence[Periods], start: float) -> list[Turn]:
    """Who holds the others up, by looking at everybody at every moment that matters."""
    found, now = list[Turn](), start
    while True:
        on = [
            (end - begin, end, -whose, begin)
            for whose, each in enumerate(active)
            for begin, end in zip(*each, strict=True)
            if begin <= now < end
        ]
        later = [begin for each in active for begin in each.begin if begin > now]
        if on:
            _, now, whose, begin = max(on)
            found.append(Turn(-whose, begin, now))
        elif later:
            now = min(later)
        else:
            return found


def test_turns_are_those_found_one_by_one() -> None:
    for _ in range(60):
        edges = [np.unique(LUCK.integers(0, 60, 2 * LUCK.integers(0, 9))).astype(float) for _ in range(5)]
        active = [Periods(each[:-1:2].tolist(), each[1::2].tolist()) for each in edges]
        assert limits.turns(active, 0.0) == looked_for_one_by_one(active, 0.0)


# --- what does not fit ------------------------------------------------------------------------------------------------

NAMES = Names(places=(("racks", "racks", "blocks"),), strains=("shiitake",), lines=("monday",))


@pytest.mark.parametrize("came", [-20.0, 0.0, 20.0])
def test_a_place_that_was_too_full_is_told_once_whenever_it_was(came: float) -> None:
    """Before the measured time begins, at its first moment, and after."""
    journal = Journal(NAMES)
    journal.capacity((0, -WEEK, 90_000))
    for number in range(2):
        lot = journal.lot((f"monday/2027-01-04/{number}", 0, 0, 0.0, number, 0.0, 50.0, ""))
        journal.stays((lot, 0, 0, 50_000, came, came, came + 9.0, came + 9.0))
    record = Record.read(journal, date(2027, 1, 4), WEEK)
    told = [fault for fault in faults(record) if fault.startswith("racks")]
    assert told == [f"racks: 100 places taken at hour {came:g}, but there are only 90"]


def test_places_kept_after_they_were_taken_away_are_no_fault_also_where_time_begins() -> None:
    """A hundred stand where only ninety places are left; at the start ten leave and five come: fewer than before."""
    journal = Journal(NAMES)
    journal.capacity((0, -WEEK, 100_000))
    journal.capacity((0, -24.0, 90_000))
    for number, (blocks, came, left) in enumerate(((90, -100.0, 50.0), (10, -100.0, 0.0), (5, 0.0, 50.0))):
        lot = journal.lot((f"monday/2027-01-04/{number}", 0, 0, 0.0, number, 0.0, float(blocks), ""))
        journal.stays((lot, 0, 0, 1000 * blocks, came, came, left, left))
    record = Record.read(journal, date(2027, 1, 4), WEEK)
    assert [fault for fault in faults(record) if fault.startswith("racks")] == []
