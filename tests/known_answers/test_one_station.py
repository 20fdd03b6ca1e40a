"""One station: M/M/c, M/G/1, D/M/1, groups, two classes. Sources at each formula in `exact.py`.

Runs begin empty. The start is forgotten within about 4 (1 + cv2) / 2 / (1 - use)^2 mean work times (relaxation time of
M/M/1, stretched by the spread of the work and divided by the number of places); 5 of them are cut off, which leaves
under 1 % of the start's bias, itself a few percent of the mean at most, far below the standard error.
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.calendar import Always
from farmsim.model.line import Arrivals, Crew, Line, Seen, Stage, run
from farmsim.model.luck import Erlang, Exponential, Hyperexponential, Spread, Uniform
from farmsim.scenario.vary import Fixed, MeanCv, Triangular

from . import exact
from .judge import SEED, agrees, over_runs

LINES = [(1, 0.5), (1, 0.7), (1, 0.8), (2, 0.8), (3, 0.8), (4, 0.5), (5, 0.7), (8, 0.7), (10, 0.8)]
WORK: list[tuple[float, Spread, float]] = [
    (0.5, Fixed(1.0), 0.0),
    (0.5, Erlang(1.0, 3), 1 / 3),
    (0.5, MeanCv(1.0, 0.5**0.5, "gamma"), 0.5),
    (0.5, Hyperexponential(1.0, 2.0), 2.0),
    (0.5, Hyperexponential(1.0, 4.0), 4.0),
    (0.8, Fixed(1.0), 0.0),
    (0.8, Erlang(1.0, 2), 0.5),
    (0.8, MeanCv(1.0, 0.5), 0.25),
    (0.8, Triangular(0.5, 1.0, 1.5), 1 / 24),
    (0.8, Uniform(0.5, 1.5), 1 / 12),
]
CLOCKWORK = [0.5, 0.7, 0.8]
AMONG = 3 * len(LINES) + len(WORK) + len(CLOCKWORK) + 3


def watched(line: Line, number: int, use: float, hours: float, cv2: float = 1.0, places: int = 1) -> tuple[Seen, float]:
    """A run with `hours` after the cut, and the cut [mean work times]."""
    since = 5 * 4 * (1 + cv2) / 2 / (1 - use) ** 2 / places
    return run(line, SEED, number, hours=since + hours), since


@pytest.mark.parametrize(("places", "use"), LINES)
def test_erlang_c(places: int, use: float) -> None:
    """The work is done by people for odd numbers, by the places themselves for even ones."""
    load = use * places
    people = (Crew("crew", ("wash",), Always(places)),) if places % 2 else ()
    stage = Stage("wash", Exponential(1.0), places=None if people else places)
    line = Line(f"M/M/{places} at {use}", (Arrivals(every=Exponential(1 / load)),), (stage,), people)

    def watch(number: int) -> tuple[float, float, float]:
        seen, since = watched(line, number, use, LENGTH[use] / load, places=places)
        waits = seen.waits("wash", since)
        waiting = seen.mean_waiting("wash", since) / load
        return float(np.nanmean(waits > 0)), waiting, seen.mean_inside("wash", since)

    chance, wait, inside = over_runs(watch).T
    agrees(chance, exact.erlang_c(places, load), AMONG, sees=0.15)
    agrees(wait, exact.wait_mmc(places, use), AMONG, sees=0.5)
    agrees(inside, load * (1 + exact.wait_mmc(places, use)), AMONG, sees=0.35)


LENGTH = {0.5: 1_800, 0.7: 2_500, 0.8: 3_500}


@pytest.mark.parametrize(("use", "work", "cv2"), WORK, ids=lambda value: str(value))
def test_pollaczek_khinchine(use: float, work: Spread, cv2: float) -> None:
    line = Line(f"M/G/1 {work} at {use}", (Arrivals(every=Exponential(1 / use)),), (Stage("wash", work, places=1),))

    def watch(number: int) -> tuple[float]:
        seen, since = watched(line, number, use, LENGTH[use] / use * min(1.5, (1 + cv2) / 1.5), cv2)
        return (seen.mean_waiting("wash", since) / use,)

    agrees(over_runs(watch)[:, 0], exact.wait_mg1(use, cv2), AMONG, sees=0.35)


@pytest.mark.parametrize("use", CLOCKWORK)
def test_lots_that_come_like_clockwork_wait_less_than_kingman_says(use: float) -> None:
    line = Line(f"D/M/1 at {use}", (Arrivals(every=1 / use),), (Stage("wash", Exponential(1.0), places=1),))

    def watch(number: int) -> tuple[float]:
        seen, since = watched(line, number, use, LENGTH[use] / use)
        return (seen.mean_waiting("wash", since) / use,)

    waits = over_runs(watch)[:, 0]
    agrees(waits, exact.wait_dm1(use), AMONG, sees=0.35)
    assert waits.mean() < exact.kingman(use, 0, 1)


def test_groups_that_come_together() -> None:
    """Groups of 4; the spread of a group's work is that of an Erlang, so the start is forgotten no later."""
    stages = (Stage("wash", Exponential(1.0), places=1),)
    line = Line("groups of 4", (Arrivals(every=Exponential(5.0), group=4),), stages)

    def watch(number: int) -> tuple[float]:
        seen, since = watched(line, number, 0.8, 4_000, cv2=4.0)
        return (seen.mean_inside("wash", since),)

    agrees(over_runs(watch)[:, 0], exact.inside_with_groups(0.2, 4), AMONG, sees=0.5)


def test_two_classes_first_class_first() -> None:
    """Two stages worked by one person, who goes to the first whenever a lot waits there."""
    arrivals = (
        Arrivals(every=Exponential(1 / 0.3), to="rush", name="rush lots"),
        Arrivals(every=Exponential(1 / 0.5), to="plain", name="plain lots"),
    )
    stages = (Stage("rush", Exponential(1.0), then="out"), Stage("plain", Exponential(1.0)))
    line = Line("two classes", arrivals, stages, (Crew("hand", ("rush", "plain")),))

    def watch(number: int) -> tuple[float, float]:
        seen, since = watched(line, number, 0.8, 4_500)
        return seen.mean_waiting("rush", since) / 0.3, seen.mean_waiting("plain", since) / 0.5

    rush, plain = over_runs(watch).T
    first, second = exact.waits_by_class(0.3, 0.5)
    agrees(rush, first, AMONG, sees=0.35)
    agrees(plain, second, AMONG, sees=0.5)
