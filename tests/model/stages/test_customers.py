"""Customers with wishes: who goes short first, mixed orders, other strains instead, call-offs, and who has had enough."""

from __future__ import annotations

import math

import pytest

from farmsim.model.run import run
from farmsim.record import balance
from farmsim.scenario.fresh_sales import Mixed
from farmsim.scenario.rules import Rules
from farmsim.scenario.seasons import AS_USUAL, Months

from ..tiny import LINE, OYSTER, SHED, SHOP, D, farm, lines, log, seen

BIG = SHED.but(holds=100.0)
EARLY = LINE.but(days=("mon",))
OTHER = LINE.but(name="B", strain="nameko")
THIRD = LINE.but(name="C", strain="chestnut")
THREE = {"oyster": OYSTER, "nameko": OYSTER, "chestnut": OYSTER}
SOLD = ("stock_out", "orders", "substituted")


def gets(*customers: object, strain: object = OYSTER, **parts: object) -> list[str]:
    """What the customers get; 4 kg of each strain are there on Wednesday at 17:00."""
    record = seen(strain, customer=customers, room=(BIG,), **parts)
    assert balance.faults(record) == []
    return log(record, *SOLD)


# --- who goes short first -------------------------------------------------------------------------------------------


def test_who_goes_short_first() -> None:
    one, two, three = (SHOP.but(name=name) for name in ("one", "two", "three"))
    told = log(seen(customer=(one.but(goes_short="first"), two, three.but(goes_short="last"))), "orders")
    assert told == lines("""
        wed 09:00  one gets 0 of 3 oyster, 0 carried over
        wed 09:00  three gets 3 of 3 oyster, 0 carried over
        wed 09:00  two gets 1 of 3 oyster, 0 carried over
    """)


def test_the_firmest_is_served_first() -> None:
    firm = [
        SHOP.but(name=name, firm=name, takes={"oyster": 1.5}) for name in ("hoped for", "letter", "by habit", "signed")
    ]
    rules = Rules(served_first="firmest first")
    in_order = log(seen(customer=tuple(firm)), "orders")
    firmest = log(seen(customer=tuple(firm), rules=rules), "orders")
    assert in_order == lines("""
        wed 09:00  by habit gets 1 of 1.5 oyster, 0 carried over
        wed 09:00  hoped for gets 1.5 of 1.5 oyster, 0 carried over
        wed 09:00  letter gets 1.5 of 1.5 oyster, 0 carried over
        wed 09:00  signed gets 0 of 1.5 oyster, 0 carried over
    """)
    assert firmest == lines("""
        wed 09:00  by habit gets 1.5 of 1.5 oyster, 0 carried over
        wed 09:00  hoped for gets 0 of 1.5 oyster, 0 carried over
        wed 09:00  letter gets 1 of 1.5 oyster, 0 carried over
        wed 09:00  signed gets 1.5 of 1.5 oyster, 0 carried over
    """)


def test_who_goes_short_comes_before_how_firm() -> None:
    signed = SHOP.but(name="signed", firm="signed", goes_short="first")
    told = log(seen(customer=(signed, SHOP), rules=Rules(served_first="firmest first")), "orders")
    assert told == lines("""
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
        wed 09:00  signed gets 1 of 3 oyster, 0 carried over
    """)


KEEP = Rules(keep_back="what is known to be ordered")


def kept_back(notice: float, rules: Rules = KEEP, strain: object = OYSTER, **late: object) -> list[str]:
    """A call at 09:00 for all there is, and an order of 3 kg on Thursday by who does not go short."""
    later = SHOP.but(name="later", days=("thu",), notice=notice, **{"goes_short": "last", **late})
    now = SHOP.but(name="now", takes={"oyster": 4.0})
    return log(seen(strain, customer=(now, later), rules=rules), "orders")


def test_what_is_known_to_be_ordered_is_kept_back() -> None:
    kept = lines("""
        wed 09:00  now gets 1 of 4 oyster, 0 carried over
        thu 09:00  later gets 3 of 3 oyster, 0 carried over
    """)
    given = lines("""
        wed 09:00  now gets 4 of 4 oyster, 0 carried over
        thu 09:00  later gets 0 of 3 oyster, 0 carried over
    """)
    assert kept_back(notice=1 * D) == kept
    assert kept_back(notice=1 * D - 0.25) == given  # not known yet when the first leaves
    assert kept_back(notice=1 * D, rules=Rules()) == given


