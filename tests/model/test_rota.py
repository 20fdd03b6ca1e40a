"""The rota of a crew: shifts by weekday, breaks, days off that move on, absence by luck, dated changes."""

from __future__ import annotations

import pytest

from farmsim.model.luck import Luck
from farmsim.model.rota import CrewRota
from farmsim.scenario.people import Crew, Overtime
from farmsim.scenario.values import DAYS, PerWeek, Shift

ALWAYS = -float("inf")


def crew(**figures: object) -> Crew:
    days = figures.pop("on", DAYS)
    given: dict[str, object] = {
        "name": "growers",
        "people": 1,
        "days": DAYS,
        "hours": dict.fromkeys(days, Shift(6.0, 14.0)),
        "duties": ("open",),
    }
    return Crew(**{**given, **figures})


def rota(*states: tuple[float, Crew | None] | Crew, seed: int = 1) -> CrewRota:
    dated = [state if isinstance(state, tuple) else (ALWAYS, state) for state in states]
    return CrewRota("growers", dated, Luck(seed, 0))


def there(one: CrewRota, days: range) -> dict[int, list[int]]:
    """By person: the days of `days` on which they are there."""
    found: dict[int, list[int]] = {}
    for day in days:
        shift = one.on(day)
        for person in shift.people if shift is not None else ():
            found.setdefault(person, []).append(day)
    return found


def test_fixed_days_are_the_same_every_week() -> None:
    weekdays = rota(crew(days=("mon", "wed", "fri")))
    assert there(weekdays, range(-7, 14)) == {0: [-7, -5, -3, 0, 2, 4, 7, 9, 11]}


def test_hours_differ_by_day() -> None:
    one = rota(crew(hours={"mon": Shift(6.0, 14.0), "tue": Shift(9.0, 12.0)}, days=("mon", "tue")))
    assert [one.on(0).pieces, one.on(1).pieces, one.on(2)] == [((6.0, 14.0),), ((33.0, 36.0),), None]


def test_a_break_lies_in_the_middle_of_the_shift_when_no_hour_is_given() -> None:
    assert rota(crew(break_=0.5)).on(0).pieces == ((6.0, 9.75), (10.25, 14.0))


def test_a_break_at_a_given_hour() -> None:
    assert rota(crew(break_=0.5, break_at=9.0)).on(1).pieces == ((30.0, 33.0), (33.5, 38.0))


def test_a_night_shift_goes_past_midnight() -> None:
    night = rota(crew(hours={"mon": Shift(22.0, 30.0)}, days=("mon",), break_=1.0))
    assert night.on(0).pieces == ((22.0, 25.5), (26.5, 30.0))
    assert night.following(29.0).begin == 22.0
    assert night.following(30.0).begin == 168.0 + 22.0


def test_a_night_shift_takes_its_break_after_midnight() -> None:
    night = rota(crew(hours={"mon": Shift(22.0, 30.0)}, days=("mon",), break_=1.0, break_at=2.0))
    assert night.on(0).pieces == ((22.0, 26.0), (27.0, 30.0))


def test_a_break_at_the_very_beginning_or_end_shortens_the_shift() -> None:
    assert rota(crew(break_=0.5, break_at=6.0)).on(0).pieces == ((6.5, 14.0),)
    assert rota(crew(break_=0.5, break_at=13.5)).on(0).pieces == ((6.0, 13.5),)


@pytest.mark.parametrize(("people", "a_week"), [(1, 5), (2, 5), (3, 5), (7, 5), (10, 4), (3, 6), (5, 7)])
def test_with_rotating_days_off_each_person_works_so_many_days_a_week(people: int, a_week: int) -> None:
    rotating = rota(crew(people=people, days=PerWeek(a_week)))
    for week in range(-2, 8):
        days = there(rotating, range(7 * week, 7 * week + 7))
        assert {person: len(worked) for person, worked in days.items()} == dict.fromkeys(range(people), a_week)


def test_days_off_move_on_by_a_day_a_week_and_come_round_to_everybody() -> None:
    rotating = rota(crew(people=2, days=PerWeek(5)))
    off = [
        [DAYS[day % 7] for day in range(7 * week, 7 * week + 7) if 0 not in rotating.on(day).people]
        for week in range(4)
    ]
    assert off == [["mon", "tue"], ["tue", "wed"], ["wed", "thu"], ["thu", "fri"]]
    every = {day % 7 for day in range(49) if 0 not in rotating.on(day).people}
    assert every == set(range(7))


def test_days_off_are_spread_over_the_people() -> None:
    rotating = rota(crew(people=7, days=PerWeek(5)))
    assert [len(rotating.on(day).people) for day in range(14)] == [5] * 14


