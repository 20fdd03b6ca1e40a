"""Prices that vary by luck: one factor for a customer and a calendar quarter, lognormal with a mean of 1.

Each Wednesday morning the tiny farm's shop takes 3 kg at 10; 4 January 2027 is a Monday, Thursday 1 April begins a quarter.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import exp, log, sqrt

import numpy as np
import pytest
from model.tiny import GROWER, LINE, SHOP, D, W, farm, seen
from model.tiny import Fixed as Always

from farmsim.model import price_luck
from farmsim.model.luck import Luck
from farmsim.model.price_luck import quarters
from farmsim.model.run import run
from farmsim.money.price_luck import by_luck, factor
from farmsim.money.states import States
from farmsim.money.tables import summarise
from farmsim.record.tables import Record

PAID = SHOP.but(price=10.0)
VARIES = PAID.but(price_varies=0.2)
FIRST, SECOND = 2027 * 4, 2027 * 4 + 1
"""The first two quarters of 2027."""
SEED, NUMBER = 1, 0


def times(cause: str, name: str, ordinal: int, cv: float) -> float:
    """What luck makes of a price, by the formula of the lognormal spread."""
    spread = log(1.0 + cv * cv)
    return exp(sqrt(spread) * float(Luck(SEED, NUMBER).normals(cause, name, ordinal, 1)[0]) - spread / 2.0)


def taken(record: Record, what: str = "mushrooms") -> list[float]:
    return [float(each) for each in summarise(record)["money"][what]]


def test_a_quarters_price_is_the_price_times_its_luck() -> None:
    """13 Wednesdays before the first of April, then those after it."""
    record = seen(customer=(VARIES,), about={"weeks": 14}, weeks=14)
    first, second = (30.0 * times("price", "shop", ordinal, 0.2) for ordinal in (FIRST, SECOND))
    assert abs(first - second) > 1.0
    assert np.cumsum(taken(record)) == pytest.approx(
        [*(first * at for at in range(1, 14)), 13 * first + second], abs=0.01
    )


def test_what_luck_a_customer_has_goes_by_its_name_whoever_else_there_is() -> None:
    other = VARIES.but(name="another", takes={"oyster": 1.0})
    alone = seen(customer=(VARIES,))
    among = seen(customer=(other, PAID.but(name="third", takes={}), VARIES.but(price_varies=0.4)))
    (row,) = alone.rows("price_luck")
    assert row == ("shop", "", -72.0, float(Luck(SEED, NUMBER).normals("price", "shop", FIRST, 1)[0]))
    assert row in among.rows("price_luck")
    assert [name for name, *_ in among.rows("price_luck")] == ["another", "shop"]
    assert len({luck for *_, luck in among.rows("price_luck")}) == 2


def test_every_quarter_and_every_run_has_luck_of_its_own() -> None:
    year = farm(customer=(VARIES,), about={"weeks": 53})
    runs = [run(year, SEED, number, 53).figures("price_luck", "luck").tolist() for number in range(2)]
    assert [len(each) for each in runs] == [5, 5]
    assert len(set(runs[0] + runs[1])) == 10


def test_blocks_have_luck_of_their_own() -> None:
    """On Wednesday 09:00 4 of the lot's 8 blocks are sold at 9; who buys mushrooms under the same name has other luck."""
    grower = GROWER.but(price=9.0, price_varies=0.1)
    line = LINE.but(ripe_in=Always(2 * D))
    record = seen(start=(line,), block_customer=(grower,), customer=(VARIES.but(name=grower.name),))
    assert taken(record, "blocks") == [
        pytest.approx(36.0 * times("price of blocks", grower.name, FIRST, 0.1), abs=0.005)
    ]
    assert len({luck for *_, luck in record.rows("price_luck")}) == 2


def test_luck_comes_on_top_of_months_and_drift_and_each_states_own_spread() -> None:
    """From the second Monday on prices vary twice as much: the same luck, a wider spread."""
    wider = farm(customer=(VARIES.but(price_varies=0.4, price_months=(0.5,) * 12),), about={"weeks": 2})
    record = run(farm(customer=(VARIES,), about={"weeks": 2}, changes=((W, wider),)), SEED, NUMBER, 2)
    first, second = (30.0 * times("price", "shop", FIRST, cv) for cv in (0.2, 0.4))
    assert taken(record) == pytest.approx([first, second / 2], abs=0.01)


def test_a_customer_who_comes_later_with_a_spread_has_it_from_then_on() -> None:
    later = farm(customer=(VARIES,), about={"weeks": 2})
    record = run(farm(customer=(PAID,), about={"weeks": 2}, changes=((W, later),)), SEED, NUMBER, 2)
    assert taken(record) == pytest.approx([30.0, 30.0 * times("price", "shop", FIRST, 0.2)], abs=0.01)


