"""A change set changes, adds and removes named things of a farm, from the start or from a Monday on."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load
from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.values import PerWeek, Range, Shift

from .farms import SHIPPED, SMALL, bare, change, faults_of, small, written

BASED = 'based_on = "small.toml"\n'


def test_only_what_is_written_changes(tmp_path: Path) -> None:
    before = small(tmp_path)
    after = change(tmp_path, f"{BASED}[change.crew.makers]\npeople = 3\n")
    assert after.crew[0] == before.crew[0].but(people=3)
    assert after.crew[1:] == before.crew[1:]
    assert after.but(farm=before.farm, crew=before.crew) == before


def test_the_farm_is_called_after_both(tmp_path: Path) -> None:
    assert change(tmp_path, f"{BASED}[change.opening]\nbenches = 2\n").farm.name == "Small: change"
    named = change(tmp_path, f'{BASED}name = "two benches"\n[change.opening]\nbenches = 2\n')
    assert named.farm.name == "Small: two benches"
    same = change(tmp_path, f'{BASED}name = ""\n[change.opening]\nbenches = 2\n')
    assert same.farm.name == "Small" and same.opening.benches == 2


def test_tables_are_changed_figure_by_figure(tmp_path: Path) -> None:
    after = change(tmp_path, f"{BASED}[change.strain.shiitake]\nflushes = {{ share = [70, 30] }}\n").strain["shiitake"]
    assert after.flushes.share == pytest.approx((0.7, 0.3))
    assert after.flushes.soak_again
    assert after.flushes.rest == 120.0


def test_quantities_that_vary_are_changed_as_a_whole(tmp_path: Path) -> None:
    after = change(tmp_path, f'{BASED}[change.strain.shiitake]\ncolonise = "15 d"\n').strain["shiitake"]
    assert (after.colonise.kind, after.colonise.mean) == ("fixed", 360.0)


def test_shifts_are_changed_day_by_day(tmp_path: Path) -> None:
    text = f'{BASED}[change.crew.makers]\ndays = "mon-sat"\nhours = {{ wed = "07:00-15:00", sat = "06:00-10:00" }}\n'
    makers = change(tmp_path, text).crew[0]
    assert makers.hours == {
        "mon": Shift(6, 14),
        "tue": Shift(6, 14),
        "wed": Shift(7, 15),
        "thu": Shift(6, 14),
        "fri": Shift(6, 14),
        "sat": Shift(6, 10),
    }
    assert makers.break_ == 0.5


def test_a_break_may_change_alone(tmp_path: Path) -> None:
    makers = change(tmp_path, f'{BASED}[change.crew.makers]\nhours = {{ break = "45 min" }}\n').crew[0]
    assert (makers.break_, makers.hours["mon"]) == (0.75, Shift(6, 14))


def test_what_a_customer_takes_is_changed_strain_by_strain(tmp_path: Path) -> None:
    before = small(tmp_path).customer[0]
    after = change(tmp_path, f'{BASED}[change.customer.shop]\ntakes = {{ oyster = "30 lb a delivery" }}\n').customer[0]
    assert isinstance(before.takes, dict)
    assert isinstance(after.takes, dict)
    assert after.takes["shiitake"] == before.takes["shiitake"]
    assert after.takes["oyster"] == pytest.approx(1.5 * before.takes["oyster"])
    assert after.varies == before.varies


def test_things_are_added_and_removed_by_name(tmp_path: Path) -> None:
    text = BASED + '[add.room.Annex]\nholds = "100 shelf places"\nrange = "16 to 19 degC"\n'
    text += '[add.walk_in.spare]\nholds = "10 crates"\nuses = { "ripe blocks" = "0.6 crate/block" }\n'
    text += '[remove]\ncustomer = ["outlet"]\nblock_customer = "growers"\n'
    after = change(tmp_path, text)
    assert [(room.name, room.holds) for room in after.room] == [("North", 800), ("South", 600), ("Annex", 100)]
    assert after.room[2].range == Range(16.0, 19.0)
    assert list(after.walk_in) == ["main", "spare"]
    assert after.ripe_block_room() == "spare"
    assert [customer.name for customer in after.customer] == ["shop"]
    assert after.block_customer == ()


def test_sections_are_added_and_removed_whole(tmp_path: Path) -> None:
    bare(tmp_path)
    (tmp_path / "farm.toml").rename(tmp_path / "bare.toml")
    after = written(tmp_path, 'based_on = "bare.toml"\n[add.soak]\ntanks = 2\ntank = "20 blocks"\n', "more.toml")
    assert after.soak is not None
    assert after.soak.tanks == 2
    again = written(tmp_path, 'based_on = "more.toml"\n[remove]\nsoak = true\n', "less.toml")
    assert again.soak is None


def test_an_added_strain_may_be_like_one_of_the_sheet(tmp_path: Path) -> None:
    text = BASED + '[add.strain.mane]\nlike = "lion\'s mane"\n'
    text += '[add.start.mane]\nstrain = "mane"\nblocks = "50 a week"\ndays = ["fri"]\n'
    assert change(tmp_path, text).strain["mane"].shelf_life == 288.0


def test_a_figure_of_the_sheet_can_be_changed(tmp_path: Path) -> None:
    after = change(tmp_path, f'{BASED}[change.strain.oyster]\nyield = {{ mean = "2 lb a block" }}\n').strain["oyster"]
    assert "mean" in after.yield_.given
    assert after.flushes.share == pytest.approx((0.57, 0.29, 0.14))


def test_a_strain_can_be_made_like_another_of_the_sheet(tmp_path: Path) -> None:
    """What the sheet gave before goes; what the farm itself gives, or has changed, stays."""
    fruit = '[change.strain.oyster]\nflushes = { rest = "6 d" }\n'
    change(tmp_path, BASED + fruit)
    after = written(tmp_path, 'based_on = "change.toml"\n[change.strain.oyster]\nlike = "shiitake"\n', "more.toml")
    sheet = small(tmp_path, 'like = "blue oyster"', 'like = "shiitake"').strain["oyster"]
    assert after.strain["oyster"] == sheet.but(flushes=sheet.flushes.but(rest=144.0))


def test_a_larger_block_of_a_strain_of_the_sheet_yields_more(tmp_path: Path) -> None:
    before = small(tmp_path).strain["oyster"].yield_
    after = change(tmp_path, f'{BASED}[change.strain.oyster]\nblock = "10 lb"\n').strain["oyster"].yield_
    assert after.mean == pytest.approx(2 * before.mean, rel=1e-4)


def test_a_cleaning_is_changed_figure_by_figure(tmp_path: Path) -> None:
    before = small(tmp_path).room[1].clean
    after = change(tmp_path, f'{BASED}[change.room.South.clean]\nevery = "5 weeks"\n').room[1].clean
    assert isinstance(before, RoomEmptied)
    assert after == before.but(every=840.0)


def test_a_dated_change_begins_on_its_monday(tmp_path: Path) -> None:
    before = small(tmp_path)
    after = change(tmp_path, f"{BASED}from = 2027-02-01\n[change.opening]\nbenches = 2\n")
    assert after.opening.benches == 1
    assert [(hour, state.opening.benches) for hour, state in after.changes] == [(4 * 168.0, 2)]
    assert after.changes[0][1].but(opening=before.opening, farm=before.farm) == before


GROWTH = """
[[phase]]
name = "more tanks"
from = 2027-02-01
[phase.change.soak]
tanks = 3

