"""People's rules as they are written in a farm's file: read back in sentences, and counted in the averages."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.errors import ScenarioFault
from farmsim.scenario import averages, staffing
from farmsim.scenario.farm import Farm
from farmsim.scenario.readback_later import later
from farmsim.scenario.readback_people import crew_sentence
from farmsim.scenario.say import Say

from .farms import SMALL, change, small, written

GROWERS = 'absence  = "4 %"'
OWNER = """
[[crew]]
name     = "owner and family"
people   = 2
days     = "every day"
hours    = { mon-sun = "06:00-18:00" }
duties   = ["pick", "open", "soak"]
paid     = "as owner"
called   = "last"
at_most_hours = "20 h a week"

[strain.shiitake]"""


def with_rules(tmp_path: Path, rules: str) -> Farm:
    """The small farm, its growers with some rules more."""
    return written(tmp_path, SMALL.replace(GROWERS, f"{GROWERS}\n{rules}"))


def said(farm: Farm, crew: int = 1) -> str:
    return crew_sentence(farm.crew[crew], Say(farm.farm.units, farm.farm.currency))


def test_overtime_by_the_week_and_pay_are_read_back(tmp_path: Path) -> None:
    rules = SMALL.replace(
        'overtime = { at_most = "2 h a day" }',
        'overtime = { at_most = "2 h a day", at_most_a_week = "6 h a week", after = "40 h a week" }\nshortest_shift = "4 h"',
    )
    farm = written(tmp_path, rules)
    assert said(farm).endswith(
        "Overtime of at most 2 h a day and 6 h a week each to finish what is in hand. "
        "What is more than 40 h a week each is paid as overtime. Whoever comes is paid at least 4 h."
    )
    assert (farm.crew[1].overtime.at_most_a_week, farm.crew[1].overtime.after) == (6.0, 40.0)


@pytest.mark.parametrize(
    ("stay", "says"),
    [
        ("", "They go home when nothing waits; 1 of them stays to the end for what comes up later in the day."),
        ("stay = 0", "They go home when nothing waits; nobody stays on for what comes up later in the day."),
    ],
)
def test_going_home_is_read_back(tmp_path: Path, stay: str, says: str) -> None:
    farm = with_rules(tmp_path, f'may_go = "when nothing waits"\n{stay}')
    assert said(farm).endswith(says)


def test_owner_and_family_are_read_back(tmp_path: Path) -> None:
    farm = written(tmp_path, SMALL.replace("\n[strain.shiitake]", OWNER, 1))
    assert said(farm, 2) == (
        "owner and family: 2 people, every day, 06:00 to 18:00. First pick, then open, then soak. "
        "Their hours at work are the owner's: counted apart and not paid, at most 20 h a week each. "
        "They are called last: only for work that nobody of another crew is free to begin."
    )


def test_parts_of_the_day_are_read_back(tmp_path: Path) -> None:
    farm = with_rules(tmp_path, 'by_hour = [{ from = "12:00", duties = ["open", "soak"] }]')
    assert "then clear, then clean. From 12:00 on first open, then soak. 4 % of their days" in said(farm)


def test_parts_of_a_night_follow_one_another_past_midnight(tmp_path: Path) -> None:
    night = SMALL.replace('mon-sun = "06:00-14:00"', 'mon-sun = "20:00-04:00 next day"')
    parts = ('{ from = "23:00", duties = ["soak"] }', '{ from = "02:00", duties = ["soak", "clear"] }')
    crew = written(tmp_path, night.replace(GROWERS, f"by_hour = [{', '.join(parts)}]")).crew[1]
    hours = [(begin, end, duties) for begin, end, duties in crew.duties_in(crew.hours["mon"])]
    assert hours == [(20.0, 23.0, crew.duties), (23.0, 26.0, ("soak",)), (26.0, 28.0, ("soak", "clear"))]
    with pytest.raises(
        ScenarioFault, match=r"by_hour 2, from: 23:00 stands behind 02:00; .* earlier hour of the shift"
    ):
        written(tmp_path, night.replace(GROWERS, f"by_hour = [{', '.join(reversed(parts))}]"))


def test_new_people_and_leavers_are_read_back_with_what_it_comes_to_on_average(tmp_path: Path) -> None:
    farm = with_rules(
        tmp_path,
        'new_hands = { pace = ["50 %", "70 %", "85 %"] }\nleaves = "100 % a year"\nreplaced_after = "4 weeks"',
    )
    # A leaver every 365.25/7 = 52.18 weeks: of 56.18 weeks a place is filled 52.18. Each follower loses 0.5 of a week,
    # 0.3 and 0.15 of the next two if still there (chances 0.9808 and 0.9620), 0.9386 weeks of 52.18.
    crew = farm.crew[1]
    assert staffing.filled_share(crew) == pytest.approx(52.1786 / 56.1786, rel=1e-4)
    assert staffing.pace_share(crew) == pytest.approx(1 - 0.9386 / 52.1786, rel=1e-4)
    assert said(farm).endswith(
        "New people work at 50 %, 70 % and 85 % of the pace in their first 3 weeks. 100 % a year leave and are replaced "
        "after 4 weeks: 1.86 are there on average, who do as much as 1.82 who know the work."
    )
    plain = averages.crew_hours(small(tmp_path).crew[1])
    assert averages.crew_hours(crew) == pytest.approx(plain * 0.92880 * 0.98201, rel=1e-4)


def test_leavers_alone_are_read_back(tmp_path: Path) -> None:
    farm = with_rules(tmp_path, 'leaves = "3 % a week"')
    assert said(farm).endswith("156.5 % a year leave and are replaced after 3 weeks: 1.83 are there on average.")


def test_no_more_hours_than_the_ceiling_on_average(tmp_path: Path) -> None:
    farm = written(tmp_path, SMALL.replace("\n[strain.shiitake]", OWNER, 1))
    assert averages.crew_hours(farm.crew[2]) == 2 * 20


def test_on_average_nothing_goes_to_who_is_called_last_but_what_nobody_else_has(tmp_path: Path) -> None:
    text = SMALL.replace("\n[strain.shiitake]", OWNER, 1)
    assert averages.crew_needs(written(tmp_path, text))[2].need == 0
    growers = '["pick", "pack", "open", "soak", "clear", "clean"]'
    alone = written(tmp_path, text.replace(growers, growers.replace('"soak", ', "")))
    assert averages.crew_needs(alone)[2].need == pytest.approx(averages.duty_hours(alone)["soak"])
    assert averages.crew_needs(alone)[2].note.endswith("; helps with pick, open")


def test_a_duty_of_the_afternoon_has_the_hours_of_the_afternoon(tmp_path: Path) -> None:
    growers = '["pick", "pack", "open", "soak", "clear", "clean"]'
    text = SMALL.replace(growers, growers.replace('"open", ', "")).replace(
        GROWERS, f'{GROWERS}\nby_hour = [{{ from = "12:00", duties = ["open", "soak"] }}]'
    )
    farm = written(tmp_path, text)
    assert averages.open_hours(farm, "open") == 7 * 2
    assert averages.open_hours(farm, "pick") == 7 * 6
    assert averages.open_hours(farm, "soak") == 7 * 8
    assert averages.soaking_nights(farm) == 7
    assert averages.first_for(farm, "open") is farm.crew[1]


def test_a_change_of_people_is_told_in_words(tmp_path: Path) -> None:
    text = """
based_on = "small.toml"
name = "two more"
from = 2027-03-01
[change.crew.growers]
people = 4
by_hour = [{ from = "12:00", duties = ["open", "soak"] }]
new_hands = { pace = ["50 %", "70 %"] }
overtime = { at_most_a_week = "5 h a week" }
"""
    farm = change(tmp_path, text)
    crew = farm.changes[0][1].crew[1]
    assert (crew.people, crew.new_hands is not None, crew.overtime.at_most_a_week) == (4, True, 5.0)
    assert (crew.by_hour[0].from_, crew.by_hour[0].duties) == (12.0, ("open", "soak"))
    told = " ".join(later(farm, Say(farm.farm.units, farm.farm.currency)))
    assert "by hour none -> from 12:00, duties open, soak" in told
    assert "new hands not given -> pace 50 %, 70 %" in told
