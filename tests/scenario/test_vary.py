"""Means and spreads of the ways a quantity varies."""

from __future__ import annotations

import math

import pytest

from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary


@pytest.mark.parametrize(
    ("vary", "kind", "mean", "sd"),
    [
        (Fixed(5.0), "fixed", 5.0, 0.0),
        (Triangular(0.0, 0.0, 3.0), "triangular", 1.0, math.sqrt(0.5)),
        (Triangular(12.0, 14.0, 18.0), "triangular", 44 / 3, math.sqrt(28 / 18)),
        (MeanCv(10.0, 0.2), "mean and cv", 10.0, 2.0),
        (RangeMean(8.0, 12.0, 0.0), "mean in a range", 10.0, 4 / math.sqrt(12)),
        (Measured((1.0, 2.0, 3.0)), "measured", 2.0, math.sqrt(2 / 3)),
    ],
)
def test_mean_and_spread(vary: Vary, kind: str, mean: float, sd: float) -> None:
    assert vary.kind == kind
    assert vary.mean == pytest.approx(mean)
    assert vary.sd == pytest.approx(sd)


def test_nine_of_ten_between_leaves_a_twentieth_on_each_side() -> None:
    """A lognormal: its logarithm is normal, so 1.6449 standard deviations reach from the middle to each end."""
    between = Between(10.0, 20.0, 0.9)
    assert between.log_mean == pytest.approx(math.log(math.sqrt(200)))
    assert between.log_sd == pytest.approx(math.log(2) / 2 / 1.6448536269514722)
    assert between.mean == pytest.approx(math.exp(between.log_mean + between.log_sd**2 / 2))
    assert between.sd == pytest.approx(between.mean * math.sqrt(math.exp(between.log_sd**2) - 1))


def test_a_mean_in_a_range_spreads_between_runs_and_within_them() -> None:
    vary = RangeMean(8.0, 12.0, 0.1)
    assert vary.sd == pytest.approx(math.sqrt(16 / 12 + 0.01 * (100 + 16 / 12)))
