"""What a worker of the benchmark does; a file of its own, since workers look for it by its name."""

from __future__ import annotations

import os
import time
from pathlib import Path

from farmsim.scenario.farm import Farm
from farmsim.study import trials
from farmsim.study.job import one_run

from .measure import memory_peak

TIMES_IN = "FARMSIM_BENCHMARK_TIMES"
"""Names the folder in which workers write down how long their runs took."""
WORK = trials._work


def run_and_peak(task: tuple[Farm, int]) -> float:
    """Work out one run and tell the most memory this process has ever held [MB]."""
    farm, number = task
    one_run(farm, 1, farm.farm.weeks, number)
    return memory_peak()


def timed_work(task: trials._Task) -> list[trials.Done]:
    """What workers of a study do; the processor time of the run itself is written down [s]."""
    began = time.process_time()
    found = WORK(task)
    took = time.process_time() - began
    with (Path(os.environ[TIMES_IN]) / str(os.getpid())).open("a") as file:
        file.write(f"{took}\n")
    return found


def times_written() -> list[float]:
    """How long the runs took, in no order [s]."""
    return [float(line) for file in Path(os.environ[TIMES_IN]).iterdir() for line in file.read_text().splitlines()]
