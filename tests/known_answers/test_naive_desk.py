"""A desk that hands a freed person on at once, before the lot that is done has moved, is another model.

Two stages worked by one crew, the second stage first. In the farm's order of an instant a lot that leaves stage 1
stands in stage 2 when people are sent, and is served before those who wait in stage 1. The naive desk sends the freed
person while the lot is still on its way. Both are solved exactly (`exact.shared_crew`, a small Markov chain) and both
are simulated: the farm's pieces give the first, the same pieces with a naive hand-over the second. Runs are cut at
500 h, as in `test_one_station.py` for a use of 0.8.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from farmsim.model.calendar import Always
from farmsim.model.crew import People
from farmsim.model.line import Arrivals, Crew, Line, Stage, run
from farmsim.model.luck import Exponential

from . import exact
from .judge import SEED, agrees, limit, over_runs

CASES = [(1, 0.4, (1.0, 1.0)), (2, 0.8, (1.0, 1.0)), (2, 0.7, (1.5, 0.7))]
AMONG = 3 * len(CASES)


def lots_in_stages(people: int, arrivals: float, rates: tuple[float, float], case: str) -> np.ndarray:
    stages = (Stage("first", Exponential(1 / rates[0])), Stage("second", Exponential(1 / rates[1])))
    crew = Crew("hands", ("second", "first"), Always(people))
    line = Line(f"{case} {people} {arrivals} {rates}", (Arrivals(every=Exponential(1 / arrivals)),), stages, (crew,))

    def watch(number: int) -> tuple[float, float]:
        seen = run(line, SEED, number, hours=2_000.0)
        return seen.mean_inside("first", since=500.0), seen.mean_inside("second", since=500.0)

    return over_runs(watch).T


@pytest.fixture
def naive(monkeypatch: pytest.MonkeyPatch) -> None:
    """People who look for the next task the moment the last one ends."""
    over = People._over

    def at_once(self: People, *what: Any) -> None:
        over(self, *what)
        self.settle()

    monkeypatch.setattr(People, "_over", at_once)


@pytest.mark.parametrize(("people", "arrivals", "rates"), CASES)
def test_places_settle_before_people_are_sent(people: int, arrivals: float, rates: tuple[float, float]) -> None:
    first, second = lots_in_stages(people, arrivals, rates, "in order")
    known = exact.shared_crew(arrivals, rates, people, at_once=False)
    agrees(first, known[0], AMONG, sees=0.6)
    agrees(second, known[1], AMONG, sees=0.18)


@pytest.mark.parametrize(("people", "arrivals", "rates"), CASES)
@pytest.mark.usefixtures("naive")
def test_the_naive_desk_fails(people: int, arrivals: float, rates: tuple[float, float]) -> None:
    _, second = lots_in_stages(people, arrivals, rates, "naive")
    agrees(second, exact.shared_crew(arrivals, rates, people, at_once=True)[1], AMONG, sees=0.18)
    right = exact.shared_crew(arrivals, rates, people, at_once=False)[1]
    error = second.std(ddof=1) / np.sqrt(len(second))
    assert (second.mean() - right) / error > 3 * limit(AMONG, len(second))