[[phase]]
name = "more makers"
from = 2027-03-01
[phase.change.crew.makers]
people = 4
"""


def states(farm: Farm) -> list[tuple[float, int, int, int]]:
    return [(hour, state.opening.benches, state.soak.tanks if state.soak else 0, state.crew[0].people)
            for hour, state in ((0.0, farm), *farm.changes)]  # fmt: skip


def test_growth_goes_phase_by_phase(tmp_path: Path) -> None:
    after = change(tmp_path, f"{BASED}[change.opening]\nbenches = 2\n{GROWTH}")
    assert states(after) == [(0.0, 2, 2, 2), (4 * 168.0, 2, 3, 2), (8 * 168.0, 2, 3, 4)]
    assert after.phases == ((0.0, "at first"), (4 * 168.0, "more tanks"), (8 * 168.0, "more makers"))
    assert [state.phases for _, state in after.changes] == [(), ()]


def test_phases_may_stand_in_the_farms_own_file(tmp_path: Path) -> None:
    after = written(tmp_path, SMALL + GROWTH)
    assert after.farm.name == "Small"
    assert states(after) == [(0.0, 1, 2, 2), (4 * 168.0, 1, 3, 2), (8 * 168.0, 1, 3, 4)]
    assert after.but(changes=(), phases=()) == small(tmp_path)


def test_the_first_phase_may_name_the_beginning(tmp_path: Path) -> None:
    after = written(tmp_path, f'{SMALL}[[phase]]\nname = "as we are"\nfrom = 2027-01-04\n{GROWTH}')
    assert [name for _, name in after.phases] == ["as we are", "more tanks", "more makers"]
    assert len(after.changes) == 2


def test_the_first_phase_may_also_change_what_the_farm_begins_with(tmp_path: Path) -> None:
    first = '[[phase]]\nname = "two benches"\nfrom = 2027-01-04\n[phase.change.opening]\nbenches = 2\n'
    after = written(tmp_path, SMALL + first + GROWTH)
    assert states(after) == [(0.0, 2, 2, 2), (4 * 168.0, 2, 3, 2), (8 * 168.0, 2, 3, 4)]


def test_a_change_set_on_a_farm_that_grows_keeps_its_phases(tmp_path: Path) -> None:
    (tmp_path / "grows.toml").write_text(SMALL + GROWTH, encoding="utf-8")
    text = 'based_on = "grows.toml"\nfrom = 2027-02-01\n[change.opening]\nbenches = 2\n'
    after = written(tmp_path, text, "more.toml")
    assert states(after) == [(0.0, 1, 2, 2), (4 * 168.0, 2, 3, 2), (8 * 168.0, 2, 3, 4)]
    assert [name for _, name in after.phases] == ["at first", "more tanks", "more makers"]


def test_faults_of_a_farm_and_of_its_phases_are_told_together(tmp_path: Path) -> None:
    text = SMALL.replace("benches = 1", "benches = 0") + GROWTH.replace("tanks = 3", "tankers = 3")
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    said = faults_of(tmp_path / "farm.toml")
    assert len(said) == 2
    assert "opening, benches: is 0" in said[0]
    assert '"tankers" is not known here' in said[1]


def test_a_change_set_may_be_based_on_another(tmp_path: Path) -> None:
    change(tmp_path, f"{BASED}from = 2027-02-01\n[change.opening]\nbenches = 2\n")
    after = written(tmp_path, 'based_on = "change.toml"\n[change.crew.makers]\npeople = 3\n', "more.toml")
    assert after.farm.name == "Small: change: more"
    assert [(state.opening.benches, state.crew[0].people) for state in (after, after.changes[0][1])] == [(1, 3), (2, 3)]


def test_a_later_change_keeps_what_an_earlier_one_took_away(tmp_path: Path) -> None:
    change(tmp_path, f'{BASED}from = 2027-02-01\n[remove]\ncustomer = ["outlet"]\n')
    text = 'based_on = "change.toml"\n[change.customer.outlet]\nleave_by = "11:00"\n'
    after = written(tmp_path, text, "more.toml")
    assert after.customer[1].leave_by == 11.0
    assert [customer.name for customer in after.changes[0][1].customer] == ["shop"]


def test_the_base_may_stand_in_another_folder(tmp_path: Path) -> None:
    (tmp_path / "farms").mkdir()
    (tmp_path / "farms" / "small.toml").write_text(SMALL, encoding="utf-8")
    text = 'based_on = "farms/small.toml"\n[change.opening]\nbenches = 2\n'
    assert written(tmp_path, text, "change.toml").opening.benches == 2


def test_the_shipped_change_sets_do_what_their_names_say() -> None:
    base = load(SHIPPED / "four-rooms.toml")
    pickers = next(crew for crew in base.crew if crew.name == "pickers")

    def of(name: str, crew: str = "pickers") -> object:
        return next(each for each in load(SHIPPED / name).crew if each.name == crew)

    assert len(base.room) == 4
    assert len(load(SHIPPED / "fifth-room.toml").room) == 5
    on_credit = load(SHIPPED / "fifth-room-loan.toml")
    assert (len(on_credit.room), len(on_credit.changes[-1][1].room)) == (4, 5)
    assert of("one-more-picker.toml") == pickers.but(people=pickers.people + 1)
    assert load(SHIPPED / "bigger-walk-in.toml").walk_in["main"].holds > base.walk_in["main"].holds
    assert len(load(SHIPPED / "two-flushes.toml").strain["shiitake"].flushes.share) == 2
    weekend = of("weekend-picking.toml")
    assert set(getattr(weekend, "hours")) == {"mon", "tue", "wed", "thu", "fri", "sat", "sun"}  # noqa: B009
    assert getattr(weekend, "days") == PerWeek(5)  # noqa: B009
