"""A desk that hands a freed person on at once, before the lot that is done has moved, is another model.

Two stages worked by one crew, the second stage first. In the farm's order of an instant a lot that leaves stage 1
stands in stage 2 when people are sent, and is served before those who wait in stage 1. The naive desk sends the freed
person while the lot is still on its way. Both are solved exactly (`exact.shared_crew`, a small Markov chain) and both
are simulated: the farm's pieces give the first, the same pieces with a naive hand-over the second. Runs are cut at
500 h, as in `test_one_station.py` for a use of 0.8.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from . import exact
from .judge import agrees, limit
from .naive_desk import CASES, lots_in_stages

AMONG = 3 * len(CASES)
TESTS = Path(__file__).parents[1]


@cache
def naive() -> list[list[list[float]]]:
    """What the naive desk gives, case by case."""
    command = [sys.executable, "-m", "known_answers.naive_desk"]
    environment = {**os.environ, "FARMSIM_MACHINE_CODE": "off"}
    found: list[list[list[float]]] = json.loads(subprocess.check_output(command, cwd=TESTS, env=environment))
    return found


@pytest.mark.parametrize(("people", "arrivals", "rates"), CASES)
def test_places_settle_before_people_are_sent(people: int, arrivals: float, rates: tuple[float, float]) -> None:
    first, second = lots_in_stages(people, arrivals, rates, "in order")
    known = exact.shared_crew(arrivals, rates, people, at_once=False)
    agrees(first, known[0], AMONG, sees=0.6)
    agrees(second, known[1], AMONG, sees=0.18)


@pytest.mark.parametrize("case", CASES)
def test_the_naive_desk_fails(case: tuple[int, float, tuple[float, float]]) -> None:
    people, arrivals, rates = case
    second = np.array(naive()[CASES.index(case)][1])
    agrees(second, exact.shared_crew(arrivals, rates, people, at_once=True)[1], AMONG, sees=0.18)
    right = exact.shared_crew(arrivals, rates, people, at_once=False)[1]
    error = second.std(ddof=1) / np.sqrt(len(second))
    assert (second.mean() - right) / error > 3 * limit(AMONG, len(second))
