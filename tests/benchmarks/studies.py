"""Speed and memory of many runs: each measured in a process of its own, so that nothing else is in its figures.

python -m benchmarks.studies NAME    (from tests/) prints the figures of one of them as JSON
"""

from __future__ import annotations

import json
import os
import resource
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import variance

import farmsim
from farmsim.study import trials
from farmsim.study.headlines import DELIVERED, PICKED, SOLD, by_run
from farmsim.study.pool import Pool, Where
from farmsim.study.stored import stored
from farmsim.study.trials import Brief, Case, Trials

from .a_worker import TIMES_IN, run_and_peak, timed_work, times_written

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
FARM, CHANGE = SCENARIOS / "four-rooms.toml", SCENARIOS / "one-more-picker.toml"
YEARS = 200  # farm-years that are measured
FEW = 40
STORED = 10_000
COPY = """INSERT INTO runs SELECT farm, n, stored, often, rest FROM runs,
(WITH RECURSIVE numbers(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM numbers WHERE n < ?) SELECT n FROM numbers)"""


def spent() -> float:
    """Processor time of this process and of all it has started and ended [s]."""
    found = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in found)


def runs_of(years: int, workers: int, store: Path) -> dict[str, float]:
    """So many farm-years of the mid-size farm, stored: processor time and clock [s]."""
    farm = farmsim.load(FARM)
    clock, cpu = time.perf_counter(), spent()
    with Trials(farm, Brief(where=Where(workers), store=store)) as asked:
        asked.take([Case(farm, number) for number in range(years)])
    return {"cpu": spent() - cpu, "clock": time.perf_counter() - clock}


def worker() -> dict[str, float]:
    """The most memory a worker holds, after its first farm-years and after many [MB]."""
    farm, found = farmsim.load(FARM), {}
    peaks: dict[int, float] = {}
    with Pool(Where(2)) as pool:
        pool.gather(run_and_peak, [(farm, number) for number in range(YEARS)], peaks.__setitem__)
    for name, runs in (("first", FEW), ("all", YEARS)):
        found[name] = max(peaks[number] for number in range(runs))
    return found


def many() -> dict[str, float]:
    """Two hundred years shared out over two processes and stored, as a user has them; and the time of the runs alone [s].

    The runs are timed where they are worked out: two processors that share a core make a run dearer, whoever hands it out.
    """
    with tempfile.TemporaryDirectory() as folder, tempfile.TemporaryDirectory() as times:
        os.environ[TIMES_IN] = times
        trials._work = timed_work
        found = runs_of(YEARS, 2, Path(folder) / "runs.sqlite")
        taken = times_written()
    assert len(taken) == YEARS
    return {**found, "runs": sum(taken)}


def summed() -> dict[str, float]:
    """Ten thousand stored runs summed up: the clock, and the memory it took."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "runs.sqlite"
        runs_of(1, 1, file)
        with sqlite3.connect(file) as store:
            store.execute(COPY, (STORED - 1,))
        store.close()
        clock = time.perf_counter()
        (kind,) = stored(file).kinds
        taken = time.perf_counter() - clock
    assert kind.kept.runs == STORED
    return {"clock": taken, "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / 1e6}


def luck() -> dict[str, float]:
    """By how much common luck makes the variance of a difference smaller, for three figures of a farm and its change."""
    farms = [farmsim.load(FARM), farmsim.load(CHANGE)]
    with Trials(farms[0], Brief(where=Where(2))) as asked:
        found = asked.by_farm(farms, range(20))
    ratios = {}
    for line in (PICKED, SOLD, DELIVERED):
        base, change = (by_run(line, runs) or [] for runs in found)
        pairs = [after - before for before, after in zip(base, change, strict=True)]
        ratios[line.name] = (variance(base) + variance(change)) / variance(pairs)
    return ratios


MEASURED: dict[str, Callable[[], dict[str, float]]] = {
    "many": many, "worker": worker, "summed": summed, "luck": luck
}  # fmt: skip

if __name__ == "__main__":
    print(json.dumps(MEASURED[sys.argv[1]]()))