def test_but_not_from_those_who_are_served_before_it() -> None:
    assert kept_back(notice=1 * D, goes_short="first")[0] == "wed 09:00  now gets 4 of 4 oyster, 0 carried over"


def test_nor_what_would_be_past_its_date_by_then() -> None:
    # Picked on Wednesday 07:00, it keeps a day: on Thursday at 09:00 it is worth nothing.
    assert (
        kept_back(1 * D, strain=OYSTER.but(shelf_life=1 * D))[0] == "wed 09:00  now gets 4 of 4 oyster, 0 carried over"
    )


def test_an_order_of_next_week_is_known_too() -> None:
    start = (LINE.but(days=("thu",)),)  # picked on Saturday
    later = SHOP.but(name="later", days=("mon",), notice=2 * D, goes_short="last")
    now = SHOP.but(name="now", days=("sat",), takes={"oyster": 4.0})
    told = log(seen(customer=(now, later), start=start, rules=KEEP, weeks=2), "orders")
    assert told[1:3] == lines("""
        sat 09:00  now gets 1 of 4 oyster, 0 carried over
        mon2 09:00  later gets 3 of 3 oyster, 0 carried over
    """)


def test_what_is_carried_over_is_known() -> None:
    start = (LINE.but(days=("tue",)),)  # picked on Thursday
    first = SHOP.but(
        name="first", days=("wed",), takes={"oyster": 2.0}, unfilled="next day", goes_short="last", leave_by=12.0
    )
    other = SHOP.but(name="other", days=("thu",), takes={"oyster": 4.0})
    told = log(seen(customer=(first, other), start=start, rules=KEEP), "orders")
    assert told == lines("""
        wed 12:00  first gets 0 of 2 oyster, 2 carried over
        thu 09:00  other gets 2 of 4 oyster, 0 carried over
        thu 12:00  first gets 2 of 2 oyster, 0 carried over
    """)


# --- mixed orders and other strains ---------------------------------------------------------------------------------


def mixed(amount: float, at_least: int, *of: str) -> object:
    return SHOP.but(takes={}, leave_by=17.0, mixed=Mixed(of=of or tuple(THREE), at_least=at_least, amount=amount))


def test_a_mixed_order_is_made_up_of_what_there_is_most_of() -> None:
    before = SHOP.but(name="before", takes={"oyster": 2.5, "nameko": 1.0}, leave_by=16.0)
    told = gets(before, mixed(5.0, 2), strain=THREE, start=(LINE, OTHER, THIRD))
    assert shop_orders(told) == lines("""
        wed 17:00  shop gets 2.5 of 2.5 chestnut, 0 carried over
        wed 17:00  shop gets 2.5 of 2.5 nameko, 0 carried over
    """)


def shop_orders(told: list[str]) -> list[str]:
    return [line for line in told if " shop gets" in line]


def test_no_strain_is_more_than_its_share() -> None:
    one_strain = gets(mixed(4.0, 2), strain=THREE, start=(LINE,))
    assert shop_orders(one_strain) == lines("""
        wed 17:00  shop gets 0 of 2 oyster, 0 carried over
        wed 17:00  shop gets 2 of 2 oyster, 0 carried over
    """)
    assert shop_orders(gets(mixed(4.0, 1), strain=THREE, start=(LINE,))) == lines("""
        wed 17:00  shop gets 4 of 4 oyster, 0 carried over
    """)


def test_the_third_strain_fills_up_what_the_second_lacks() -> None:
    start = (LINE.but(blocks=16.0), OTHER.but(blocks=2.0), THIRD.but(blocks=8.0))
    told = gets(mixed(8.0, 2), strain=THREE, start=start, about={"lot": 16.0})
    assert shop_orders(told) == lines("""
        wed 17:00  shop gets 4 of 4 chestnut, 0 carried over
        wed 17:00  shop gets 4 of 4 oyster, 0 carried over
    """)
    start = (LINE.but(blocks=16.0), OTHER.but(blocks=2.0), THIRD.but(blocks=6.0))
    told = gets(mixed(8.0, 2), strain=THREE, start=start, about={"lot": 16.0})
    assert shop_orders(told) == lines("""
        wed 17:00  shop gets 1 of 1 nameko, 0 carried over
        wed 17:00  shop gets 3 of 3 chestnut, 0 carried over
        wed 17:00  shop gets 4 of 4 oyster, 0 carried over
    """)


