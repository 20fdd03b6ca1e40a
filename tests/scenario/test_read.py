"""A farm's file becomes a farm: inside there are hours, kg, degC, blocks, crates, currency and shares only."""

from __future__ import annotations

import datetime
import pickle
from pathlib import Path

import pytest

from farmsim.errors import ScenarioFault
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.lines import key_lines
from farmsim.scenario.people import Crew, PerWeek, Shift
from farmsim.scenario.read import load
from farmsim.scenario.rooms import Range, Room, RoomEmptied
from farmsim.scenario.strain import Flushes
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary

from .farms import SHIPPED, SMALL, bare, small

LB = 0.45359237


def test_figures_stand_in_inside_units(tmp_path: Path) -> None:
    farm = small(tmp_path)
    shiitake = farm.strain["shiitake"]
    assert farm.farm.start == datetime.date(2027, 1, 4)
    assert (farm.farm.lot, farm.sterilizer.cycle if farm.sterilizer else None) == (50.0, 9.0)
    assert farm.room[0].range.low == pytest.approx((62 - 32) / 1.8)
    assert shiitake.colonise == Triangular(288.0, 336.0, 432.0)
    assert shiitake.ripen == Fixed(1920.0)
    assert shiitake.first_pick == MeanCv(216.0, 0.13)
    assert shiitake.yield_.mean == pytest.approx(1.15 * LB)
    assert shiitake.flushes.share == pytest.approx((0.61, 0.25, 0.14))
    assert shiitake.picking.look == pytest.approx(5 / 3600)
    assert shiitake.range == Range(16.0, 20.0)
    assert farm.walk_in["main"].chills == 60.0
    assert farm.walk_in["main"].uses.cold_shock == 0.6
    assert farm.walk_in["main"].uses.ripe_blocks is None
    assert farm.start[1].ripe_in == Fixed(96.0)
    assert farm.customer[0].takes == pytest.approx({"shiitake": 40 * LB, "oyster": 20 * LB})
    assert farm.block_customer[0].notice == 336.0


@pytest.mark.parametrize(
    "share",
    [
        (0.6, 0.3, 0.1),
        (0.61, 0.25, 0.14),
        (0.9, 0.07, 0.03),
        (0.7, 0.3),
        (61.0, 25.0, 14.0),
        (0.1,) * 10,
        (15.0, 6.0, 1.0),
    ],
)
def test_shares_that_add_up_stay_as_they_are_however_often_a_farm_is_changed(share: tuple[float, ...]) -> None:
    once = Flushes(share=share)
    assert sum(once.share) == pytest.approx(1.0)
    assert once.share == share or sum(share) > 2.0
    assert once.but(rest=24.0).share == once.share


def test_crews_have_a_shift_for_each_day_and_a_break_of_their_own(tmp_path: Path) -> None:
    makers, growers = small(tmp_path).crew
    assert makers.days == ("mon", "tue", "wed", "thu", "fri")
    assert makers.hours == dict.fromkeys(("mon", "tue", "wed", "thu", "fri"), Shift(6.0, 14.0))
    assert (makers.break_, makers.break_at) == (0.5, None)
    assert growers.days == PerWeek(5)
    assert (growers.absence, growers.overtime.at_most) == (0.04, 2.0)


def test_a_shift_over_midnight_ends_past_24(tmp_path: Path) -> None:
    farm = bare(tmp_path, 'hours  = { mon-sun = "07:00-11:00" }', 'hours = { mon-sun = "22:00-06:00 next day" }')
    assert farm.crew[0].hours["mon"] == Shift(22.0, 30.0)


def test_keys_that_a_table_holds_beside_its_own_are_lifted_out(tmp_path: Path) -> None:
    farm = small(tmp_path)
    assert "varies" not in farm.customer[0].takes
    assert (farm.customer[0].varies, farm.customer[1].varies, farm.block_customer[0].varies) == (0.15, 0.0, 0.25)
    assert farm.customer[1].takes == "anything"


def test_a_room_is_cleaned_shelf_by_shelf_unless_it_says_otherwise(tmp_path: Path) -> None:
    north, south = small(tmp_path).room
    assert north.clean == "shelf by shelf"
    assert south.clean == RoomEmptied(how="room emptied", every=1680.0, takes=9.0)


