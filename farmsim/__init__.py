"""farmsim: a whole specialty mushroom farm, simulated lot by lot.

    import farmsim
    farm = farmsim.load("scenarios/four-rooms.toml")
    result = farmsim.run(farm, runs=50)
    result.tables["weekly"]

Nothing heavy is imported until one of the two is called.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from farmsim import machine_code

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from farmsim.scenario.farm import Farm
    from farmsim.study.replicate import Result

__all__ = ["__version__", "load", "run"]
__version__ = "0.1.0"

machine_code.offer()


def load(path: str | Path) -> Farm:
    """The farm written down in a TOML file.

    Goes wrong when the file has faults: `farmsim.errors.ScenarioFault` holds all of them.
    """
    from farmsim.scenario.read import load as read

    return read(path)


def run(
    farm: Farm,
    runs: int | None = None,
    seed: int = 1,
    weeks: int | None = None,
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    precision: float | None = None,
    cluster: str | None = None,
) -> Result:
    """A number of simulated runs of one farm, as pandas tables and a summary.

    runs: how many [runs]; None takes 20, or with a precision 200 at most
    seed: the luck; the same seed gives the same answer on any number of workers
    weeks: length of each run [weeks]; None takes the farm's own
    workers: processes that share the work; None takes one for each processor, 1 stays in this process
    progress: told (runs done, runs in all) at the beginning and whenever a run is finished
    precision: makes as many runs as it takes until the averages are known so well: 0.02 is 2 % of each
    cluster: address of a running Dask scheduler whose workers do it instead, such as tcp://127.0.0.1:8786
    """
    from farmsim.study.pool import Where
    from farmsim.study.replicate import replicate
    from farmsim.study.trials import Brief
    from farmsim.study.until import how_many

    return replicate(farm, how_many(runs, precision), Brief(seed, weeks, Where(workers, cluster), progress=progress))
