"""A shop followed order by order: its luck put through a few lines of arithmetic gives every amount, exactly.

Sharper than any mean, as `test_recursions.py` is for lines. The arithmetic is that of the published cases of
`test_stock_and_spoilage.py`: goods that last two days, oldest first, and orders one for one (Palm 1938).
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.calendar import ticks
from farmsim.model.luck import Exponential, Luck, Poisson, Spread, Uniform
from farmsim.model.shop import Shop, trade
from farmsim.scenario.vary import Fixed

from .judge import SEED

DAYS, DAY = 3_000, 24.0


@pytest.mark.parametrize(("mean", "up_to"), [(5.0, 8), (5.0, 10), (10.0, 16), (10.0, 20)])
def test_goods_that_last_two_days(mean: float, up_to: int) -> None:
    """Nothing is sold after its date: what yesterday brought and today did not take is thrown out tomorrow morning."""
    case = f"two days, day by day {mean} {up_to}"
    shop = Shop(case, DAY, Poisson(mean), up_to, each=DAY, first=12.0, life=2 * DAY)
    seen = trade(shop, SEED, hours=DAY * DAYS + 1.0)
    asked = Luck(SEED, 0).stream(Poisson(mean), "amount ordered", case)
    old, sold, wasted = 0.0, [], {}
    for day in range(DAYS):
        fresh = up_to - old
        sold.append(min(asked[day], up_to))
        if (left := max(old - asked[day], 0.0)) > 0.0:
            wasted[DAY * (day + 1)] = left
        old = fresh - max(sold[-1] - old, 0.0)
    assert seen.orders.amount.tolist() == [asked[day] for day in range(DAYS)]
    assert seen.orders.at_once.tolist() == sold
    assert dict(zip(seen.wasted.when.tolist(), seen.wasted.amount.tolist(), strict=True)) == wasted


@pytest.mark.parametrize("lead", [Exponential(3.0), Uniform(0.0, 6.0), Fixed(3.0)], ids=str)
def test_orders_one_for_one(lead: Spread) -> None:
    """An order is filled at once if fewer than 8 of what those before it made the shop buy are still on the way."""
    case, up_to, orders = f"one for one {lead}", 8, 4_000
    shop = Shop(case, Exponential(0.5), 1.0, up_to, lead=lead, unfilled="waits")
    seen = trade(shop, SEED, hours=0.55 * orders).orders
    gaps = Luck(SEED, 0).stream(Exponential(0.5), "hours between orders", case)
    way = Luck(SEED, 0).stream(lead, "hours on the way", case)  # the first purchase fills the empty shelves
    came = np.cumsum([ticks(gaps[order]) for order in range(len(seen.came))])
    comes = came + [ticks(way[order + 1]) for order in range(len(came))]
    on_the_way = np.array([(comes[:order] > when).sum() for order, when in enumerate(came)])
    filled = came > ticks(way[0])
    assert len(came) > orders
    assert (seen.came == came).all()
    assert ((seen.at_once == 1.0) == (on_the_way < up_to))[filled].all()
    assert 0.65 < seen.at_once[filled].mean() < 0.85  # both happen often
