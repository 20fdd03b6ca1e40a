"""The same farm with more or fewer blocks started, the mix of its lines kept; its orders grow along or stay."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from farmsim.scenario.farm import Farm
from farmsim.scenario.fresh_sales import Customer
from farmsim.scenario.sales import BlockCustomer
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary

SIZES = ("value", "low", "likely", "high", "mean")  # what grows with a size; a spread in percent or a share does not


def blocks_a_week(farm: Farm) -> int:
    """Blocks started in a week in which every line is started [blocks/week]."""
    return round(math.fsum(line.blocks for line in farm.start))


def least(farm: Farm, now: int) -> int:
    """The fewest blocks a week at which every line of the farm and of its later states still has one [blocks/week].

    now: blocks of the state that a level is counted by; all states are scaled by level / now [blocks/week]
    """
    states = (farm, *(state for _, state in farm.changes))
    lines = [round(line.blocks) for state in states for line in state.start if line.blocks > 0]
    return max((math.ceil(Fraction(now, blocks)) for blocks in lines), default=1)


def scaled(farm: Farm, factor: Fraction, orders: bool) -> Farm:
    """The farm and all its later states with their starts times a factor, in whole blocks.

    factor: of what is started [1]; orders: whether what customers, block customers and stalls want grows by it too
    """
    later = tuple((since, _state(state, factor, orders)) for since, state in farm.changes)
    return _state(farm, factor, orders).but(changes=later)


def _state(farm: Farm, factor: Fraction, orders: bool) -> Farm:
    blocks = shared_out([round(line.blocks) for line in farm.start], factor)
    lines = tuple(line.but(blocks=float(each)) for line, each in zip(farm.start, blocks, strict=True))
    if not orders:
        return farm.but(start=lines)
    return farm.but(
        start=lines,
        customer=tuple(_customer(each, float(factor)) for each in farm.customer),
        block_customer=tuple(_block_customer(each, float(factor)) for each in farm.block_customer),
    )


def shared_out(blocks: Sequence[int], factor: Fraction) -> list[int]:
    """Whole blocks of each line, together the rounded total; the lines that rounding down wrongs most get one more."""
    exact = [each * factor for each in blocks]
    whole = [math.floor(each) for each in exact]
    missing = round(sum(blocks) * factor) - sum(whole)
    order = sorted(range(len(exact)), key=lambda at: (whole[at] - exact[at], at))
    for at in order[:missing]:
        whole[at] += 1
    return whole


def _customer(customer: Customer, factor: float) -> Customer:
    """A customer who wants so many times as much at each delivery; an outlet takes what there is anyway."""
    changed: dict[str, object] = {}
    if not isinstance(customer.takes, str) and customer.takes:
        changed["takes"] = {name: amount * factor for name, amount in customer.takes.items()}
    if customer.mixed is not None:
        changed["mixed"] = customer.mixed.but(amount=customer.mixed.amount * factor)
    if customer.sells:
        changed["sells"] = {name: times(vary, factor) for name, vary in customer.sells.items()}
    return customer.but(**changed) if changed else customer


def _block_customer(customer: BlockCustomer, factor: float) -> BlockCustomer:
    if isinstance(customer.takes, str):
        return customer
    return customer.but(takes={name: blocks * factor for name, blocks in customer.takes.items()})


def times(vary: Vary, factor: float) -> Vary:
    """What varies, so many times as large; it spreads as before, in percent."""
    if isinstance(vary, Measured):
        return Measured(tuple(value * factor for value in vary.values))
    sizes = {name: getattr(vary, name) * factor for name in SIZES if name in vary.__dataclass_fields__}
    scaled_one: Fixed | Triangular | Between | MeanCv | RangeMean = replace(vary, **sizes)
    return scaled_one
