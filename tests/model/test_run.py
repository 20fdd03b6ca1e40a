"""One run of the farm: lead-in, seeds, what stands at the start and at the end."""

from __future__ import annotations

import pytest

from farmsim.model.run import lead_in, run
from farmsim.record import balance
from farmsim.record.columns import TABLES
from farmsim.scenario.strain import Contaminated, Yield

from .tiny import LINE, MADE, OYSTER, SHOP, D, Fixed, farm, log, seen

LUCKY = OYSTER.but(
    yield_=Yield(mean=0.5, cv_lot=0.2, cv_block=0.1),
    contaminated=Contaminated(mean=0.1, clusters="by load", shows=Fixed(3 * D)),
    spread=12.0,
)
FULL_SWING = {"begin": "full swing", "lead_in": 3}
EVERY_TABLE = [layout.name for layout in TABLES]


def everything(record) -> dict[str, list[tuple[object, ...]]]:
    return {table: record.rows(table) for table in EVERY_TABLE}


def test_same_seed_same_rows() -> None:
    one, other = (seen(LUCKY, seed=3, weeks=6) for _ in range(2))
    assert everything(one) == everything(other)


def test_two_runs_of_a_study_differ() -> None:
    tiny = farm(LUCKY)
    one, other = (run(tiny, 3, number, 6) for number in range(2))
    assert one.rows("picks") != other.rows("picks")
    assert run(tiny, 4, 0, 6).rows("picks") != one.rows("picks")


def test_a_farm_that_begins_empty_has_no_lead_in() -> None:
    assert lead_in(farm()) == 0
    assert seen().rows("inside") == [("oyster", 0.0, 0.0), ("oyster", 0.0, 168.0)]


def test_in_full_swing_the_farm_runs_for_some_weeks_before_it_is_measured() -> None:
    assert lead_in(farm(about=FULL_SWING)) == 3
    record = seen(about=FULL_SWING)
    assert [row[0] for row in record.rows("lots")] == [
        f"A/{day}/00" for day in ("2026-12-14", "2026-12-21", "2026-12-28", "2027-01-04")
    ]
    assert (record.start, record.end) == (0.0, 168.0)


def test_the_length_of_the_lead_in_is_worked_out_when_it_is_not_given() -> None:
    assert lead_in(farm(about={"begin": "full swing"})) >= 2


def test_what_stands_there_is_counted_at_the_start_and_at_the_end() -> None:
    slow = OYSTER.but(first_pick=Fixed(10 * D))
    record = seen(slow, about=FULL_SWING, weeks=2)
    assert record.rows("inside") == [("oyster", 8.0, 0.0), ("oyster", 8.0, 336.0)]
    assert [row for row in record.rows("left_over") if row[2]] == [
        ("oyster", 0, 4.0, 0.0),
        ("oyster", 0, 4.0, 336.0),
    ]


def test_stays_that_go_on_at_the_end_are_written_down_without_an_end() -> None:
    slow = OYSTER.but(first_pick=Fixed(30 * D))
    record = seen(slow, start=(LINE.but(blocks=24.0),))
    assert [line for line in log(record, "stays") if line.startswith("never")] == [
        "never  A2 waits for Shed, promised since mon 08:00"
    ]
    open_stays = [row[:2] for row in record.rows("stays") if row[5] is not None and row[7] is None]
    assert sorted(open_stays) == [
        ("A/2027-01-04/00", "Shed"),
        ("A/2027-01-04/00", "Shed, promised"),
        ("A/2027-01-04/01", "Shed"),
        ("A/2027-01-04/01", "Shed, promised"),
        ("A/2027-01-04/02", "racks"),
    ]


def test_weeks_are_those_asked_for_or_the_farms_own() -> None:
    assert run(farm(about={"weeks": 3}), 1).end == 3 * 168.0
    assert run(farm(about={"weeks": 3}), 1, 0, 2).end == 2 * 168.0


@pytest.mark.parametrize("line", [LINE, MADE])
def test_a_short_run_adds_up(line) -> None:
    assert balance.faults(seen(LUCKY, start=(line,), customer=(SHOP,), weeks=6)) == []
