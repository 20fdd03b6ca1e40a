"""Packing to order: out of crates in stock, in the form a customer wants, before the order leaves."""

from __future__ import annotations

import pickle

import pytest

from farmsim.model.run import run, standing_at
from farmsim.record import balance
from farmsim.record.measures import summarise
from farmsim.record.tables import Record
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import Strain

from ..tiny import LINE, OUTLET, OWNER, OYSTER, SHED, SHOP, D, farm, lines, log, of_crew, seen

CAPS = OYSTER.but(pack_forms={"caps": 2.0, "small clusters": 4.0})
CAFE = SHOP.but(name="cafe", form="caps", leave_by=12.0)
DUTIES = (*OWNER.duties, "pack orders")
BIG = SHED.but(holds=100.0)
TOLD = ("packed_orders", "stock_out", "orders", "shorts")


def packed(*customers: object, strain: Strain = CAPS, **parts: object) -> Record:
    """The tiny farm with customers who want caps or small clusters."""
    record = seen(strain, **{"customer": customers or (CAFE,), "crew": (of_crew(*DUTIES),), **parts})
    assert balance.faults(record) == []
    return record


def test_an_order_of_caps_is_packed_out_of_crates_and_goes_with_what_is_packed() -> None:
    # Caps are packed at 2 kg an hour, in rounds of an hour at most: 3 kg are 1 h and 30 min. The crates keep their places.
    assert log(packed())[9:] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 07:30  owner 0 ends pack, begun wed 07:00
        wed 07:30  packed 4 of oyster
        wed 07:30  crates comes to walk-in
        wed 07:30  4 + 0 of oyster put in walk-in
        wed 08:30  owner 0 ends clear A0, begun wed 07:30
        wed 08:30  A0 leaves Shed (8), done wed 07:00
        wed 08:30  A0 leaves Shed, promised (8)
        wed 08:30  8 of A0 cleared
        wed 09:30  owner 0 ends pack orders, begun wed 08:30
        wed 09:30  packed 2 of oyster to order for cafe, due wed 12:00
        wed 10:00  owner 0 ends pack orders, begun wed 09:30
        wed 10:00  packed 1 of oyster to order for cafe, due wed 12:00
        wed 12:00  crates gives back 1 of walk-in
        wed 12:00  crates gives back 2 of walk-in
        wed 12:00  1 firsts of oyster sold to cafe, good until wed2 07:00
        wed 12:00  2 firsts of oyster sold to cafe, good until wed2 07:00
        wed 12:00  cafe gets 3 of 3 oyster, 0 carried over
    """)


def test_each_form_has_its_pace() -> None:
    assert log(packed(CAFE.but(form="small clusters")), "packed_orders") == lines("""
        wed 09:15  packed 3 of oyster to order for cafe, due wed 12:00
    """)


def test_two_packers_share_an_order() -> None:
    packers = of_crew("pack orders", name="packers", people=2)
    assert log(packed(crew=(of_crew(), packers)), "packed_orders") == lines("""
        wed 08:00  packed 1 of oyster to order for cafe, due wed 12:00
        wed 08:30  packed 2 of oyster to order for cafe, due wed 12:00
    """)


def test_two_packers_may_have_equal_parts_of_one_crate_in_hand() -> None:
    packers = of_crew("pack orders", name="packers", people=2)
    assert log(packed(CAFE.but(takes={"oyster": 4.0}), crew=(of_crew(), packers)), "packed_orders", "orders") == lines("""
        wed 08:30  packed 2 of oyster to order for cafe, due wed 12:00
        wed 08:30  packed 2 of oyster to order for cafe, due wed 12:00
        wed 12:00  cafe gets 4 of 4 oyster, 0 carried over
    """)


@pytest.mark.parametrize(("ahead", "first"), [(6.0, "fri 07:00"), (24.0, "thu 13:00"), (26.0, "thu 11:00")])
def test_it_is_not_begun_sooner_than_so_long_before_it_leaves(ahead: float, first: str) -> None:
    told = log(packed(CAFE.but(days=("fri",), pack_ahead=ahead)), "packed_orders")
    assert told[0] == f"{first}  packed 2 of oyster to order for cafe, due fri 12:00"


def test_an_order_for_monday_is_packed_on_sunday() -> None:
    record = packed(CAFE.but(days=("mon",), leave_by=7.0), weeks=2)
    assert log(record, "packed_orders", "orders") == lines("""
        mon 07:00  cafe gets 0 of 3 oyster, 0 carried over
        sun 08:00  packed 2 of oyster to order for cafe, due mon2 07:00
        sun 08:30  packed 1 of oyster to order for cafe, due mon2 07:00
        mon2 07:00  cafe gets 3 of 3 oyster, 0 carried over
        sun2 08:00  packed 2 of oyster to order for cafe, due mon3 07:00
        sun2 08:30  packed 1 of oyster to order for cafe, due mon3 07:00
    """)


def test_what_is_there_but_not_packed_in_time_is_short_for_that_reason() -> None:
    # From 08:30 on it is packed; the round of packing ends when the order leaves.
    assert log(packed(CAFE.but(leave_by=9.0)), *TOLD) == lines("""
        wed 09:00  1 firsts of oyster sold to cafe, good until wed2 07:00
        wed 09:00  packed 1 of oyster to order for cafe, due wed 09:00
        wed 09:00  cafe gets 1 of 3 oyster, 0 carried over
        wed 09:00  cafe is short of 2 oyster: not packed in time
    """)


def test_what_is_not_there_is_short_without_another_reason() -> None:
    assert log(packed(CAFE.but(takes={"oyster": 5.0})), "orders", "shorts") == lines("""
        wed 12:00  cafe gets 4 of 5 oyster, 0 carried over
    """)


def test_both_may_be() -> None:
    short = CAFE.but(takes={"oyster": 5.0}, leave_by=10.0)
    assert log(packed(short), "orders", "shorts") == lines("""
        wed 10:00  cafe gets 3 of 5 oyster, 0 carried over
        wed 10:00  cafe is short of 1 oyster: not packed in time
    """)


def test_what_is_short_may_be_packed_for_the_next_day() -> None:
    assert log(packed(CAFE.but(leave_by=9.0, unfilled="next day")), "packed_orders", "orders", "shorts") == lines("""
        wed 09:00  packed 1 of oyster to order for cafe, due wed 09:00
        wed 09:00  cafe gets 1 of 3 oyster, 2 carried over
        wed 09:00  cafe is short of 2 oyster: not packed in time
        wed 10:00  packed 2 of oyster to order for cafe, due thu 09:00
        thu 09:00  cafe gets 2 of 2 oyster, 0 carried over
    """)


def test_nobody_else_gets_what_is_packed_for_an_order() -> None:
    shop = SHOP.but(days=("thu",), leave_by=12.0)
    assert log(packed(shop, CAFE.but(days=("thu",))), "orders") == lines("""
        thu 12:00  cafe gets 3 of 3 oyster, 0 carried over
        thu 12:00  shop gets 1 of 3 oyster, 0 carried over
    """)


def test_of_several_crates_a_part_may_stay() -> None:
    # 3 of Wednesday's 4 kg are packed for the cafe on Thursday at noon; the shop takes the fourth, and 2 of Thursday's.
    shop, start = SHOP.but(days=("thu",), leave_by=12.0), (LINE, LINE.but(name="B", days=("tue",)))
    record = packed(shop, CAFE.but(days=("thu",)), start=start, room=(BIG,))
    assert log(record, "orders", "stock_out") == lines("""
        thu 12:00  1 firsts of oyster sold to cafe, good until wed2 07:00
        thu 12:00  1 firsts of oyster sold to shop, good until wed2 07:00
        thu 12:00  2 firsts of oyster sold to cafe, good until wed2 07:00
        thu 12:00  2 firsts of oyster sold to shop, good until thu2 07:00
        thu 12:00  cafe gets 3 of 3 oyster, 0 carried over
        thu 12:00  shop gets 3 of 3 oyster, 0 carried over
    """)
    assert [row for row in record.rows("left_over") if row[2]] == [("oyster", 0, 2.0, 168.0)]
    walk_in = [line for line in log(record, "stays", "freed") if "walk-in" in line]
    assert walk_in[-4:] == lines("""
        thu 12:00  crates leaves walk-in (1)
        thu 12:00  crates gives back 1 of walk-in
        thu 12:00  crates gives back 2 of walk-in
        thu 12:00  crates gives back 2 of walk-in
    """)


def test_crates_are_left_for_orders_in_any_form_that_leave_sooner() -> None:
    shop = SHOP.but(days=("thu",), leave_by=9.0)
    assert log(packed(CAFE.but(days=("thu",)), shop), "packed_orders", "orders") == lines("""
        wed 12:30  packed 1 of oyster to order for cafe, due thu 12:00
        thu 09:00  shop gets 3 of 3 oyster, 0 carried over
        thu 12:00  cafe gets 1 of 3 oyster, 0 carried over
    """)


def test_what_leaves_first_is_packed_first_then_in_the_houses_order() -> None:
    late, small, large = CAFE, CAFE.but(name="small", leave_by=11.0), CAFE.but(name="large", leave_by=11.0)
    late, small, large = (
        late.but(takes={"oyster": 1.0}),
        small.but(takes={"oyster": 0.5}),
        large.but(takes={"oyster": 2.0}),
    )

    def turn(rule: str) -> list[str]:
        told = log(packed(late, small, large, rules=Rules(served_first=rule)), "packed_orders")
        return [line.split(" for ")[1].split(",")[0] for line in told]

    assert turn("file order") == ["small", "large", "cafe"]
    assert turn("largest first") == ["large", "small", "cafe"]


def test_only_what_keeps_until_the_order_leaves_is_packed() -> None:
    # Good until Friday 07:00.
    strain = CAPS.but(shelf_life=2.0 * D)
    in_time = packed(CAFE.but(days=("fri",), leave_by=6.75), strain=strain)
    too_late = packed(CAFE.but(days=("fri",), leave_by=7.0), strain=strain)
    assert log(in_time, "orders") == ["fri 06:45  cafe gets 3 of 3 oyster, 0 carried over"]
    assert log(too_late, "packed_orders", "orders") == ["fri 07:00  cafe gets 0 of 3 oyster, 0 carried over"]


def test_only_those_with_the_duty_pack_to_order() -> None:
    assert log(packed(crew=(of_crew(),)), "packed_orders", "orders", "shorts") == lines("""
        wed 12:00  cafe gets 0 of 3 oyster, 0 carried over
        wed 12:00  cafe is short of 3 oyster: not packed in time
    """)


def test_a_customer_who_is_no_more_gets_nothing_packed_and_the_crates_are_free_again() -> None:
    # From the second Monday on the shop gets what was packed on Sunday for the cafe.
    cafe, shop = CAFE.but(days=("mon",), leave_by=7.0), SHOP.but(days=("mon",), leave_by=9.0)
    first = farm(CAPS, customer=(cafe,), crew=(of_crew(*DUTIES),), about={"weeks": 2})
    record = run(first.but(changes=((7 * D, first.but(customer=(shop,))),)), 1)
    assert log(record, "packed_orders", "orders") == lines("""
        mon 07:00  cafe gets 0 of 3 oyster, 0 carried over
        sun 08:00  packed 2 of oyster to order for cafe, due mon2 07:00
        sun 08:30  packed 1 of oyster to order for cafe, due mon2 07:00
        mon2 09:00  shop gets 3 of 3 oyster, 0 carried over
    """)
    assert balance.faults(record) == []


def test_an_order_that_grows_on_a_date_is_packed_further() -> None:
    cafe = CAFE.but(days=("mon",), leave_by=9.0)
    first = farm(CAPS, customer=(cafe,), crew=(of_crew(*DUTIES),), about={"weeks": 2})
    more = first.but(customer=(cafe.but(takes={"oyster": 4.0}),))
    assert log(run(first.but(changes=((7 * D, more),)), 1), "packed_orders", "orders") == lines("""
        mon 09:00  cafe gets 0 of 3 oyster, 0 carried over
        sun 10:00  packed 2 of oyster to order for cafe, due mon2 09:00
        sun 10:30  packed 1 of oyster to order for cafe, due mon2 09:00
        mon2 06:30  packed 1 of oyster to order for cafe, due mon2 09:00
        mon2 09:00  cafe gets 4 of 4 oyster, 0 carried over
        sun2 10:00  packed 2 of oyster to order for cafe, due mon3 09:00
        sun2 11:00  packed 2 of oyster to order for cafe, due mon3 09:00
    """)


@pytest.mark.parametrize("unfilled", ["lost", "next day"])
def test_what_is_packed_for_monday_is_among_what_stands_on_the_farm(unfilled: str) -> None:
    cafe = CAFE.but(days=("mon", "sun"), leave_by=7.0, unfilled=unfilled, pack_ahead=30.0)
    shop = SHOP.but(days=("mon",), leave_by=7.0, takes={"oyster": 4.0})  # served first, and gets but what is not packed
    slow = farm(CAPS, customer=(shop, cafe), crew=(of_crew(*DUTIES),), start=(LINE,), about={"weeks": 3}, room=(BIG,))
    whole, standing = run(slow, 1, 0, 3), pickle.loads(pickle.dumps(standing_at(slow, 1, 0, 7 * D)))
    assert next((order.form, order.wanted) for order in standing.to_pack) == ("caps", 3.0)
    again = run(slow, 1, 0, 3, standing)
    for table in ("packed_orders", "orders", "shorts", "stock_out", "tasks", "stays", "freed"):
        assert again.rows(table) == whole.rows(table)[len(whole.rows(table, before=7 * D)) :], table


# --- with what else customers may want ------------------------------------------------------------------------------


def test_nobody_packs_before_an_order_is_known() -> None:
    # It leaves at 12:00 and is known an hour before, though packing might begin the day before.
    assert log(packed(CAFE.but(notice=1.0)), "packed_orders") == lines("""
        wed 12:00  packed 2 of oyster to order for cafe, due wed 12:00
    """)


def test_what_was_packed_for_a_customer_who_has_left_is_free_and_nothing_more_is_packed() -> None:
    # 6 kg are wanted on Wednesday and Friday, 4 are there: it leaves on Wednesday. Next week's harvest is all the outlet's.
    cafe = CAFE.but(takes={"oyster": 6.0}, days=("wed", "fri"), leaves_after=1, pack_ahead=4 * D)
    outlet = OUTLET.but(days=("sat",), leave_by=12.0, takes_firsts_left=1000.0)
    record = packed(cafe, outlet, weeks=3, room=(BIG,))
    assert len(record.rows("customers_left")) == 1
    dues = [due for due in record.figures("packed_orders", "due").tolist() if due >= 7 * D]
    assert dues == []
    assert sum(record.figures("left_over", "kg")) == 0.0  # nothing is kept for somebody who does not come


def test_what_is_packed_for_a_known_order_is_not_kept_back_a_second_time() -> None:
    # 2 of 4 kg are packed on Thursday for Friday; the other 2 are to spare for the shop on Thursday evening.
    cafe = CAFE.but(takes={"oyster": 2.0}, days=("fri",), notice=2 * D)
    shop = SHOP.but(takes={"oyster": 2.0}, days=("thu",), leave_by=18.0)
    record = packed(cafe, shop, rules=Rules(keep_back="what is known to be ordered"))
    assert record.figures("orders", "delivered").tolist() == [2.0, 2.0]


def test_hours_of_packing_to_order_are_those_of_the_strain_that_was_packed() -> None:
    found = summarise(packed())["strain_hours"]
    told = dict(zip(zip(found["strain"], found["duty"], strict=True), found["strain_hours"], strict=True))
    assert told[("oyster", "pack orders")] == 1.5
