"""The arithmetic of averages: what the plan needs in every place and of every crew, by Little's law."""

from __future__ import annotations

import math

from farmsim.scenario.farm import Farm
from farmsim.scenario.strain import Strain
from farmsim.units import HOURS_A_WEEK


def lead_in_weeks(farm: Farm) -> int:
    """Weeks to run before the start until the farm is as full as it will be [weeks].

    The longest life of a block from its start to its clearing, mean and two standard deviations, and two weeks more.
    """
    if farm.farm.lead_in is not None:
        return farm.farm.lead_in
    if farm.farm.begin == "empty":
        return 0
    longest = max((_life(strain) for strain in farm.strain.values()), default=0.0)
    return math.ceil(longest / HOURS_A_WEEK) + 2


def _life(strain: Strain) -> float:
    """Hours from start to clearing, long rather than short [h]."""
    varying = [strain.colonise, strain.ripen, strain.first_pick] + [strain.next_pick] * (len(strain.flushes.share) - 1)
    mean = sum(item.mean for item in varying)
    sd = math.sqrt(sum(item.sd**2 for item in varying))
    return mean + 2 * sd + strain.flushes.rest * (len(strain.flushes.share) - 1) + 4 * strain.spread
