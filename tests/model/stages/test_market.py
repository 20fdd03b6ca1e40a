"""The market stall: what is brought, what the day asks for, what comes back older, and what is lost."""

from __future__ import annotations

import math

import pytest

from farmsim.model.run import run, standing_at
from farmsim.record import balance
from farmsim.record.columns import WHYS
from farmsim.record.tables import Record
from farmsim.scenario.sales import Customer
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.vary import Fixed, MeanCv

from ..tiny import FRIDGE, LINE, OYSTER, SHED, SHOP, D, farm, lines, log, seen

BIG = SHED.but(holds=100.0)
SOLD = ("stock_out", "orders", "market_days")
STALL = Customer(
    name="stall",
    kind="market stall",
    takes={"oyster": 3.0},
    sells={"oyster": Fixed(2.0)},
    days=("wed",),
    leave_by=9.0,
    back_at=15.0,
    comes_back_older=10.0,
)


def market(stall: Customer = STALL, *others: Customer, **parts: object) -> Record:
    record = seen(parts.pop("strain", OYSTER), customer=(stall, *others), **parts)
    assert balance.faults(record) == []
    return record


def test_a_stall_sells_what_is_asked_for_and_the_rest_comes_back_older() -> None:
    # Good until next Wednesday 07:00; 10 hours are taken off what comes back.
    shop = SHOP.but(days=("thu",), takes={"oyster": 9.0})
    assert log(market(STALL, shop), *SOLD) == lines("""
        wed 09:00  2 firsts of oyster stall to stall, good until wed2 07:00
        wed 15:00  stall took 3 of 3 oyster wed 09:00: 2 of 2 asked for sold, 1 came back, 0 lost
        thu 09:00  1 firsts of oyster sold to shop, good until tue2 21:00
        thu 09:00  1 firsts of oyster sold to shop, good until wed2 07:00
        thu 09:00  shop gets 2 of 9 oyster, 0 carried over
    """)


def test_what_comes_back_is_put_in_the_cooler_and_stands_there() -> None:
    record = market()
    assert log(record, "crates") == lines("""
        wed 07:30  4 + 0 of oyster put in walk-in
        wed 15:00  1 + 0 of oyster put in walk-in
    """)
    at_walk_in = [line for line in log(record, "stays", "freed") if "walk-in" in line]
    assert at_walk_in == lines("""
        wed 07:30  crates comes to walk-in
        wed 09:00  crates gives back 3 of walk-in
        wed 15:00  crates comes to walk-in
    """)


def test_what_comes_back_cools_down_again_and_that_costs_it_warm_hours() -> None:
    # Picked at 07:00, in the cooler at 07:30; each time 2 h / ln 2 of warmth are left in it, each warm hour costs 3.
    record = market(strain=OYSTER.but(warm_costs=3.0), weeks=2)
    warm = 2 * (FRIDGE.half_cooling / math.log(2.0))
    fresh = 2 * D + 7.0 + 7 * D - 2 * 0.5 - warm
    sold, thrown = (
        min(row[5] for row in record.rows("stock_out") if row[2] == WHYS.index(why)) for why in ("stall", "past date")
    )
    assert sold == pytest.approx(fresh, abs=1e-6)
    assert thrown == pytest.approx(fresh - 10.0 - warm, abs=1e-6)


def test_if_there_is_no_room_in_the_cooler_it_stands_warm_as_any_other() -> None:
    # On Thursday lot A takes the one place there is, so B stood warm and would be good until 56 h after 07:00 that day.
    # At 15:00 it has 63 - 10 - 15 = 38 h left, which stood warm are a third of that: until Friday 03:40.
    fridge = {"fridge": FRIDGE.but(holds=1.0)}
    stall = STALL.but(days=("thu",), takes={"oyster": 4.0}, sells={"oyster": Fixed(3.0)})
    start = (LINE, LINE.but(name="B", days=("tue",)))
    record = market(stall, strain=OYSTER.but(warm_costs=3.0, crate=4.0), walk_in=fridge, start=start, room=(BIG,))
    assert log(record, *SOLD) == lines("""
        thu 09:00  3 firsts of oyster stall to stall, good until sat 15:00
        thu 15:00  stall took 4 of 4 oyster thu 09:00: 3 of 3 asked for sold, 1 came back, 0 lost
        sat 00:00  1 firsts of oyster past date, good until fri 03:40
    """)


