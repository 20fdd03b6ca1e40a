"""One natural step more of everything a farm has: what it is called, and what the farm with it has."""

from __future__ import annotations

from pathlib import Path

import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.scenario.one_more import BOTH, LONGER, ORDERS, SHELF, STACKS, STARTS, Step, one_more, worked
from farmsim.scenario.people import PerWeek

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


@pytest.fixture(scope="module")
def four() -> Farm:
    return farmsim.load(SCENARIOS / "four-rooms.toml")


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


def step(farm: Farm, name: str) -> Farm:
    found = {each.name: each for each in one_more(farm)}[name].farm
    assert found is not None
    return found


def test_every_place_and_crew_has_its_step_and_each_is_another_farm(four: Farm) -> None:
    steps = one_more(four)
    assert {each.where for each in steps if each.kind == "place"} == {
        "sterilizer", "clean benches", "racks", "walk-in", "soak tanks", "opening benches", "North", "East", "South",
        "West", "van",
    }  # fmt: skip
    assert [each.where for each in steps if each.kind == "crew"][::2] == [crew.name for crew in four.crew]
    assert [each.where for each in steps if each.kind == "outside"] == [ORDERS, STARTS, BOTH]
    farms = [each.farm for each in steps]
    assert None not in farms and four not in farms and len(set(map(repr, farms))) == len(farms)


def test_places_are_called_as_in_the_tables_of_a_run(four: Farm) -> None:
    from farmsim.model.build import place_list

    known = {name for name, _, _ in place_list([four], [room.name for room in four.room])}
    assert {each.where for each in one_more(four) if each.kind == "place"} <= known


def test_a_step_adds_what_it_says(four: Farm) -> None:
    assert step(four, "racks: 50 more places").incubation.holds == four.incubation.holds + 50
    assert step(four, "one more sterilizer").sterilizer.count == 2  # type: ignore[union-attr]
    assert step(four, "walk-in: a shelf for 20 crates more").walk_in["main"].holds == 400 + SHELF
    assert step(four, "soak tanks: one more soak tank").soak.tanks == 8  # type: ignore[union-attr]
    assert step(four, "opening benches: one more opening bench").opening.benches == 3
    assert [room.holds for room in step(four, "East: a bay of 50 shelf places more").room] == [2000, 2550, 1300, 2700]
    assert step(four, "van: room for 10 crates more").van["van"].holds == 80 + STACKS
    assert step(four, "pickers: one more person, Mon to Fri").crew[2].people == 4
    longer = step(four, "owner and family: an hour a day longer").crew[4]
    assert longer.hours["mon"].end == four.crew[4].hours["mon"].end + LONGER
    assert longer.at_most_hours == 20 + 6 * LONGER  # six days a week


def test_what_is_no_place_of_the_farm_grows_by_a_share(four: Farm) -> None:
    assert step(four, "5 % more asked for by everybody").months.orders == pytest.approx((1.05,) * 12)
    more = step(four, "5 % more blocks of every line started")
    assert [line.blocks for line in more.start] == [735, 473, 263, 263, 158, 105]  # whole blocks, rounded up
    both = step(four, "both, 5 % more started and asked for")
    assert (both.start, both.months.block_orders) == (more.start, pytest.approx((1.05,) * 12))


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (("mon", "tue", "wed", "thu", "fri"), "Mon to Fri"),
        (("mon", "tue", "wed", "sat", "sun"), "Sat to Wed"),
        (("tue", "fri"), "Tue and Fri"),
        (("mon", "tue", "wed", "thu", "fri", "sat", "sun"), "every day"),
        (PerWeek(4), "4 days a week in turn"),
    ],
)
def test_the_days_of_one_more_person_are_said(four: Farm, days: object, told: str) -> None:
    assert worked(four.crew[1].but(days=days)) == told


def test_a_step_is_taken_in_every_state_of_a_farm_that_changes(tiny: Farm) -> None:
    barn = tiny.but(room=(*tiny.room, tiny.room[0].but(name="Barn", holds=100.0)))
    grows = tiny.but(changes=((168.0, barn),))
    shed = step(grows, "Shed: a bay of 20 shelf places more")
    assert [room.holds for room in shed.room] == [360]
    assert [room.holds for room in shed.changes[0][1].room] == [360, 100]
    assert [room.holds for room in step(grows, "Barn: a bay of 20 shelf places more").changes[0][1].room] == [340, 120]
    assert [state.farm.name for _, state in shed.changes] == [tiny.farm.name]


def test_of_a_farm_that_changes_only_what_is_there_then(four: Farm) -> None:
    """The second room comes after four weeks, when the first one goes."""
    first, second = four.room[0], four.room[0].but(name="Second")
    farm = four.but(room=(first,), changes=((4 * 168.0, four.but(room=(second,))),))
    wheres = [{step.where for step in one_more(farm, when)} for when in (None, 0.0, 671.0, 672.0)]
    rooms = [{first.name, "Second"} & each for each in wheres]
    assert rooms == [{first.name, "Second"}, {first.name}, {first.name}, {"Second"}]
    assert all({"racks", ORDERS, STARTS, BOTH} <= each for each in wheres)
    assert [step.name for step in one_more(four, 0.0)] == [step.name for step in one_more(four)]


def test_a_van_without_crates_carries_more_or_there_is_one_more(four: Farm) -> None:
    van = four.van["van"]
    heavy = four.but(van={"van": van.but(holds=None, carries=500.0)})
    assert step(heavy, "van: 50 kg more to carry").van["van"].carries == 550
    assert step(four.but(van={"van": van.but(holds=None)}), "one more van").van["van"].count == 2


def test_a_step_that_breaks_a_rule_is_not_taken_and_says_which(tiny: Farm) -> None:
    crew = tiny.crew[0]
    round_the_clock = tiny.but(
        crew=(crew.but(hours={day: type(shift)(0.0, 24.0) for day, shift in crew.hours.items()}),)
    )
    refused = [each for each in one_more(round_the_clock) if each.farm is None]
    assert [each.name for each in refused] == ["owner: an hour a day longer"]
    assert "crew 1" in refused[0].why_not


def test_a_name_says_where_only_once() -> None:
    assert Step("sterilizer", "place", "one more sterilizer", None).name == "one more sterilizer"
    assert Step("racks", "place", "50 more places", None).name == "racks: 50 more places"
