"""A figure is found by the names of the farm's file, and another value goes in as a change set's would."""

from __future__ import annotations

from pathlib import Path

import pytest

import farmsim
from farmsim.errors import ScenarioFault
from farmsim.scenario.figure_at import Figures, NoSuchFigure
from farmsim.scenario.figure_range import MOST_VALUES, NoSuchRange, is_own, own_said, tried
from farmsim.scenario.read import load

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
GROWS = """based_on = "{tiny}"
[[phase]]
name = "second hand"
from = 2027-03-01
[phase.change.crew.owner]
people = 2
"""


@pytest.fixture(scope="module")
def rooms() -> Figures:
    return Figures(SCENARIOS / "four-rooms.toml")


@pytest.fixture(scope="module")
def tiny() -> Figures:
    return Figures(SCENARIOS / "tiny.toml")


@pytest.mark.parametrize("file", sorted(path.name for path in SCENARIOS.glob("*.toml")))
def test_the_farm_is_the_one_that_is_loaded(file: str) -> None:
    assert Figures(SCENARIOS / file).farm == load(SCENARIOS / file)


@pytest.mark.parametrize(
    ("path", "name", "now"),
    [
        ("crew.pickers.people", "crew.pickers.people", 3),
        ("Crew.PICKERS.People", "crew.pickers.people", 3),
        ("crew.block-makers.people", "crew.block makers.people", 5),
        ("crew.owner_and_family.at most hours", "crew.owner and family.at_most_hours", "20 h a week"),
        ('crew."block makers".people', "crew.block makers.people", 5),
        ("start.lions-mane.blocks", "start.lion's mane.blocks", "250 blocks a week"),
        ("start.lion's mane.blocks", "start.lion's mane.blocks", "250 blocks a week"),
        ("strain.shiitake.yield.mean", "strain.shiitake.yield.mean", "1.15 lb saleable a block"),
        ("strain.shiitake.colonise.likely", "strain.shiitake.colonise.likely", "14 d"),
        ("room.North.range.low", "room.North.range.low", "56 degF"),
        ("room.North.range.high", "room.North.range.high", "60 degF"),
        ("walk-in.main.uses.ripe-blocks", "walk_in.main.uses.ripe blocks", "0.6 crate/block"),
        ("crew.pickers.break", "crew.pickers.hours.break", "30 min"),
        ("crew.pickers.hours.break", "crew.pickers.hours.break", "30 min"),
        ("customer.restaurants.takes.nameko", "customer.restaurants.takes.nameko", "20 lb a delivery"),
        ("customer.restaurants.takes.varies", "customer.restaurants.takes.varies", 0.15),
        ("customer.market-stall.sells.nameko.cv", "customer.market stall.sells.nameko.cv", 0.3),
        ("strain.shiitake.picking.gain", "strain.shiitake.picking.gain", "15 % a day"),  # by default
        ("strain.shiitake.contaminated.shows.high", "strain.shiitake.contaminated.shows.high", "28 d"),  # by default
        ("rules.ripe_blocks", "rules.ripe_blocks", "promised blocks first"),
    ],
)
def test_names_are_those_of_the_file(rooms: Figures, path: str, name: str, now: object) -> None:
    spot = rooms.find(path)
    assert (spot.name, spot.now) == (name, now)
    assert rooms.farm_with([(spot, spot.now)]) == rooms.farm  # written out again it is the same farm


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("", '"" names no figure; write a path such as crew.pickers.people'),
        ("cow.bell", '"cow.bell": there is no "cow"; in a farm there is "farm", "mix"'),
        ("crew.picker.people",
         'there is no "picker". Did you mean "pickers"? In crew there is "block makers", "growers", "pickers", "packers"'),
        ("crew.pickers.peoples", 'Did you mean "people"?'),
        ("crew.pickers", '"crew.pickers" stops short of a figure: in crew.pickers there is "name", "people"'),
        ("crew.pickers.people.x", 'the path ends at crew.pickers.people, there is nothing called "x" in it'),
        ("energy.power", "the farm has no energy"),
        ("crew.pickers.at_most_hours", "it is not given in this farm, so it has no value to begin with"),
        ("strain.shiitake.colonise", 'stops short of a figure: in strain.shiitake.colonise there is "low", "likely"'),
        ("strain.shiitake.picking.late.1", "what stands in a list without names, late, cannot be named here"),
        ("crew.pickers.hours.mon", "hours is no single value, and cannot be given another here"),
    ],
)  # fmt: skip
def test_what_leads_nowhere_is_told_with_what_is_known_there(rooms: Figures, path: str, told: str) -> None:
    with pytest.raises(NoSuchFigure) as caught:
        rooms.find(path)
    assert told in str(caught.value)


