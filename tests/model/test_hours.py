"""Looking ahead in the rota: when somebody is next there for a duty, and what that leaves for soaks and calls."""

from __future__ import annotations

import datetime

import pytest

from farmsim.model.build import build
from farmsim.model.calendar import NEVER
from farmsim.model.hours import call_from, last_open, next_open, soak_from
from farmsim.model.luck import Luck
from farmsim.model.rota import CrewRota
from farmsim.model.site import Site
from farmsim.scenario.people import Crew, FromHour
from farmsim.scenario.seasons import Shut
from farmsim.scenario.strain import Strain
from farmsim.scenario.values import Shift

from .tiny import COLD, DAYS, FRIDGE, SHIITAKE, TANKS, D, farm, of_crew

WEEKDAYS = DAYS[:5]
NO_COLD = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None)


def site(*crews: Crew, strain: Strain = SHIITAKE) -> Site:
    built = farm(strain, crew=crews, walk_in={"fridge": FRIDGE, "cold": COLD}, soak=TANKS)
    return build(built, Luck(1, 0), 0.0, 4 * 7 * D)


def test_the_next_working_moment_of_a_duty() -> None:
    one = site(of_crew("soak", "open", break_=1.0))  # 6 to 18, break from 11:30
    found = [next_open(one, "soak", when) for when in (0.0, 6.0, 11.5, 12.0, 17.9, 18.0)]
    assert found == [6.0, 6.0, 12.5, 12.5, 17.9, 30.0]


def test_any_crew_with_the_duty_will_do() -> None:
    early, late = of_crew("soak", start=6.0, end=10.0), of_crew("soak", "open", start=9.0, end=14.0, name="late")
    one = site(early, late)
    assert [next_open(one, "soak", when) for when in (0.0, 9.5, 13.0, 14.0)] == [6.0, 9.5, 13.0, 30.0]
    assert [next_open(one, "open", when) for when in (0.0, 9.5)] == [9.0, 9.5]


def test_a_crew_that_is_there_all_night_leaves_no_gap() -> None:
    one = site(of_crew("soak", start=6.0, end=18.0), of_crew("soak", start=18.0, end=30.0, name="night"))
    assert [next_open(one, "soak", when) for when in (18.0, 23.0, 29.0, 30.0)] == [18.0, 23.0, 29.0, 30.0]


def test_nobody_ever_has_the_duty() -> None:
    assert next_open(site(of_crew("open")), "soak", 0.0) == NEVER


def test_far_ahead_and_back_again_the_answer_is_the_same() -> None:
    one = site(of_crew("soak", days=WEEKDAYS))
    hours = [float(hour) for hour in range(-100, 900, 7)]
    forward = [next_open(one, "soak", when) for when in hours]
    assert [next_open(one, "soak", when) for when in reversed(hours)][::-1] == forward


def test_the_last_moment_at_which_a_task_still_ends_in_the_shift() -> None:
    one = site(of_crew("soak"))
    assert last_open(one, "soak", D + 20.0, 1.5) == D + 16.5
    assert last_open(one, "soak", D + 12.0, 1.5) == D + 12.0
    assert last_open(one, "open", D + 20.0, 1.5) == -NEVER


def test_a_tank_may_be_filled_when_the_morning_comes_within_the_most() -> None:
    one = site(of_crew("soak", "open"))
    assert soak_from(one, SHIITAKE, 8, 8.0) == 11.0  # an hour to fill, 18 h, and it is 06:00
    assert soak_from(one, SHIITAKE, 8, 12.0) == 12.0
    assert soak_from(one, SHIITAKE, 8, 19.0) == D + 6.0  # or the soak of 10 h ends in the same shift


def test_before_days_off_no_tank_may_be_filled() -> None:
    one = site(of_crew("soak", "open", days=WEEKDAYS))
    friday, monday = 4 * D + 8.0, 7 * D + 6.0
    assert soak_from(one, SHIITAKE, 8, friday) == monday


