"""Crews that differ in one step: what may be changed and what may not, in words, and as a change set that reads back."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.scenario.crew_change import change_set, crew_sizes, differences
from farmsim.scenario.crew_choices import (
    ADDITIONS,
    CUTS,
    Choice,
    Step,
    all_choices,
    can_do_the_work,
    chosen,
    crew_named,
    may_have,
    usual_pay,
)
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import FromHour, Overtime, PerWeek
from farmsim.scenario.read import load
from farmsim.scenario.rules import CLEAN_BENCH
from farmsim.scenario.values import Shift

from .farms import SHIPPED

BUSY = {"pickers": {"mon": 0.9, "tue": 0.8, "wed": 0.3, "thu": 0.6, "fri": 0.5}, "growers": {"mon": 0.2}}


@pytest.fixture(scope="module")
def farm() -> Farm:
    return load(SHIPPED / "four-rooms.toml")


def made(farm: Farm, crew: str, *steps: Step) -> Farm | None:
    return chosen(farm, Choice(crew, steps), BUSY)


def with_crew(farm: Farm, name: str, **figures: object) -> Farm:
    return farm.but(crew=tuple(crew.but(**figures) if crew.name == name else crew for crew in farm.crew))


@pytest.mark.parametrize(
    ("crew", "steps", "told"),
    [
        ("pickers", (Step("people", -1),), ["pickers 2 people instead of 3"]),
        ("pickers", (Step("hours", -0.5),), ["pickers shifts 30 min shorter"]),
        ("growers", (Step("hours", 1.0),), ["growers shifts 1 h longer"]),
        ("growers", (Step("days", -1),), ["growers 3 days a week in turn instead of 4 days a week in turn"]),
        ("pickers", (Step("days", -1),), ["pickers Mon, Tue, Thu and Fri instead of Mon to Fri"]),  # Wednesday is quiet
        ("pickers", (Step("days", 1),), ["pickers Mon, Tue, Wed, Thu, Fri and Sun instead of Mon to Fri"]),  # before Monday
        ("pickers", (Step("in turn"),), ["pickers 5 days a week in turn (every day) instead of Mon to Fri"]),
        ("packers", (Step("overtime", 1.0),), ["packers overtime of at most 2 h a day instead of 1 h a day"]),
        ("packers", (Step("overtime", -1.0),), ["packers no overtime"]),
        ("packers", (Step("on their own"),), ["packers no longer pick"]),
        ("packers", (Step("helped"),), ["block makers also pack, when their own work is done"]),
        (
            "pickers",
            (Step("people", -1), Step("helped")),
            ["block makers also pick, when their own work is done", "pickers 2 people instead of 3"],
        ),
    ],
)  # fmt: skip
def test_every_step_is_made_and_told(farm: Farm, crew: str, steps: tuple[Step, ...], told: list[str]) -> None:
    farm = farm.but(rules=farm.rules.but(clean_bench=CLEAN_BENCH[1]))
    other = made(farm, crew, *steps)
    assert other is not None and differences(farm, other) == told


@pytest.mark.parametrize(
    ("crew", "step"),
    [
        ("packers", Step("people", -1)),  # one packer cannot do the packing of an average week
        ("growers", Step("in turn")),  # they are already
        ("growers", Step("overtime", 1.0)),  # 2 h a day are as much as is proposed
        ("growers", Step("on their own")),  # they have nobody else's duties
        ("block makers", Step("hours", -7.5)),  # nobody comes for half an hour
        ("block makers", Step("hours", 3.0)),  # more than ten hours are not proposed
    ],
)
def test_what_cannot_be_done_is_not_proposed(farm: Farm, crew: str, step: Step) -> None:
    assert made(farm, crew, step) is None


def test_everything_there_is_to_try_reads_back_from_its_change_set(farm: Farm, tmp_path: Path) -> None:
    """Each choice of both ladders: check's own reader makes of the change set just the crews it was written of."""
    (tmp_path / "farm.toml").write_text((SHIPPED / "four-rooms.toml").read_text())
    tried = 0
    for choice in all_choices(farm, (*CUTS, *ADDITIONS), [crew.name for crew in farm.crew]):
        other = chosen(farm, choice, BUSY)
        if other is None:
            continue
        (tmp_path / "staff.toml").write_text(change_set(farm, other, "farm.toml", "other crews"))
        read = load(tmp_path / "staff.toml")
        assert read.crew == other.crew and read.farm.name == "Four rooms: other crews"
        tried += 1
    assert tried > 40


