"""How full a place was: Little's law to the last bit, who is first in line, places that change."""

from datetime import date

import numpy as np
import pytest

from farmsim.record.columns import ROOM_ENOUGH
from farmsim.record.journal import Journal
from farmsim.record.measures import summarise
from farmsim.record.measures.course import Asks, first_in_line
from farmsim.record.measures.standing import stay_of_freed
from farmsim.record.names import Names
from farmsim.record.tables import Record

NAN = float("nan")
RACKS, NORTH, SOUTH = range(3)
NAMES = Names(
    places=(("racks", "racks", "blocks"), ("North", "shelf", "blocks"), ("South", "shelf", "blocks")),
    strains=("shiitake", "oyster"),
    lines=("monday",),
)


@pytest.fixture
def journal() -> Journal:
    """Racks for 100 blocks and two rooms for 50; four lots, the first two shiitake, the others oyster."""
    written = Journal(NAMES)
    for place, holds in ((RACKS, 100), (NORTH, 50), (SOUTH, 50)):
        written.capacity((place, -500.0, holds * 1000))
    for number in range(4):
        written.lot((f"monday/2027-01-04/{number:02d}", 0, number // 2, 0.0, number, 0.0, 50.0, ""))
    return written


def places(journal: Journal, end: float = 168.0, start: float = 0.0) -> dict[str, dict[str, float]]:
    """The table of places, place by place."""
    table = summarise(Record.read(journal, date(2027, 1, 4), end, start))["places"]
    return {
        name: {column: table[column][at] for column in table if isinstance(table[column], np.ndarray)}
        for at, name in enumerate(table["place"])
    }


def test_places_used_are_all_stays_by_the_length_of_time_exactly(journal: Journal) -> None:
    luck = np.random.default_rng(7)
    came = np.round(luck.uniform(-300.0, 900.0, 4000) * 4) / 4
    left = came + np.round(luck.gamma(2.0, 30.0, 4000) * 4) / 4
    amount = luck.integers(1, 60_000, 4000)
    for row in zip(amount.tolist(), came.tolist(), left.tolist(), strict=True):
        journal.stays((0, RACKS, 0, row[0], row[1], row[1], row[2], row[2]))
    within = np.clip(left, 0.0, 672.0) - np.clip(came, 0.0, 672.0)
    assert places(journal, 672.0)["racks"]["used_mean"] == float((within * amount).sum()) / 1000 / 672.0


def test_what_was_given_back_was_held_until_then(journal: Journal) -> None:
    journal.freed((0, RACKS, 50.0, 20_000))
    journal.freed((0, RACKS, 60.0, 10_000))
    journal.stays((0, RACKS, 0, 20_000, 10.0, 10.0, 100.0, 110.0))
    assert places(journal)["racks"]["used_mean"] == (20 * 40 + 10 * 50 + 20 * 100) / 168


def test_a_part_is_given_back_from_the_stay_that_ends_next(journal: Journal) -> None:
    for came in (10.0, 30.0, 50.0):
        journal.stays((0, RACKS, 0, 1_000, came, came, came + 10, came + 10))
    journal.stays((1, RACKS, 0, 1_000, 0.0, 0.0, NAN, NAN))
    for lot, when in ((0, 35.0), (0, 60.0), (0, 61.0), (1, 99.0), (2, 5.0)):
        journal.freed((lot, RACKS, when, 1))
    assert stay_of_freed(Record.read(journal, date(2027, 1, 4), 168.0)).tolist() == [1, 2, -1, 3, -1]


def test_the_first_in_line_is_who_has_waited_longest() -> None:
    asks = Asks(np.array([1.0, 0.0, 2.0, 9.0]), np.array([6.0, 4.0, 5.0, 9.5]), np.array([10.0, 20.0, 30.0, 40.0]))
    steps = first_in_line(asks)
    order = np.argsort(steps.when, kind="stable")
    # 0..4 the second, 4..6 the first, never the third: the first still waits when it comes; 9..9.5 the fourth.
    assert steps.when[order].tolist() == [0.0, 4.0, 4.0, 6.0, 9.0, 9.5]
    assert np.cumsum(steps.by[order])[[0, 2, 3, 4, 5]].tolist() == [20.0, 10.0, 0.0, 40.0, 0.0]


def test_a_small_lot_behind_a_large_one_waits_though_it_would_fit(journal: Journal) -> None:
    journal.stays((0, RACKS, 0, 70_000, 0.0, 0.0, 20.0, 20.0))
    journal.stays((1, RACKS, 0, 50_000, 5.0, 20.0, 40.0, 40.0))
    journal.stays((2, RACKS, 0, 30_000, 8.0, 20.0, 40.0, 40.0))
    found = places(journal)["racks"]
    assert found["hours_waiting_share"] == 15 / 168
    assert found["full_lots_waiting_share"] == pytest.approx(70 * 15 / 16800)


def test_a_lot_held_back_by_something_else_does_not_make_a_place_full(journal: Journal) -> None:
    journal.stays((0, RACKS, 0, 30_000, 5.0, 20.0, 40.0, 40.0))
    found = places(journal)["racks"]
    assert (found["hours_waiting_share"], found["waits_n"], found["waits_mean_h"]) == (0.0, 1.0, 15.0)


def test_a_lot_waits_at_every_room_that_takes_its_strain(journal: Journal) -> None:
    for lot, room, came, left in ((2, SOUTH, -300.0, -200.0), (2, NORTH, 0.0, 40.0), (0, SOUTH, 0.0, 60.0)):
        journal.stays((lot, room, 1, 50_000, came, came, left, left))
    journal.stays((3, NORTH, 1, 50_000, 10.0, 40.0, 70.0, 70.0))
    journal.stays((1, SOUTH, 1, 50_000, 20.0, 60.0, 80.0, 80.0))
    found = places(journal)
    # Oyster waits 10..40 at both, shiitake (never seen in North) 20..60 in South only.
    assert found["North"]["hours_waiting_share"] == 30 / 168
    assert found["South"]["hours_waiting_share"] == 50 / 168
    assert (found["North"]["waits_n"], found["South"]["waits_n"]) == (1, 1)


def test_places_built_and_taken_away_count_from_their_day(journal: Journal) -> None:
    journal.capacity((RACKS, 42.0, 200_000))
    journal.capacity((RACKS, 84.0, 0))
    journal.stays((0, RACKS, 0, 50_000, 0.0, 0.0, 168.0, 168.0))
    found = places(journal)["racks"]
    assert found["capacity"] == (100 * 42 + 200 * 42) / 168
    assert found["used_share"] == 50 * 168 / (300 * 42)
    assert found["idle_share"] == (50 * 42 + 150 * 42) / (300 * 42)


def test_a_place_that_is_never_short_has_no_shares(journal: Journal) -> None:
    journal.capacity((RACKS, -400.0, ROOM_ENOUGH))
    journal.stays((0, RACKS, 0, 50_000, 0.0, 0.0, 84.0, 84.0))
    found = places(journal)["racks"]
    assert found["used_mean"] == 25.0
    assert np.isnan([found["capacity"], found["used_share"], found["idle_share"], found["busiest_used_share"]]).all()


def test_the_measured_time_may_begin_later_and_end_within_a_week(journal: Journal) -> None:
    journal.stays((0, RACKS, 0, 50_000, 100.0, 100.0, 178.0, 178.0))
    journal.stays((1, RACKS, 0, 50_000, 184.0, 184.0, NAN, NAN))
    found = places(journal, end=188.0, start=168.0)["racks"]
    assert found["used_mean"] == 50 * (10 + 4) / 20


def test_an_hour_of_the_week_that_never_came_has_no_mean(journal: Journal) -> None:
    hours = summarise(Record.read(journal, date(2027, 1, 4), 30.0))["hours_of_week"]
    used = np.asarray(hours["used"])[:168]
    assert np.isnan(used).tolist() == [hour >= 30 for hour in range(168)]


def test_a_measured_time_across_years_is_cut_into_its_months(journal: Journal) -> None:
    months = summarise(Record.read(journal, date(2027, 11, 29), 6 * 168.0))["months"]
    assert months["month"] == ["2027-11", "2027-12", "2028-01"]
    assert list(months["days"]) == [2.0, 31.0, 9.0]