def test_another_value_changes_that_figure_alone(rooms: Figures) -> None:
    farm = rooms.farm_with([(rooms.find("crew.pickers.people"), 5)])
    assert [crew.people for crew in farm.crew] == [5, 3, 5, 2, 2]
    assert farm.but(crew=rooms.farm.crew) == rooms.farm
    farm = rooms.farm_with([(rooms.find("strain.nameko.contaminated.shows.high"), "40 d")])
    shows = farm.strain["nameko"].contaminated.shows
    assert (shows.low, shows.likely, shows.high) == (168.0, 336.0, 960.0)  # type: ignore[union-attr]
    assert farm.strain["chestnut"] == rooms.farm.strain["chestnut"]


def test_two_values_of_one_figure_that_varies_are_both_heard(rooms: Figures) -> None:
    low, high = (rooms.find(f"strain.nameko.colonise.{end}") for end in ("low", "high"))
    colonise = rooms.farm_with([(low, "11 d"), (high, "20 d")]).strain["nameko"].colonise
    assert (colonise.low, colonise.likely, colonise.high) == (264.0, 336.0, 480.0)  # type: ignore[union-attr]


def test_two_ends_of_one_range_are_both_heard(rooms: Figures) -> None:
    low, high = (rooms.find(f"room.East.range.{end}") for end in ("low", "high"))
    kept = rooms.farm_with([(low, "63 degF"), (high, "66 degF")]).room[1].range
    assert (round(kept.low, 2), round(kept.high, 2)) == (17.22, 18.89)


def test_a_section_the_file_does_not_write_is_added(tiny: Figures) -> None:
    assert tiny.farm_with([(tiny.find("rules.pick_first"), "dearest")]).rules.pick_first == "dearest"


def test_a_value_out_of_bounds_is_told_with_the_value(rooms: Figures) -> None:
    with pytest.raises(ScenarioFault) as caught:
        rooms.farm_with([(rooms.find("crew.pickers.people"), 0)])
    assert str(caught.value) == (
        "crew.pickers.people = 0, crew pickers, people: is 0; needs 1 to 10,000. Write a value within these bounds."
    )


def test_a_value_that_breaks_a_rule_elsewhere_is_told_where(rooms: Figures) -> None:
    with pytest.raises(ScenarioFault) as caught:
        rooms.farm_with([(rooms.find("room.North.range.low"), "54 degF")])
    assert "four-rooms.toml:" in str(caught.value) and "no room is kept within 55 to 61 degF" in str(caught.value)


def test_what_the_farm_itself_changes_has_no_one_value(tmp_path: Path) -> None:
    file = tmp_path / "grows.toml"
    file.write_text(GROWS.format(tiny=SCENARIOS / "tiny.toml"), encoding="utf-8")
    grows = Figures(file)
    with pytest.raises(NoSuchFigure, match="the farm itself changes it on 2027-03-01, so it has no one value"):
        grows.find("crew.owner.people")
    farm = grows.farm_with([(grows.find("room.Shed.holds"), "300 shelf places")])
    assert [state.room[0].holds for state in (farm, farm.changes[0][1])] == [300.0, 300.0]
    assert farm.changes[0][1].crew[0].people == 2


# --- values to be tried ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "written", "unit"),
    [
        ("crew.pickers.people=2:5:1", [2, 3, 4, 5], ""),
        ("crew.pickers.people=5:2:-1", [2, 3, 4, 5], ""),
        ("crew.pickers.people=5,2", [2, 5], ""),
        ("soak.tanks=5:8:2", [5, 7], ""),
        ("start.shiitake.blocks=600:700:50", ["600 blocks a week", "650 blocks a week", "700 blocks a week"], "blocks a week"),
        ("strain.shiitake.yield.mean=1.0:1.1:0.1", ["1 lb saleable a block", "1.1 lb saleable a block"], "lb saleable a block"),
        ("strain.shiitake.yield.mean=1 lb:1.1 lb:.1 lb", ["1 lb saleable a block", "1.1 lb saleable a block"],
         "lb saleable a block"),
        ("strain.shiitake.yield.mean=0.5 kg:0.6 kg:0.1 kg", ["0.5 kg saleable a block", "0.6 kg saleable a block"],
         "kg saleable a block"),
        ("strain.shiitake.pack=12 kg,14", ["12 kg/h", "14 kg/h"], "kg/h"),
        ("strain.shiitake.yield.mean=0.5 kg a block,0.6", ["0.5 kg a block", "0.6 kg a block"], "kg a block"),
        ("strain.blue-oyster.shelf_life=5 d:7 d:1 d", ["5 d", "6 d", "7 d"], "d"),
        ("strain.shiitake.cold_shock.loses=4:6:1", ["4 % a day", "5 % a day", "6 % a day"], "% a day"),
        ("crew.pickers.wage=17:18:0.5", ["$17/h", "$17.5/h", "$18/h"], "$/h"),
        ("customer.restaurants.takes.varies=0.1:0.2:0.1", [0.1, 0.2], ""),
        ("customer.restaurants.leave_by=07:30,08:30", ["07:30", "08:30"], ""),
        ("rules.pick_first=ripest,dearest", ["ripest", "dearest"], ""),
        ("strain.shiitake.open.flip=yes,no", [True, False], ""),
        ("room.North.range=56 to 60 degF,57 to 60 degF", ["56 to 60 degF", "57 to 60 degF"], ""),
    ],
)  # fmt: skip
def test_values_are_written_as_the_file_would(rooms: Figures, text: str, written: list[object], unit: str) -> None:
    found = tried(rooms, text)
    assert ([value.written for value in found.values], found.unit) == (written, unit)
    assert found.is_ordered == (found.spot.form not in ("time of day", "word", "yes or no", "range"))
    for value in found.values:
        rooms.farm_with([(found.spot, value.written)])  # every one of them is a farm


