"""Which machine or which gap limits a line: the paired gains find it where use points at another.

Lines, exact gains and exact use as in `test_exact.py` (`test_lines.py` finds that use by simulation). A race errs in at most
5 of 100 tries altogether; those that may be the best are judged over 20 runs, the others over 10.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial

import numpy as np
import pytest

from farmsim.model.line import run
from farmsim.study.gains import LESS, REMAINS, Race, Rules, race
from farmsim.study.headlines import Headline

from .judge import RUNS, SEED
from .test_exact import GAINS, USE, changed
from .test_lines import CUT, rate_of, saturated

Line = tuple[tuple[float, ...], tuple[int, ...]]
OUT = Headline("lots out", "lots/h", ())
LOTS, FIRST = 300, 10
TOLD_APART = [line for line in GAINS if len(line[0]) < 5]
"""Lines whose best machine is ahead by a fifth; in the other the third is ahead of the second by a tenth only."""
LONG = next(line for line in GAINS if len(line[0]) == 5)


def simulated(lines: Mapping[str, Line], names: Sequence[str], numbers: Sequence[int]) -> Mapping[str, Sequence[float]]:
    """The rate of each line, run by run; all have the same name, so the same luck."""
    return {
        name: [
            rate_of(run(saturated(f"limits {lines['']}", *lines[name]), SEED, n, lots_out=CUT + LOTS)) for n in numbers
        ]
        for name in names
    }


def busiest(line: Line) -> str:
    """The machine that works the largest share of the time, exactly."""
    return f"machine {int(np.argmax(USE[line[0]])) + 1}"


def faster(line: Line) -> dict[str, Line]:
    """The line with 5 % more speed of each machine."""
    rates, waiting = line
    return {f"machine {i + 1}": (changed(rates, i, rate * 1.05), waiting) for i, rate in enumerate(rates)}


def roomier(line: Line) -> dict[str, Line]:
    """The line with one more place in each gap."""
    rates, waiting = line
    return {f"gap {i + 1}": (rates, changed(waiting, i, room + 1)) for i, room in enumerate(waiting)}


@cache
def raced(line: Line, of: Callable[[Line], dict[str, Line]]) -> Race:
    steps = of(line)
    return race("", list(steps), partial(simulated, {"": line, **steps}), OUT, Rules(FIRST, RUNS))


def stands(found: Race) -> dict[str, str]:
    return {step.name: step.stands for step in found.steps}


@pytest.mark.parametrize("line", TOLD_APART)
def test_the_machine_worth_improving_is_found(line: Line) -> None:
    found, best = raced(line, faster), int(np.argmax(GAINS[line][1]))
    assert found.best is not None and found.best.name == f"machine {best + 1}"
    assert found.not_told_apart == ()


@pytest.mark.parametrize("line", [line for line in TOLD_APART if len(line[0]) == 4])
def test_use_points_at_the_machine_that_is_least_worth_improving(line: Line) -> None:
    found = raced(line, faster)
    assert stands(found)[busiest(line)] == LESS and found.steps[-1].name == busiest(line)


def test_use_points_wrongly_in_a_long_line_too_and_what_runs_cannot_tell_apart_is_said_so() -> None:
    """The first of five machines is the busiest, and fourth in worth; of the second, third and fourth none is told apart."""
    found = raced(LONG, faster)
    assert busiest(LONG) == "machine 1" and stands(found)["machine 1"] == stands(found)["machine 5"] == LESS
    assert [stands(found)[f"machine {i}"] for i in (2, 3, 4)] == [REMAINS] * 3


@pytest.mark.parametrize("line", TOLD_APART)
def test_the_gap_worth_a_place_is_never_dropped_and_the_poor_one_is(line: Line) -> None:
    found, known = raced(line, roomier), GAINS[line][2]
    assert stands(found)[f"gap {int(np.argmax(known)) + 1}"] == REMAINS
    assert stands(found)[f"gap {int(np.argmin(known)) + 1}"] == LESS
