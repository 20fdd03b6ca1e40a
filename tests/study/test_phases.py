"""A farm that grows is told phase by phase: each phase is what a run that ends with it would tell of its weeks."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.model.run import run
from farmsim.record.measures import RunTables, summarise
from farmsim.record.measures.page import TABLES
from farmsim.record.measures.registry import FLOWS
from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.study.growth import with_phases
from farmsim.study.phases import LEVELS, Span, by_phase, spans
from farmsim.study.replicate import Result

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
WEEK = 168.0
PHASES = """
[[phase]]
name = "one shed"
from = 2027-01-04

[[phase]]
name = "two people"
from = 2027-01-25
[phase.change.crew.owner]
people = 2

[[phase]]
name = "barn"
from = 2027-02-22
[phase.add.room.Barn]
holds = "200 shelf places"
range = "60 to 66 degF"
[phase.change.start.oyster]
blocks = "100 blocks a week"
[phase.add.customer.market]
takes = { blue-oyster = "40 lb a delivery" }
days = ["fri"]
leave_by = "06:00"
"""


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Farm:
    text = (SCENARIOS / "tiny.toml").read_text(encoding="utf-8")
    file = tmp_path_factory.mktemp("farm") / "grows.toml"
    file.write_text(text.replace("weeks = 26", 'weeks = 14\nbegin = "empty"') + PHASES, encoding="utf-8")
    return farmsim.load(file)


@pytest.fixture(scope="module")
def result(farm: Farm) -> Result:
    return farmsim.run(farm, runs=3, workers=1)


def test_phases_follow_one_another_to_the_end_of_the_measured_weeks(farm: Farm) -> None:
    assert spans(farm, 14) == (Span(1, "one shed", 0, 3), Span(2, "two people", 3, 7), Span(3, "barn", 7, 14))
    assert spans(farm, 5) == (Span(1, "one shed", 0, 3), Span(2, "two people", 3, 5))
    assert spans(farm.but(phases=()), 14) == ()


def of_phase(tables: RunTables, name: str, number: int) -> dict[str, list[object]]:
    table = tables[f"phase_{name}"]
    kept = [at for at, phase in enumerate(table["phase"]) if phase == number]
    return {column: [values[at] for at in kept] for column, values in table.items() if column != "phase"}


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_phase_is_what_a_run_that_ends_with_it_tells_of_its_weeks(farm: Farm, number: int) -> None:
    """By a second way: a run of the same luck that is over when the phase is, measured from its first week on."""
    record = run(farm, 1)
    tables = by_phase(record, farm, 14, summarise(record)["weekly"])
    span = spans(farm, 14)[number - 1]
    alone = summarise(replace(run(farm, 1, 0, span.after), start=span.first * WEEK))
    not_there = [room.name for room in farm.changes[-1][1].room if number < 3 and room not in farm.room]
    for name in ("places", "crews", "duties", "hours_of_week", "customers"):
        for column, values in of_phase(tables, name, number).items():
            kept = [at for at, of in enumerate(alone[name].get("place", values)) if of not in not_there]
            mine, theirs = ([cells[at] for at in kept] for cells in (values, alone[name][column]))
            if isinstance(alone[name][column], list):
                assert mine == theirs, (name, column)
            else:
                assert np.allclose(np.array(mine, float), theirs, equal_nan=True), (name, column)


def test_a_room_that_is_not_there_yet_looks_tight_to_nobody(result: Result) -> None:
    growth = result.answers.growth
    assert growth is not None
    assert all("Barn" not in one.tight for one in growth.phases[:2])


def test_what_passed_in_the_phases_adds_up_to_the_whole_run(result: Result) -> None:
    weekly, phases = result.tables["weekly"], result.tables["phases"]
    for name in ("picked_kg", "sold_kg", "promised_kg", "blocks_bought", "blocks_fruited", "paid_h", "orders"):
        whole, parts = weekly.groupby("run")[name].sum(), phases.groupby("run")[name].sum()
        assert whole.to_numpy() == pytest.approx(parts.to_numpy()), name


def test_levels_of_a_phase_are_those_at_its_end(result: Result) -> None:
    weekly, phases = result.tables["weekly"], result.tables["phases"]
    for name in ("blocks_inside", "stock_kg"):
        for number, week in ((1, 3), (2, 7), (3, 14)):
            at_end = weekly[weekly["week"] == week][name].to_numpy()
            assert phases[phases["phase"] == number][name].to_numpy() == pytest.approx(at_end), name


def test_a_phase_is_told_a_week_on_average(result: Result) -> None:
    growth = result.answers.growth
    assert growth is not None
    assert [(one.number, one.name, one.first, one.week, one.weeks) for one in growth.phases] == [
        (1, "one shed", "2027-01-04", 1, 3),
        (2, "two people", "2027-01-25", 4, 4),
        (3, "barn", "2027-02-22", 8, 7),
    ]
    weekly = result.tables["weekly"]
    for one, (first, last) in zip(growth.phases, ((1, 3), (4, 7), (8, 14)), strict=True):
        mine = weekly[(weekly["week"] >= first) & (weekly["week"] <= last)]
        assert one.a_week["picked_kg"].value == pytest.approx(mine["picked_kg"].mean())
        assert one.picked.mean.value == pytest.approx(mine["picked_kg"].sum() / 3)
        assert one.kept("kg") == pytest.approx(mine["delivered_kg"].sum() / mine["promised_kg"].sum())
        assert one.kept("blocks") is None
    customers = [[promise.customer for promise in one.promises if promise.promised] for one in growth.phases]
    assert customers == [["farm shop"], ["farm shop"], ["farm shop", "market"]]


def test_what_is_fullest_is_said_by_the_averages_of_the_phase_itself(farm: Farm, result: Result) -> None:
    growth = result.answers.growth
    assert growth is not None
    for one, state in zip(growth.phases, (farm, *(state for _, state in farm.changes)), strict=True):
        assert one.fullest == max(((need.name, need.share) for need in averages.needs(state)), key=lambda need: need[1])
    assert len({one.fullest for one in growth.phases}) > 1


def test_a_farm_that_begins_empty_has_picked_nothing_in_its_first_week(result: Result) -> None:
    growth = result.answers.growth
    assert growth is not None
    assert growth.weeks["picked_kg"].fat[0] == 0.0
    assert len(growth.weeks["picked_kg"].usual) == 14
    assert growth.weeks["picked_kg"].usual[13] > 0.0


def test_phases_after_the_measured_weeks_are_counted(farm: Farm) -> None:
    growth = farmsim.run(farm, runs=1, weeks=5, workers=1).answers.growth
    assert growth is not None
    assert [one.name for one in growth.phases] == ["one shed", "two people"]
    assert growth.after == 1


def test_every_week_is_written_with_its_phase(result: Result, tmp_path: Path) -> None:
    result.write(tmp_path)
    with (tmp_path / "weekly.csv").open(encoding="utf-8") as file:
        weeks = list(csv.DictReader(file))
    assert [row["phase"] for row in weeks] == (["one shed"] * 3 + ["two people"] * 4 + ["barn"] * 7) * 3
    assert not list(tmp_path.glob("phase_*"))
    with (tmp_path / "phases.csv").open(encoding="utf-8") as file:
        assert [(row["run"], row["phase"], row["weeks"]) for row in csv.DictReader(file)][:4] == [
            ("1", "1", "3"), ("1", "2", "4"), ("1", "3", "7"), ("2", "1", "3")]  # fmt: skip
        file.seek(0)
        told = {name for table in TABLES if table.file == "phases" for name, _, _ in table.columns}
        assert set(file.readline().strip().split(",")) == told | {one.name for one in FLOWS} | set(LEVELS)
    assert result.answers.growth is not None
    assert "phase" not in result.tables["weekly"]
    assert list(with_phases(result.tables["weekly"], result.answers.growth).columns[:3]) == ["run", "week", "phase"]


def test_a_farm_without_phases_tells_of_none(tmp_path: Path) -> None:
    plain = farmsim.run(farmsim.load(SCENARIOS / "tiny.toml"), runs=1, weeks=2, workers=1)
    plain.write(tmp_path)
    assert plain.answers.growth is None
    assert not (tmp_path / "phases.csv").exists()
    assert "growth" not in json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))
    assert (tmp_path / "weekly.csv").read_text(encoding="utf-8").startswith("run,week,blocks_made")


def test_phases_are_the_same_on_any_number_of_workers(farm: Farm, result: Result) -> None:
    shared = farmsim.run(farm, runs=3, workers=2)
    assert shared.answers == result.answers


def test_the_shipped_farm_that_grows_is_neither_empty_nor_overflowing_in_any_phase() -> None:
    """Its two short phases, in which blocks are started that are not ripe yet, are left out."""
    farm = farmsim.load(SCENARIOS / "growth.toml")
    growth = farmsim.run(farm, runs=2).answers.growth
    assert farm.farm.begin == "empty" and growth is not None
    assert growth.weeks["picked_kg"].fat[0] == 0.0
    long = [one for one in growth.phases if one.weeks > 10]
    assert [one.name for one in long] == [
        "farm shop opens", "second room", "no more bought blocks", "blocks for sale"]  # fmt: skip
    for one in long:
        kept = one.kept("kg")
        assert kept is not None and kept > 0.9
        assert 0.5 < one.fullest[1] < 1.0
        assert one.a_week["blocks_lost_too_old"].value < 0.01 * one.a_week["blocks_in"].value
    sold = [one.a_week["blocks_sold"].value for one in growth.phases]
    assert sold[-1] > 90.0 and not any(sold[:-1])
