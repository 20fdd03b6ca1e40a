"""From Python: pandas tables and a summary, checked runs, and the same answer on any number of workers."""

from pathlib import Path

import pytest

import farmsim
from farmsim.errors import FarmsimError, RecordBroken
from farmsim.study import job
from farmsim.study.assumptions import assumptions
from farmsim.study.replicate import Result
from farmsim.study.sources import sources

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


@pytest.fixture(scope="module")
def result() -> Result:
    return farmsim.run(farmsim.load(SCENARIOS / "tiny.toml"), runs=2, weeks=4, workers=1)


def test_tables_have_a_row_for_each_run_and_week(result: Result) -> None:
    weekly = result.tables["weekly"]
    assert len(weekly) == 2 * 4
    assert list(weekly["run"].unique()) == [1, 2]
    assert (result.tables["checks"]["residual"].abs() < 1e-6).all()


def test_the_average_week_adds_up(result: Result) -> None:
    mean = result.summary["mean"]
    assert mean["picked_kg"] == pytest.approx(mean["firsts_kg"] + mean["seconds_kg"] + mean["culls_kg"])
    flow = result.answers.flow
    went = flow.fruited + flow.sold + flow.contaminated + flow.too_old + flow.more_standing
    assert flow.made + flow.bought == pytest.approx(went)


def test_every_table_is_numbered_from_0_without_doubles(result: Result) -> None:
    assert all(list(table.index) == list(range(len(table))) for table in result.tables.values())


@pytest.mark.parametrize(
    ("name", "value", "bounds"),
    [
        ("runs", 0, "from 1 to 10,000"),
        ("weeks", 0, "from 1 to 520"),
        ("weeks", 2.5, "from 1 to 520"),
        ("workers", -3, "from 1 to 512"),
        ("workers", 0, "from 1 to 512"),
        ("seed", -1, "from 0 to 1,000,000,000"),
    ],
)
def test_an_argument_that_cannot_be_is_named_with_what_was_found_and_is_allowed(
    name: str, value: int, bounds: str
) -> None:
    with pytest.raises(FarmsimError) as told:
        farmsim.run(farmsim.load(SCENARIOS / "tiny.toml"), **{name: value})
    assert str(told.value) == f"{name} is {value}; needs a whole number {bounds}"
    assert isinstance(told.value, ValueError)


def test_a_record_that_does_not_add_up_stops_the_study(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "faults", lambda record: ["3 blocks too many"])
    with pytest.raises(RecordBroken, match="3 blocks too many"):
        job.one_run(farmsim.load(SCENARIOS / "tiny.toml"), 1, 1, 0)


def test_every_figure_is_listed_with_its_source_guesses_first() -> None:
    table = assumptions(farmsim.load(SCENARIOS / "tiny.toml"))
    guess = list(table["guess"])
    assert guess == sorted(guess, reverse=True) and set(guess) == {"yes", "no"}
    assert (table["source"] != "").all()


def test_sources_are_the_file_and_what_it_is_based_on() -> None:
    assert list(sources(SCENARIOS / "fifth-room.toml")) == ["fifth-room.toml", "four-rooms.toml"]