@pytest.mark.parametrize(
    ("written", "means"),
    [
        ('"9 d"', Fixed(216.0)),
        ('{ low = "7 d", likely = "9 d", high = "12 d" }', Triangular(168.0, 216.0, 288.0)),
        ('{ low = "9 d", likely = "9 d", high = "9 d" }', Fixed(216.0)),
        ('{ from = "7 d", to = "12 d", share = "9 of 10" }', Between(168.0, 288.0, 0.9)),
        ('{ from = "7 d", to = "12 d", share = "90 %" }', Between(168.0, 288.0, 0.9)),
        ('{ from = "7 d", to = "12 d", share = 0.9 }', Between(168.0, 288.0, 0.9)),
        ('{ mean = "9 d", cv = 0.13 }', MeanCv(216.0, 0.13)),
        ('{ mean = "9 d", cv = 0 }', Fixed(216.0)),
        ('{ mean = "9 d", cv = 0.13, shape = "gamma" }', MeanCv(216.0, 0.13, "gamma")),
        ('{ mean = "8 to 10 d", cv = 0.13 }', RangeMean(192.0, 240.0, 0.13)),
        ('{ measured = ["9 d", "11 d", "9 d"] }', Measured((216.0, 264.0, 216.0))),
    ],
)
def test_a_quantity_that_varies_is_read_as_a_grower_says_it(written: str, means: Vary, tmp_path: Path) -> None:
    farm = small(tmp_path, 'first_pick   = { mean = "9 d", cv = 0.13 }', f"first_pick = {written}")
    assert farm.strain["shiitake"].first_pick == means


def test_what_is_left_out_stands_at_its_default(tmp_path: Path) -> None:
    farm = bare(tmp_path)
    assert (farm.farm.units, farm.farm.currency, farm.farm.begin, farm.farm.round) == ("us", "USD", "full swing", 1.0)
    assert (farm.mix, farm.sterilizer, farm.soak, farm.changes) == (None, None, None, ())
    assert farm.rules.call_in == "when a shelf is free"
    assert farm.strain["oyster"].overripe.loses == 0.03


def test_a_farm_remembers_what_was_given(tmp_path: Path) -> None:
    farm = small(tmp_path)
    assert farm.farm.given == {"name", "start", "weeks", "lot"}
    assert farm.crew[0].given == {"name", "people", "days", "hours", "break_", "duties", "wage"}
    assert farm.strain["oyster"].given == {"like"}


def test_a_farm_never_changes_and_goes_whole_to_another_process(tmp_path: Path) -> None:
    farm = small(tmp_path)
    with pytest.raises(AttributeError, match=r"a About never changes; make another one with \.but\(weeks=\.\.\.\)"):
        farm.farm.weeks = 5
    with pytest.raises(AttributeError, match="never changes"):
        del farm.farm.weeks
    again = pickle.loads(pickle.dumps(farm))
    assert again == farm
    assert again.strain["oyster"].given == farm.strain["oyster"].given


def test_a_farm_may_be_made_and_altered_from_python() -> None:
    about = About(name="By hand", start=datetime.date(2027, 1, 4))
    assert about.but(weeks=5).weeks == 5
    assert about.but(weeks=5).but(weeks=52) == about
    with pytest.raises(ScenarioFault, match=r"^holds: is -1; needs at least 1 shelf place\."):
        Room(name="A", holds=-1, range=Range(16.0, 20.0))
    with pytest.raises(
        ScenarioFault, match=r'^colour: "colour" is not known here; known are name, holds, range, rests, clean\.'
    ):
        Room(name="A", holds=10, range=Range(16.0, 20.0), colour="blue")


def test_parts_with_the_same_figures_are_equal_and_count_as_one() -> None:
    crews = [Crew(name="a", people=2, days=("mon",), hours={"mon": Shift(6, 14)}, duties=("pick",)) for _ in range(2)]
    assert crews[0] == crews[1]
    rooms = {Room(name="A", holds=10.0, range=Range(16.0, 20.0)) for _ in range(2)}
    assert len(rooms) == 1
    assert repr(rooms.pop()).startswith("Room(name='A', holds=10.0, range=Range(low=16.0, high=20.0)")


@pytest.mark.parametrize("path", sorted(SHIPPED.glob("*.toml")), ids=lambda path: path.stem)
def test_every_shipped_farm_is_read_and_says_that_it_is_invented(path: Path) -> None:
    assert isinstance(load(path), Farm)
    assert "invented" in path.read_text(encoding="utf-8").split("\n\n")[0]


# --- the lines of a file ------------------------------------------------------------------------------


def test_every_key_knows_its_line() -> None:
    text = """# a comment = [ with signs
top = 1
[a]
b.c = 2
"d e" = { f = 3, g = [1, { h = "x # no comment" }] }
long = '''
first ] }
second'''

[[list]]
x = [
  1,  # one
  2,
]
[list.inner]
y = 2027-01-04
[[list]]
x = "a \\" b"
""".replace("\n", "\r\n")
    lines = key_lines(text)
    assert lines["top",] == 2
    assert lines["a",] == 3
    assert lines["a", "b", "c"] == 4
    assert lines["a", "d e", "g", 1, "h"] == 5
    assert lines["a", "long"] == 6
    assert lines["list", 0] == 10
    assert lines["list", 0, "x", 1] == 13
    assert lines["list", 0, "inner", "y"] == 16
    assert lines["list", 1] == 17
    assert lines["list", 1, "x"] == 18


def test_lines_are_told_in_files_from_any_system(tmp_path: Path) -> None:
    path = tmp_path / "farm.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("benches = 1", "benches = 0").replace("\n", "\r\n").encode())
    with pytest.raises(ScenarioFault, match=r"farm\.toml:34, opening, benches: is 0"):
        load(path)
