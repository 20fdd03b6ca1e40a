"""A market stall is the newsvendor; orders and stalls in front of mushrooms that last two days are the perishable shop.

Told by the farm's own stock, orders and stalls. Sources of the values at each formula in `exact.py`.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy import stats

from farmsim.model.luck import Luck, Poisson
from farmsim.scenario.sales import Customer
from farmsim.scenario.stall import usually_sold
from farmsim.scenario.values import DAYS
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, Triangular, Vary

from . import exact
from .judge import SEED, agrees, over_runs
from .sales_only import DAY, sold

WEEKS = 52
PIECES = 4_000
POISSON = Measured(tuple(stats.poisson(20).ppf((np.arange(PIECES) + 0.5) / PIECES).tolist()))
NORMAL = Measured(tuple(stats.norm(100, 20).ppf((np.arange(PIECES) + 0.5) / PIECES).tolist()))
"""What a market day asks for, as a list so fine that the list's own profit is the spread's."""
TWO_DAYS = [(5.0, 8), (5.0, 10), (10.0, 16), (10.0, 20)]
AMONG = 3 + 2 + 1 + 2 * len(TWO_DAYS) + 2
STALL = Customer(
    name="stall",
    kind="market stall",
    takes={"oyster": 22.0},
    sells={"oyster": POISSON},
    days=DAYS,
    leave_by=8.0,
    back_at=14.0,
    comes_back_older=10.0,
)


def listed(asked: Measured) -> list[tuple[float, float]]:
    return [(kg, 1 / len(asked.values)) for kg in asked.values]


@cache
def profits(brought: float, asked: Measured, buy: float, sell: float, left: float) -> np.ndarray:
    """Mean profit of a market day in each run; what is not sold is worn out when it is back, and worth what it is."""
    stall = STALL.but(takes={"oyster": brought}, sells={"oyster": asked})

    def watch(number: int) -> tuple[float]:
        days = sold(stall, life=15.0, up_to=brought, number=number, weeks=WEEKS).tables["market_days"]
        assert len(days["sold"]) == 7 * WEEKS
        assert np.all(days["brought"] == brought) and np.all(days["came_back"] == 0.0)
        return (float((sell * days["sold"] + left * days["lost"] - buy * days["brought"]).mean()),)

    return over_runs(watch)[:, 0]


@pytest.mark.parametrize(("brought", "known"), [(21, 104.977810), (22, 105.184531), (23, 104.699029)])
def test_a_stall_is_the_newsvendor(brought: int, known: float) -> None:
    """Poisson(20), sold at 10, grown at 4, left over worth 1: ratio 2/3, and 22 are best."""
    poisson = exact.poisson_demand(20)
    assert exact.newsvendor(poisson, brought, buy=4, sell=10, scrap=1) == pytest.approx(known, abs=5e-7)
    assert exact.newsvendor(listed(POISSON), brought, buy=4, sell=10, scrap=1) == pytest.approx(known, abs=0.01)
    agrees(profits(brought, POISSON, 4, 10, 1), known, AMONG, sees=0.03)


@pytest.mark.parametrize(("brought", "gain"), [(21, 105.184531 - 104.977810), (23, 105.184531 - 104.699029)])
def test_one_pound_more_or_less_is_worth_so_much_on_the_same_days(brought: int, gain: float) -> None:
    """A stall is asked for the same whatever it brings, so that the best amount stands out in the difference."""
    difference = profits(22, POISSON, 4, 10, 1) - profits(brought, POISSON, 4, 10, 1)
    agrees(difference, gain, AMONG, sees=1.0)


def test_a_stall_with_a_normal_day() -> None:
    """Normal(100, 20), sold at 10, grown at 6, worth nothing the next day: 94.9331 are best and bring 322.7315."""
    assert stats.norm(100, 20).ppf(0.4) == pytest.approx(94.9331, abs=5e-5)
    assert exact.newsvendor(listed(NORMAL), 94.9331, buy=6, sell=10, scrap=0) == pytest.approx(322.7315, abs=0.02)
    agrees(profits(94.9331, NORMAL, 6, 10, 0), 322.7315, AMONG, sees=0.03)


@pytest.mark.parametrize("brought", [21, 22, 23])
def test_averages_say_the_same_of_what_a_stall_sells(brought: int) -> None:
    found = 10 * usually_sold(brought, POISSON) + (brought - usually_sold(brought, POISSON)) - 4 * brought
    assert found == pytest.approx(exact.newsvendor(listed(POISSON), brought, buy=4, sell=10, scrap=1))


SPREADS: list[tuple[Vary, object]] = [
    (MeanCv(20.0, 0.4), stats.lognorm(np.sqrt(np.log1p(0.16)), scale=20 / np.sqrt(1.16))),
    (MeanCv(20.0, 0.4, "gamma"), stats.gamma(1 / 0.16, scale=20 * 0.16)),
    (MeanCv(20.0, 2.0, "gamma"), stats.gamma(1 / 4, scale=20 * 4.0)),
    (Triangular(5.0, 10.0, 40.0), stats.triang(5 / 35, loc=5, scale=35)),
    (Triangular(5.0, 5.0, 40.0), stats.triang(0.0, loc=5, scale=35)),
    (Triangular(5.0, 40.0, 40.0), stats.triang(1.0, loc=5, scale=35)),
]


@pytest.mark.parametrize(("asked", "spread"), SPREADS, ids=[str(asked) for asked, _ in SPREADS])
@pytest.mark.parametrize("brought", [0.5, 5.0, 8.0, 10.0, 18.0, 39.0, 45.0, 900.0])
def test_what_is_sold_on_average_is_the_mean_of_the_smaller(asked: Vary, spread: object, brought: float) -> None:
    """The mean of min(brought, asked for) is the area under the chance that more is asked for (scipy's spreads)."""
    at = np.linspace(0.0, brought, 200_001)
    area = np.trapezoid(spread.sf(at), at)  # type: ignore[attr-defined]
    assert usually_sold(brought, asked) == pytest.approx(float(area), rel=1e-5)


def test_what_is_sold_on_average_at_the_ends() -> None:
    between = Between(10.0, 30.0, 0.9)
    as_mean = MeanCv(between.mean, between.sd / between.mean)
    assert usually_sold(15.0, between) == pytest.approx(usually_sold(15.0, as_mean))
    assert usually_sold(0.0, between) == 0.0
    assert usually_sold(15.0, Fixed(20.0)) == 15.0
    assert usually_sold(25.0, Fixed(20.0)) == usually_sold(25.0, MeanCv(20.0, 0.0)) == 20.0
    assert usually_sold(2.0, Measured((1.0, 2.0, 6.0))) == pytest.approx(5 / 3)


# --- mushrooms that last two days -----------------------------------------------------------------------------------

SHOP = Customer(name="shop", takes={"oyster": 0.0}, days=("mon",), leave_by=12.0)
TO_MIDNIGHT = 42.0  # put by at 06:00, sold that day and the next, thrown out at the midnight after
CUT = 20


def wasted(record: object) -> np.ndarray:
    """What went past its date, day by day [kg]."""
    out = record.tables["stock_out"]  # type: ignore[attr-defined]
    past = out["why"] == 1
    return np.bincount((out["when"][past] // DAY).astype(int), out["kg"][past], 7 * 150)


@cache
def two_days(mean: float, up_to: int, is_stall: bool) -> np.ndarray:
    """Thrown out and not sold a day, run by run."""
    # What comes back at noon is of the age it was, and the stall brings all there is.
    stall = STALL.but(takes={"oyster": float(up_to)}, leave_by=8.0, back_at=12.0, comes_back_older=0.0)
    asked = Measured(tuple(stats.poisson(mean).ppf((np.arange(PIECES) + 0.5) / PIECES).tolist()))

    def watch(number: int) -> tuple[float, float]:
        if is_stall:
            record = sold(stall.but(sells={"oyster": asked}), TO_MIDNIGHT, up_to, number, 150)
            days = record.tables["market_days"]
            missing = days["asked"] - days["sold"]
        else:
            record = sold(SHOP, TO_MIDNIGHT, up_to, number, 150, orders=Poisson(mean))
            lines = record.tables["orders"]
            kept = lines["promised"] > 0.0
            missing = (lines["promised"] - lines["delivered"])[kept]
            return float(wasted(record)[CUT:].mean()), float(missing.sum() / (7 * 150))
        return float(wasted(record)[CUT:].mean()), float(missing.mean())

    return over_runs(watch)


@pytest.mark.parametrize(("mean", "up_to"), TWO_DAYS)
def test_orders_for_mushrooms_that_last_two_days(mean: float, up_to: int) -> None:
    """Stock brought up every morning, oldest first, what is missing is lost."""
    seen = two_days(mean, up_to, is_stall=False)
    known = exact.two_days(mean, up_to)
    agrees(seen[:, 0], known[0], AMONG, sees=0.15)
    agrees(seen[:, 1], known[1], AMONG, sees=0.9)


def test_a_stall_with_mushrooms_that_last_two_days() -> None:
    """What comes back as young as it left is sold first the next day: the same shop once more."""
    seen = two_days(5.0, 8, is_stall=True)
    known = exact.two_days(5.0, 8)
    agrees(seen[:, 0], known[0], AMONG, sees=0.15)
    agrees(seen[:, 1], known[1], AMONG, sees=0.5)


def test_orders_day_by_day() -> None:
    """The luck of one run put through a few lines of arithmetic gives every amount, exactly."""
    mean, up_to, days = 5.0, 8, 7 * 20
    record = sold(SHOP, TO_MIDNIGHT, up_to, 0, 20, orders=Poisson(mean))
    asked = Luck(SEED, 0).stream(Poisson(mean), "order", "shop")
    old, got, thrown = 0.0, [], []
    for day in range(days):
        fresh = up_to - old
        got.append(min(asked[day], up_to))
        thrown.append(max(old - asked[day], 0.0))
        old = fresh - max(got[-1] - old, 0.0)
    lines = [row for row in record.rows("orders") if row[2] % DAY == 12.0 and row[3] == asked[int(row[2] // DAY)]]
    by_day = {int(row[2] // DAY): row[4] for row in lines}
    assert [by_day[day] for day in range(days)] == got
    assert wasted(record)[1:days].tolist() == pytest.approx(thrown[: days - 1])