def test_a_run_can_begin_again_while_what_came_back_stands_warm() -> None:
    # As above on a Sunday; on Monday the cooler is larger, and the kilo that came back is cooled.
    stall = STALL.but(days=("sun",), takes={"oyster": 4.0}, sells={"oyster": Fixed(3.0)})
    start = (LINE.but(days=("thu",)), LINE.but(name="B", days=("fri",)))
    warm = OYSTER.but(warm_costs=3.0, crate=4.0, shelf_life=8 * D)
    small, large = (
        farm(
            warm, {"weeks": 2}, walk_in={"fridge": FRIDGE.but(holds=holds)}, start=start, room=(BIG,), customer=(stall,)
        )
        for holds in (1.0, 2.0)
    )
    tiny = small.but(changes=((168.0, large),))
    whole, standing = run(tiny, 1), standing_at(tiny, 1, 0, 168.0)
    assert [stands.life[1] is not None for stands in standing.crates if stands.waits is not None] == [True]
    again = run(tiny, 1, standing=standing)
    for table in ("stock_out", "stays", "crates", "market_days", "orders"):
        assert again.rows(table) == whole.rows(table)[len(whole.rows(table, before=168.0)) :], table


def test_what_is_asked_for_and_not_there_is_not_sold() -> None:
    stall = STALL.but(sells={"oyster": Fixed(5.0)})
    assert log(market(stall), *SOLD) == lines("""
        wed 09:00  3 firsts of oyster stall to stall, good until wed2 07:00
        wed 15:00  stall took 3 of 3 oyster wed 09:00: 3 of 5 asked for sold, 0 came back, 0 lost
    """)


def test_a_stall_brings_no_more_than_there_is() -> None:
    stall = STALL.but(takes={"oyster": 6.0}, sells={"oyster": Fixed(1.5)})
    told = log(market(stall), "market_days")
    assert told == ["wed 15:00  stall took 4 of 6 oyster wed 09:00: 1.5 of 1.5 asked for sold, 2.5 came back, 0 lost"]


def test_or_the_rest_is_lost() -> None:
    stall = STALL.but(unsold="lost", back_at=None)
    assert log(market(stall), *SOLD) == lines("""
        wed 09:00  1 firsts of oyster lost at the stall, good until wed2 07:00
        wed 09:00  2 firsts of oyster stall to stall, good until wed2 07:00
        wed 09:00  stall took 3 of 3 oyster wed 09:00: 2 of 2 asked for sold, 0 came back, 1 lost
    """)


def test_what_would_be_past_its_date_when_it_is_back_is_thrown_out() -> None:
    # Good until Thursday 01:00 or a little later; at 15:00 ten hours are taken off: used up to the minute, or not.
    used_up = market(strain=OYSTER.but(shelf_life=18.0))
    just = market(strain=OYSTER.but(shelf_life=18.25))
    assert log(used_up, *SOLD)[1:] == lines("""
        wed 15:00  1 firsts of oyster past date, good until wed 15:00
        wed 15:00  stall took 3 of 3 oyster wed 09:00: 2 of 2 asked for sold, 0 came back, 1 lost
        fri 00:00  1 firsts of oyster past date, good until thu 01:00
    """)
    assert "wed 15:00  stall took 3 of 3 oyster wed 09:00: 2 of 2 asked for sold, 1 came back, 0 lost" in log(
        just, *SOLD
    )


def test_the_oldest_is_brought_and_sold_first() -> None:
    start = (LINE, LINE.but(name="B", days=("tue",)))
    stall = STALL.but(days=("fri",), takes={"oyster": 5.0}, sells={"oyster": Fixed(4.5)})
    record = market(stall, SHOP.but(days=("sat",), takes={"oyster": 9.0}), start=start, room=(BIG,))
    assert log(record, *SOLD) == lines("""
        fri 09:00  0.5 firsts of oyster stall to stall, good until thu2 07:00
        fri 09:00  4 firsts of oyster stall to stall, good until wed2 07:00
        fri 15:00  stall took 5 of 5 oyster fri 09:00: 4.5 of 4.5 asked for sold, 0.5 came back, 0 lost
        sat 09:00  0.5 firsts of oyster sold to shop, good until wed2 21:00
        sat 09:00  3 firsts of oyster sold to shop, good until thu2 07:00
        sat 09:00  shop gets 3.5 of 9 oyster, 0 carried over
    """)


def test_orders_go_before_a_stall_unless_it_is_said_otherwise() -> None:
    brought = "stall took {} of 3 oyster"
    assert any(brought.format(1) in line for line in log(market(STALL, SHOP), *SOLD))
    assert any(brought.format(3) in line for line in log(market(STALL.but(goes_short="last"), SHOP), *SOLD))


def test_a_stall_follows_the_months_in_what_it_brings_and_in_what_is_asked_for() -> None:
    poor = Months(orders=(0.5, *AS_USUAL[1:]))
    told = log(market(months=poor), "market_days")
    assert told == ["wed 15:00  stall took 1.5 of 1.5 oyster wed 09:00: 1 of 1 asked for sold, 0.5 came back, 0 lost"]


def test_what_a_day_asks_for_does_not_depend_on_what_is_brought() -> None:
    stall = STALL.but(sells={"oyster": MeanCv(2.0, 0.5)}, days=("wed", "sat"))
    few, much = (market(stall.but(takes={"oyster": kg}), weeks=6).rows("market_days") for kg in (1.0, 4.0))
    assert [row[5] for row in few] == [row[5] for row in much]
    assert len({row[5] for row in few}) == 12
