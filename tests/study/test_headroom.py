"""Room left week by week: by hand from tables made up, and from runs of a farm that gets a second room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

import numpy as np
import pandas as pd
import pytest

import farmsim
from farmsim.scenario.delivery import Van
from farmsim.scenario.farm import Farm
from farmsim.scenario.values import Shift
from farmsim.study import tight
from farmsim.study.books_answers import Kept
from farmsim.study.headroom import Tables, headroom, over_asked
from farmsim.study.pack import seen_of
from farmsim.study.pack_answers import Headroom, Level
from farmsim.study.pack_sides import Side

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
WEEK = 168.0
PLACE = ("run", "place", "week", "capacity", "used_share", "hours_waiting_share")
CREW = ("run", "crew", "week", "worked_h", "rostered_h")
NAN = float("nan")


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


def with_a_barn(tiny: Farm, week: int) -> Farm:
    """A second room from a week on, and one person more."""
    (room,) = tiny.room
    crew = tiny.crew[0].but(people=2)
    state = tiny.but(room=(room, room.but(name="Barn", holds=100)), crew=(crew, *tiny.crew[1:]))
    return tiny.but(changes=(((week - 1) * WEEK, state),))


def tables(places: Sequence[Sequence[object]], crews: Sequence[Sequence[object]] = ()) -> Tables:
    return {
        "places_weeks": pd.DataFrame(places, columns=list(PLACE)).astype({"capacity": float, "used_share": float}),
        "crews_weeks": pd.DataFrame(crews, columns=list(CREW)).astype({"worked_h": float, "rostered_h": float}),
    }


def one(found: Sequence[Headroom], name: str) -> Headroom:
    (row,) = [each for each in found if each.name == name]
    return row


def test_a_usual_week_is_the_middle_one_of_all_runs_and_a_bad_one_has_nine_in_ten_below_it(tiny: Farm) -> None:
    shares = [0.1 * (week + 5 * run) for run in (0, 1) for week in range(1, 6)]  # 0.1 to 1.0 over two runs
    rows = [(1 + at // 5, "racks", 1 + at % 5, 80.0, share, 0.1 * (at % 2)) for at, share in enumerate(shares)]
    outside = [(1, "racks", 6, 80.0, 9.0, 9.0), (2, "racks", 6, 80.0, 9.0, 9.0)]
    told = tables([*rows, *outside])
    found = one(headroom(told, told, 1, 5, tiny, tiny), "racks")
    assert (found.kind, found.unit, found.before) == ("racks", "blocks", found.after)
    assert found.before is not None
    assert found.before == Level(80.0, pytest.approx(0.55), pytest.approx(0.91), pytest.approx(0.05))


def test_only_the_weeks_told_count(tiny: Farm) -> None:
    told = tables([(1, "racks", week, 80.0, week / 10, 0.0) for week in range(1, 8)])
    level = one(headroom(told, told, 3, 5, tiny, tiny), "racks").after
    assert level == Level(80.0, pytest.approx(0.4), pytest.approx(0.48), 0.0)


def test_a_crew_is_told_by_its_rostered_hours_and_may_work_more_than_these(tiny: Farm) -> None:
    name = tiny.crew[0].name
    told = tables([], [(1, name, week, worked, 40.0) for week, worked in enumerate((20.0, 30.0, 44.0), 1)])
    assert headroom(told, told, 1, 3, tiny, tiny) == (
        Headroom(name, "crew", "h", *2 * (Level(40.0, 0.75, pytest.approx(0.75 + 0.8 * 0.35), None),)),
    )


def test_a_crew_has_no_more_hours_than_its_people_may_be_at_work(tiny: Farm) -> None:
    """Two on shift for 50 h each may work 28; from the third week on 40, which is more than the rota has for one of them."""
    crew = tiny.crew[0].but(people=2, at_most_hours=28.0)
    then = tiny.but(crew=(crew.but(at_most_hours=40.0), *tiny.crew[1:]))
    farm = tiny.but(crew=(crew, *tiny.crew[1:]), changes=((2 * WEEK, then),))
    rows = [
        (1, crew.name, week, worked, on) for week, worked, on in ((1, 28.0, 100.0), (2, 42.0, 100.0), (3, 35.0, 70.0))
    ]
    told = tables([], rows)
    before, after = (one(headroom(told, told, *weeks, farm, farm), crew.name).after for weeks in ((1, 2), (3, 3)))
    assert before == Level(56.0, pytest.approx(0.625), pytest.approx(0.725), None)
    assert after == Level(70.0, 0.5, 0.5, None)
    assert told["crews_weeks"]["rostered_h"].tolist() == [100.0, 100.0, 70.0]


def test_a_week_in_which_nobody_is_rostered_is_no_share_of_anything(tiny: Farm) -> None:
    name = tiny.crew[0].name
    told = tables([], [(1, name, 1, 20.0, 40.0), (1, name, 2, 0.0, 0.0), (1, name, 3, 20.0, 40.0)])
    level = one(headroom(told, told, 1, 3, tiny, tiny), name).after
    assert level == Level(40.0, 0.5, 0.5, None)


def test_capacity_is_that_of_the_state_in_force_in_the_last_week_told(tiny: Farm) -> None:
    rows = [(1, "racks", week, 80.0 if week < 4 else 120.0, 0.5, 0.0) for week in range(1, 6)]
    told, later = tables(rows), with_a_barn(tiny, 4)
    found = one(headroom(told, told, 1, 5, tiny, later), "racks")
    assert found.after is not None and found.after.capacity == 120.0
    found = one(headroom(told, told, 1, 3, tiny, later), "racks")
    assert found.after is not None and found.after.capacity == 80.0


def test_what_is_given_up_or_never_short_is_left_out(tiny: Farm) -> None:
    gone = [(1, "Shed", week, 60.0 if week < 4 else 0.0, 0.5 if week < 4 else NAN, 0.0) for week in range(1, 6)]
    endless = [(1, "walk-in", week, NAN, NAN, 0.0) for week in range(1, 6)]
    told = tables([*gone, *endless])
    assert headroom(told, told, 1, 5, tiny, tiny.but(changes=((3 * WEEK, tiny.but(room=())),)))[0].after is None
    assert [each.name for each in headroom(told, told, 1, 5, tiny, tiny)] == ["Shed"]


def test_the_only_walk_in_and_van_are_the_same_where_a_second_is_added(tiny: Farm) -> None:
    (fridge,) = tiny.walk_in.values()
    one = tiny.but(van={"red": Van()})
    two = tiny.but(walk_in={**tiny.walk_in, "annex": fridge}, van={"red": Van(), "blue": Van()})
    (name,) = tiny.walk_in
    week = (1, 30.0, 0.5, 0.0)
    before = tables([(1, "walk-in", *week), (1, "van", *week)])
    after = tables(
        [(1, f"walk-in {name}", *week), (1, "walk-in annex", *week), (1, "van red", *week), (1, "van blue", *week)]
    )
    level = Level(30.0, 0.5, 0.5, 0.0)
    expected = [(f"walk-in {name}", level), ("walk-in annex", None), ("van red", level), ("van blue", None)]
    assert [(row.name, row.before) for row in headroom(before, after, 1, 1, one, two)] == expected
    assert [(row.name, row.after) for row in headroom(after, before, 1, 1, two, one)] == expected


def test_what_looks_tight_is_called_alike_where_a_second_walk_in_and_van_are_added(tiny: Farm) -> None:
    """As the table of headroom calls it; a crew keeps its name."""
    (name,) = tiny.walk_in
    one = tiny.but(van={"red": Van()})
    two = tiny.but(walk_in={**tiny.walk_in, "annex": tiny.walk_in[name]}, van={"red": Van(), "blue": Van()})
    sides = [
        Side(farm, 2, (), farmsim.run(farm, runs=1, weeks=2, workers=1).tables, cast(Kept, None)) for farm in (one, two)
    ]
    before, after = ({each.name for each in seen.places} for seen in seen_of(*sides))
    assert before < after and {f"walk-in {name}", "van red"} <= before
    assert after - before == {"walk-in annex", "van blue"}
    alone = tight.seen(sides[0].tables, 2)
    cold = replace(alone, tight=("walk-in", "owner"))
    assert tight.as_called(cold, {"walk-in": "walk-in x", "owner": "y"}).tight == ("walk-in x", "owner")


def test_of_runs_every_place_and_crew_stands_once_in_the_order_of_a_lots_way(tiny: Farm) -> None:
    grown = with_a_barn(tiny, 5)
    before, after = (farmsim.run(farm, runs=2, weeks=8, workers=1).tables for farm in (tiny, grown))
    found = headroom(before, after, 5, 8, tiny, grown)
    told = [each.name for each in found if each.kind != "crew"]
    way = [name for name in after["places"]["place"].unique() if name in told]
    assert told == [*(name for name in way if name != "walk-in"), "walk-in"] and "Barn" in told  # it holds crates alone
    assert [each.name for each in found if each.kind == "crew"] == [crew.name for crew in tiny.crew]
    barn, shed = one(found, "Barn"), one(found, tiny.room[0].name)
    assert barn.before is None and barn.after is not None and barn.after.capacity == 100.0
    assert shed.before is not None and shed.after is not None
    assert 0.0 < shed.after.usual <= shed.after.bad <= 1.0
    rows = before["places_weeks"].query("place == @tiny.room[0].name and week >= 5")
    assert shed.before.usual == pytest.approx(np.median(rows["used_share"]))
    owner = one(found, tiny.crew[0].name)
    assert owner.before is not None and owner.after is not None and owner.after.capacity == 2 * owner.before.capacity
    assert owner.after.usual < owner.before.usual


def test_a_crew_that_averages_ask_too_much_of_is_told_with_who_has_its_duties_too() -> None:
    """Half of the owner's hours: the tiny farm then asks more of him; a helper who picks has one of his duties."""
    farm = farmsim.load(SCENARIOS / "tiny.toml")
    (owner,) = farm.crew
    assert list(over_asked(farm)) == []
    helper = owner.but(name="helper", duties=("pick",))
    short = owner.but(
        hours={day: Shift(shift.start, shift.start + 0.25) for day, shift in owner.hours.items()}, break_=0.0
    )
    found = {each.name: each for each in over_asked(farm.but(crew=(short, helper)))}
    assert found["owner"].share > 1 and found["owner"].helpers == ("helper",) and "helper" not in found
    assert found["owner"].overtime is (owner.overtime.at_most > 0)
