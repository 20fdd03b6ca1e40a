"""How a simulated answer is judged: by its own standard error over runs, never by "within 5 %".

A module that makes `among` comparisons errs in at most 1 of 100 tries altogether (Student, Bonferroni). So that the
verdict means something, a comparison must also be sharp: it has to notice a difference of `sees` of the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from scipy import stats

SEED = 20270301
RUNS = 20


def over_runs(watch: Callable[[int], Sequence[float]], runs: int = RUNS) -> np.ndarray:
    """What `watch(run number)` tells, one column a figure."""
    return np.array([watch(number) for number in range(runs)], dtype=float)


def limit(among: int, runs: int) -> float:
    """Largest |t| allowed with so many comparisons in the module."""
    return float(stats.t.ppf(1.0 - 0.01 / (2 * among), runs - 1))


def agrees(seen: np.ndarray, exact: float, among: int, sees: float = 0.1) -> None:
    """Fail unless the runs agree with the exact answer."""
    error = seen.std(ddof=1) / np.sqrt(len(seen))
    most = limit(among, len(seen))
    assert most * error <= sees * abs(exact), f"blunt: {most:.2f} x {error:.5g} is more than {sees:g} of {exact:.6g}"
    t = (seen.mean() - exact) / error
    assert abs(t) < most, f"seen {seen.mean():.6g} +/- {error:.2g}, exact {exact:.6g}: t {t:.2f}, at most {most:.2f}"


def same(ours: np.ndarray, theirs: np.ndarray, among: int, sees: float = 0.1) -> None:
    """Fail unless two programs agree (Welch's t)."""
    verdict = stats.ttest_ind(ours, theirs, equal_var=False)
    error = abs(ours.mean() - theirs.mean()) / abs(verdict.statistic)
    most = float(stats.t.ppf(1.0 - 0.01 / (2 * among), verdict.df))
    assert most * error <= sees * abs(theirs.mean()), f"blunt: {most:.2f} x {error:.5g}"
    assert abs(verdict.statistic) < most, f"{ours.mean():.6g} against {theirs.mean():.6g}: t {verdict.statistic:.2f}"
