"""Lots turned away at a full door, lots lost when not begun in time. Sources at each formula in `exact.py`.

Runs begin empty; with room for few lots the start is forgotten within a few mean stays, and 50 are cut off.
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.line import Arrivals, Line, Stage, run
from farmsim.model.line_seen import SPOILED, TURNED_AWAY
from farmsim.model.luck import Erlang, Exponential, Hyperexponential, Spread, Uniform
from farmsim.scenario.vary import Fixed, MeanCv, Triangular

from . import exact
from .judge import SEED, agrees, over_runs

TELEPHONES: list[tuple[int, float, Spread]] = [
    (2, 1.0, Exponential(1.0)),
    (3, 2.0, Uniform(0.0, 2.0)),
    (5, 5.0, Fixed(1.0)),
    (5, 5.0, Hyperexponential(1.0, 4.0)),
    (8, 5.0, Exponential(1.0)),
    (10, 5.0, Erlang(1.0, 3)),
    (10, 10.0, Hyperexponential(1.0, 2.0)),
    (12, 10.0, Triangular(0.5, 1.0, 1.5)),
    (15, 10.0, MeanCv(1.0, 0.5)),
    (20, 20.0, Exponential(1.0)),
    (25, 20.0, MeanCv(1.0, 0.7, "gamma")),
]
LIMITED = [(0.8, 1, 5, "stage"), (1.0, 1, 5, "line"), (1.5, 2, 6, "stage")]
IMPATIENT = [(0.9, 2.0), (1.0, 1.0), (1.5, 2.0)]
AMONG = len(TELEPHONES) + 2 * len(LIMITED) + 3 * len(IMPATIENT)
CUT = 50.0


@pytest.mark.parametrize(("places", "load", "stay"), TELEPHONES, ids=str)
def test_erlang_b_whatever_the_spread_of_the_stay(places: int, load: float, stay: Spread) -> None:
    stage = Stage("booth", stay, places=places, waiting=0, full="turned away")
    line = Line(f"Erlang B {places} {load} {stay}", (Arrivals(every=Exponential(1 / load)),), (stage,))
    lots = 1_000 / exact.erlang_b(places, load) ** 0.5

    def watch(number: int) -> tuple[float]:
        return (run(line, SEED, number, hours=CUT + lots / load).share(TURNED_AWAY, since=CUT),)

    agrees(over_runs(watch)[:, 0], exact.erlang_b(places, load), AMONG, sees=0.3)


@pytest.mark.parametrize(("load", "places", "room", "by"), LIMITED)
def test_room_for_so_many_lots(load: float, places: int, room: int, by: str) -> None:
    """The room is limited by the waiting places of the stage, or by a cap on the whole line."""
    arrivals = (Arrivals(every=Exponential(1 / load)),)
    if by == "stage":
        stage = Stage("wash", Exponential(1.0), places=places, waiting=room - places, full="turned away")
        line = Line(f"M/M/{places}/{room} at {load}", arrivals, (stage,))
    else:
        stage = Stage("wash", Exponential(1.0), places=places)
        line = Line(f"M/M/{places}/{room} at {load}", arrivals, (stage,), at_most=room, full="turned away")

    def watch(number: int) -> tuple[float, float]:
        seen = run(line, SEED, number, hours=CUT + 2_000)
        return seen.share(TURNED_AWAY, since=CUT), seen.mean_inside("wash", since=CUT)

    lost, inside = over_runs(watch).T
    exact_lost, exact_inside = exact.limited(load, 1.0, places, room)
    agrees(lost, exact_lost, AMONG, sees=0.35)
    agrees(inside, exact_inside, AMONG, sees=0.15)


@pytest.mark.parametrize(("load", "patience"), IMPATIENT)
def test_lots_that_spoil_when_not_begun_in_time(load: float, patience: float) -> None:
    stage = Stage("wash", Exponential(1.0), places=1, spoils=patience)
    line = Line(f"M/M/1+D {load} {patience}", (Arrivals(every=Exponential(1 / load)),), (stage,))

    def watch(number: int) -> tuple[float, float, float]:
        seen = run(line, SEED, number, hours=CUT + 2_000)
        waits = seen.waits("wash", since=CUT)
        return seen.share(SPOILED, since=CUT), 1 - seen.mean_working("wash", since=CUT), float(np.nanmean(waits))

    known = exact.spoiling(load, 1.0, patience)
    for column, answer in zip(over_runs(watch).T, known, strict=True):
        agrees(column, answer, AMONG, sees=0.25)
