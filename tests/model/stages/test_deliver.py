"""Selling fresh mushrooms: orders at the leave-by hour, first expired first out, past dates, the outlet."""

from __future__ import annotations

from farmsim.record import balance
from farmsim.scenario.rules import Rules

from ..tiny import LINE, OUTLET, OWNER, OYSTER, SHED, SHOP, D, lines, log, of_crew, seen

BIG = SHED.but(holds=100.0)
TWO = {"start": (LINE.but(blocks=16.0),), "room": (BIG,)}
SOLD = ("stock_out", "orders")


def test_an_order_is_filled_from_what_is_packed_when_the_round_leaves() -> None:
    assert log(seen(customer=(SHOP,)), "packs", *SOLD) == lines("""
        wed 07:30  packed 4 of oyster
        wed 09:00  3 firsts of oyster sold to shop, good until wed2 07:00
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
    """)


def test_what_is_packed_in_the_very_moment_the_round_leaves_goes_with_it() -> None:
    on_time = seen(customer=(SHOP.but(leave_by=7.5),))
    too_soon = seen(customer=(SHOP.but(leave_by=7.25),))
    assert log(on_time, "orders") == ["wed 07:30  shop gets 3 of 3 oyster, 0 carried over"]
    assert log(too_soon, "orders") == ["wed 07:15  shop gets 0 of 3 oyster, 0 carried over"]


def test_what_is_short_is_lost() -> None:
    assert log(seen(customer=(SHOP.but(takes={"oyster": 5.0}),)), *SOLD) == lines("""
        wed 09:00  4 firsts of oyster sold to shop, good until wed2 07:00
        wed 09:00  shop gets 4 of 5 oyster, 0 carried over
    """)


def test_or_carried_to_the_next_day() -> None:
    # On Wednesday there is one lot of two; the other is packed on Thursday.
    start = (LINE, LINE.but(name="B", days=("tue",)))
    shop = SHOP.but(takes={"oyster": 5.0}, unfilled="next day")
    assert log(seen(start=start, room=(BIG,), customer=(shop,)), *SOLD) == lines("""
        wed 09:00  4 firsts of oyster sold to shop, good until wed2 07:00
        wed 09:00  shop gets 4 of 5 oyster, 1 carried over
        thu 09:00  1 firsts of oyster sold to shop, good until thu2 07:00
        thu 09:00  shop gets 1 of 1 oyster, 0 carried over
    """)


def test_what_is_carried_over_once_and_still_not_there_is_lost() -> None:
    start = (LINE.but(days=("wed",)),)
    shop = SHOP.but(days=("mon", "thu"), takes={"oyster": 3.0}, unfilled="next day")
    assert log(seen(start=start, customer=(shop,)), "orders") == lines("""
        mon 09:00  shop gets 0 of 3 oyster, 3 carried over
        tue 09:00  shop gets 0 of 3 oyster, 0 carried over
        thu 09:00  shop gets 0 of 3 oyster, 3 carried over
        fri 09:00  shop gets 3 of 3 oyster, 0 carried over
    """)


def test_what_is_carried_over_meets_the_next_days_own_order() -> None:
    # Nothing is there before Friday: each day's own order is carried on once, beside the next day's own.
    start = (LINE.but(days=("wed",), blocks=16.0),)
    shop = SHOP.but(days=("tue", "wed", "thu", "fri"), takes={"oyster": 1.0}, unfilled="next day")
    record = seen(start=start, room=(BIG,), customer=(shop,))
    assert log(record, "orders") == lines("""
        tue 09:00  shop gets 0 of 1 oyster, 1 carried over
        wed 09:00  shop gets 0 of 1 oyster, 0 carried over
        wed 09:00  shop gets 0 of 1 oyster, 1 carried over
        thu 09:00  shop gets 0 of 1 oyster, 0 carried over
        thu 09:00  shop gets 0 of 1 oyster, 1 carried over
        fri 09:00  shop gets 1 of 1 oyster, 0 carried over
        fri 09:00  shop gets 1 of 1 oyster, 0 carried over
    """)
    assert balance.faults(record) == []


def test_the_first_in_the_file_is_served_first_or_the_largest() -> None:
    small, large = SHOP.but(name="small"), SHOP.but(name="large", takes={"oyster": 4.0})
    in_order = seen(customer=(small, large))
    by_size = seen(customer=(small, large), rules=Rules(served_first="largest first"))
    assert log(in_order, "orders") == lines("""
        wed 09:00  large gets 1 of 4 oyster, 0 carried over
        wed 09:00  small gets 3 of 3 oyster, 0 carried over
    """)
    assert log(by_size, "orders") == lines("""
        wed 09:00  large gets 4 of 4 oyster, 0 carried over
        wed 09:00  small gets 0 of 3 oyster, 0 carried over
    """)


