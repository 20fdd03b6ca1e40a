"""Shelf places and hours of work by strain, worked out by hand and against a whole farm."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from two_weeks import END, LAB, NAMES, NAN, NORTH, OYSTER, PACK, PICK, PICKERS, RACKS, SHIITAKE, WHAT

import farmsim
from farmsim.model.run import run
from farmsim.record.journal import Journal
from farmsim.record.measures import summarise
from farmsim.record.measures.strains import NOBODY, shelf_weeks
from farmsim.record.tables import Record
from farmsim.scenario.read import load

FOUR_ROOMS = Path(farmsim.__file__).parents[1] / "scenarios" / "four-rooms.toml"
MIX, INSPECT, CLEAN = 2, 3, 4
FARM = replace(NAMES, duties=("pick", "pack", "mix", "inspect", "clean"))


def journal() -> Journal:
    """Two lots, one of each strain, 60 and 40 blocks made; the shiitake gives 20 blocks back half way along its shelf."""
    written = Journal(FARM)
    written.lot(("a", 0, SHIITAKE, 0.0, 1, 0.0, 60.0, ""))
    written.lot(("b", 0, OYSTER, 0.0, 1, 0.0, 40.0, ""))
    for lot, strain, made in ((0, SHIITAKE, 60.0), (1, OYSTER, 40.0)):
        written.blocks((lot, strain, WHAT["made"], 1.0, made, -1))
    written.stays((0, RACKS, 0, 60_000, 0.0, 0.0, 84.0, 84.0))  # 60 x 84 h = 30 block weeks
    written.stays((0, NORTH, 1, 40_000, 84.0, 84.0, NAN, NAN))  # 40 blocks from 84 to the end, 252 h
    written.freed((0, NORTH, 210.0, 20_000))  # 20 more until 210, 126 h
    written.stays((1, RACKS, 0, 40_000, 0.0, 0.0, 42.0, 42.0))  # 40 x 42 h = 10 block weeks
    written.rostered((PICKERS, 0.0, 2.0, 200.0))
    return written


def read(written: Journal) -> Record:
    return Record.read(written, date(2027, 1, 25), END)


def hours(record: Record) -> dict[tuple[str, str], float]:
    table = summarise(record)["strain_hours"]
    return dict(zip(zip(table["strain"], table["duty"], strict=True), table["strain_hours"], strict=True))


def test_weeks_on_the_shelf_are_those_of_the_blocks_that_stood_there() -> None:
    assert list(shelf_weeks(read(journal()))) == [(40 * 252 + 20 * 126) / 168, 0.0]


def test_weeks_before_the_measured_time_do_not_count() -> None:
    record = replace(read(journal()), start=168.0)
    assert list(shelf_weeks(record)) == [(40 * 168 + 20 * 42) / 168, 0.0]


def test_a_round_is_of_the_strain_that_came_out_of_it_and_what_ends_at_one_moment_is_shared_by_weight() -> None:
    written = journal()
    for lot, when, kg in ((0, 100.0, 5.0), (1, 120.0, 6.0), (0, 120.0, 2.0)):
        written.picks((lot, 1, 0, when, 0, kg, 0.0, 0.0))
    for person, ended, worked in ((0, 100.0, 3.0), (0, 120.0, 1.0), (1, 120.0, 3.0), (0, 130.0, 0.5)):
        written.tasks((PICKERS, person, PICK, -1, 0, 99.0, ended - worked, ended, worked, 0.0))
    found = hours(read(written))
    assert found[("shiitake", "pick")] == pytest.approx(3.0 + 4.0 * 2 / 8)
    assert found[("oyster", "pick")] == pytest.approx(4.0 * 6 / 8)
    assert found[(NOBODY, "pick")] == pytest.approx(0.5)  # nothing came out of it


def test_a_strain_that_is_slow_to_pick_gets_more_of_the_hours_that_end_at_one_moment() -> None:
    farm = load(FOUR_ROOMS)
    paces = [farm.strain[name].picking.pace for name in ("shiitake", "blue-oyster")]
    assert paces[0] < paces[1]
    written = journal()
    for lot, kg in ((0, 2.0), (1, 6.0)):
        written.picks((lot, 1, 0, 120.0, 0, kg, 0.0, 0.0))
    written.tasks((PICKERS, 0, PICK, -1, 0, 99.0, 116.0, 120.0, 4.0, 0.0))
    record = read(written)
    later = farm.but(strain={"shiitake": farm.strain["shiitake"]}, changes=((84.0, farm),))
    needs = [2.0 / paces[0], 6.0 / paces[1]]
    for each in (farm, later):  # a strain that comes by a dated change has its pace too
        known = replace(record, farm=each, names=replace(record.names, strains=("shiitake", "blue-oyster")))
        found = hours(known)
        assert found[("shiitake", "pick")] == pytest.approx(4.0 * needs[0] / sum(needs))
        assert found[("blue-oyster", "pick")] == pytest.approx(4.0 * needs[1] / sum(needs))


def test_mixing_is_shared_by_blocks_made_inspection_by_weeks_on_racks_and_cleaning_is_nobodys() -> None:
    written = journal()
    written.tasks((LAB, 0, MIX, -2, 0, 1.0, 1.0, 6.0, 5.0, 0.0))
    written.tasks((LAB, 0, INSPECT, -1, 0, 7.0, 7.0, 9.0, 2.0, 0.0))
    written.tasks((LAB, 0, CLEAN, -1, 0, 9.0, 9.0, 10.0, 1.0, 0.0))
    written.tasks((LAB, 0, PACK, 1, 0, 9.0, 10.0, 14.0, 4.0, 0.0))
    assert hours(read(written)) == pytest.approx({
        ("shiitake", "mix"): 3.0, ("oyster", "mix"): 2.0,
        ("shiitake", "inspect"): 1.5, ("oyster", "inspect"): 0.5,
        ("oyster", "pack"): 4.0, (NOBODY, "clean"): 1.0,
    })  # fmt: skip


def test_hours_by_strain_add_up_to_the_hours_of_every_duty_and_nearly_all_are_some_strains() -> None:
    tables = summarise(run(load(FOUR_ROOMS), 1, 0, 6))
    of_strains, of_crews = tables["strain_hours"], tables["duties"]
    for duty in set(of_crews["duty"]):
        told = np.asarray(of_strains["strain_hours"])[np.array(of_strains["duty"]) == duty].sum()
        assert told == pytest.approx(np.asarray(of_crews["hours"])[np.array(of_crews["duty"]) == duty].sum())
    nobody = {duty for strain, duty in zip(of_strains["strain"], of_strains["duty"], strict=True) if strain == NOBODY}
    assert nobody <= {"clean", "chores", "deliver"}


def test_weeks_on_the_shelf_are_the_used_shelf_places() -> None:
    weeks = 6
    tables = summarise(run(load(FOUR_ROOMS), 1, 0, weeks))
    places = tables["places"]
    used = np.asarray(places["used_mean"])[np.array(places["kind"]) == "shelf"].sum()
    assert np.asarray(tables["strains"]["shelf_weeks"]).sum() == pytest.approx(used * weeks)