def test_a_soak_that_can_never_end_in_time_is_never_begun() -> None:
    brief = NO_COLD.but(soak=NO_COLD.soak.but(least=20.0, most=21.0))
    one = site(of_crew("soak", "open", start=6.0, end=7.0), strain=brief)
    assert soak_from(one, brief, 8, 8.0) == NEVER


def test_a_lot_may_be_called_when_soak_and_opening_fall_on_days_with_people() -> None:
    one = site(of_crew("soak", "open", days=WEEKDAYS))
    called = {day: call_from(one, SHIITAKE, 8, number * D + 8.0) for number, day in enumerate(DAYS)}
    assert called == {
        "mon": 8.0,
        "tue": D + 8.0,
        "wed": 2 * D + 8.0,
        "thu": 4 * D,  # looked at again at midnight
        "fri": 5 * D,
        "sat": 6 * D,
        "sun": 6 * D + 8.0,
    }


def test_a_lot_ripe_in_the_evening_is_called_the_next_day() -> None:
    one = site(of_crew("open"))
    plain = NO_COLD.but(steps=("open", "fruit"), soak=None)
    assert call_from(one, plain, 8, 17.0) == 17.0
    assert call_from(one, plain, 8, 19.0) == D


def test_the_last_start_counts_the_break() -> None:
    one = site(of_crew("soak", break_=1.0))  # 6 to 18, break from 11:30 to 12:30
    assert last_open(one, "soak", D + 20.0, 5.5) == D + 12.5
    assert last_open(one, "soak", D + 20.0, 6.5) == D + 10.5
    assert last_open(one, "soak", 20.0, 12.0) == -NEVER  # longer than the shift


def test_nobody_is_looked_for_on_days_on_which_nobody_works() -> None:
    fair = (Shut(name="fair", first=datetime.date(2027, 1, 5), stops=("work",)),)
    built = farm(SHIITAKE, crew=(of_crew("soak"),), walk_in={"fridge": FRIDGE, "cold": COLD}, soak=TANKS, shut=fair)
    one = build(built, Luck(1, 0), 0.0, 4 * 7 * D)
    assert next_open(one, "soak", 20.0) == 2 * D + 6.0
    assert next_open(site(of_crew("soak")), "soak", 20.0) == D + 6.0


def test_after_never_comes_nobody() -> None:
    assert next_open(site(of_crew("soak")), "soak", NEVER) == NEVER


def in_the_afternoon(**figures: object) -> Site:
    """From 12:00 on the crew, there from 6 to 18, opens and soaks; before that it does neither."""
    parts = (FromHour(from_=12.0, duties=("open", "soak")),)
    return site(of_crew("pick", by_hour=parts, **figures))


def test_a_duty_of_the_afternoon_is_looked_for_in_the_afternoon() -> None:
    one = in_the_afternoon(break_=1.0, break_at=13.0)
    assert [next_open(one, "open", when) for when in (0.0, 6.0, 12.5, 13.5, 17.9, 18.0)] == [12, 12, 12.5, 14, 17.9, 36]
    assert [next_open(one, "pick", when) for when in (0.0, 11.9, 12.0)] == [6, 11.9, 30]


def test_the_last_start_of_a_duty_of_the_morning_is_before_noon_and_the_task_runs_on() -> None:
    one = in_the_afternoon()
    assert last_open(one, "pick", 11.0, 3.0) == 11.0
    assert last_open(one, "pick", 17.0, 3.0) == 12.0 - 2.0**-30
    assert last_open(one, "open", 17.0, 3.0) == 15.0
    assert last_open(one, "open", 11.0, 3.0) == 15.0 - D  # the day before


