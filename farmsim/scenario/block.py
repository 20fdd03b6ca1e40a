"""What is in a block: dry matter, and yield as a share of it.

Biological efficiency is fresh mushrooms over dry substrate: a 3.5 kg block at 62.5 % water holds 1.3125 kg dry, and
250 g of mushrooms for each kg of block are 875 g, an efficiency of 66.7 %.
"""

from __future__ import annotations


def dry_weight(block: float, water: float) -> float:
    """Dry substrate in a block [kg].

    block: weight of the block [kg]
    water: share of it that is water [1]
    """
    return block * (1.0 - water)


def efficiency(mushrooms: float, block: float, water: float) -> float:
    """Biological efficiency: fresh mushrooms [kg] over the dry substrate of the block [1]."""
    return mushrooms / dry_weight(block, water)


def yield_at(efficiency: float, block: float, water: float) -> float:
    """Mushrooms from a block [kg] at a biological efficiency [1]."""
    return efficiency * dry_weight(block, water)
