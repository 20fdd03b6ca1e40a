"""Looking ahead in the rota: when somebody is next there for a duty, and what that leaves for soaks and calls."""

from __future__ import annotations

import datetime

from farmsim.model.build import build
from farmsim.model.hours import NEVER, call_from, last_open, next_open, soak_from
from farmsim.model.luck import Luck
from farmsim.model.site import Site
from farmsim.scenario.people import Crew
from farmsim.scenario.seasons import Shut
from farmsim.scenario.strain import Strain

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
