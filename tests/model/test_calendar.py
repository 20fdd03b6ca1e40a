"""Working-time arithmetic: when people are at work, and when work that begins now is done."""

from __future__ import annotations

from fractions import Fraction

import pytest

from farmsim.model.calendar import (
    FOREVER,
    TICKS_PER_HOUR,
    Always,
    Shift,
    Stretch,
    Weekly,
    days_from,
    pieces_of,
    ticks,
)

DAY_SHIFT = Shift(((8.0, 16.0),))
WITH_BREAK = Shift(((6.0, 10.0), (10.5, 14.0)))


def test_hours_are_whole_ticks_so_that_sums_are_exact_and_ties_are_true_ties() -> None:
    third, tenth = ticks(1 / 3), ticks(0.1)
    assert sum([tenth] * 10) == 10 * tenth
    assert third + tenth + third == third + third + tenth
    assert (1e4 + tenth) - 1e4 == tenth  # a year on, nothing is lost
    assert Fraction(tenth) * int(TICKS_PER_HOUR) == round(0.1 * TICKS_PER_HOUR)
    assert ticks(0.5) == 0.5
    assert ticks(-1.0 / 3.0) == -third


def test_a_task_within_the_shift_is_simply_done() -> None:
    assert DAY_SHIFT.finish(9.0, 2.5) == Stretch(end=11.5, worked=2.5, left=0.0, overtime=0.0)


def test_a_task_that_ends_with_the_bell_is_done() -> None:
    assert DAY_SHIFT.finish(13.0, 3.0) == Stretch(16.0, 3.0, 0.0, 0.0)


def test_what_is_left_at_the_end_of_the_shift_is_left() -> None:
    assert DAY_SHIFT.finish(15.0, 3.0) == Stretch(16.0, 1.0, 2.0, 0.0)


def test_a_task_goes_on_after_the_break() -> None:
    assert WITH_BREAK.finish(9.0, 2.0) == Stretch(11.5, 2.0, 0.0, 0.0)


def test_a_task_that_ends_when_the_break_begins_is_done_before_it() -> None:
    assert WITH_BREAK.finish(9.0, 1.0) == Stretch(10.0, 1.0, 0.0, 0.0)


def test_a_task_begun_in_the_break_begins_after_it() -> None:
    assert WITH_BREAK.finish(10.25, 1.0) == Stretch(11.5, 1.0, 0.0, 0.0)
    assert WITH_BREAK.open_from(10.25) == 10.5


def test_overtime_finishes_the_task_in_hand() -> None:
    assert Shift(((8.0, 16.0),), overtime=2.0).finish(15.0, 3.0) == Stretch(18.0, 3.0, 0.0, 2.0)


def test_overtime_ends_at_its_limit() -> None:
    assert Shift(((8.0, 16.0),), overtime=1.5).finish(15.0, 3.0) == Stretch(17.5, 2.5, 0.5, 1.5)


def test_hours_left_are_working_hours_and_the_overtime_a_task_may_take() -> None:
    assert WITH_BREAK.hours_left(9.0) == 4.5
    assert WITH_BREAK.hours_left(10.25) == 3.5
    assert Shift(((8.0, 16.0),), overtime=2.0).hours_left(15.0) == 3.0
    assert Shift(((8.0, 16.0),)).hours_left(17.0) == 0.0


def test_a_shift_is_open_from_its_beginning_and_over_at_its_end() -> None:
    assert [WITH_BREAK.open_from(when) for when in (5.0, 6.0, 10.0, 13.9, 14.0)] == [6.0, 6.0, 10.5, 13.9, FOREVER]


@pytest.mark.parametrize("hours", [0.1, 1 / 3, 0.7, 2.9, 7.4, 11.3])
@pytest.mark.parametrize("overtime", [0.0, 1.1])
def test_nothing_of_the_work_is_lost_to_rounding(hours: float, overtime: float) -> None:
    shift = Shift(((ticks(6.1), ticks(9.95)), (ticks(10.45), ticks(14.6))), overtime=ticks(overtime))
    for when in (6.1, 7.77, 9.95, 10.2, 12.34, 14.59):
        stretch = shift.finish(ticks(when), ticks(hours))
        assert stretch.worked + stretch.left == ticks(hours)
        assert stretch.end == ticks(stretch.end)


def test_someone_who_is_always_there_never_stops() -> None:
    shift = Always(2).following(1e6)
    assert shift is not None
    assert shift.people == (0, 1)
    assert shift.finish(1e6, 1000.0) == Stretch(1e6 + 1000.0, 1000.0, 0.0, 0.0)


def test_a_weekly_rota_skips_the_days_off() -> None:
    rota = Weekly(dict.fromkeys(range(5), (8.0, 16.0)), people=3)
    found = [rota.following(when) for when in (0.0, 15.99, 16.0, 4 * 24 + 16.0)]
    assert [(shift.begin, shift.end, shift.people) for shift in found if shift] == [
        (8.0, 16.0, (0, 1, 2)),
        (8.0, 16.0, (0, 1, 2)),
        (32.0, 40.0, (0, 1, 2)),
        (7 * 24 + 8.0, 7 * 24 + 16.0, (0, 1, 2)),
    ]


def test_a_weekly_night_shift_goes_past_midnight() -> None:
    shift = Weekly({0: (22.0, 30.0)}).following(24.0 + 2.0)
    assert shift is not None
    assert (shift.begin, shift.end) == (22.0, 30.0)


def test_a_rota_without_a_day_has_no_shift() -> None:
    assert Weekly({}).following(0.0) is None


def test_a_break_is_cut_out_of_the_shift() -> None:
    assert pieces_of(6.0, 14.0, 9.0, 0.5) == ((6.0, 9.0), (9.5, 14.0))
    assert pieces_of(6.0, 14.0, 9.0, 0.0) == ((6.0, 14.0),)


def test_days_are_counted_from_the_monday_of_the_start_week() -> None:
    assert list(days_from(25.0, 3)) == [1, 2, 3]
    assert list(days_from(-1.0, 2)) == [-1, 0]