def test_several_steps_stand_in_one_change_set(farm: Farm) -> None:
    other = made(farm, "pickers", Step("in turn"), Step("people", -1), Step("overtime", -2.0), Step("hours", -0.5))
    assert other is not None
    assert change_set(farm, other, "scenario/four-rooms.toml", "cheaper crews").splitlines() == [
        'based_on = "scenario/four-rooms.toml"',
        'name     = "cheaper crews"',
        "",
        '[change.crew."pickers"]',
        "people   = 2",
        'days     = "5 a week, rotating"',
        'hours    = { mon-sun = "06:00-13:00" }',
        'overtime = { at_most = "0 h a day" }',
    ]


def test_shifts_of_single_days_are_told_and_written(farm: Farm, tmp_path: Path) -> None:
    hours = {**crew_named(farm, "pickers").hours, "wed": Shift(8.0, 12.0), "fri": Shift(22.0, 30.0)}
    other = with_crew(farm, "pickers", hours=hours, break_=0.5)
    (phrase,) = differences(farm, other)
    assert (
        phrase == "pickers shifts Mon, Tue and Thu 06:00 to 13:30, Wed 08:00 to 12:00 and Fri 22:00 to 06:00 next day"
    )
    text = change_set(farm, other, "f.toml", "x")
    assert 'hours = { wed = "08:00-12:00", fri = "22:00-06:00 next day" }' in text


def test_owner_and_family_are_left_alone(farm: Farm) -> None:
    names = {choice.crew for choice in all_choices(farm, (*CUTS, *ADDITIONS), [crew.name for crew in farm.crew])}
    assert names == {"block makers", "growers", "pickers", "packers"}
    assert not may_have(farm, crew_named(farm, "owner and family"), ["pack"])


def test_nobody_from_a_fruiting_room_comes_to_the_clean_bench(farm: Farm) -> None:
    """Where whoever is free inoculates, nobody gets both; where the farm forbids it by the day, the model sees to it."""
    makers, pickers = crew_named(farm, "block makers"), crew_named(farm, "pickers")
    assert not may_have(farm, makers, ["pick"]) and not may_have(farm, pickers, ["inoculate"])
    assert may_have(farm, makers, ["pack"])
    strict = farm.but(rules=farm.rules.but(clean_bench=CLEAN_BENCH[1]))
    assert may_have(strict, makers, ["pick"])
    helped = made(farm, "pickers", Step("helped"))
    assert helped is not None and differences(farm, helped)[0].startswith("growers also pick")


def test_a_crew_whose_duties_change_in_the_day_is_not_given_more(farm: Farm) -> None:
    later = with_crew(farm, "growers", by_hour=(FromHour(from_=10.0, duties=("open",)),))
    assert not may_have(later, crew_named(later, "growers"), ["pick"])


def test_averages_see_who_alone_may_do_what(farm: Farm) -> None:
    """Two pickers can pick, because packers help; without the packers' help, and their overtime, they cannot."""
    assert can_do_the_work(farm)
    assert made(farm, "pickers", Step("people", -1)) is not None
    alone = with_crew(farm, "packers", duties=("pack",))
    tired = with_crew(alone, "pickers", overtime=Overtime(at_most=0.0))
    assert can_do_the_work(tired) and made(tired, "pickers", Step("people", -1)) is None


def test_a_farm_that_cannot_do_its_work_is_not_kept_from_more_people(farm: Farm) -> None:
    short = with_crew(with_crew(farm, "packers", people=1, duties=("pack",)), "pickers", people=1)
    assert not can_do_the_work(short)
    more = made(short, "pickers", Step("people", 1))
    assert more is not None and not can_do_the_work(more)


def test_usual_pay_is_wages_where_all_have_one_else_hours(farm: Farm) -> None:
    paid = [crew for crew in farm.crew if crew.name != "owner and family"]
    hours = {
        "block makers": 5 * 40 * 0.97,
        "growers": 3 * 30 * 0.97,
        "pickers": 3 * 35 * 0.96,
        "packers": 2 * 35 * 0.97,
    }
    assert usual_pay(farm) == pytest.approx(sum(hours[crew.name] * crew.wage for crew in paid if crew.wage))
    assert usual_pay(with_crew(farm, "packers", wage=None)) == pytest.approx(sum(hours.values()))


def test_crews_in_a_few_words(farm: Farm) -> None:
    assert crew_sizes(farm)[1:3] == [
        "3 people, 4 days a week in turn (every day), 06:00 to 14:00",
        "3 people, Mon to Fri, 06:00 to 13:30",
    ]
    other = with_crew(farm, "pickers", people=1, days=PerWeek(5))
    assert crew_sizes(other)[2] == "1 person, 5 days a week in turn (Mon to Fri), 06:00 to 13:30"
