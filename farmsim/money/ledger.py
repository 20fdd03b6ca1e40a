"""The dated lines of one run: what came in and what went out on which day, in whole cents.

Inside, money is carried unrounded. It is rounded once, here: on every day all that a line has come to since the start of
the measured time is right to the cent, and a day's amount is what was added. So cents add up exactly over any days,
weeks, months and lines, and no sum is off by more than half a cent a line.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from farmsim.money.by_month import fixed_costs
from farmsim.money.costs import energy, on_costs, on_top_of_overtime, overtime_wages, shift_wages
from farmsim.money.materials import Used, used
from farmsim.money.states import States
from farmsim.money.takings import Sales, block_sales, fresh_sales
from farmsim.record.measures.cuts import by_day
from farmsim.record.measures.declare import Flow
from farmsim.record.tables import Figures, Numbers, Record
from farmsim.units import cents_of

TAKEN = ("mushrooms", "blocks")
PAID = ("shift wages", "overtime wages", "energy")
ON_TOP = ("overtime on top", "on-costs")
FIXED = "fixed costs"


class Line(NamedTuple):
    """One line of the ledger over the days of the measured time."""

    what: str
    """One of `TAKEN`, `PAID`, `ON_TOP`, `materials.MATERIALS`, `materials.SPENT_SOLD` or `FIXED`."""
    who: str
    """The customer who pays, or the name of a fixed cost; nothing for what else the farm pays."""
    unit: str
    """What is sold: "kg" or "blocks"; nothing for what the farm pays."""
    cents: Numbers
    """What came in or went out on each day [cents]."""
    priced: Figures
    """Goods brought on each day at a stated price [see unit]."""
    not_priced: Figures
    """Goods brought on each day for which no price is given [see unit]."""


class Moved(NamedTuple):
    """What was sold, and what that used up, in money: of all the run's time, whatever of it is measured."""

    states: States
    fresh: list[Sales]
    blocks: list[Sales]
    used: list[Used]


def moved(record: Record) -> Moved:
    """All that was sold and used up."""
    states = States(record)
    return Moved(states, fresh_sales(record, states), block_sales(record, states), list(used(record, states)))


def ledger(record: Record, goods: Moved | None = None) -> list[Line]:
    """Every line: sales by customer, then wages and energy, then what else is given.

    goods: what was sold and used up, when it is there already
    """
    goods = goods or moved(record)
    states = goods.states
    sales = [*(("mushrooms", each) for each in goods.fresh), *(("blocks", each) for each in goods.blocks)]
    wages = (shift_wages(record, states), overtime_wages(record, states))
    costs = zip(PAID, (*wages, energy(record, states)), strict=True)
    return [
        *(_sold(record, what, each) for what, each in sales),
        *(_cost(record, what, flow) for what, flow in costs),
        *(_cost(record, *each) for each in _more(record, goods, wages)),
    ]


def _more(record: Record, goods: Moved, wages: tuple[Flow, Flow]) -> Iterator[tuple[str, Flow, str]]:
    """What is only there where it is given: on top of wages, materials, fixed costs."""
    states = goods.states
    if any(farm.costs is not None for farm in states.farms):
        more = on_top_of_overtime(wages[1], states)
        yield ON_TOP[0], more, ""
        yield ON_TOP[1], on_costs((*wages, more), states), ""
    yield from ((what, flow, "") for what, flow in goods.used)
    yield from ((FIXED, flow, name) for name, flow in fixed_costs(record, states))


def _sold(record: Record, what: str, each: Sales) -> Line:
    priced, none = (
        by_day(record, Flow(each.when, np.where(kept, each.goods, 0.0))) for kept in (each.has_price, ~each.has_price)
    )
    return Line(what, each.customer, each.unit, in_cents(record, Flow(each.when, each.money)), priced, none)


def _cost(record: Record, what: str, flow: Flow, who: str = "") -> Line:
    cents = in_cents(record, flow)
    return Line(what, who, "", cents, np.zeros(len(cents)), np.zeros(len(cents)))


def in_cents(record: Record, flow: Flow) -> Numbers:
    """Money by day in whole cents, its sum since the start right to the cent on every day."""
    assert record.farm is not None
    so_far = np.cumsum(by_day(record, flow)) * cents_of(record.farm.farm.currency)
    return np.diff(np.rint(so_far), prepend=0.0).astype(np.int64)
