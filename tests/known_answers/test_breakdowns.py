"""A machine that breaks down, by two clocks that give different answers. Formula: `exact.inside_with_breakdowns`.

The start is forgotten as in a single station, slower by the length of the repairs: a third of 5 times 4 / (1 - use)^2
of the longer of work and repair is cut off, the use being that of the hours in which the machine is up. That is still
more than ten times the mean stay of a lot.
"""

from __future__ import annotations

import pytest

from farmsim.model.breakdown import Breakdowns
from farmsim.model.line import Arrivals, Crew, Line, Stage, run
from farmsim.model.luck import Exponential

from . import exact
from .judge import SEED, agrees, over_runs

CASES = [(0.4, 1.0, 0.02, 0.1), (0.6, 1.0, 0.01, 0.1), (0.3, 0.5, 0.1, 1.0)]
AMONG = 2 * len(CASES) + 1


@pytest.mark.parametrize("clock", ["calendar", "working"])
@pytest.mark.parametrize(("arrivals", "rate", "fails", "mends"), CASES)
def test_machine_with_breakdowns(arrivals: float, rate: float, fails: float, mends: float, clock: str) -> None:
    breaks = Breakdowns(up=Exponential(1 / fails), down=Exponential(1 / mends), clock=clock)
    stage = Stage("mill", Exponential(1 / rate), places=1, breaks=breaks)
    line = Line(f"{clock} {arrivals} {rate} {fails} {mends}", (Arrivals(every=Exponential(1 / arrivals)),), (stage,))
    use = arrivals / rate * (1 + fails / mends)
    cut = 5 * 4 / (1 - use) ** 2 * max(1 / rate, 1 / mends) / 3

    def watch(number: int) -> tuple[float]:
        return (run(line, SEED, number, hours=cut + 3_500).mean_inside("mill", since=cut),)

    known = exact.inside_with_breakdowns(arrivals, rate, fails, mends, working=clock == "working")
    agrees(over_runs(watch)[:, 0], known, AMONG, sees=0.45)


def test_a_person_who_comes_and_goes_irregularly_is_such_a_machine() -> None:
    arrivals, rate, fails, mends = CASES[2]
    rota = Breakdowns(up=Exponential(1 / fails), down=Exponential(1 / mends))
    crew = Crew("casual hand", ("sort",), rota)
    line = Line(
        "irregular", (Arrivals(every=Exponential(1 / arrivals)),), (Stage("sort", Exponential(1 / rate)),), (crew,)
    )

    def watch(number: int) -> tuple[float]:
        return (run(line, SEED, number, hours=3_800).mean_inside("sort", since=300.0),)

    known = exact.inside_with_breakdowns(arrivals, rate, fails, mends, working=False)
    agrees(over_runs(watch)[:, 0], known, AMONG, sees=0.45)
