"""Stock with dates in front of orders. Sources at each formula in `exact.py`.

Shops begin empty; what is bought without a lead time fills the shelves at once. Goods of two days and a day's trade
forget the start within days, 20 are cut off; a base stock forgets it within a lead time, 10 of them are cut off.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from farmsim.model.luck import Chances, Exponential, Poisson, Spread, Uniform
from farmsim.model.shop import Shop, Traded, trade
from farmsim.scenario.vary import Fixed, Measured

from . import exact
from .judge import SEED, agrees, over_runs

DAY = 24.0
TWO_DAYS = [(5.0, 8), (5.0, 10), (10.0, 16), (10.0, 20)]
BASE: list[tuple[float, float, int, Spread]] = [
    (2.0, 3.0, 8, Exponential(3.0)),
    (2.0, 3.0, 10, Uniform(0.0, 6.0)),
    (5.0, 1.0, 7, Fixed(1.0)),
]
ORDERS = (40, 50, 60, 70, 80, 90)
AMONG = 2 * len(TWO_DAYS) + len(BASE) + 4 + len(ORDERS)


@pytest.mark.parametrize(("mean", "up_to"), TWO_DAYS)
def test_goods_that_last_two_days(mean: float, up_to: int) -> None:
    """Filled up every morning, orders at noon, oldest first, what is missing is lost."""
    shop = Shop(f"two days {mean} {up_to}", DAY, Poisson(mean), up_to, each=DAY, first=12.0, life=2 * DAY)
    days, cut = 1_500, 20

    def watch(number: int) -> tuple[float, float]:
        seen = trade(shop, SEED, number, hours=DAY * (cut + days) + 1.0)
        wasted = seen.wasted.amount[seen.wasted.when > DAY * cut].sum()
        missing = (seen.orders.amount - seen.orders.at_once)[cut:]
        return wasted / days, missing.sum() / days

    wasted, missing = over_runs(watch).T
    known = exact.two_days(mean, up_to)
    agrees(wasted, known[0], AMONG, sees=0.12)
    agrees(missing, known[1], AMONG, sees=0.7)


@pytest.mark.parametrize(("mean", "lead", "up_to", "spread"), BASE, ids=str)
def test_base_stock_whatever_the_spread_of_the_lead_time(mean: float, lead: float, up_to: int, spread: Spread) -> None:
    """Every order is bought again at once; orders wait for goods."""
    name = f"base stock {mean} {lead} {up_to} {spread}"
    shop = Shop(name, Exponential(1 / mean), 1.0, up_to, lead=spread, unfilled="waits")

    def watch(number: int) -> tuple[float]:
        orders = trade(shop, SEED, number, hours=10 * lead + 3_000 / mean).orders
        return (float((orders.at_once[orders.came > 10 * lead] >= 1).mean()),)

    agrees(over_runs(watch)[:, 0], exact.base_stock_fill(mean, lead, up_to), AMONG)


def daily(seen: Traded, buy: float, sell: float, scrap: float, lost: float = 0.0) -> np.ndarray:
    """Profit of each day of goods that last a day."""
    orders, days = seen.orders, len(seen.orders.amount)
    wasted = np.zeros(days)
    wasted[(seen.wasted.when / DAY).astype(int) - 1] = seen.wasted.amount
    bought = seen.arrived.amount[:days]
    return sell * orders.at_once - buy * bought + scrap * wasted - lost * (orders.amount - orders.at_once)


def day_shop(name: str, demand: Spread, order: float) -> Shop:
    return Shop(name, DAY, demand, order, each=DAY, first=12.0, life=DAY)


@pytest.mark.parametrize("order", [21, 22, 23])
def test_newsvendor(order: int) -> None:
    """Poisson(20), sold at 10, bought at 4, left over worth 1: best order 22. Days are alike, nothing is cut off."""
    shop = day_shop("newsvendor", Poisson(20.0), order)
    profit = over_runs(lambda number: (daily(trade(shop, SEED, number, hours=DAY * 1_000 + 1), 4, 10, 1).mean(),))[:, 0]
    agrees(profit, exact.newsvendor(exact.poisson_demand(20), order, buy=4, sell=10, scrap=1), AMONG, sees=0.03)


def test_newsvendor_with_a_normal_demand() -> None:
    """Normal(100, 20), sold at 10, bought at 6, worth nothing the next day: 94.9331 are best and bring 322.7315 a day.

    The demand is drawn from a list of its quantiles, fine enough that the list's own best is the same to 0.01.
    """
    demand = Measured(tuple(stats.norm(100, 20).ppf((np.arange(5_000) + 0.5) / 5_000)))
    listed = [(value, 1 / 5_000) for value in demand.values]
    assert exact.newsvendor(listed, 94.9331, buy=6, sell=10, scrap=0) == pytest.approx(322.7315, abs=0.01)
    shop = day_shop("normal newsvendor", demand, 94.9331)
    profit = over_runs(lambda number: (daily(trade(shop, SEED, number, hours=DAY * 1_000 + 1), 6, 10, 0).mean(),))[:, 0]
    agrees(profit, 322.7315, AMONG, sees=0.03)


def test_best_order_of_a_newsvendor() -> None:
    demand = exact.poisson_demand(20)
    profits = {order: exact.newsvendor(demand, order, buy=4, sell=10, scrap=1) for order in range(10, 40)}
    assert max(profits, key=lambda order: profits[order]) == 22 == stats.poisson(20).ppf(6 / 9)
    normal = stats.norm(100, 20)
    best = normal.ppf(0.4)
    assert best == pytest.approx(94.9331, abs=5e-5)
    assert 4 * 100 - 10 * 20 * stats.norm.pdf(stats.norm.ppf(0.4)) == pytest.approx(322.7315, abs=5e-5)


DEMAND = {
    0.35: {40: 0.03, 50: 0.05, 60: 0.15, 70: 0.20, 80: 0.35, 90: 0.15, 100: 0.07},
    0.45: {40: 0.10, 50: 0.18, 60: 0.40, 70: 0.20, 80: 0.08, 90: 0.04},
    0.20: {40: 0.44, 50: 0.22, 60: 0.16, 70: 0.12, 80: 0.06},
}
"""News sold on good, fair and poor days (an example of the kind in Banks et al., Discrete-Event System Simulation; the
table is from memory)."""
MIXED = [(float(d), sum(day * table.get(d, 0.0) for day, table in DEMAND.items())) for d in range(40, 101, 10)]
NEWS = Chances(tuple(d for d, _ in MIXED), tuple(p for _, p in MIXED))
PRICES = {"buy": 0.33, "sell": 0.50, "scrap": 0.05, "lost": 0.17}


@pytest.mark.parametrize("order", ORDERS)
def test_news_dealer(order: int) -> None:
    known = dict(zip(ORDERS, (2.7115, 5.2218, 6.8486, 6.8355, 5.6816, 3.4706), strict=True))
    assert exact.newsvendor(MIXED, order, **PRICES) == pytest.approx(known[order], abs=5e-5)
    shop = day_shop("news", NEWS, order)
    profit = over_runs(lambda number: (daily(trade(shop, SEED, number, hours=DAY * 500 + 1), **PRICES).mean(),))[:, 0]
    agrees(profit, known[order], AMONG, sees=0.1)


def test_twenty_days_cannot_separate_an_order_of_60_from_70() -> None:
    """The same days for both: the interval of the difference (0.013 a day) holds 0; that of 40 against 60 does not."""

    def profits(order: int) -> np.ndarray:
        return daily(trade(day_shop("news", NEWS, order), SEED, hours=DAY * 20 + 1), **PRICES)

    close = stats.ttest_rel(profits(60), profits(70)).confidence_interval(0.95)
    far = stats.ttest_rel(profits(60), profits(40)).confidence_interval(0.95)
    assert close.low < 0.0 < close.high
    assert far.low > 0.0