def test_nothing_but_money_hears_it() -> None:
    plain, varied = seen(customer=(PAID,), weeks=2), seen(customer=(VARIES,), weeks=2)
    assert {table for table in plain.tables if plain.rows(table) != varied.rows(table)} == {"price_luck"}
    assert taken(plain) != taken(varied)


def test_a_farm_whose_prices_do_not_vary_has_no_luck_with_them() -> None:
    plain, varied = seen(customer=(PAID,)), seen(customer=(VARIES,))
    assert taken(plain) == [30.0]
    assert plain.rows("price_luck") == [] != varied.rows("price_luck")


def test_a_longer_run_and_a_longer_lead_in_keep_the_luck() -> None:
    def rows(weeks: int, lead_in: int) -> list[tuple[object, ...]]:
        about = {"weeks": weeks, "begin": "full swing", "lead_in": lead_in}
        return seen(customer=(VARIES,), about=about, weeks=weeks).rows("price_luck")

    assert rows(2, 1) == rows(2, 4) == rows(15, 1)[:1] and len(rows(15, 1)) == 2


def test_a_quarter_begins_with_its_first_instant() -> None:
    """What leaves at the midnight with which April begins has April's price, what leaves just before it still March's."""
    record = seen(customer=(VARIES,), about={"weeks": 14}, weeks=14)
    april = float(record.figures("price_luck", "when")[1])
    when = np.array([np.nextafter(april, 0.0), april])
    found = by_luck(record, States(record), "customer", record.names.customers, np.array([0, 0]), when)
    assert found == pytest.approx([times("price", "shop", ordinal, 0.2) for ordinal in (FIRST, SECOND)])


def test_what_leaves_before_the_time_of_the_draws_has_its_plain_price() -> None:
    """Deliveries of the lead-in are not counted; a record that is made to count them all the same has plain prices there."""
    about = {"weeks": 1, "begin": "full swing", "lead_in": 4}
    record = replace(seen(customer=(VARIES,), about=about), start=-2 * W)
    whole = taken(record)
    luck = times("price", "shop", FIRST, 0.2)
    assert whole[0] == 30.0 and whole[2] == pytest.approx(30.0 * luck, abs=0.01)


def test_quarters_of_a_time() -> None:
    """From Monday 28 December 2026 on: it lies in the quarter that began on 1 October, 88 days before."""
    begin = date(2026, 12, 28)
    assert list(quarters(begin, 0.0, W)) == [(2026 * 4 + 3, -88 * D), (2027 * 4, 4 * D)]
    assert list(quarters(begin, 0.0, 4 * D)) == [(2026 * 4 + 3, -88 * D)]
    assert list(quarters(begin, W, 2 * W)) == [(2027 * 4, 4 * D)]


# --- the spread is what it says ---------------------------------------------------------------------------------------

NAMES = 20_000


@pytest.mark.parametrize("cause", [price_luck.FRESH, price_luck.BLOCKS])
@pytest.mark.parametrize("cv", [0.05, 0.3])
def test_mean_and_spread_over_many_names_are_those_given(cause: str, cv: float) -> None:
    """Mean 1, standard deviation `cv`, each judged by its own standard error; the log is normal, so none is below 0."""
    luck = Luck(20270301, 3)
    drawn = np.array([luck.normals(cause, f"customer {at}", FIRST, 1)[0] for at in range(NAMES)])
    factors = factor(np.full(NAMES, cv), drawn)
    assert factors.min() > 0.0
    assert abs(factors.mean() - 1.0) < 4 * cv / sqrt(NAMES)
    squares = (factors - 1.0) ** 2
    assert abs(squares.mean() - cv * cv) < 4 * squares.std() / sqrt(NAMES)


def test_quarters_are_drawn_apart_and_customers_too() -> None:
    """No correlation from one quarter to the next, nor between two causes: |r| below 4 standard errors."""
    luck = Luck(20270301, 3)
    some = range(4_000)
    now, then = (np.array([luck.normals("price", f"c{at}", FIRST + on, 1)[0] for at in some]) for on in (0, 1))
    blocks = np.array([luck.normals("price of blocks", f"c{at}", FIRST, 1)[0] for at in some])
    for other in (then, blocks):
        assert abs(np.corrcoef(now, other)[0, 1]) < 4 / sqrt(len(some))


def test_no_spread_is_a_factor_of_one() -> None:
    assert factor(np.zeros(3), np.array([-2.0, 0.0, 5.0])).tolist() == [1.0, 1.0, 1.0]
