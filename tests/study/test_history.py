"""The farm's own months beside the model's: which months they are, and how often luck alone calls them outside."""

from __future__ import annotations

import csv
import json
import math
from datetime import date, timedelta
from pathlib import Path
from statistics import fmean, stdev

import numpy as np
import pytest

import farmsim
from farmsim.model.run import run
from farmsim.record.measures.harvest import picked_kg
from farmsim.record.measures.page import TABLES
from farmsim.scenario.farm import Farm
from farmsim.scenario.history import History
from farmsim.study.history import ENOUGH, Stretch, begun_on, beside, compare, months_outside, stretch
from farmsim.study.replicate import Result

TINY = Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml"
WEEKS = 57  # from Monday 4 January 2027: February 2027 to January 2028 are whole
NONE = (0.0,) * 12


@pytest.fixture(scope="module")
def farm() -> Farm:
    return farmsim.load(TINY)


def with_months(farm: Farm, first: date, **totals: tuple[float, ...]) -> Farm:
    return farm.but(history=History(from_=first, **(totals or {"picked": NONE})))


# --- which weeks hold the months ----------------------------------------------------------------------


def test_months_within_the_measured_weeks_are_those_of_the_study(farm: Farm) -> None:
    own = with_months(farm, date(2027, 2, 1))
    assert stretch(own, WEEKS) == Stretch(own, WEEKS, True)
    assert stretch(farm, WEEKS) is None


def test_months_that_go_on_after_the_measured_weeks_take_longer_runs_from_the_same_day(farm: Farm) -> None:
    own = with_months(farm, date(2027, 2, 1))
    assert stretch(own, WEEKS - 1) == Stretch(own, WEEKS, False)  # Monday 31 January 2028 is in the 57th week


def test_months_before_the_start_take_runs_from_the_monday_on_or_before_them(farm: Farm) -> None:
    of = stretch(with_months(farm, date(2026, 1, 1)), 52)
    assert of is not None
    assert (of.farm.farm.start, of.weeks, of.is_own) == (date(2025, 12, 29), 53, False)
    of = stretch(with_months(farm, date(2024, 4, 1)), 52)  # a Monday
    assert of is not None
    assert (of.farm.farm.start, of.weeks) == (date(2024, 4, 1), 53)


def test_a_farm_begun_earlier_changes_on_the_dates_it_had(farm: Farm) -> None:
    later = farm.but(opening=farm.opening.but(benches=2))
    moved = begun_on(farm.but(changes=((5 * 168.0, later),)), date(2026, 6, 1))
    (since, state), = moved.changes  # fmt: skip
    assert moved.farm.start + timedelta(hours=since) == farm.farm.start + timedelta(weeks=5)
    assert (state.opening.benches, state.farm.start) == (2, date(2026, 6, 1))


# --- sums ---------------------------------------------------------------------------------------------


def test_months_are_those_of_the_calendar(farm: Farm) -> None:
    """By a second way: every pick of the record under the month of its date."""
    own = with_months(farm, date(2027, 2, 1))
    found = farmsim.run(own, runs=1, weeks=WEEKS, workers=1).answers.own_year
    assert found is not None
    flow, sums = picked_kg(run(own, 1, 0, WEEKS)), dict.fromkeys(found.months, 0.0)
    for when, amount in zip(flow.when, flow.amount, strict=True):
        month = f"{date(2027, 1, 4) + timedelta(hours=float(when)):%Y-%m}"
        if month in sums and when >= 0:
            sums[month] += amount
    assert found.months == (*(f"2027-{month:02d}" for month in range(2, 13)), "2028-01")
    assert [one.mean for one in found.figures[0].months] == pytest.approx(list(sums.values()))
    assert found.figures[0].whole.mean == pytest.approx(sum(sums.values()))


def test_what_is_sold_is_what_goes_to_orders_and_to_the_outlet(farm: Farm) -> None:
    result = farmsim.run(with_months(farm, date(2027, 2, 1), sold=NONE), runs=1, weeks=WEEKS, workers=1)
    months = result.tables["months"].set_index("month")
    assert result.answers.own_year is not None
    sold = result.answers.own_year.figures[0].months[0].mean
    assert sold == pytest.approx(months.loc["2027-02", "sold_kg"] + months.loc["2027-02", "outlet_kg"])


@pytest.fixture(scope="module")
def before(farm: Farm) -> Result:
    """A study of which the months come before its weeks."""
    own = with_months(farm, date(2026, 1, 1), picked=NONE, paid_hours=(90.0,) * 12)
    return farmsim.run(own, runs=2, weeks=3, workers=1)


def test_months_before_the_start_are_those_of_the_same_farm_begun_earlier(farm: Farm, before: Result) -> None:
    earlier = farmsim.run(begun_on(farm, date(2025, 12, 29)), runs=2, weeks=53, workers=1).tables["months"]
    found = before.answers.own_year
    assert found is not None and not found.is_own and found.start == "2025-12-29"
    for month, one in zip(found.months, found.figures[0].months, strict=True):
        assert one.mean == pytest.approx(earlier[earlier["month"] == month]["picked_kg"].mean())


def test_the_study_itself_is_not_touched_by_the_farms_own_months(farm: Farm, before: Result) -> None:
    plain = farmsim.run(farm, runs=2, weeks=3, workers=1)
    assert before.answers.weeks == plain.answers.weeks
    assert list(before.tables) == list(plain.tables)


