"""Who has the places of a crew: leavers, those who follow them, and slow first weeks."""

from __future__ import annotations

import re
from math import sqrt
from statistics import fmean, stdev

import pytest

from farmsim.model.luck import Luck
from farmsim.model.staff import Staff
from farmsim.scenario.people import NewHands
from farmsim.scenario.staffing import filled_share, pace_share, weekly_chance

from .test_rota import ALWAYS, crew

SLOW = NewHands(pace=(0.5, 0.7, 0.85))
OFTEN = crew(people=40, leaves=2.0, replaced_after=3, new_hands=SLOW)


def staff(*states: tuple[float, object] | object, seed: int = 1, begins: int | None = None) -> Staff:
    dated = [state if isinstance(state, tuple) else (ALWAYS, state) for state in states]
    return Staff("growers", dated, Luck(seed, 0), begins)  # type: ignore[arg-type]


def years(one: Staff, person: int, weeks: range) -> str:
    """The weeks of one place: a dot for an empty week, else how many tenths of the pace."""
    return "".join(f"{10 * one.pace(person, week):.0f}"[:1] if one.is_there(person, week) else "." for week in weeks)


def test_a_leavers_place_is_empty_for_three_weeks_and_the_next_is_slow_for_three() -> None:
    one = staff(OFTEN)
    gaps = [gap for person in range(40) for gap in re.finditer(r"\d(\.+)(\d\d?\d?)", years(one, person, range(104)))]
    assert len(gaps) > 100
    assert {gap[1] for gap in gaps} == {"..."}  # so nobody leaves on the Monday on which they came
    assert all("578".startswith(gap[2]) for gap in gaps)


def test_a_long_gap_is_no_longer_nor_shorter_however_many_want_to_leave() -> None:
    one = staff(crew(people=40, leaves=4.0, replaced_after=12))
    gaps = [gap for person in range(40) for gap in re.findall(r"\d(\.+)\d", years(one, person, range(200)))]
    assert len(gaps) > 100
    assert set(gaps) == {"." * 12}


def test_with_no_gap_the_next_comes_on_the_same_monday() -> None:
    hired = staff(crew(people=100, leaves=4.0, replaced_after=0, new_hands=SLOW))
    told = [years(hired, person, range(60)) for person in range(100)]
    assert not any("." in weeks for weeks in told)
    assert sum(weeks.count("5") for weeks in told) > 300  # 100 places, 60 weeks, 4 leavers a year: 460 expected


def test_it_does_not_matter_which_week_is_asked_for_first_nor_how_far_back_a_run_begins() -> None:
    weeks = range(-60, 120)
    forward, backward = staff(OFTEN), staff(OFTEN)
    for week in reversed(weeks):
        backward.is_there(7, week)
    assert years(forward, 7, weeks) == years(backward, 7, weeks)
    alone = [years(staff(OFTEN), 7, range(week, week + 1)) for week in weeks]
    assert "".join(alone) == years(forward, 7, weeks)


def test_each_place_has_its_own_luck_whatever_else_there_is() -> None:
    weeks = range(60)
    few, many = staff(OFTEN.but(people=3)), staff(OFTEN)
    assert [years(few, person, weeks) for person in range(3)] == [years(many, person, weeks) for person in range(3)]
    assert years(staff(OFTEN, seed=2), 0, weeks) != years(many, 0, weeks)


def test_a_farm_that_begins_empty_begins_with_everybody_there() -> None:
    one = staff(OFTEN, begins=0)
    assert all(years(one, person, range(1)) == "1" for person in range(40))


def test_whoever_makes_the_crew_larger_is_new_and_nobody_else() -> None:
    slow = {"new_hands": SLOW}
    one = staff(crew(people=1, **slow), (3 * 168.0, crew(people=2, **slow)), (9 * 168.0, crew(people=1, **slow)))
    assert years(one, 0, range(10)) == "1111111111"
    assert years(one, 1, range(3, 9)) == "578111"


def test_a_crew_that_comes_on_a_date_is_new() -> None:
    assert years(staff((ALWAYS, None), (168.0, crew(new_hands=SLOW))), 0, range(1, 6)) == "57811"


def test_without_leavers_and_slow_weeks_everybody_is_always_there() -> None:
    assert years(staff(crew(leaves=0.0, new_hands=SLOW)), 0, range(-5, 5)) == "1" * 10


def test_what_is_known_on_a_monday_of_later_weeks() -> None:
    one = staff(OFTEN)
    person, week = next(
        (person, week) for person in range(40) for week in range(5, 60)
        if one.is_there(person, week - 1) and not one.is_there(person, week)
    )  # fmt: skip
    assert [one.expected(person, week + ahead, week) for ahead in range(5)] == [False, False, False, True, True]
    assert one.expected(person, week, week - 1)


def test_on_average_so_many_places_are_filled_and_so_much_is_done() -> None:
    """Renewal theory: share filled = stay / (stay + gap), stays are geometric; worked out in `scenario/staffing.py`."""
    weeks = range(300)
    filled, done = [], []
    for seed in range(30):
        one = staff(OFTEN.but(people=12), seed=seed)
        there = [(one.is_there(p, w), one.pace(p, w)) for p in range(12) for w in weeks]
        filled.append(fmean(is_there for is_there, _ in there))
        done.append(fmean(pace if is_there else 0.0 for is_there, pace in there))
    assert weekly_chance(OFTEN) == pytest.approx(2.0 * 7 / 365.25)
    for seen, known in ((filled, filled_share(OFTEN)), (done, filled_share(OFTEN) * pace_share(OFTEN))):
        assert abs(fmean(seen) - known) < 3 * stdev(seen) / sqrt(len(seen))
