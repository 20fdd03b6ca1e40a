"""Two textbook lines three times over: farmsim's pieces, plain SimPy and Ciw, on the same planned times.

M/M/3: Poisson arrivals, three places, waiting room enough. The blocking line: five stages of one place each and
no room between them, a lot that is done keeps its place until the next stage has one. Each function returns a number
that all three must agree on.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import NamedTuple

import ciw  # type: ignore[import-untyped]
import numpy as np
import simpy

from farmsim.model.line import Arrivals, Line, Stage, run


class Times(NamedTuple):
    """Planned times, the same for all three."""

    gaps: list[float]
    work: list[list[float]]  # by stage, then by lot


def times(stages: int, lots: int, load: float) -> Times:
    """Exponential times of mean 1; gaps of mean 1 / load."""
    rng = np.random.default_rng(20270104)
    gaps = rng.exponential(1.0 / load, lots).tolist()
    return Times(gaps, [rng.exponential(1.0, lots).tolist() for _ in range(stages)])


class Case(NamedTuple):
    """One line, and how each of the three runs it."""

    name: str
    plan: Times
    ways: dict[str, Callable[[Times], float]]


# --- M/M/3: the mean wait -------------------------------------------------------------------------------------------


def station_farmsim(plan: Times) -> float:
    arrivals = Arrivals(every=tuple(plan.gaps), count=len(plan.gaps))
    stage = Stage("serve", takes=tuple(plan.work[0]), places=3)
    return float(np.mean(run(Line("M/M/3", (arrivals,), (stage,)), seed=1).waits("serve")))


def station_simpy(plan: Times) -> float:
    env = simpy.Environment()
    places = simpy.Resource(env, capacity=3)
    waits: list[float] = []

    def lot(work: float) -> Generator[simpy.Event, None, None]:
        came = env.now
        with places.request() as place:
            yield place
            waits.append(env.now - came)
            yield env.timeout(work)

    def source() -> Generator[simpy.Event, None, None]:
        for gap, work in zip(plan.gaps, plan.work[0], strict=True):
            yield env.timeout(gap)
            env.process(lot(work))

    env.process(source())
    env.run()
    return float(np.mean(waits))


def station_ciw(plan: Times) -> float:
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Sequential([*plan.gaps, float("inf")])],
        service_distributions=[ciw.dists.Sequential(plan.work[0])],
        number_of_servers=[3],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(sum(plan.gaps) + 1000.0)
    return float(np.mean([record.waiting_time for record in simulation.get_all_records()]))


# --- five stages, blocking after the work: the mean time from the door to the way out ----------------


def line_farmsim(plan: Times) -> float:
    first, *others = plan.work
    stages = [Stage("0", takes=tuple(first), places=1)]
    stages += [Stage(f"{n + 1}", takes=tuple(work), places=1, waiting=0) for n, work in enumerate(others)]
    arrivals = Arrivals(every=tuple(plan.gaps), count=len(plan.gaps))
    lots = run(Line("blocking line", (arrivals,), tuple(stages)), seed=1).lots
    return float(np.mean(lots.out - lots.arrived))


def line_simpy(plan: Times) -> float:
    env = simpy.Environment()
    places = [simpy.Resource(env, capacity=1) for _ in plan.work]
    stayed: list[float] = []

    def lot(number: int) -> Generator[simpy.Event, None, None]:
        came, before = env.now, None
        for place, work in zip(places, plan.work, strict=True):
            wish = place.request()
            yield wish
            if before is not None:
                before.resource.release(before)
            before = wish
            yield env.timeout(work[number])
        if before is not None:
            before.resource.release(before)
        stayed.append(env.now - came)

    def source() -> Generator[simpy.Event, None, None]:
        for number, gap in enumerate(plan.gaps):
            yield env.timeout(gap)
            env.process(lot(number))

    env.process(source())
    env.run()
    return float(np.mean(stayed))


def line_ciw(plan: Times) -> float:
    stages = len(plan.work)
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Sequential([*plan.gaps, float("inf")]), *[None] * (stages - 1)],
        service_distributions=[ciw.dists.Sequential(work) for work in plan.work],
        number_of_servers=[1] * stages,
        queue_capacities=[float("inf"), *[0] * (stages - 1)],
        routing=[[float(to == place + 1) for to in range(stages)] for place in range(stages)],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(sum(plan.gaps) + 1000.0)
    records = simulation.get_all_records()
    out = {record.id_number: record.exit_date for record in records if record.node == stages}
    came = {record.id_number: record.arrival_date for record in records if record.node == 1}
    return float(np.mean([out[number] - came[number] for number in out]))


CASES = (
    Case(
        "M/M/3",
        times(1, 10_000, load=2.4),
        {"farmsim": station_farmsim, "plain SimPy": station_simpy, "Ciw": station_ciw},
    ),
    Case(
        "5-stage line, blocking",
        times(5, 3_000, load=0.4),
        {"farmsim": line_farmsim, "plain SimPy": line_simpy, "Ciw": line_ciw},
    ),
)
