"""The way of lots and loads: the stages joined, strain by strain."""

from __future__ import annotations

from farmsim.model.site import Site
from farmsim.model.stages import clear_out, cold_shock, fruit, incubate, make_blocks, open_blocks, soak
from farmsim.model.steps import Step
from farmsim.scenario.farm import Farm
from farmsim.scenario.strain import Strain

STAGES: dict[str, tuple[Step, ...]] = {
    "ripen": incubate.STEPS,
    "cold shock": cold_shock.STEPS,
    "soak": soak.STEPS,
    "open": open_blocks.STEPS,
}


def lay_ways(site: Site, states: list[Farm]) -> None:
    """Work out the steps of every strain. A lot keeps the way it was started on."""
    site.steps_load = make_blocks.LOAD
    site.steps_here, site.steps_bought = {}, {}
    for name in site.strain_number:
        strain = next(state.strain[name] for state in states if name in state.strain)
        flushes = max(len(state.strain[name].flushes.share) for state in states if name in state.strain)
        rest = _after_the_bench(strain, flushes)
        site.steps_here[name] = (*make_blocks.HERE, *rest)
        site.steps_bought[name] = (*make_blocks.BOUGHT, *rest)


def _after_the_bench(strain: Strain, flushes: int) -> tuple[Step, ...]:
    before = [step for name, steps in STAGES.items() if name in ("ripen", *strain.steps) for step in steps]
    again = soak.AGAIN if strain.flushes.soak_again else ()
    return (*before, *fruit.steps(flushes, again), *clear_out.STEPS)
