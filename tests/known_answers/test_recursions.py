"""Path by path: the same luck put through a textbook recursion gives every single time, to the tick.

This is sharper than any mean. Recursions: Lindley (1952) for one place, Kiefer & Wolfowitz (1955) for several, and the
standard one for lines with blocking after service (`exact.leaving`). Times are whole ticks, so sums are exact and are
compared with ==.
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.calendar import Always, ticks
from farmsim.model.line import Arrivals, Crew, Line, Stage, run
from farmsim.model.luck import Exponential, Hyperexponential, Luck, Spread
from farmsim.scenario.vary import MeanCv

from . import exact
from .judge import SEED

LOTS = 3_000


def drawn(spread: Spread, cause: str, case: str, count: int = LOTS) -> list[float]:
    """The luck of a line's lots, as `farmsim.model.line_pieces` names it."""
    stream = Luck(SEED, 0).stream(spread, cause, f"{case}: lots")
    return [ticks(stream[position]) for position in range(count)]


@pytest.mark.parametrize("places", [1, 2, 3, 7])
@pytest.mark.parametrize("by", ["people", "places"])
def test_waits_of_a_busy_station(places: int, by: str) -> None:
    """At 95 % use, with lognormal arrivals and very uneven work."""
    case, gap, work = f"recursion {places}", MeanCv(1 / 0.95 / places, 0.7), Hyperexponential(1.0, 3.0)
    people = (Crew("crew", ("wash",), Always(places)),) if by == "people" else ()
    stage = Stage("wash", work, places=None if people else places)
    seen = run(Line(case, (Arrivals(every=gap, count=LOTS),), (stage,), people), SEED)
    arrived = np.cumsum(drawn(gap, "arrivals", case))
    free, started = [0.0] * places, []
    for when, hours in zip(arrived, drawn(work, "hours in wash", case), strict=True):
        started.append(max(when, min(free)))
        free[free.index(min(free))] = started[-1] + hours
    assert seen.lots.arrived.tolist() == arrived.tolist()
    assert seen.at["wash"].started.tolist() == started
    columns = (
        np.array(drawn(spread, cause, case))[:, None] for spread, cause in ((gap, "arrivals"), (work, "hours in wash"))
    )
    assert seen.waits("wash").tolist() == exact.waits(*columns, places)[:, 0].tolist()


@pytest.mark.parametrize("waiting", [(0, 0, 0), (2, 0, 1), (5, 3, 0)])
@pytest.mark.parametrize("fed", ["saturated", "Poisson"])
def test_lines_with_few_places(waiting: tuple[int, ...], fed: str) -> None:
    case, spreads = (
        f"recursion {waiting} {fed}",
        (Exponential(1.0), MeanCv(0.8, 1.2), MeanCv(1.1, 0.3), Exponential(0.9)),
    )
    rooms = (0 if fed == "saturated" else None, *waiting)
    stages = tuple(
        Stage(f"m{i}", spread, places=1, waiting=room)
        for i, (spread, room) in enumerate(zip(spreads, rooms, strict=True))
    )
    gap = Exponential(2.0)
    heap = Arrivals(saturated=True, count=LOTS) if fed == "saturated" else Arrivals(every=gap, count=LOTS)
    seen = run(Line(case, (heap,), stages), SEED)
    hours = list(zip(*(drawn(spread, f"hours in m{i}", case) for i, spread in enumerate(spreads)), strict=True))
    come = None if fed == "saturated" else np.cumsum(drawn(gap, "arrivals", case)).tolist()
    left = exact.leaving(hours, waiting, come)
    for machine in range(4):
        assert seen.at[f"m{machine}"].left.tolist() == left[:, machine].tolist()


def test_another_lot_at_the_end_changes_nothing_before() -> None:
    case, stages = "grows", (Stage("a", Exponential(1.0), places=1), Stage("b", Exponential(0.9), places=1, waiting=1))
    short, long = (
        run(Line(case, (Arrivals(every=Exponential(1.2), count=count),), stages), SEED) for count in (50, 60)
    )
    assert long.at["b"].started[:50].tolist() == short.at["b"].started.tolist()


def test_another_name_is_other_luck_and_the_same_name_the_same() -> None:
    stage = (Stage("a", Exponential(1.0), places=1),)
    out = [
        run(Line(name, (Arrivals(every=Exponential(1.2), count=50),), stage), SEED, number).lots.out.tolist()
        for name, number in (("x", 0), ("x", 0), ("y", 0), ("x", 1))
    ]
    assert out[0] == out[1] and out[0] != out[2] and out[0] != out[3]