def test_what_is_short_of_a_mixed_order_can_follow_the_next_day_and_still_be_mixed() -> None:
    start = (LINE, OTHER.but(days=("tue",)))
    shop = mixed(6.0, 2).but(unfilled="next day")
    told = gets(shop, strain=THREE, start=start)
    assert shop_orders(told) == lines("""
        wed 17:00  shop gets 0 of 3 oyster, 3 carried over
        wed 17:00  shop gets 3 of 3 oyster, 0 carried over
        thu 17:00  shop gets 0 of 0.5 oyster, 0 carried over
        thu 17:00  shop gets 1 of 1 oyster, 0 carried over
        thu 17:00  shop gets 1.5 of 1.5 nameko, 0 carried over
    """)


def test_another_strain_is_given_instead_once_its_own_order_is_filled() -> None:
    shop = SHOP.but(leave_by=17.0, takes={"oyster": 6.0, "nameko": 3.0}, substitutes={"oyster": ("nameko", "chestnut")})
    told = gets(shop, strain=THREE, start=(LINE, OTHER, THIRD))
    assert [line for line in told if "firsts" not in line] == lines("""
        wed 17:00  shop gets 3 of 3 nameko, 0 carried over
        wed 17:00  shop gets 6 of 6 oyster, 0 carried over
        wed 17:00  shop takes 1 chestnut instead of oyster
        wed 17:00  shop takes 1 nameko instead of oyster
    """)


def test_nothing_is_given_instead_where_nothing_is_short() -> None:
    shop = SHOP.but(leave_by=17.0, takes={"oyster": 4.0}, substitutes={"oyster": ("nameko",)})
    told = gets(shop, strain=THREE, start=(LINE, OTHER))
    assert told[1:] == ["wed 17:00  shop gets 4 of 4 oyster, 0 carried over"]


# --- call-offs ------------------------------------------------------------------------------------------------------

ALL_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def calls(share: float, **figures: object) -> list[tuple[object, ...]]:
    caller = SHOP.but(kind="call-off", calls=share, days=ALL_DAYS, **figures)
    return list(seen(customer=(caller,), weeks=60).rows("orders"))


def test_one_who_calls_does_so_on_some_of_its_days() -> None:
    assert len(calls(1.0)) == 420
    assert calls(0.0) == []
    called = len(calls(0.6))
    assert abs(called - 252) < 4 * math.sqrt(420 * 0.6 * 0.4)


def test_who_calls_more_often_calls_on_the_same_days_and_more() -> None:
    rare, often = ({row[2] for row in calls(share, varies=0.3)} for share in (0.3, 0.7))
    assert rare < often
    amounts = {row[2]: row[3] for row in calls(0.7, varies=0.3)}
    assert {row[2]: row[3] for row in calls(0.3, varies=0.3)}.items() <= amounts.items()
    assert len(set(amounts.values())) == len(amounts)


def test_call_offs_and_mixed_orders_follow_the_months() -> None:
    poor = Months(orders=(0.5, *AS_USUAL[1:]))
    shop = mixed(4.0, 1, "oyster").but(kind="call-off", calls=1.0)
    record = seen(customer=(shop,), months=poor)
    assert [row[3:5] for row in record.rows("orders")] == [(2.0, 2.0)]


# --- who has had enough ---------------------------------------------------------------------------------------------

PATIENT = SHOP.but(days=("mon", "tue", "wed", "thu"), takes={"oyster": 1.0}, leaves_after=3)


def test_a_customer_leaves_after_so_many_short_deliveries_in_a_row() -> None:
    none = {"start": ()}
    assert log(
        seen(customer=(PATIENT.but(leaves_after=2),), **none), "orders", "customers_left", "not_ordered"
    ) == lines("""
        mon 09:00  shop gets 0 of 1 oyster, 0 carried over
        tue 09:00  shop gets 0 of 1 oyster, 0 carried over
        tue 09:00  shop leaves after 2 short deliveries, 4 a week lost
        wed 09:00  shop would have ordered 1 oyster
        thu 09:00  shop would have ordered 1 oyster
    """)


