"""Runs that are not cut: how a start with an empty station biases what is seen, and what the same luck saves.

Mean wait of the first n lots of M/M/1, exactly: the mean over k < n of sums over j <= k of E[max(0, S_j)] / j, S_j being
j work times less j gaps (Spitzer 1956). Printed beside it are the means of 4,000 simulated runs of another program.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from farmsim.model.line import Arrivals, Line, Stage, run
from farmsim.model.luck import Exponential

from .judge import SEED, agrees, over_runs

USE = 0.8
FIRST = {50: (2.567, 400), 200: (3.560, 150), 1_000: (3.947, 60)}  # lots: what was simulated elsewhere, runs here
AMONG = len(FIRST)


def mean_wait_of_the_first(lots: int, use: float) -> float:
    """Of j gaps and j work times in a race, the next event is a gap with chance use / (1 + use). max(0, S_j) is the work
    left when the j-th gap ends: each of the j - i works not done by then still takes 1 on average.
    """
    gap_first = use / (1.0 + use)
    parts = []
    for j in range(1, lots + 1):
        done = np.arange(j)
        parts.append(float(((j - done) * stats.nbinom(j, gap_first).pmf(done)).sum()) / j)
    return float(np.cumsum([0.0, *parts])[:-1].mean())


@pytest.mark.parametrize("lots", FIRST)
def test_the_first_lots_wait_less(lots: int) -> None:
    """In the long run they wait 4 h."""
    known, (elsewhere, runs) = mean_wait_of_the_first(lots, USE), FIRST[lots]
    assert known < 4.0
    stage = Stage("wash", Exponential(1.0), places=1)
    line = Line(f"first {lots}", (Arrivals(every=Exponential(1 / USE), count=lots),), (stage,))
    waits = over_runs(lambda number: (run(line, SEED, number).waits("wash").mean(),), runs)[:, 0]
    agrees(waits, known, AMONG, sees=0.3)
    assert abs(elsewhere - known) < 3 * waits.std(ddof=1) / np.sqrt(4_000)


def test_the_same_luck_makes_a_difference_sharper() -> None:
    """A machine of 1.40 instead of 1.25 lots an hour, the first 300 of one lot an hour: 4.4 times less variance.

    (So printed, for 200 pairs of another program; the ratio's own error is found by leaving out a run at a time.)
    """
    pairs = 100

    def mean_waits(case: str, rate: float) -> np.ndarray:
        stage = Stage("wash", Exponential(1 / rate), places=1)
        line = Line(case, (Arrivals(every=Exponential(1.0), count=300),), (stage,))
        return over_runs(lambda number: (run(line, SEED, number).waits("wash").mean(),), pairs)[:, 0]

    now = mean_waits("a mill", 1.25)
    same, other = now - mean_waits("a mill", 1.40), now - mean_waits("another mill", 1.40)
    without = ~np.eye(pairs, dtype=bool)
    logs = [np.log(other[kept].var(ddof=1) / same[kept].var(ddof=1)) for kept in without]
    error = np.std(logs) * np.sqrt(pairs - 1)
    assert np.mean(logs) / error > stats.norm.ppf(0.995)
    assert abs(np.mean(logs) - np.log(4.4)) < stats.norm.ppf(0.995) * error * np.sqrt(1 + pairs / 200)
