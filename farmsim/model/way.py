"""The way of lots and loads: the stages joined, strain by strain."""

from __future__ import annotations

from farmsim.model.calendar import WEEK
from farmsim.model.site import Site
from farmsim.model.stages import clear_out, cold_shock, fruit, incubate, make_blocks, open_blocks, soak
from farmsim.model.steps import Step, Way
from farmsim.scenario.farm import Farm
from farmsim.scenario.strain import Strain

STAGES: dict[str, tuple[Step, ...]] = {
    "ripen": incubate.STEPS,
    "cold shock": cold_shock.STEPS,
    "soak": soak.STEPS,
    "open": open_blocks.STEPS,
}


def lay_ways(site: Site, farm: Farm) -> None:
    """Work out the steps of every strain, from each dated change on. A lot keeps the way it was started on."""
    states = [(-float("inf"), farm), *((when / WEEK, state) for when, state in site.changes)]
    site.steps_load = make_blocks.LOAD
    site.ways = {}
    for name in site.strain_number:
        known = [(since, state.strain[name]) for since, state in states if name in state.strain]
        flushes = max(len(strain.flushes.share) for _, strain in known)
        site.ways[name] = [_way(since, strain, flushes) for since, strain in known]


def _way(since: float, strain: Strain, flushes: int) -> Way:
    rest = _after_the_bench(strain, flushes)
    return Way(since, make_blocks.HERE + rest, make_blocks.BOUGHT + rest)


def _after_the_bench(strain: Strain, flushes: int) -> tuple[Step, ...]:
    taken = ("ripen", *strain.steps)
    before = tuple(step for name, steps in STAGES.items() if name in taken for step in steps)
    again: tuple[Step, ...] = soak.AGAIN if strain.flushes.soak_again else ()
    return before + fruit.steps(flushes, again) + clear_out.STEPS
