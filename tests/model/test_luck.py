"""Luck is found by name, never by turn; and every spread has the moments and quantiles it says it has."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

import farmsim
from farmsim.model.luck import Chances, Erlang, Exponential, Hyperexponential, Luck, Poisson, Spread, Uniform, draw
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular

MANY = 100_000


def plain(seed: int = 1, number: int = 0, ordinal: int = 0, count: int = 60, name: str = "shiitake") -> np.ndarray:
    return Luck(seed, number).uniforms("colonise", name, ordinal, count)


def test_a_longer_week_keeps_the_luck_of_its_first_lots() -> None:
    for count in (1, 3, 4, 5, 17, 59):
        np.testing.assert_array_equal(plain(count=count), plain()[:count])


def test_every_name_number_and_monday_has_luck_of_its_own() -> None:
    luck, other_run, other_seed = Luck(1, 0), Luck(1, 1), Luck(2, 0)
    weeks = [luck.uniforms("colonise", "shiitake", week, 50) for week in (-30, -1, 0, 1, 2, 519)]
    others = [luck.uniforms("ripen", "shiitake", 0, 50), luck.uniforms("colonise", "oyster", 0, 50)]
    others += [run.uniforms("colonise", "shiitake", 0, 50) for run in (other_run, other_seed)]
    everything = np.concatenate(weeks + others)
    assert len(np.unique(everything)) == len(everything)


def test_where_cause_ends_and_name_begins_matters() -> None:
    luck = Luck(1, 0)
    assert luck.uniforms("a", "bc", 0, 1)[0] != luck.uniforms("ab", "c", 0, 1)[0]


def test_seed_and_run_number_are_not_mixed_up() -> None:
    assert plain(seed=1, number=11)[0] != plain(seed=11, number=1)[0]
    assert plain(seed=11, number=1)[0] != plain(seed=1, number=11)[0]


def test_order_of_asking_changes_nothing() -> None:
    names = [
        ("colonise", "shiitake", 3),
        ("colonise", "oyster", -4),
        ("ripen", "shiitake", 3),
        ("colonise", "shiitake", 2),
    ]
    there, back = Luck(7, 2), Luck(7, 2)
    forward = [there.uniforms(*name, 9) for name in names]
    backward = [back.uniforms(*name, 9) for name in reversed(names)][::-1]
    np.testing.assert_array_equal(forward, backward)


def test_the_luck_of_the_days_of_a_week_is_that_of_its_monday_whichever_is_asked_first() -> None:
    luck = Luck(1, 0)
    for week in (9, -1, 7, 8, 0, -9, 9):
        assert luck.of_days("call", "caterer", week) == luck.uniforms("call", "caterer", week, 7).tolist()
    assert (
        luck.of_days("call", "co-op", 0)
        != luck.of_days("call", "caterer", 0)
        != luck.of_days("blocks fail", "caterer", 0)
    )


def test_many_mondays_at_once_give_the_same_as_one_by_one() -> None:
    luck = Luck(7, 2)
    one_by_one = [luck.uniforms("ripen", "oyster", week, 11) for week in range(-5, 6)]
    np.testing.assert_array_equal(Luck(7, 2).uniforms_many("ripen", "oyster", range(-5, 6), 11), one_by_one)
    assert luck.uniforms_many("ripen", "oyster", range(0), 11).shape == (0, 11)


def test_another_process_has_the_same_luck() -> None:
    code = "from farmsim.model.luck import Luck; print(Luck(5, 3).uniforms('open', 'Elm Row', -2, 4).tolist())"
    where = {**os.environ, "PYTHONPATH": str(Path(farmsim.__file__).parent.parent)}
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=where).stdout
    assert told.strip() == str(Luck(5, 3).uniforms("open", "Elm Row", -2, 4).tolist())


def test_luck_of_version_1_stays_as_it_is() -> None:
    first = Luck(42, 0).uniforms("colonise", "shiitake", 0, 3)
    np.testing.assert_allclose(first, LUCK_OF_VERSION_1, rtol=0, atol=0)


LUCK_OF_VERSION_1 = [0.512962824248841, 0.2952451822932026, 0.05504299809322266]


def test_uniforms_are_strictly_inside_and_even() -> None:
    u = plain(count=MANY)
    assert u.min() > 0.0 and u.max() < 1.0
    assert stats.kstest(u, "uniform").pvalue > 0.001
    neighbours = np.corrcoef(u[:-1], u[1:])[0, 1]
    assert abs(neighbours) < 4 / np.sqrt(MANY)


def test_weeks_and_names_are_not_correlated() -> None:
    luck = Luck(3, 0)
    table = luck.uniforms_many("ripen", "oyster", range(MANY // 10), 10)
    other = luck.uniforms_many("ripen", "shiitake", range(MANY // 10), 10)
    for a, b in ((table[:-1], table[1:]), (table[:, :-1], table[:, 1:]), (table, other)):
        assert abs(np.corrcoef(a.ravel(), b.ravel())[0, 1]) < 4 / np.sqrt(a.size)


def test_the_ends_of_the_uniforms_make_no_infinity() -> None:
    ends = np.array([2.0**-53, 0.5, 1 - 2.0**-53])
    for spread, _ in KNOWN:
        assert np.isfinite(draw(spread, ends)).all(), spread


def test_normals_are_normal_and_keep_their_place() -> None:
    z = Luck(1, 0).normals("yield", "shiitake", 0, MANY)
    assert stats.kstest(z, "norm").pvalue > 0.001
    np.testing.assert_array_equal(z[:5], Luck(1, 0).normals("yield", "shiitake", 0, 5))


def lognormal(mean: float, cv: float) -> stats.rv_continuous:
    sigma = np.sqrt(np.log1p(cv**2))
    return stats.lognorm(sigma, scale=mean * np.exp(-(sigma**2) / 2))


REACH = stats.norm.ppf(0.95)
KNOWN: list[tuple[Spread, stats.rv_continuous]] = [
    (Triangular(12.0, 14.0, 18.0), stats.triang(1 / 3, 12, 6)),
    (Triangular(0.5, 0.5, 1.5), stats.triang(0, 0.5, 1)),
    (Triangular(0.5, 1.5, 1.5), stats.triang(1, 0.5, 1)),
    (Between(12.0, 18.0, 0.9), stats.lognorm(np.log(18 / 12) / (2 * REACH), scale=np.sqrt(12 * 18))),
    (MeanCv(9.0, 0.13), lognormal(9.0, 0.13)),
    (MeanCv(9.0, 1.5), lognormal(9.0, 1.5)),
    (MeanCv(9.0, 0.5, "gamma"), stats.gamma(4.0, scale=9 / 4)),
    (MeanCv(9.0, 2.0, "gamma"), stats.gamma(0.25, scale=36)),
    (Exponential(2.5), stats.expon(scale=2.5)),
    (Erlang(3.0, 4), stats.gamma(4, scale=0.75)),
    (Uniform(0.5, 1.5), stats.uniform(0.5, 1.0)),
]


@pytest.mark.parametrize(("spread", "known"), KNOWN, ids=lambda value: repr(value)[:40])
def test_a_spread_is_the_inverse_of_its_distribution(spread: Spread, known: stats.rv_continuous) -> None:
    u = plain(count=2_000)
    np.testing.assert_allclose(draw(spread, u), known.ppf(u), rtol=1e-9)


@pytest.mark.parametrize(("spread", "known"), KNOWN, ids=lambda value: repr(value)[:40])
def test_moments_of_a_spread(spread: Spread, known: stats.rv_continuous) -> None:
    values = draw(spread, plain(count=MANY, name=repr(spread)))
    assert abs(values.mean() - known.mean()) < 4 * known.std() / np.sqrt(MANY)
    assert abs(known.cdf(values).mean() - 0.5) < 4 * np.sqrt(1 / 12 / MANY)
    assert spread.mean == pytest.approx(known.mean())


def test_hyperexponential_has_its_mean_and_spread_by_two_balanced_branches() -> None:
    mean, cv2 = 2.0, 4.0
    values = draw(Hyperexponential(mean, cv2), plain(count=MANY))
    often = (1 + np.sqrt((cv2 - 1) / (cv2 + 1))) / 2

    def below(t: np.ndarray) -> np.ndarray:
        return 1 - often * np.exp(-2 * often * t / mean) - (1 - often) * np.exp(-2 * (1 - often) * t / mean)

    assert stats.kstest(values, below).pvalue > 0.001
    assert abs(values.mean() - mean) < 4 * np.sqrt(cv2) * mean / np.sqrt(MANY)
    squares = values**2
    assert abs(squares.mean() - mean**2 * (1 + cv2)) < 4 * squares.std() / np.sqrt(MANY)


@pytest.mark.parametrize("mean", [0.3, 5.0, 20.0, 400.0])
def test_poisson_counts(mean: float) -> None:
    u = plain(count=MANY)
    np.testing.assert_array_equal(draw(Poisson(mean), u), stats.poisson.ppf(u, mean))


def test_a_measured_list_is_drawn_with_equal_chance() -> None:
    values = draw(Measured((15.0, 12.0, 13.0, 13.0)), plain(count=MANY))
    counts = np.array([(values == value).sum() for value in (12.0, 13.0, 15.0)])
    assert counts.sum() == MANY
    assert stats.chisquare(counts, np.array([1, 2, 1]) * MANY / 4).pvalue > 0.001


def test_chances_of_a_few_values() -> None:
    values = draw(Chances((40.0, 50.0, 60.0), (1.0, 0.0, 3.0)), plain(count=MANY))
    assert set(np.unique(values)) == {40.0, 60.0}
    assert stats.chisquare([(values == 40).sum(), (values == 60).sum()], [MANY / 4, 3 * MANY / 4]).pvalue > 0.001
    assert Chances((40.0, 60.0), (1.0, 3.0)).mean == 55.0


def test_figures_that_do_not_vary_are_exact() -> None:
    u = plain(count=5)
    for spread in (Fixed(14.0), MeanCv(14.0, 0.0), Triangular(14.0, 14.0, 14.0), Measured((14.0,))):
        assert draw(spread, u).tolist() == [14.0] * 5


def test_a_mean_known_as_a_range_is_drawn_once_a_run() -> None:
    vary = RangeMean(8.0, 10.0, 0.0)
    luck = Luck(1, 0)
    values = [luck.draw(vary, "ripen", "shiitake", week, 3) for week in range(4)]
    assert len(np.unique(values)) == 1 and 8.0 < values[0][0] < 10.0
    means = [float(Luck(1, run).settle(vary, "ripen", "shiitake").mean) for run in range(400)]
    assert stats.kstest(means, stats.uniform(8, 2).cdf).pvalue > 0.001
    assert luck.settle(Fixed(3.0), "ripen", "shiitake") == Fixed(3.0)


def test_a_mean_known_as_a_range_cannot_be_drawn_before_it_is_settled() -> None:
    with pytest.raises(TypeError, match="settle it for the run first"):
        draw(RangeMean(8.0, 10.0, 0.1), plain())


def test_a_stream_is_found_by_position() -> None:
    stream = Luck(1, 0).stream(Exponential(1.0), "hours", "a case", chunk=8)
    backward = [stream[i] for i in reversed(range(40))][::-1]
    again = Luck(1, 0).stream(Exponential(1.0), "hours", "a case", chunk=8)
    assert [again[i] for i in range(40)] == backward
    assert len(set(backward)) == 40


def test_nothing_but_luck_draws_random_numbers() -> None:
    root = Path(farmsim.__file__).parent
    drawing = re.compile(r"n(um)?py?\.random|from random import|import random|default_rng|import secrets|urandom|rvs\(")
    guilty = [path.name for path in sorted(root.rglob("*.py")) if drawing.search(path.read_text(encoding="utf-8"))]
    assert guilty == ["luck.py"]
