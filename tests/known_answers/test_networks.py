"""Open and closed networks, and machines that are mended by few crews. Sources at each formula in `exact.py`.

Closed networks forget their start within some rounds of all lots, 300 h are cut off; the open one is cut as a single
station of its highest use (0.71) would be: 5 times 4 / (1 - use)^2 mean work times, of 1.7 h for its two places.
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.line import Arrivals, Line, Stage, run
from farmsim.model.luck import Exponential

from . import exact
from .judge import SEED, agrees, over_runs

REPAIR = [(4, 1, 0.1, 1.0), (5, 1, 0.1, 0.5), (6, 2, 0.1, 0.5), (10, 3, 0.05, 0.2)]
CLOSED = [1, 2, 3, 5, 8]
AMONG = len(REPAIR) + 7 + len(CLOSED) + 3


@pytest.mark.parametrize(("machines", "crews", "fails", "mends"), REPAIR)
def test_machine_repair(machines: int, crews: int, fails: float, mends: float) -> None:
    """Machines are the lots: they run, break, wait for a crew, are mended and run again."""
    stages = (
        Stage("running", Exponential(1 / fails)),
        Stage("mending", Exponential(1 / mends), places=crews, then="running"),
    )
    line = Line(f"repair {machines} {crews} {fails} {mends}", (Arrivals(at=(0.0,), group=machines),), stages)
    watch = over_runs(lambda number: (run(line, SEED, number, hours=3_500.0).mean_inside("mending", since=300.0),))
    agrees(watch[:, 0], exact.machines_down(machines, crews, fails, mends), AMONG, sees=0.2)


def test_open_network() -> None:
    stages = (
        Stage("wash", Exponential(1 / 1.5), places=1, then={"sort": 0.6, "pack": 0.4}),
        Stage("sort", Exponential(1 / 0.9), places=1, then={"wash": 0.1}),
        Stage("pack", Exponential(1 / 0.3), places=2, then="out"),
    )
    line = Line("three stations", (Arrivals(every=Exponential(1.0)),), stages)
    cut = 5 * 4 / (1 - 0.71) ** 2 * 1.7

    def watch(number: int) -> tuple[float, ...]:
        seen = run(line, SEED, number, hours=cut + 1_500)
        inside = [seen.mean_inside(stage.name, since=cut) for stage in stages]
        flow = [seen.done(stage.name, since=cut) / 1_500 for stage in stages]
        return *inside, seen.mean_in_line(since=cut), *flow

    flow, inside = exact.jackson((1, 0, 0), ((0, 0.6, 0.4), (0.1, 0, 0), (0, 0, 0)), (1.5, 0.9, 0.3), (1, 1, 2))
    lots, flows = np.split(over_runs(watch), [4], axis=1)
    for column, answer in zip(lots.T, (*inside, inside.sum()), strict=True):
        agrees(column, answer, AMONG, sees=0.6)
    for column, answer in zip(flows.T, flow, strict=True):
        agrees(column, answer, AMONG, sees=0.05)


@pytest.mark.parametrize("lots", CLOSED)
def test_closed_network(lots: int) -> None:
    """Rounds an hour, and for 3 lots where they stand."""
    stages = tuple(Stage(name, Exponential(hours), places=1) for name, hours in (("a", 2.0), ("b", 5.0)))
    stages += (Stage("c", Exponential(3.0), places=1, then="a"),)
    line = Line(f"closed, {lots} lots", (Arrivals(at=(0.0,), group=lots),), stages)

    def watch(number: int) -> tuple[float, float, float, float]:
        seen = run(line, SEED, number, hours=3_300.0)
        return seen.done("c", since=300.0) / 3_000, *(seen.mean_inside(stage.name, since=300.0) for stage in stages)

    rate, *standing = over_runs(watch).T
    rounds, inside = exact.mva((2, 5, 3), lots)
    agrees(rate, rounds, AMONG, sees=0.07)
    if lots == 3:
        for column, answer in zip(standing, inside, strict=True):
            agrees(column, answer, AMONG, sees=0.2)
