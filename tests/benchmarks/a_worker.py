"""What a worker of the benchmark does; a file of its own, since workers look for it by its name."""

from __future__ import annotations

from farmsim.scenario.farm import Farm
from farmsim.study.job import one_run

from .measure import memory_peak


def run_and_peak(task: tuple[Farm, int]) -> float:
    """Work out one run and tell the most memory this process has ever held [MB]."""
    farm, number = task
    one_run(farm, 1, farm.farm.weeks, number)
    return memory_peak()
