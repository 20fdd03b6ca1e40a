"""One of two programs that ask for the same runs at the same time: python shared_work.py STORE WORKERS ME OTHER.

It waits until the other is there too, and says how many runs it took from the store, how many it took in all, and a mark
of all that came out. A run takes a moment longer here than the tiny farm does, so that starting up is not most of it.
"""

from __future__ import annotations

import hashlib
import importlib
import sys
import time
from pathlib import Path

import numpy as np

import farmsim
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.study import trials as of_trials
from farmsim.study.done import Done
from farmsim.study.job import one_run
from farmsim.study.pool import Where
from farmsim.study.trials import Brief, Case, Trials

RUNS = 80
MOMENT = 0.04  # s


def work(task: tuple[tuple[Farm, ...], int, int, int]) -> list[RunTables]:
    (farm,), seed, weeks, number = task
    time.sleep(MOMENT)
    return [Done(one_run(farm, seed, weeks, number))]


def main(store: str, workers: str, me: str, other: str) -> None:
    of_trials._work = importlib.import_module("shared_work").work  # by this name workers find it
    tiny = farmsim.load(Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml")
    brief = Brief(weeks=2, where=Where(int(workers)), store=Path(store))
    with Trials(tiny, brief) as trials:
        trials.take([])  # nothing is there yet
        Path(me).touch()
        while not Path(other).exists():
            time.sleep(0.005)
        found = trials.take([Case(tiny, number) for number in range(RUNS)])
    mark = hashlib.sha256(b"".join(np.asarray(tables["weekly"]["picked_kg"]).tobytes() for tables in found))
    sys.stdout.write(f"{brief.tally.stored} {brief.tally.done} {mark.hexdigest()}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
