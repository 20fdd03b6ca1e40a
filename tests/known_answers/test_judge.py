"""The judge itself: it lets right answers pass, finds wrong ones, and refuses to judge when it could not.

Largest |t| at 1 % for all comparisons together, and Bonferroni's t, are printed in any table of Student's t.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from .judge import agrees, limit, same


def seen(case: int, mean: float = 10.0, spread: float = 1.0) -> np.ndarray:
    return np.random.default_rng([20270301, case]).normal(mean, spread, 20)


def test_limits_are_those_of_the_tables() -> None:
    assert limit(60, 20) == pytest.approx(4.67, abs=0.005)
    assert limit(60, 40) == pytest.approx(4.17, abs=0.005)
    assert stats.norm.ppf(1 - 0.01 / 120) == pytest.approx(3.76, abs=0.005)
    bonferroni = [stats.t.ppf(1 - 0.1 / 2 / among, 9) for among in (1, 2, 4, 9)]  # 10 runs, 90 % altogether
    assert bonferroni == pytest.approx([1.8331, 2.2622, 2.6850, 3.1841], abs=5e-5)
    assert [limit(among, 10) for among in (1, 9)] == pytest.approx(stats.t.ppf([0.995, 1 - 0.005 / 9], 9))


def test_right_answers_pass() -> None:
    """A module of 60 comparisons fails in 1 of 100 tries at most: one comparison in 6,000 tries hardly ever."""
    fails = 0
    for case in range(600):
        try:
            agrees(seen(case), 10.0, among=60, sees=1.0)
        except AssertionError:
            fails += 1
    assert fails <= 2


def test_an_answer_that_is_wrong_by_a_little_is_found() -> None:
    with pytest.raises(AssertionError, match=r"seen 9\.\d+ .* exact 11\.5"):
        agrees(seen(0, spread=0.5), 11.5, among=60, sees=0.1)
    with pytest.raises(AssertionError, match=r"against 11"):
        same(seen(0, spread=0.5), seen(1, mean=11.5, spread=0.5), among=60, sees=0.1)
    same(seen(0, spread=0.5), seen(1, spread=0.5), among=60, sees=0.1)


def test_runs_that_differ_too_much_to_judge_are_refused() -> None:
    with pytest.raises(AssertionError, match="blunt"):
        agrees(seen(0, spread=2.0), 10.0, among=60, sees=0.1)
    with pytest.raises(AssertionError, match="blunt"):
        same(seen(0, spread=2.0), seen(1, spread=2.0), among=60, sees=0.1)