def test_a_tank_is_filled_and_a_lot_called_by_the_hours_of_the_duty() -> None:
    # The next hour with the duty is 12:00; 18 h and the hour to fill before it is 17:00 the day before.
    one = in_the_afternoon()
    assert soak_from(one, SHIITAKE, 8, 8.0) == 17.0
    assert call_from(one, NO_COLD, 8, 8.0) == 8.0
    assert call_from(one, NO_COLD, 8, 17.5) == 17.5
    brief = site(of_crew("pick", by_hour=(FromHour(from_=17.5, duties=("open", "soak")),)))
    assert soak_from(brief, SHIITAKE, 8, 8.0) == NEVER  # from half an hour a day to the next it is 23 h
    assert call_from(brief, NO_COLD, 8, 17.0) == D


def test_over_midnight_the_hours_of_a_duty_are_the_next_days() -> None:
    night = of_crew("pick", start=22.0, end=30.0, by_hour=(FromHour(from_=2.0, duties=("open",)),))
    assert [next_open(site(night), "open", when) for when in (22.0, 27.0)] == [26.0, 27.0]


def test_a_place_that_is_empty_is_not_counted_on_until_it_is_filled_again() -> None:
    often = of_crew("soak", leaves=4.0, replaced_after=2)
    staff = CrewRota("owner", [(-NEVER, often)], Luck(1, 0), begins=0).staff
    week = next(week for week in range(1, 60) if not staff.is_there(0, week))
    built = farm(SHIITAKE, crew=(often,), walk_in={"fridge": FRIDGE, "cold": COLD}, soak=TANKS)
    before = build(built, Luck(1, 0), (week - 1) * 7 * D, (week + 9) * 7 * D)
    assert next_open(before, "soak", week * 7 * D) == week * 7 * D + 6.0  # nobody knows yet
    after = build(built, Luck(1, 0), week * 7 * D, (week + 9) * 7 * D)
    assert next_open(after, "soak", week * 7 * D) == (week + 2) * 7 * D + 6.0


def test_how_long_a_day_is_decides_whether_and_until_when_it_has_a_duty_of_the_afternoon() -> None:
    hours = {**dict.fromkeys(DAYS[:6], Shift(6.0, 18.0)), "mon": Shift(6.0, 11.0), "wed": Shift(6.0, 13.0)}
    parts = (FromHour(from_=12.0, duties=("soak",)),)
    one = site(of_crew("pick", by_hour=parts, days=DAYS[:6]).but(hours=hours))
    assert [next_open(one, "soak", when) for when in (0.0, D + 20.0, 2 * D + 13.0)] == [
        D + 12.0,
        2 * D + 12.0,
        3 * D + 12.0,
    ]


# A duty that begins after midnight of a night shift; before it a crew of the next day; a family that is there on Sundays.
AFTER_ONE = (FromHour(from_=1.0, duties=("soak",)),)
NIGHT = of_crew("pick", start=20.0, end=30.0, days=WEEKDAYS, break_=1.0, by_hour=AFTER_ONE)
EARLY = of_crew("soak", start=0.0, end=0.5, name="early")
SUNDAYS = of_crew("soak", days=DAYS[6:], start=5.0, end=9.0, name="family")
ALL_DAY = of_crew("soak", name="day")
LEAVE = {"by many weeks": 0.0, "by the week": 3.0}
"""How far is looked ahead at once depends on whether anybody may leave [share of them a year]."""


@pytest.mark.parametrize("ahead", LEAVE)
@pytest.mark.parametrize("crews", [(NIGHT,), (SUNDAYS,), (NIGHT, SUNDAYS), (NIGHT, ALL_DAY), (NIGHT, EARLY)])
def test_the_next_hour_is_that_of_all_shifts_looked_at_one_by_one(crews: tuple[Crew, ...], ahead: str) -> None:
    one = site(*(crew.but(leaves=LEAVE[ahead]) for crew in crews))
    for hour in range(-200, 2200, 5):
        days = range(hour // 24 - 2, hour // 24 + 22)
        pieces = [piece for rota in one.rotas for day in days for piece in rota.pieces(day, 0.0, "soak")]
        coming = [max(float(hour), begin) for begin, end in pieces if end > hour]
        assert next_open(one, "soak", float(hour)) == min(coming, default=NEVER), hour