@pytest.mark.parametrize(("system", "unit"), [("us", "lb"), ("metric", "kg")])
def test_without_a_unit_that_of_the_file_is_meant_and_where_it_says_nothing_that_of_the_farm(
    tmp_path: Path, system: str, unit: str
) -> None:
    text = (SCENARIOS / "tiny.toml").read_text().replace('units = "us"', f'units = "{system}"')
    text = "\n".join(line for line in text.splitlines() if not line.startswith('block        = "10 lb"'))
    (tmp_path / "farm.toml").write_text(text)
    book = Figures(tmp_path / "farm.toml")
    assert tried(book, "strain.blue-oyster.block=2,3").unit == unit  # by default, told in the farm's units
    assert tried(book, "strain.blue-oyster.pack=10,20").unit == "lb/h"  # as the file writes it
    in_kg = tried(book, "strain.blue-oyster.pack=10 kg/h,20 kg/h")
    assert (in_kg.unit, own_said(in_kg)) == ("kg/h", "35 lb/h (15.88 kg/h)")
    assert own_said(tried(book, "strain.blue-oyster.pack=10,20")) == "35 lb/h"
    assert own_said(tried(book, "strain.blue-oyster.shelf_life=5 d,6 d")) == "7 d"


def test_the_farms_own_value_is_known_whatever_its_unit(rooms: Figures) -> None:
    found = tried(rooms, "strain.blue-oyster.shelf_life=144 h,168 h")
    assert [is_own(found, value) for value in found.values] == [False, True]
    assert rooms.farm_with([(found.spot, found.values[1].written)]) is rooms.farm


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("soak.tanks", '"soak.tanks" gives no values; write soak.tanks=a:b:step, or a list soak.tanks=a,b,c'),
        ("soak.tanks=", "gives no values"),
        ("soak.tanks=5:9:0", "has a step of 0 and would never end"),
        ("soak.tanks=9:5:1", "never gets from 9 to 5 in steps of 1; write it from 5 to 9"),
        ("soak.tanks=5:9:-1", "never gets from 5 to 9 in steps of -1; write it with a step of 1"),
        ("soak.tanks=5:5:1", "holds one value of soak.tanks only; there must be two at least"),
        ("soak.tanks=5:9:8", "holds one value of soak.tanks only"),
        ("soak.tanks=6,6.0", "names a value of soak.tanks twice"),
        ("soak.tanks=1:900:1", f'"soak.tanks=1:900:1" makes 900 values of soak.tanks; at most {MOST_VALUES} are tried'),
        ("soak.tanks=a:b:c", '"a" is no number, and soak.tanks is one; write soak.tanks=a:b:step'),
        ("soak.tanks=1:2", '"1:2" is no number, and soak.tanks is one; write soak.tanks=a:b:step; a range has three parts'),
        ("soak.tanks=6,", "leaves a value out; write soak.tanks=a:b:step or soak.tanks=a,b,c"),
        ("strain.shiitake.shelf_life=5 d:200 h:1 d", 'mixes units: "d" and "h"; write all values in one'),
        ("strain.shiitake.flushes.share=61,25", "strain.shiitake.flushes.share is shares, not one value"),
        ("rules.pick_first=1:3:1", "holds one value of rules.pick_first only"),
    ],
)  # fmt: skip
def test_values_that_make_no_sense_are_told_plainly(rooms: Figures, text: str, told: str) -> None:
    with pytest.raises(NoSuchRange) as caught:
        tried(rooms, text)
    assert told in str(caught.value)