def test_days_off_move_only_over_days_the_farm_works() -> None:
    rotating = rota(crew(people=3, days=PerWeek(4), on=DAYS[:5]))
    for week in range(5):
        days = there(rotating, range(7 * week, 7 * week + 7))
        assert {person: len(worked) for person, worked in days.items()} == {0: 4, 1: 4, 2: 4}
        assert all(day % 7 < 5 for worked in days.values() for day in worked)


def absences(people: int, seed: int = 1, weeks: int = 50) -> set[tuple[int, int]]:
    """(person, day) of everybody who did not come."""
    one = rota(crew(people=people, absence=0.1), seed=seed)
    came = {(p, day) for p, days in there(one, range(7 * weeks)).items() for day in days}
    return {(person, day) for person in range(people) for day in range(7 * weeks)} - came


def test_who_is_absent_when_stays_the_same_when_people_are_hired() -> None:
    few, many = absences(3), absences(5)
    assert few == {(person, day) for person, day in many if person < 3}


def test_the_share_of_absences_is_the_one_given() -> None:
    missed, of = len(absences(4)), 4 * 350
    assert abs(missed - 0.1 * of) < 4 * (of * 0.1 * 0.9) ** 0.5


def test_another_crew_and_another_run_are_absent_on_other_days() -> None:
    assert absences(3, seed=1) != absences(3, seed=2)
    one, other = (CrewRota(name, [(ALWAYS, crew(people=3, absence=0.1))], Luck(1, 0)) for name in ("a", "b"))
    assert there(one, range(350)) != there(other, range(350))


def test_absence_is_asked_in_any_order() -> None:
    forward, backward = (rota(crew(people=3, absence=0.2)) for _ in range(2))
    days = list(range(70))
    seen = {day: forward.on(day) for day in days}
    for day in reversed(days):
        a, b = seen[day], backward.on(day)
        assert (a.people if a else ()) == (b.people if b else ())


def test_a_day_on_which_everybody_is_absent_has_no_shift() -> None:
    one = rota(crew(people=1, absence=0.5))
    days = [day for day in range(70) if one.on(day) is None]
    assert days
    assert one.following(24.0 * days[0]).begin > 24.0 * days[0] + 14.0


def test_the_rota_as_planned_knows_nothing_of_absence() -> None:
    one = rota(crew(people=2, absence=0.5))
    assert [one.planned(day, 0.0).people for day in range(7)] == [(0, 1)] * 7


def test_people_are_hired_from_a_monday_on() -> None:
    one = rota((ALWAYS, crew(people=1)), (168.0, crew(people=3)))
    assert [len(one.on(day).people) for day in (5, 6, 7, 8)] == [1, 1, 3, 3]


def test_what_is_planned_is_what_is_known_at_the_time() -> None:
    one = rota((ALWAYS, crew()), (168.0, crew(hours={"mon": Shift(9.0, 12.0)}, days=("mon",))))
    assert one.planned(7, 0.0).pieces == ((174.0, 182.0),)
    assert one.planned(7, 168.0).pieces == ((177.0, 180.0),)
    assert one.planned(8, 168.0) is None


def test_a_crew_that_is_dismissed_comes_no_more() -> None:
    one = rota((ALWAYS, crew()), (168.0, None))
    assert one.on(6) is not None
    assert one.on(7) is None
    assert one.following(6 * 24.0 + 14.0) is None
    assert (one.duties(0.0), one.duties(168.0)) == (("open",), ())


def test_the_last_night_shift_of_a_dismissed_crew_is_worked_to_its_end() -> None:
    night = crew(hours=dict.fromkeys(DAYS, Shift(22.0, 30.0)))
    one = rota((ALWAYS, night), (168.0, None))
    assert one.following(168.0).begin == 6 * 24 + 22.0


def test_overtime_and_duties_go_with_the_rota() -> None:
    one = rota(crew(overtime=Overtime(at_most=2.0), duties=("open", "pick"), fits=("open",)))
    assert one.on(0).overtime == 2.0
    assert one.duties(0.0) == ("open", "pick")
    assert one.begun_if_fits(0.0) == ("open",)


def test_whoever_has_left_does_not_come_until_somebody_new_does() -> None:
    often = crew(people=30, leaves=4.0, replaced_after=2)
    one = rota(often)
    here = {week: one.on(7 * week).people for week in range(30)}
    assert all(here[week] == tuple(p for p in range(30) if one.staff.is_there(p, week)) for week in here)
    assert min(len(people) for people in here.values()) < 29


def test_a_shift_is_counted_on_while_somebody_of_it_is_there() -> None:
    pair = rota(crew(people=2, leaves=4.0, replaced_after=2))
    there = {week: [pair.staff.is_there(person, week) for person in (0, 1)] for week in range(300)}
    assert [False, False] in there.values() and {(True, False), (False, True)} <= {
        tuple(each) for each in there.values()
    }
    for week, filled in there.items():
        assert (pair.planned(7 * week, week * 168.0) is not None) == any(filled), week
