"""House rules on ripe blocks that wait: held cold, left on the rack, fruited or sold cheap; and on which days they move."""

from __future__ import annotations

from farmsim.record import balance
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer
from farmsim.scenario.strain import HoldsRipe
from farmsim.scenario.values import Range

from ..tiny import COLD, FRIDGE, GROWER, LINE, OYSTER, SHED, SHIITAKE, TANKS, D, Fixed, lines, log, seen

LONG = OYSTER.but(first_pick=Fixed(30 * D), holds_ripe=HoldsRipe(on_the_rack=4 * D))
CHEAP = BlockCustomer(name="yard", kind="outlet", takes="anything", days=("thu",), leave_by=10.0)
SOLD = ("blocks", "block_orders")
NO_ROOM = {"room": ()}
SELL = Rules(surplus_blocks="sell cheap", surplus_left=2 * D)


def sold(**parts: object) -> list[str]:
    record = seen(LONG, **parts)
    assert balance.faults(record) == []
    return [line for line in log(record, "blocks", "block_orders") if "bought" not in line and "opened" not in line]


# --- sold cheap -----------------------------------------------------------------------------------------------------


def test_ripe_blocks_near_the_end_of_their_time_go_to_the_outlet() -> None:
    # Ripe on Monday 08:00, for 4 days: on Thursday 10:00 there are 22 h left.
    assert sold(**NO_ROOM, block_customer=(CHEAP,), rules=SELL) == ["thu 10:00  8 of A0 sold cheap to yard"]


def test_blocks_with_more_time_left_are_no_surplus() -> None:
    early = CHEAP.but(days=("tue",))
    assert sold(**NO_ROOM, block_customer=(early,), rules=SELL) == []
    assert sold(**NO_ROOM, block_customer=(early,), rules=SELL.but(surplus_left=3 * D)) != []


def test_blocks_that_are_promised_are_not_sold_cheap() -> None:
    friday = GROWER.but(takes={"oyster": 3.0}, days=("fri",), leave_by=7.0, notice=3 * D)
    assert sold(**NO_ROOM, block_customer=(friday, CHEAP), rules=SELL) == lines("""
        thu 10:00  5 of A0/1 sold cheap to yard
        fri 07:00  3 of A0 sold to grower
        fri 07:00  grower gets 3 of 3 oyster, 0 carried over
    """)


def test_blocks_called_to_a_room_are_not_sold_cheap() -> None:
    assert sold(block_customer=(CHEAP.but(days=("mon",), leave_by=8.5),), rules=SELL.but(surplus_left=9 * D)) == []


def test_overripe_blocks_are_not_sold_cheap() -> None:
    late = CHEAP.but(days=("sat",))
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=4 * D))
    assert log(seen(strain, **NO_ROOM, block_customer=(late,), rules=SELL), "block_orders") == []
    assert not [
        line for line in log(seen(strain, **NO_ROOM, block_customer=(late,), rules=SELL), "blocks") if "cheap" in line
    ]


def test_an_outlet_takes_blocks_of_its_age_in_its_months() -> None:
    assert sold(**NO_ROOM, block_customer=(CHEAP.but(age=Range(0.0, 3 * D)),), rules=SELL) == []
    assert sold(**NO_ROOM, block_customer=(CHEAP.but(months=("feb",)),), rules=SELL) == []


def test_after_the_rule_has_changed_nothing_more_goes_to_the_outlet() -> None:
    assert sold(**NO_ROOM, block_customer=(CHEAP,), rules=SELL.but(surplus_blocks="hold cold")) == []


# --- held cold or left on the rack ----------------------------------------------------------------------------------


