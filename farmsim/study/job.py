"""What is done for one run, wherever it is done: simulate, and sum up. Loads neither pandas nor pictures."""

from __future__ import annotations

from farmsim.model.run import run
from farmsim.record.measures import RunTables, summarise
from farmsim.scenario.farm import Farm


def one_run(farm: Farm, seed: int, weeks: int, number: int) -> RunTables:
    """All tables of one run of a study.

    seed: the study's luck; number: which run of the study, from 0
    weeks: measured length [weeks]
    """
    return summarise(run(farm, seed, number, weeks))
