"""Farms tried on common luck: each run once, in the order asked for, from the store where it is there."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.scenario.costs import FixedCost
from farmsim.scenario.farm import Farm
from farmsim.study import trials as of_trials
from farmsim.study.bounds import NotAllowed
from farmsim.study.headlines import DELIVERED, HEADLINES, LEFT, PICKED, by_run, of_run
from farmsim.study.job import one_run
from farmsim.study.pool import Where
from farmsim.study.store import Store
from farmsim.study.trials import Brief, Case, NotComparable, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
HERE = Where(1)


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Numbers of the runs that are really worked out."""
    numbers: list[int] = []

    def counted(farm: Farm, seed: int, weeks: int, number: int) -> object:
        numbers.append(number)
        return one_run(farm, seed, weeks, number)

    monkeypatch.setattr(of_trials, "one_run", counted)
    return numbers


def picked(tables: dict) -> float:
    return float(np.asarray(tables["weekly"]["picked_kg"]).sum())


def test_runs_come_in_the_order_of_the_cases_and_equal_ones_are_worked_out_once(
    tiny: Farm, worked_out: list[int]
) -> None:
    renamed = tiny.but(farm=tiny.farm.but(name="the same"))
    with Trials(tiny, Brief(weeks=4, where=HERE)) as trials:
        one, two, again, twin = trials.take([Case(tiny, 1), Case(tiny, 0), Case(tiny, 1), Case(renamed, 1)])
    assert worked_out == [1, 0]
    assert picked(one) == picked(again) == picked(twin) != picked(two)
    assert set(one) == {"weekly"}


def test_every_farm_has_the_lead_in_of_the_base(tiny: Farm) -> None:
    slow = tiny.but(farm=tiny.farm.but(lead_in=30))
    with Trials(tiny, Brief(weeks=4, where=HERE)) as trials:
        ours, theirs = trials.by_farm([tiny, slow], range(2))
    assert [picked(each) for each in ours] == [picked(each) for each in theirs]


def test_what_is_stored_is_not_worked_out_again_and_comes_out_alike(
    tiny: Farm, tmp_path: Path, worked_out: list[int]
) -> None:
    first, second = (Brief(weeks=4, where=HERE, store=tmp_path / "runs.sqlite") for _ in range(2))
    cases = [Case(tiny, number) for number in range(3)]
    with Trials(tiny, first) as trials:
        some = trials.take(cases[:2])
    with Trials(tiny, second) as trials:
        all_three = trials.take(cases, None)
    assert worked_out == [0, 1, 2]
    assert (first.tally.done, first.tally.stored, second.tally.done, second.tally.stored) == (2, 0, 3, 2)
    with Trials(tiny, second) as trials:
        trials.take(cases)
    assert (second.tally.done, second.tally.stored) == (
        6,
        4,
    )  # one of the three was not there before the question was put
    assert [picked(each) for each in some] == [picked(each) for each in all_three[:2]]
    assert "hours_of_week" in all_three[0] and "hours_of_week" not in some[0]


def test_a_run_is_stored_as_soon_as_it_is_done(tiny: Farm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken_at_two(farm: Farm, seed: int, weeks: int, number: int) -> object:
        if number == 2:
            raise ValueError("cannot go on")
        return one_run(farm, seed, weeks, number)

    monkeypatch.setattr(of_trials, "one_run", broken_at_two)
    file = tmp_path / "runs.sqlite"
    with (
        pytest.raises(ValueError, match="cannot go on"),
        Trials(tiny, Brief(weeks=4, where=HERE, store=file)) as trials,
    ):
        trials.take([Case(tiny, number) for number in range(4)])
    with Store(file) as store:
        (kept,) = store.kept()
    assert (kept.runs, kept.kind.name, kept.kind.weeks) == (2, "One shed", 4)


def test_progress_counts_up_to_what_is_expected_or_asked(tiny: Farm) -> None:
    told: list[tuple[int, int]] = []
    with Trials(tiny, Brief(weeks=2, where=HERE, progress=lambda done, of: told.append((done, of)))) as trials:
        trials.expect(3)
        trials.take([Case(tiny, 0), Case(tiny, 1)])
        trials.take([Case(tiny, 2), Case(tiny, 3)])
    assert told == [(0, 3), (1, 3), (2, 3), (3, 4), (4, 4)]


@pytest.mark.parametrize(("name", "value"), [("seed", -1), ("weeks", 0), ("where", Where(0))])
def test_a_number_out_of_its_bounds_is_told(name: str, value: object) -> None:
    with pytest.raises(NotAllowed, match="needs a whole number from"):
        Brief(**{name: value})  # type: ignore[arg-type]


def test_a_farm_that_begins_otherwise_is_refused(tiny: Farm) -> None:
    empty = tiny.but(farm=tiny.farm.but(begin="empty", name="New shed"))
    with (
        Trials(tiny, Brief(weeks=2, where=HERE)) as trials,
        pytest.raises(NotComparable, match='New shed begins "empty"'),
    ):
        trials.take([Case(empty, 0)])


# --- headline figures -----------------------------------------------------------------------------------------------------


def test_a_headline_is_the_average_week_or_a_share_after_a_change() -> None:
    weekly = {
        "week": np.array([1.0, 2.0, 3.0]), "picked_kg": np.array([10.0, 20.0, 60.0]),
        "delivered_kg": np.array([1.0, 2.0, 3.0]), "promised_kg": np.array([0.0, 4.0, 4.0]),
    }  # fmt: skip
    tables = {"weekly": weekly, "money": {"week": np.array([2.0, 3.0]), "left": np.array([7.0, 9.0])}}
    assert of_run(PICKED, tables) == 30.0
    assert of_run(PICKED, tables, before=1) == 40.0
    assert of_run(DELIVERED, tables) == 6.0 / 8.0
    assert of_run(DELIVERED, tables, before=2) == 0.75
    assert of_run(LEFT, tables) == 8.0
    assert of_run(LEFT, {"weekly": weekly}) is None
    assert of_run(DELIVERED, {"weekly": {**weekly, "promised_kg": np.zeros(3)}}) is None
    assert by_run(PICKED, [tables, tables]) == [30.0, 30.0]
    assert by_run(LEFT, [tables, {"weekly": weekly}]) is None


def test_every_headline_names_columns_that_there_are(tiny: Farm) -> None:
    shop, outlet = tiny.customer
    priced = tiny.but(customer=(shop.but(price=20.0), outlet), fixed_cost=(FixedCost(name="rent", a_month=90.0),))
    tables = one_run(priced, 1, 2, 0)
    missing = {
        (line.name, part) for line in HEADLINES for part in (*line.parts, *line.whole) if part not in tables[line.table]
    }
    assert missing == set()
