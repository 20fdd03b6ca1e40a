"""People who look for the next task the moment the last one ends: a program of its own, since it changes the model.

    python -m known_answers.naive_desk    each case's mean numbers of lots in the two stages, run by run (JSON)

It needs the plain files (FARMSIM_MACHINE_CODE=off): machine code cannot be changed from outside.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from farmsim.model.calendar import Always
from farmsim.model.crew import People
from farmsim.model.line import Arrivals, Crew, Line, Stage, run
from farmsim.model.luck import Exponential

from .judge import SEED, over_runs

CASES = [(1, 0.4, (1.0, 1.0)), (2, 0.8, (1.0, 1.0)), (2, 0.7, (1.5, 0.7))]
"""People, arrivals an hour, rates of the two stages."""


def lots_in_stages(people: int, arrivals: float, rates: tuple[float, float], case: str) -> Any:
    """Mean number of lots in the first and in the second stage, run by run."""
    stages = (Stage("first", Exponential(1 / rates[0])), Stage("second", Exponential(1 / rates[1])))
    crew = Crew("hands", ("second", "first"), Always(people))
    line = Line(f"{case} {people} {arrivals} {rates}", (Arrivals(every=Exponential(1 / arrivals)),), stages, (crew,))

    def watch(number: int) -> tuple[float, float]:
        seen = run(line, SEED, number, hours=2_000.0)
        return seen.mean_inside("first", since=500.0), seen.mean_inside("second", since=500.0)

    return over_runs(watch).T


def main() -> None:
    over = People.over

    def at_once(self: People, *what: Any) -> None:
        over(self, *what)
        self.settle()

    People.over = at_once  # type: ignore[method-assign]
    sys.stdout.write(json.dumps([lots_in_stages(*case, "naive").tolist() for case in CASES]))


if __name__ == "__main__":
    main()
