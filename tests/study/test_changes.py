"""A farm with dated changes: what differs is named, and what is told is of the weeks since the last change."""

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

import farmsim
from farmsim.model.run import run
from farmsim.scenario import averages, flow
from farmsim.scenario.farm import Farm
from farmsim.study.changes import changes, in_force, weeks_before
from farmsim.study.life import read_life
from farmsim.study.replicate import Result

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
WEEK = 168.0
STEPS = """
based_on = "tiny.toml"
name = "growth in two steps"

[[phase]]
name = "rest"
from = 2027-01-25
[phase.change.strain.blue-oyster]
flushes = { rest = "6 d" }

[[phase]]
name = "barn"
from = 2027-02-08
[phase.change.crew.owner]
people = 2
hours = { sun = "07:00-09:00" }
[phase.change.customer."farm shop"]
takes = { blue-oyster = "80 lb a delivery" }
[phase.add.room.Barn]
holds = "100 shelf places"
range = "60 to 66 degF"
"""


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Farm:
    folder = tmp_path_factory.mktemp("farm")
    (folder / "tiny.toml").write_bytes((SCENARIOS / "tiny.toml").read_bytes())
    (folder / "steps.toml").write_text(STEPS, encoding="utf-8")
    return farmsim.load(folder / "steps.toml")


@pytest.fixture(scope="module")
def result(farm: Farm) -> Result:
    return farmsim.run(farm, runs=2, weeks=10, workers=1)


def test_the_state_in_force_is_the_last_that_has_begun(farm: Farm) -> None:
    first, second = (state for _, state in farm.changes)
    assert in_force(farm, -1.0) is farm and in_force(farm, 3 * WEEK - 0.1) is farm
    assert in_force(farm, 3 * WEEK) is first
    assert in_force(farm, 5 * WEEK) is in_force(farm, 900 * WEEK) is second


def test_only_changes_within_the_measured_weeks_count(farm: Farm) -> None:
    assert [weeks_before(farm, weeks) for weeks in (1, 3, 4, 5, 6, 26)] == [0, 0, 3, 3, 5, 5]


def test_every_change_names_what_differs_from_the_state_before(farm: Farm) -> None:
    first, second = changes(farm)
    assert (first.day, first.week) == ("2027-01-25", 4)
    assert first.what == ("strain blue-oyster, flushes, rest 3 d -> 6 d",)
    assert (second.day, second.week) == ("2027-02-08", 6)
    assert second.what[:2] == ("room Barn comes", "crew owner, people 1 -> 2")
    assert [what.split(" ")[0] for what in second.what] == ["room", "crew", "crew", "customer"]


def test_what_is_taken_away_is_named(farm: Farm) -> None:
    later = farm.but(room=(), changes=())
    assert changes(farm.but(changes=((WEEK, later),)))[0].what == ("room Shed goes",)


def test_tables_by_date_hold_all_weeks_and_the_others_those_since_the_change(result: Result) -> None:
    tables = result.tables
    assert list(tables["weekly"]["week"].unique()) == list(range(1, 11))
    assert tables["months"]["days"].sum() == 2 * 70
    since = tables["weekly"][tables["weekly"]["week"] > 5].groupby("run").sum()
    for table, column, of in (
        ("strains", "picked_kg", "picked_kg"),
        ("strains", "blocks_bought", "blocks_bought"),
        ("crews", "worked_h", "worked_h"),
        ("crews", "rostered_h", "rostered_h"),
        ("customers", "promised", "promised_kg"),
        ("customers", "orders", "orders"),
    ):
        assert list(tables[table].groupby("run")[column].sum()) == pytest.approx(list(since[of])), column
    assert set(tables["crews"]["most_present"]) == {2.0}
    assert "Barn" in set(tables["places"]["place"])
    assert (tables["checks"]["residual"].abs() < 1e-6).all()


def test_weeks_of_places_and_crews_are_all_there_and_written_as_the_mean_of_runs(
    result: Result, tmp_path: Path
) -> None:
    places, crews = result.tables["places_weeks"], result.tables["crews_weeks"]
    barn = places[(places["place"] == "Barn") & (places["run"] == 1)]
    assert list(barn["week"]) == list(range(1, 11))
    assert list(barn["capacity"]) == [0.0] * 5 + [100.0] * 5
    assert barn["used_share"].isna().tolist() == [True] * 5 + [False] * 5
    hours = crews.groupby(["run", "week"])[["worked_h", "rostered_h"]].sum().to_numpy()
    assert hours == pytest.approx(result.tables["weekly"][["worked_h", "rostered_h"]].to_numpy())
    result.write(tmp_path)
    told = pd.read_csv(tmp_path / "places_weeks.csv")
    assert len(told) == len(places) / 2 and list(told) == [name for name in places if name != "run"]
    racks = [table[table["place"] == "racks"]["used_share"].mean() for table in (told, places)]
    assert racks[0] == pytest.approx(racks[1])


def test_a_week_is_told_of_the_weeks_since_the_last_change(result: Result) -> None:
    weekly, answers = result.tables["weekly"], result.answers
    since = weekly[weekly["week"] > 5]
    assert (answers.study.before, answers.study.told) == (5, 5)
    for name in ("picked_kg", "rostered_h", "promised_kg"):
        assert answers.weeks[name].mean.value == pytest.approx(since[name].mean())
        assert answers.weeks[name].usual.value == pytest.approx(since[name].median())
        assert answers.totals[name].mean.value == pytest.approx(weekly.groupby("run")[name].sum().mean())
    shop = next(promise for promise in answers.promises if promise.customer == "farm shop")
    assert shop.promised == pytest.approx(since["promised_kg"].mean())
    assert answers.crews[0].rostered == pytest.approx(since["rostered_h"].mean())


def test_the_averages_are_of_the_state_whose_weeks_are_told(farm: Farm, result: Result) -> None:
    state = farm.changes[-1][1]
    assert dict(result.answers.averages.needs) == {need.name: need.share for need in averages.needs(state)}
    assert dict(result.answers.averages.needs)["owner"] < next(
        need.share for need in averages.needs(farm) if need.name == "owner"
    )
    assert result.answers.averages.saleable == pytest.approx(sum(each.saleable for each in flow.flows(state)))


def test_a_change_beyond_the_measured_weeks_alters_nothing_but_is_told(farm: Farm) -> None:
    short = farmsim.run(farm, runs=1, weeks=3, workers=1)
    assert (short.answers.study.before, len(short.answers.study.changes)) == (0, 2)
    assert set(short.tables["crews"]["most_present"]) == {1.0}
    assert short.answers.study.last_change is None


def test_a_lot_rests_as_long_as_the_state_in_force_has_it(farm: Farm) -> None:
    record = run(farm, 1, 0, 10)
    rests: dict[bool, set[float]] = {False: set(), True: set()}
    for key in record.texts("lots", "key").tolist():
        life = read_life(record, key)
        assert life is not None and life.first_day == date(2027, 1, 4)
        for event in life.events:
            if event.what == "flush over" and event.more:
                rests[event.when >= 3 * WEEK].add(event.took)
    assert rests == {False: {72.0}, True: {144.0}}
