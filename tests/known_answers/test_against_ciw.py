"""The same station and the same line in another program, Ciw (Palmer, Knight, Harper & Hawa 2019), agree.

Both sides begin empty and are cut alike, so what is left of the start is the same on both.
"""

from __future__ import annotations

import ciw
import numpy as np

from farmsim.model.line import Arrivals, Line, Stage, run
from farmsim.model.luck import Exponential

from .judge import RUNS, SEED, over_runs, same

AMONG = 4
STATION = (2.4, 1.0, 3)  # lots an hour, rate of a place, places
LINE = (0.5, (1.0, 0.9, 1.1), 2)  # lots an hour, rates, waiting places before each machine but the first
CUT, HOURS = 300.0, 1_200.0


def theirs(network: ciw.network.Network, number: int) -> list:
    ciw.seed(SEED + number)
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(CUT + HOURS)
    return [record for record in simulation.get_all_records() if record.arrival_date >= CUT]


def station(number: int) -> tuple[float, float]:
    load, rate, places = STATION
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Exponential(load)],
        service_distributions=[ciw.dists.Exponential(rate)],
        number_of_servers=[places],
    )
    waits = np.array([record.waiting_time for record in theirs(network, number)])
    return waits.mean(), (waits > 0).mean()


def line(number: int) -> tuple[float, float]:
    """Mean hours stuck after the first machine, and mean hours from arrival at it until out of the last."""
    load, rates, waiting = LINE
    count = len(rates)
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Exponential(load), *(None,) * (count - 1)],
        service_distributions=[ciw.dists.Exponential(rate) for rate in rates],
        number_of_servers=[1] * count,
        queue_capacities=[float("inf"), *(waiting,) * (count - 1)],
        routing=np.eye(count, k=1).tolist(),
    )
    records = theirs(network, number)
    stuck = [record.time_blocked for record in records if record.node == 1]
    came = {record.id_number: record.arrival_date for record in records if record.node == 1}
    through = [r.exit_date - came[r.id_number] for r in records if r.node == count and r.id_number in came]
    return float(np.mean(stuck)), float(np.mean(through))


def test_three_places() -> None:
    load, rate, places = STATION
    ours_line = Line(
        "station beside Ciw", (Arrivals(every=Exponential(1 / load)),), (Stage("a", Exponential(1 / rate), places),)
    )

    def ours(number: int) -> tuple[float, float]:
        waits = run(ours_line, SEED, number, hours=CUT + HOURS).waits("a", since=CUT)
        waits = waits[~np.isnan(waits)]
        return float(waits.mean()), float((waits > 0).mean())

    here, there = over_runs(ours), np.array([station(number) for number in range(RUNS)])
    same(here[:, 0], there[:, 0], AMONG, sees=0.5)
    same(here[:, 1], there[:, 1], AMONG, sees=0.15)


def test_three_machines_with_few_places() -> None:
    load, rates, waiting = LINE
    stages = [
        Stage(f"{i}", Exponential(1 / rate), places=1, waiting=waiting if i else None) for i, rate in enumerate(rates)
    ]
    ours_line = Line("line beside Ciw", (Arrivals(every=Exponential(1 / load)),), tuple(stages))

    def ours(number: int) -> tuple[float, float]:
        seen = run(ours_line, SEED, number, hours=CUT + HOURS)
        first = seen.at["0"]
        stuck = (first.left - first.ready)[first.came >= CUT]
        through = (seen.lots.out - seen.lots.arrived)[seen.lots.arrived >= CUT]
        return float(np.nanmean(stuck)), float(np.nanmean(through))

    here, there = over_runs(ours), np.array([line(number) for number in range(RUNS)])
    same(here[:, 0], there[:, 0], AMONG, sees=0.5)
    same(here[:, 1], there[:, 1], AMONG, sees=0.3)