def test_surplus_is_held_cold_or_waits_on_the_rack() -> None:
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=2 * D, cold=4 * D))
    place = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, **NO_ROOM}
    cold, rack = (seen(strain, **place, rules=Rules(surplus_blocks=rule)) for rule in ("hold cold", "wait on the rack"))
    assert "tue 00:00  A0 comes to walk-in cold" not in log(cold, "stays")
    assert [line for line in log(cold, "stays") if "walk-in" in line] == ["wed 00:00  A0 comes to walk-in cold"]
    assert [line for line in log(rack, "stays") if "walk-in" in line] == []
    assert [line for line in log(rack, "blocks") if "too old" in line] == ["sat 00:00  8 of A0 too old"]
    assert [line for line in log(cold, "blocks") if "too old" in line] == []


# --- fruited --------------------------------------------------------------------------------------------------------

SATURDAY = GROWER.but(days=("sat",), notice=121.0, takes={"oyster": 8.0})  # known on Monday 08:00


def test_surplus_is_fruited_although_it_is_promised() -> None:
    # Ripe on Monday 10:00 for 4 days: on Wednesday 10:00 two days are left, which is seen at midnight. Kept back, it is
    # overripe from Friday 10:00 on, too old to be sold on Saturday.
    kept, let_go = (
        log(
            seen(LONG, block_customer=(SATURDAY,), start=(LINE.but(arrives=10.0),), rules=Rules(surplus_blocks=rule)),
            *SOLD,
        )
        for rule in ("hold cold", "fruit")
    )
    short = "sat 09:00  grower gets 0 of 8 oyster, 0 carried over"
    assert kept == ["mon 10:00  8 of A0 bought", "sat 07:30  8 of A0 opened", short]
    assert let_go == ["mon 10:00  8 of A0 bought", "thu 07:00  8 of A0 opened", short]


def test_blocks_with_time_left_are_kept_back_under_either_rule() -> None:
    soon = {"block_customer": (GROWER.but(takes={"oyster": 8.0}, notice=54.0),)}  # due on Wednesday 09:00
    for rule in ("hold cold", "fruit"):
        record = seen(LONG, **soon, rules=Rules(surplus_blocks=rule, surplus_left=1 * D))
        assert log(record, "block_orders") == ["wed 09:00  grower gets 8 of 8 oyster, 0 carried over"]


def test_a_lot_that_was_called_waits_for_a_tank_whatever_is_promised_since() -> None:
    # A0 to A2 are called on Monday 06:00 and need the one tank in turn; what comes on Tuesday is promised for Wednesday.
    strain = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None)
    start = (LINE.but(blocks=24.0, arrives=6.0), LINE.but(name="B", blocks=16.0, days=("tue",), arrives=6.0))
    order = GROWER.but(takes={"oyster": 16.0}, notice=36.0)
    parts = {"start": start, "soak": TANKS, "room": (SHED.but(holds=100.0),), "block_customer": (order,)}
    for rule in ("hold cold", "fruit"):
        stays = log(seen(strain, **parts, rules=Rules(surplus_blocks=rule)), "stays")
        assert "wed 11:00  A2 comes to soak tanks, asked mon 06:00" in stays


# --- moving days ----------------------------------------------------------------------------------------------------


def test_lots_are_called_in_on_moving_days_only() -> None:
    # Ripe on Monday 08:00; lots move on Tuesday and Friday.
    moving = Rules(call_in="on moving days", moving_days=("tue", "fri"))
    record = seen(LONG, start=(LINE, LINE.but(name="B", days=("wed",))), room=(SHED,), rules=moving)
    assert [line for line in log(record, "stays") if "promised" in line] == lines("""
        tue 00:00  A0 comes to Shed, promised, asked mon 08:00
        fri 00:00  B0 comes to Shed, promised, asked wed 08:00
    """)


def test_on_a_moving_day_a_lot_is_called_when_it_is_ripe() -> None:
    moving = Rules(call_in="on moving days", moving_days=("mon",))
    record = seen(LONG, rules=moving)
    assert [line for line in log(record, "stays") if "promised" in line] == ["mon 08:00  A0 comes to Shed, promised"]
    assert log(record) == log(seen(LONG))
