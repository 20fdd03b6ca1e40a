"""Busy stations over far more lots than a line can be run for in a test: the same luck, put through the recursion.

That a line gives what the recursion gives, lot by lot and to the tick, is shown in `test_recursions.py` and again here
for the first lots of every case. So what the recursion gives over many runs is what lines give. Runs begin empty and
are cut as in `test_one_station.py`. Values: tables of Erlang C, Pollaczek (1930) and Khinchine (1932), Kingman (1961).
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.calendar import TICKS_PER_HOUR
from farmsim.model.line import Arrivals, Line, Stage, run
from farmsim.model.luck import Erlang, Exponential, Hyperexponential, Luck, Spread, draw
from farmsim.scenario.vary import Fixed, MeanCv

from . import exact
from .judge import SEED, agrees, limit
from .test_exact import ERLANG_C, UNEVEN, WAITS

RUNS, LOTS, ROW = 200, 6_000, 512  # ROW: positions that a line draws at a time
PLACES = (1, 2, 3, 4, 5, 8, 10)
BUSY = [(use, places) for use in ERLANG_C for places in PLACES]
WORK: list[tuple[float, Spread, float]] = [
    (0.8, Erlang(1.0, 3), UNEVEN[0.8][1]),
    (0.8, Hyperexponential(1.0, 2.0), UNEVEN[0.8][4]),
    (0.8, Hyperexponential(1.0, 4.0), UNEVEN[0.8][5]),
    (0.9, Fixed(1.0), UNEVEN[0.9][0]),
    (0.9, Erlang(1.0, 3), UNEVEN[0.9][1]),
    (0.9, MeanCv(1.0, 0.5**0.5, "gamma"), UNEVEN[0.9][2]),
    (0.9, MeanCv(1.0, 0.5), 5.625),  # lognormal; also the V-U-T equation, exact for Poisson arrivals
    (0.9, Hyperexponential(1.0, 2.0), UNEVEN[0.9][4]),
    (0.9, Hyperexponential(1.0, 4.0), UNEVEN[0.9][5]),
]
AMONG = len(BUSY) + sum(map(len, WAITS.values())) + len(WORK) + 2


def many_runs(case: str, gap: Spread, work: Spread, places: int, use: float, cv2: float = 1.0) -> np.ndarray:
    """Waits after the cut, one column a run; the first lots of run 0 are seen to be those of a line."""
    cut = int(5 * 4 * (1 + cv2) / 2 / (1 - use) ** 2 * use)  # mean work times of `test_one_station.py`, in lots
    rows = range(-(-(cut + LOTS) // ROW))
    lucks = [Luck(SEED, number) for number in range(RUNS)]
    gaps, hours = (
        np.array([draw(spread, luck.uniforms_many(cause, f"{case}: lots", rows, ROW)).ravel() for luck in lucks]).T
        for spread, cause in ((gap, "arrivals"), (work, "hours in wash"))
    )
    waits = exact.waits(gaps, hours, places)
    line = Line(case, (Arrivals(every=gap, count=300),), (Stage("wash", work, places=places),))
    np.testing.assert_allclose(run(line, SEED).waits("wash"), waits[:300, 0], atol=600 / TICKS_PER_HOUR)
    return waits[cut:]


@pytest.mark.parametrize(("use", "places"), BUSY)
def test_erlang_c(use: float, places: int) -> None:
    """The chance to wait of every case that is in the table, and the mean wait of those that are."""
    waits = many_runs(f"long {places} at {use}", Exponential(1 / use / places), Exponential(1.0), places, use)
    agrees((waits > 0).mean(axis=0), ERLANG_C[use][PLACES.index(places)], AMONG, sees=0.12)
    if places in (2, 3, 5, 10):
        agrees(waits.mean(axis=0), WAITS[use][(2, 3, 5, 10).index(places)], AMONG, sees=0.3)


@pytest.mark.parametrize(("use", "work", "known"), WORK, ids=str)
def test_pollaczek_khinchine(use: float, work: Spread, known: float) -> None:
    cv2 = 2 * known * (1 - use) / use - 1
    waits = many_runs(f"long {work} at {use}", Exponential(1 / use), work, 1, use, cv2)
    agrees(waits.mean(axis=0), known, AMONG, sees=0.25)


def test_clockwork_at_90_percent() -> None:
    """D/M/1: exact 4.178659, Kingman's bound 4.5."""
    waits = many_runs("long clockwork", Fixed(1 / 0.9), Exponential(1.0), 1, 0.9).mean(axis=0)
    agrees(waits, 4.178659, AMONG, sees=0.1)
    assert waits.mean() < exact.kingman(0.9, 0, 1)


def test_even_arrivals_and_even_work_wait_less_than_kingman_says() -> None:
    """Squared cv 1/4 of both at 90 % use: the V-U-T equation says 2.25, which is a bound and not the answer."""
    waits = many_runs("long even", Erlang(1 / 0.9, 4), Erlang(1.0, 4), 1, 0.9).mean(axis=0)
    error = waits.std(ddof=1) / np.sqrt(RUNS)
    assert waits.mean() + limit(AMONG, RUNS) * error < 2.25