def test_every_month_is_written(before: Result, tmp_path: Path) -> None:
    before.write(tmp_path)
    with (tmp_path / "history.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["month"] for row in rows] == [*(f"2026-{month:02d}" for month in range(1, 13)), "all"] * 2
    assert [rows[at][name] for at in (0, 13) for name in ("figure", "unit")] == ["picked", "kg", "paid_hours", "h"]
    assert [list(rows[0])] == [[name for name, _, _ in table.columns] for table in TABLES if table.file == "history"]
    assert {row["verdict"] for row in rows} == {"too few runs"}
    assert json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))["own_year"]["runs"] == 2


def test_a_farm_without_months_of_its_own_tells_of_none(farm: Farm, tmp_path: Path) -> None:
    plain = farmsim.run(farm, runs=1, weeks=2, workers=1)
    plain.write(tmp_path)
    assert plain.answers.own_year is None
    assert not (tmp_path / "history.csv").exists()
    assert "own_year" not in json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))


def test_both_sets_of_runs_are_counted_as_they_are_done(farm: Farm) -> None:
    told: list[tuple[int, int]] = []
    own = with_months(farm, date(2026, 1, 1))
    farmsim.run(own, runs=2, weeks=2, workers=1, progress=lambda done, of: told.append((done, of)))
    assert told == [(0, 4), (1, 4), (2, 4), (3, 4), (4, 4)]


# --- the verdict --------------------------------------------------------------------------------------


@pytest.mark.parametrize("runs", [19, 20, 39])
@pytest.mark.parametrize("draw", ["normal", "exponential"])
def test_one_in_ten_lies_outside_by_luck_whatever_the_spread(runs: int, draw: str) -> None:
    """An interval between order statistics k/(n+1) holds one more draw with that probability (Wilks 1941), which is exact
    where k is whole; in between the straight line is off by less than is seen here.
    """
    source, times = np.random.default_rng(7), 4000
    rows = getattr(source, draw)(size=(times, runs + 1))
    inside = [not beside(float(row[0]), row[1:]).is_outside for row in rows]
    assert abs(fmean(inside) - 0.9) < 3 * math.sqrt(0.9 * 0.1 / times) + (0.0 if runs % 20 == 19 else 0.005)


def test_the_side_is_told() -> None:
    runs = np.arange(100.0, 120.0)
    sides = [beside(own, runs).verdict for own in (99.0, 110.0, 121.0)]
    assert sides == ["model too high", "inside", "model too low"]
    assert beside(5.0, np.full(20, 5.0)).verdict == "inside"
    assert beside(5.1, np.full(20, 5.0)).verdict == "model too low"


def test_too_few_runs_give_no_verdict() -> None:
    assert beside(0.0, np.arange(1.0, ENOUGH)).verdict == "too few runs"
    assert beside(0.0, np.arange(1.0, ENOUGH + 1)).verdict == "model too high"


def test_months_of_a_year_that_are_alike_lie_outside_together() -> None:
    """Months that all rise and fall together: most years have none outside, the outermost have twelve."""
    rows = np.repeat(np.arange(40.0)[:, None], 12, axis=1)
    assert [months_outside(rows[at], np.delete(rows, at, axis=0)) for at in (0, 20, 39)] == [12, 0, 12]


@pytest.fixture(scope="module")
def years(farm: Farm) -> list[Result]:
    """Six studies, and each with the year that a run of another seed had as the farm's own."""
    found = []
    for seed in range(6):
        other = farmsim.run(farm, runs=1, seed=100 + seed, weeks=WEEKS, workers=1).tables["months"]
        kept = other[(other["month"] >= "2027-02") & (other["month"] <= "2028-01")]
        totals = {"picked": kept["picked_kg"], "sold": kept["sold_kg"] + kept["outlet_kg"]}
        own = with_months(farm, date(2027, 2, 1), **{name: tuple(map(float, each)) for name, each in totals.items()})
        found.append(farmsim.run(own, runs=ENOUGH, seed=seed, weeks=WEEKS, workers=1))
    return found


def test_the_year_of_another_seed_lies_inside_as_often_as_said(years: list[Result]) -> None:
    """Judged by the standard error over seeds, whose months are dependent within a year only."""
    shares = []
    for result in years:
        assert result.answers.own_year is not None
        figures = result.answers.own_year.figures
        shares.append(fmean(1 - one.outside / 12 for one in figures))
        assert all(one.usual_outside == pytest.approx(1.2) for one in figures)
    error = stdev(shares) / len(shares) ** 0.5
    assert error < 0.06
    assert abs(fmean(shares) - 0.9) < 3 * error


def test_a_year_with_a_fifth_less_is_found_outside(years: list[Result]) -> None:
    for result in years:
        history, of = result.farm.history, stretch(result.farm, WEEKS)
        assert history is not None and history.picked is not None and of is not None
        less = result.farm.but(history=history.but(picked=tuple(0.8 * kg for kg in history.picked)))
        whole = compare(less, result.tables["months"], of).figures[0].whole
        assert whole.verdict == "model too high"


def test_own_months_are_the_same_on_any_number_of_workers(before: Result) -> None:
    assert farmsim.run(before.farm, runs=2, weeks=3, workers=2).answers == before.answers
