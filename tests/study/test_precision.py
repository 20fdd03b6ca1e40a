"""How well a figure is known: the arithmetic behind means, quantiles, and how many runs are needed."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from farmsim.study.precision import between, half_width, half_widths, quantile_ranks, runs_needed
from farmsim.study.weeks import total

BANK = [1.53, 1.66, 1.24, 2.34, 2.00, 1.69, 2.69, 2.86, 1.70, 2.60]  # Law: average delays of ten days of a bank

# --- means ----------------------------------------------------------------------------------------------------------


def test_half_widths_of_the_first_runs_are_those_of_each_number_of_runs() -> None:
    for values in (BANK, np.random.default_rng(1).normal(1e7, 1.0, 40)):
        found = half_widths(values, 0.9)
        assert np.isnan(found[0])
        each = [half_width(values[:runs], 0.9) for runs in range(2, len(values) + 1)]
        assert found[1:] == pytest.approx(each, rel=1e-6)
    assert half_widths([5.0, 5.0, 5.0])[1:].tolist() == [0.0, 0.0]


def test_half_widths_may_be_as_sure_as_the_number_of_runs_says() -> None:
    sure = np.array([0.9, 0.9, 0.95, 0.99])
    found = half_widths(BANK[:4], sure)
    assert found[2] == pytest.approx(half_width(BANK[:3], 0.95))
    assert found[3] == pytest.approx(half_width(BANK[:4], 0.99))


@pytest.mark.parametrize(("give", "runs"), [(0.25, 16), (0.2, 23), (0.1, 86)])
def test_runs_needed_are_as_in_print(give: float, runs: int) -> None:
    """Law, Simulation Modeling and Analysis: a variance of 0.31 seen in 10 runs, 90 in 100 sure."""
    ten = np.array([1.0, -1.0] * 5) * (0.31 * 9 / 10) ** 0.5
    assert ten.var(ddof=1) == pytest.approx(0.31)
    assert runs_needed(ten, give, 0.9) == runs
    assert half_width(ten, 0.9, runs) <= give < half_width(ten, 0.9, runs - 1)


def test_more_runs_than_anybody_makes_are_not_told() -> None:
    assert runs_needed(BANK, 1e-6) is None


# --- quantiles ------------------------------------------------------------------------------------------------------

RANKS = {
    (20, 0.5): (6, 15),
    (50, 0.5): (18, 32),
    (50, 0.9): (41, 50),
    (100, 0.9): (84, 96),
    (100, 0.95): (91, 100),
    (200, 0.95): (184, 197),
}
"""Ranks of the closest pair that is 95 % sure, searched for pair by pair apart from this program."""


@pytest.mark.parametrize(("runs", "share"), RANKS)
def test_ranks_of_a_quantile(runs: int, share: float) -> None:
    assert quantile_ranks(runs, share) == RANKS[runs, share]


@pytest.mark.parametrize("share", [0.05, 0.1, 0.5, 0.9, 0.95])
def test_ranks_are_as_sure_as_they_say_and_no_wider_than_those_of_scipy(share: float) -> None:
    """scipy halves the risk between both ends; where it then has an end at all, ours lie as close or closer."""
    both = 0
    for runs in range(2, 130):
        ranks = quantile_ranks(runs, share)
        theirs = stats.quantile_test(np.arange(1.0, runs + 1), p=share).confidence_interval(0.95)
        if ranks is None:
            assert share**runs + (1 - share) ** runs > 0.05
            assert np.isnan(theirs.low) or np.isnan(theirs.high)
            continue
        low, high = ranks
        assert stats.binom.cdf(high - 1, runs, share) - stats.binom.cdf(low - 1, runs, share) >= 0.95
        if np.isfinite(theirs.low) and np.isfinite(theirs.high):
            both += 1
            assert high - low <= theirs.high - theirs.low
    assert both > 20


def test_ninety_of_a_hundred_runs_have_the_ranks_of_scipy() -> None:
    found = stats.quantile_test(np.arange(1.0, 101), p=0.9).confidence_interval(0.95)
    assert quantile_ranks(100, 0.9) == (found.low, found.high)


def test_one_in_ten_takes_29_runs_and_one_in_twenty_59() -> None:
    assert quantile_ranks(28, 0.9) is None and quantile_ranks(28, 0.1) is None
    assert quantile_ranks(29, 0.9) == (21, 29) and quantile_ranks(29, 0.1) == (1, 9)
    assert quantile_ranks(58, 0.95) is None and quantile_ranks(59, 0.95) is not None


@pytest.mark.parametrize("runs", [29, 40, 100])
def test_what_one_in_ten_lies_below_is_held_whatever_the_spread(runs: int) -> None:
    """4,000 studies of a figure that is far from normal: at least 95 in 100 hold the truth, less four standard errors."""
    drawn = np.random.default_rng(3).exponential(1.0, (4_000, runs))
    truth = -np.log(0.9)
    held = [low <= truth <= high for low, high in (between(row, 0.1) or (np.nan, np.nan) for row in drawn)]
    assert np.mean(held) > 0.95 - 4 * (0.95 * 0.05 / 4_000) ** 0.5


def test_a_whole_year_tells_how_well_its_ends_are_known_from_29_runs_on() -> None:
    few, enough = total([float(run) for run in range(28)]), total([float(run) for run in range(29)])
    assert few.low_lies is None and few.high_lies is None
    assert enough.low_lies == (0.0, 8.0) and enough.high_lies == (20.0, 28.0)
    assert enough.low_lies[0] < enough.low < enough.low_lies[1]
    assert enough.high_lies[0] < enough.high < enough.high_lies[1]
