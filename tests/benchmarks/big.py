"""One simulated year of the farm that starts 5,000 blocks a week: time with and without its lead-in, and memory.

python -m tests.benchmarks.big        what the benchmark starts as a process of its own, to see its memory
"""

from __future__ import annotations

import json
import time
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from farmsim.model.close import close, count_standing, take_apart
from farmsim.model.run import lead_in, set_up
from farmsim.model.sweep import no_sweeping
from farmsim.record.measures.summary import summarise
from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load

from .measure import forget_peak, memory_now, memory_peak

FILE = Path(__file__).parents[2] / "scenarios" / "bench-5000.toml"
SEED = 1


class Spent(NamedTuple):
    """Processor time of one run [s]."""

    luck: float  # all draws, and setting up
    lead_in: float
    weeks: float
    measures: float

    @property
    def whole(self) -> float:
        """All of it."""
        return sum(self)

    def year(self, farm: Farm) -> float:
        """The measured weeks alone, with their share of the draws."""
        share = farm.farm.weeks / (farm.farm.weeks + lead_in(farm))
        return self.luck * share + self.weeks + self.measures


def spent(farm: Farm) -> Spent:
    """Run the farm as `farmsim.model.run.run` does, with a look at the clock where the lead-in ends."""
    marks = [time.process_time()]
    with no_sweeping():
        site = set_up(farm, SEED, 0, None)
        marks.append(time.process_time())
        if site.desk.now < 0.0:
            site.desk.run(until=0.0)
        marks.append(time.process_time())
        count_standing(site)
        site.desk.run(until=site.end)
        record = close(site, farm)
        take_apart(site)
        del site
    marks.append(time.process_time())
    summarise(record)
    marks.append(time.process_time())
    return Spent(*(later - sooner for sooner, later in pairwise(marks)))


def main() -> None:
    """Memory above what the imports and the farm's file take [MB]."""
    farm = load(FILE)
    forget_peak()
    before = memory_now()
    spent(farm)
    print(json.dumps({"before": before, "peak": memory_peak()}))


if __name__ == "__main__":
    main()
