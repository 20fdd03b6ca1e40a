"""Bad hours in words."""

from dataclasses import replace

import pytest

from farmsim.report.bad_hours import bad_rows, stretches_of, told, what, when
from farmsim.study.answers import Answers


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        ((6, 7, 8), "Mon 06:00 to 09:00"),
        ((30, 31, 33), "Tue 06:00 to 08:00, Tue 09:00 to 10:00"),
        ((22, 23), "Mon 22:00 to 24:00"),
        ((23, 24), "Mon 23:00 to Tue 01:00"),
        ((0, 1, 166, 167), "Sun 22:00 to Mon 02:00"),
        (tuple(range(168)), "all week"),
    ],
)
def test_stretches_of_the_week_are_said_with_their_days(hours: tuple[int, ...], said: str) -> None:
    assert when(hours, 9) == said


def test_only_the_longest_stretches_are_told_one_by_one_in_the_order_of_the_week() -> None:
    hours = (6, 30, 31, 32, 54, 55, 78)
    assert stretches_of(hours) == [(6, 7), (30, 33), (54, 56), (78, 79)]
    assert when(hours, 2) == "Tue 06:00 to 09:00, Wed 06:00 to 08:00 and 2 shorter"


def test_what_is_bad_is_said_of_a_place_of_a_bench_and_of_a_crew(answers: Answers) -> None:
    bad = {"bad": (30, 31), "worst": 31, "worst_share": 0.5}
    room = replace(next(place for place in answers.places if not place.staffed), name="East", **bad)
    bench, crew = replace(room, staffed=True), replace(answers.crews[0], **bad)
    assert told(room, 3) == "full, and lots waiting, Tue 06:00 to 08:00; worst Tue 07:00, in 50 of 100 weeks."
    assert what(bench) == "full, and lots waiting while people are there"
    assert what(crew) == "all at work, and work left lying at the end of the shift"
    worse = replace(room, name="West", worst_share=0.6)
    assert [row.name for row in bad_rows([room, replace(room, bad=()), worse])] == ["West", "East"]
