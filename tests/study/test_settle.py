from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from farmsim.scenario.read import load
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.values import MONTHS
from farmsim.study.digest import settled
from farmsim.study.precision import known, of_runs, quantile
from farmsim.study.settle import drift, judge, mser5

# Law, Simulation Modeling and Analysis: average delays of ten days of a bank with five tellers
BANK = [1.53, 1.66, 1.24, 2.34, 2.00, 1.69, 2.69, 2.86, 1.70, 2.60]
# A made-up series without luck, its statistics worked out apart from this program: falls for ten weeks, then level
FALLING = [20.0, 18, 17, 15, 14, 12, 11, 10, 9, 8] + [5 + ((7 * i) % 11 - 5) / 5 for i in range(50)]


def test_t_interval_of_the_published_bank_days() -> None:
    figure = known(BANK, 0.90)
    assert figure.value == pytest.approx(2.031, abs=5e-5)
    assert figure.give == pytest.approx(0.3223, abs=5e-5)


def test_relative_width_of_the_bank_days_is_as_published_for_three_to_ten_days() -> None:
    published = [0.3617, 0.4381, 0.3018, 0.2301, 0.2460, 0.2416, 0.2149, 0.1958]
    found = [known(BANK[:days]) for days in range(3, 11)]
    assert [one.give / one.value for one in found if one.give] == pytest.approx(published, abs=5e-5)


def test_one_run_cannot_say_how_well_a_figure_is_known() -> None:
    assert known([3.0]).give is None


def test_a_share_of_the_weeks_lies_below_its_quantile() -> None:
    assert quantile([float(week) for week in range(11)], 0.1) == 1.0


def test_mser5_of_the_worked_series() -> None:
    cut = mser5(FALLING)
    assert cut.weeks == 10
    assert not cut.at_the_end
    assert cut.statistics[:6] == pytest.approx([0.980685, 0.190699, 0.002746, 0.003358, 0.004247, 0.005532], abs=5e-7)
    assert np.mean(FALLING[cut.weeks :]) == pytest.approx(4.992, abs=5e-4)


def test_mser5_of_a_steady_climb_cuts_at_the_end_of_its_search() -> None:
    assert mser5([float(week) for week in range(60)]).at_the_end


def weeks_of(runs: int, weeks: int, seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).normal(1000.0, 100.0, (runs, weeks))


def test_a_steady_farm_is_called_settled_nearly_always() -> None:
    verdicts = [judge({"picked": weeks_of(20, 52, seed)}).verdict for seed in range(200)]
    assert verdicts.count("settled") >= 190
    assert "did not settle" not in verdicts[:100]


def test_a_farm_that_grows_all_year_did_not_settle_and_tells_its_growth() -> None:
    found = judge({"steady": weeks_of(20, 52), "picked": weeks_of(20, 52) + 5.0 * np.arange(52)})
    assert (found.verdict, found.series) == ("did not settle", "picked")
    assert found.growth is not None
    assert found.growth.value == pytest.approx(5.0, abs=0.5)


def test_a_farm_that_fills_up_in_its_first_weeks_has_a_slow_start() -> None:
    rows = weeks_of(20, 104)
    rows[:, :10] -= 500.0
    found = judge({"picked": rows})
    assert (found.verdict, found.weeks) == ("slow start", 10)


def test_a_few_runs_or_weeks_are_too_short_to_tell() -> None:
    assert judge({"picked": weeks_of(2, 52)}).verdict == "too short to tell"
    assert judge({"picked": weeks_of(20, 10)}).verdict == "too short to tell"


def test_stock_that_grows_all_year_is_told_with_its_first_and_last_quarter() -> None:
    found = drift(weeks_of(20, 52) + 10.0 * np.arange(52))
    assert found is not None
    assert found.first == pytest.approx(1060.0, abs=15.0)
    assert found.last == pytest.approx(1450.0, abs=15.0)


def test_stock_that_stands_still_or_hardly_moves_is_not_told() -> None:
    assert [seed for seed in range(100) if drift(weeks_of(20, 52, seed))] == []
    assert drift(weeks_of(20, 52) + 1.0 * np.arange(52)) is None
    assert drift(weeks_of(2, 52) + 10.0 * np.arange(52)) is None


def test_where_months_differ_the_weeks_cannot_tell_whether_the_farm_had_filled_up() -> None:
    farm = load(Path(__file__).parents[2] / "scenarios" / "tiny.toml")
    line, room = farm.start[0], farm.room[0]
    for other in (
        farm.but(months=Months(orders=(0.5, *AS_USUAL[1:]))),
        farm.but(start=(line.but(months=MONTHS[:6]), *farm.start[1:])),
        farm.but(room=(room.but(rests=("jul",)),)),
    ):
        assert settled(other, pd.DataFrame(), 0).verdict == "months differ"
    assert not farm.differs_by_month


@pytest.mark.parametrize("runs", [10, 20, 30])
def test_eight_runs_in_ten_to_come_lie_between_what_is_told_of_one_in_ten(runs: int) -> None:
    """4,000 studies of normal runs, each asked about one run more: 80 of 100 lie inside, within four standard errors."""
    drawn = np.random.default_rng(7).standard_normal((4_000, runs + 1))
    inside = [of_runs(row[:-1], 0.1) < row[-1] < of_runs(row[:-1], 0.9) for row in drawn]
    assert abs(np.mean(inside) - 0.8) < 4 * (0.8 * 0.2 / 4_000) ** 0.5
