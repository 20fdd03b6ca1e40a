"""Between which levels a farm's ceiling is searched, and which of them no farm's file may hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from farmsim.errors import Fault
from farmsim.scenario import check
from farmsim.scenario.farm import Farm
from farmsim.scenario.scaled import least, scaled
from farmsim.study import bounds
from farmsim.study.bounds import NotAllowed
from farmsim.study.ceiling_answers import Range
from farmsim.study.targets import Target

RUNS = 40  # the most at one level
LOWEST, HIGHEST = Fraction(1, 10), Fraction(3)  # of what is started now, where no range is given
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)  # blocks a week between levels
FINE = Fraction(11, 1000)  # of what is started now: a step is no larger
MOST_BLOCKS = 1_000_000


@dataclass(frozen=True)
class Asked:
    """What is asked about the farm.

    targets: none for the usual ones
    orders_grow: whether what customers want grows along
    low, high: where to search; None for a tenth to three times what is started now [blocks/week]
    runs: the most at one level [runs]
    """

    targets: tuple[Target, ...] = ()
    orders_grow: bool = True
    low: int | None = None
    high: int | None = None
    runs: int = RUNS


def span_of(farm: Farm, now: int, asked: Asked) -> Range:
    """The range that is asked for, as far as a farm in it can be simulated."""
    if now < 1:
        raise NotAllowed(f"{farm.farm.name} starts no blocks: there is nothing to scale. Give it a [[start]]")
    fewest, mend = least(farm, now), "below that a line would have no block"
    low = max(fewest, round(now * LOWEST)) if asked.low is None else asked.low
    high = max(round(now * HIGHEST), low) if asked.high is None else asked.high
    low = min(low, high) if asked.low is None else low
    bounds.whole("from", low, 1, MOST_BLOCKS)
    bounds.whole("to", high, 1, MOST_BLOCKS)
    if low > high:
        raise NotAllowed(f"from is {low:,} blocks a week and to is {high:,}; needs from below to. Swap the two")
    for name, level in (("from", low if asked.low is not None else fewest), ("to", high)):
        if level < fewest:
            raise NotAllowed(f"{name} is {level:,} blocks a week; needs at least {fewest:,}, {mend}")
    step = max(step for step in STEPS if step == 1 or step <= now * FINE)
    return _that_can_be(farm, now, Range(low, high, step), asked.orders_grow)


def _that_can_be(farm: Farm, now: int, span: Range, grow: bool) -> Range:
    """The part of a range, round the level nearest to the farm as it is, whose farms break no rule of a farm's file."""
    levels = span.levels(now)
    middle = levels.index(span.nearest(now))
    fault = _fault(farm, now, levels[middle], grow)
    if fault is not None:
        raise NotAllowed(f"at {levels[middle]:,} blocks a week the farm cannot be simulated: {fault}")
    low, fault_below = _end(farm, now, levels[middle::-1], grow)
    high, fault_above = _end(farm, now, levels[middle:], grow)
    return Range(low, high, span.step, fault_above, fault_below)


def _end(farm: Farm, now: int, levels: Sequence[int], grow: bool) -> tuple[int, str]:
    """The last level in a row that can be simulated, and why the next cannot; the first can."""
    fault = _fault(farm, now, levels[-1], grow)
    if fault is None:
        return levels[-1], ""
    good, bad = 0, len(levels) - 1
    while bad - good > 1:
        at = (good + bad) // 2
        found = _fault(farm, now, levels[at], grow)
        good, bad, fault = (at, bad, fault) if found is None else (good, at, found)
    return levels[good], str(fault)


def _fault(farm: Farm, now: int, blocks: int, grow: bool) -> Fault | None:
    """The first rule of a farm's file that is broken at a level, if any is."""
    other = scaled(farm, Fraction(blocks, now), grow)
    for state in (other, *(state for _, state in other.changes)):
        for fault in (*check.faults(state), *check.plan_faults(state)):
            return fault
    return None