def test_a_full_delivery_in_between_is_forgiven() -> None:
    # There is nothing on Monday and Tuesday, and what is picked on Wednesday lasts over the next week's Monday.
    stays = seen(customer=(PATIENT,), weeks=2)
    assert stays.rows("customers_left") == []
    assert len(stays.rows("orders")) == 8


@pytest.mark.parametrize(("below", "leaves"), [(0.7, 0), (0.75, 0), (0.76, 1), (1.0, 1)])
def test_how_much_must_be_missing_for_a_delivery_to_be_short(below: float, leaves: int) -> None:
    shop = SHOP.but(takes={"oyster": 16 / 3}, leaves_after=1, short_below=below)  # three quarters of it are there
    assert len(seen(customer=(shop,)).rows("customers_left")) == leaves


def test_what_was_given_instead_does_not_count_as_missing() -> None:
    shop = SHOP.but(leave_by=17.0, takes={"oyster": 6.0}, leaves_after=1, substitutes={"oyster": ("nameko",)})
    assert seen(THREE, customer=(shop,), start=(LINE, OTHER), room=(BIG,)).rows("customers_left") == []


def test_what_follows_the_next_day_was_short_all_the_same() -> None:
    shop = SHOP.but(takes={"oyster": 8.0}, unfilled="next day", leaves_after=1)
    told = log(
        seen(customer=(shop,), start=(LINE, LINE.but(name="B", days=("tue",))), room=(BIG,)), "orders", "customers_left"
    )
    assert told == lines("""
        wed 09:00  shop gets 4 of 8 oyster, 4 carried over
        wed 09:00  shop leaves after 1 short deliveries, 8 a week lost
        thu 09:00  shop gets 4 of 4 oyster, 0 carried over
    """)


def test_the_lead_in_is_not_held_against_the_farm() -> None:
    shop = SHOP.but(leaves_after=1)
    assert seen(customer=(shop,), about={"begin": "full swing", "lead_in": 2}).rows("customers_left") == []
    late = SHOP.but(leaves_after=1, days=("tue",))  # nothing is there on the first Tuesday of all
    assert seen(customer=(late,), about={"begin": "full swing", "lead_in": 2}).rows("customers_left") == []
    assert len(seen(customer=(late,)).rows("customers_left")) == 1


def test_a_month_without_orders_makes_nobody_leave() -> None:
    nothing = Months(orders=(0.0, *AS_USUAL[1:]))
    assert seen(customer=(PATIENT.but(leaves_after=1),), months=nothing).rows("customers_left") == []


def test_who_has_left_does_not_come_back_and_is_the_same_in_every_run() -> None:
    shop = PATIENT.but(leaves_after=2, varies=0.3)
    twice = [seen(customer=(shop,), weeks=4) for _ in range(2)]
    assert len(twice[0].rows("orders")) == 2
    assert len(twice[0].rows("not_ordered")) == 14
    assert all(twice[0].rows(table) == twice[1].rows(table) for table in ("orders", "not_ordered", "customers_left"))
    stays = seen(customer=(shop.but(leaves_after=None),), weeks=4)
    ordered = [(row[2], row[3]) for row in (*twice[0].rows("orders"),)] + [
        (row[2], row[3]) for row in twice[0].rows("not_ordered")
    ]
    assert ordered == [(row[2], row[3]) for row in stays.rows("orders")]


def test_a_change_on_a_date_can_take_the_patience_away() -> None:
    first = farm(customer=(PATIENT.but(leaves_after=None),), start=(), about={"weeks": 2})
    later = farm(customer=(PATIENT.but(leaves_after=1),), start=(), about={"weeks": 2})
    told = log(run(first.but(changes=((168.0, later),)), 1), "orders", "customers_left")
    assert told[4:] == lines("""
        mon2 09:00  shop gets 0 of 1 oyster, 0 carried over
        mon2 09:00  shop leaves after 1 short deliveries, 4 a week lost
    """)