def test_the_oldest_date_is_sold_first() -> None:
    start = (LINE, LINE.but(name="B", days=("tue",)))
    record = seen(start=start, room=(BIG,), customer=(SHOP.but(days=("fri",), takes={"oyster": 5.0}),))
    assert log(record, "stock_out") == lines("""
        fri 09:00  1 firsts of oyster sold to shop, good until thu2 07:00
        fri 09:00  4 firsts of oyster sold to shop, good until wed2 07:00
    """)


def test_nothing_is_sold_past_its_date_it_is_thrown_out() -> None:
    # Good until Friday 07:00, thrown out at the next midnight or when a round leaves.
    strain = OYSTER.but(shelf_life=2 * D)
    nobody = seen(strain)
    late = seen(strain, customer=(SHOP.but(days=("fri",), leave_by=7.0),))
    just = seen(strain, customer=(SHOP.but(days=("fri",), leave_by=6.75),))
    assert log(nobody, *SOLD) == lines("""
        sat 00:00  4 firsts of oyster past date, good until fri 07:00
    """)
    assert log(late, *SOLD) == lines("""
        fri 07:00  4 firsts of oyster past date, good until fri 07:00
        fri 07:00  shop gets 0 of 3 oyster, 0 carried over
    """)
    assert log(just, *SOLD) == lines("""
        fri 06:45  3 firsts of oyster sold to shop, good until fri 07:00
        fri 06:45  shop gets 3 of 3 oyster, 0 carried over
        sat 00:00  1 firsts of oyster past date, good until fri 07:00
    """)


def test_seconds_are_no_firsts() -> None:
    late = OWNER.but(days=("mon", "thu"))  # picked a morning late: 2.5 firsts and 2.5 seconds
    assert log(seen(crew=(late,), customer=(SHOP.but(days=("fri",), takes={"oyster": 5.0}),)), *SOLD) == lines("""
        fri 09:00  2.5 firsts of oyster sold to shop, good until thu2 07:08
        fri 09:00  shop gets 2.5 of 5 oyster, 0 carried over
    """)


def test_an_outlet_takes_all_seconds_after_the_customers_are_served() -> None:
    late = OWNER.but(days=("mon", "thu"))
    outlet, shop = OUTLET.but(days=("fri",)), SHOP.but(days=("fri",), takes={"oyster": 2.0})
    assert log(seen(crew=(late,), customer=(outlet, shop)), *SOLD) == lines("""
        fri 09:00  2 firsts of oyster sold to shop, good until thu2 07:08
        fri 09:00  2.5 seconds of oyster outlet to outlet, good until thu2 07:08
        fri 09:00  shop gets 2 of 2 oyster, 0 carried over
    """)


def test_an_outlet_takes_firsts_that_are_near_their_date() -> None:
    outlet = OUTLET.but(days=("fri",), takes_firsts_left=1 * D)
    fresh = seen(OYSTER.but(shelf_life=4 * D), customer=(outlet,))
    near = seen(OYSTER.but(shelf_life=3 * D), customer=(outlet,))
    assert log(fresh, *SOLD) == []
    assert log(near, *SOLD) == lines("""
        fri 09:00  4 firsts of oyster outlet to outlet, good until sat 07:00
    """)


def test_the_cooler_places_of_what_is_sold_are_free_at_once() -> None:
    record = seen(
        customer=(SHOP.but(takes={"oyster": 3.0}), SHOP.but(name="other", days=("thu",), takes={"oyster": 9.0}))
    )
    assert log(record, "stays", "freed")[5:] == lines("""
        mon 09:00  A0 leaves opening benches (1)
        wed 07:30  crates comes to walk-in
        wed 08:30  A0 leaves Shed (8), done wed 07:00
        wed 08:30  A0 leaves Shed, promised (8)
        wed 09:00  crates gives back 3 of walk-in
        thu 09:00  crates leaves walk-in (1)
    """)


def test_orders_vary_from_delivery_to_delivery_round_what_is_usual() -> None:
    shop = SHOP.but(varies=0.3, days=("mon", "wed", "fri"))
    promised = [row[3] for row in seen(customer=(shop,), weeks=60).rows("orders")]
    assert len(set(promised)) == 180
    mean = sum(promised) / 180
    assert abs(mean - 3.0) < 4 * 0.9 / 180**0.5


def test_what_a_customer_orders_does_not_depend_on_the_others() -> None:
    shop = SHOP.but(varies=0.3)
    alone = seen(customer=(shop,), weeks=4)
    among = seen(customer=(SHOP.but(name="a", varies=0.3), shop, OUTLET), weeks=4)
    assert [row[3] for row in alone.rows("orders")] == [row[3] for row in among.rows("orders") if row[0] == "shop"]


def test_a_customer_served_later_the_same_day_gets_what_is_left() -> None:
    early, late = SHOP.but(takes={"oyster": 3.0}), SHOP.but(name="late", leave_by=12.0, takes={"oyster": 3.0})
    assert log(seen(crew=(of_crew(),), customer=(late, early)), "orders") == lines("""
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
        wed 12:00  late gets 1 of 3 oyster, 0 carried over
    """)
