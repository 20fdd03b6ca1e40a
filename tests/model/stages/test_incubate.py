"""On the racks: ripening, bad blocks and inspection, being called, overripe blocks, cold hold."""

from __future__ import annotations

from farmsim.scenario.rooms import Inspect
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import Contaminated, HoldsRipe

from ..tiny import (
    COLD,
    FRIDGE,
    GROWER,
    LINE,
    OYSTER,
    SHED,
    SHIITAKE,
    TANKS,
    D,
    Fixed,
    Range,
    lines,
    log,
    of_crew,
    seen,
    tiny_racks,
)

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri")
SMALL_SHED = SHED.but(holds=8.0)
LONG = OYSTER.but(first_pick=Fixed(30 * D))  # whoever is in the shed stays there

TOO_MANY = {"start": (LINE.but(blocks=16.0),), "room": (SMALL_SHED,)}  # the second lot finds no shelf


# --- ripening and being called --------------------------------------------------------------------------------------


def test_a_lot_ripens_on_the_rack_and_is_called_to_a_free_shelf() -> None:
    record = seen(LONG, start=(LINE.but(ripe_in=Fixed(2 * D)),))
    assert log(record, "stays", "blocks") == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        wed 08:00  A0 comes to Shed
        wed 08:00  A0 comes to Shed, promised
        wed 08:00  A0 comes to opening benches
        wed 08:00  A0 leaves racks (8)
        wed 09:00  A0 leaves opening benches (1)
        wed 09:00  8 of A0 opened
    """)


def test_a_ripe_lot_waits_on_the_rack_until_a_shelf_is_free() -> None:
    record = seen(start=(LINE.but(blocks=16.0),), room=(SMALL_SHED,))
    assert log(record, "stays", "blocks") == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        mon 08:00  8 of A0 bought
        mon 08:00  8 of A1 bought
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
        wed 07:30  crates comes to walk-in
        wed 08:30  A0 leaves Shed (8), done wed 07:00
        wed 08:30  A0 leaves Shed, promised (8)
        wed 08:30  A1 comes to Shed
        wed 08:30  A1 comes to Shed, promised, asked mon 08:00
        wed 08:30  A1 comes to opening benches
        wed 08:30  A1 leaves racks (8), done mon 08:00
        wed 08:30  8 of A0 cleared
        wed 09:30  A1 leaves opening benches (1)
        wed 09:30  8 of A1 opened
        fri 07:30  crates comes to walk-in
        fri 08:30  A1 leaves Shed (8), done fri 07:00
        fri 08:30  A1 leaves Shed, promised (8)
        fri 08:30  8 of A1 cleared
    """)


def test_a_lot_goes_to_the_room_with_most_room_that_keeps_its_temperature() -> None:
    rooms = (SHED.but(name="Warm", holds=900.0, range=Range(18.0, 24.0)), SHED.but(name="East"))
    rooms += (SHED.but(name="West", holds=24.0),)
    record = seen(LONG, start=(LINE.but(blocks=32.0),), room=rooms)
    assert [line for line in log(record, "stays") if "promised" in line] == lines("""
        mon 08:00  A0 comes to West, promised
        mon 08:00  A1 comes to East, promised
        mon 08:00  A2 comes to West, promised
        mon 08:00  A3 comes to East, promised
    """)


def test_a_lot_is_not_called_on_a_day_from_which_its_opening_falls_on_a_day_off() -> None:
    line = LINE.but(days=("fri",), ripe_in=Fixed(1 * D))
    record = seen(LONG, start=(line,), crew=(of_crew(days=WEEKDAYS),), weeks=2)
    assert log(record, "stays", "blocks") == lines("""
        fri 08:00  A0 comes to racks
        fri 08:00  8 of A0 bought
        mon2 00:00  A0 comes to Shed
        mon2 00:00  A0 comes to Shed, promised, asked sat 08:00
        mon2 00:00  A0 comes to opening benches
        mon2 00:00  A0 leaves racks (8), done sat 08:00
        mon2 07:00  A0 leaves opening benches (1)
        mon2 07:00  8 of A0 opened
        fri2 08:00  A0' comes to racks
        fri2 08:00  8 of A0' bought
        never  A0' waits for Shed, promised since sat2 08:00
    """)


def test_a_lot_is_not_called_when_its_soak_or_its_opening_would_fall_on_a_day_off() -> None:
    # A day of cold, a night in the tank: called on Thursday it would be opened on Saturday.
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS, "crew": (of_crew(days=WEEKDAYS),)}
    called = {}
    for day in WEEKDAYS:
        record = seen(SHIITAKE, start=(LINE.but(days=(day,), arrives=10.0),), weeks=2, **parts)
        called[day] = [line[:9].strip() for line in log(record, "stays") if "A0 comes to Shed, promised" in line]
    assert called == {
        "mon": ["mon 10:00"],
        "tue": ["tue 10:00"],
        "wed": ["wed 10:00"],
        "thu": ["sun 00:00"],
        "fri": ["sun 00:00"],
    }


def test_called_when_a_shelf_is_promised_a_lot_is_ready_when_the_shelf_is_free() -> None:
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS, "room": (SMALL_SHED,)}
    parts |= {"rules": Rules(call_in="when a shelf is promised"), "start": (LINE.but(blocks=16.0),)}
    record = seen(SHIITAKE.but(first_pick=Fixed(3 * D)), **parts)
    assert [line for line in log(record, "stays") if "crates" not in line] == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 08:00  A0 comes to walk-in cold
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        tue 11:00  A0 comes to soak tanks, asked tue 08:00
        tue 11:00  A0 leaves walk-in cold (8), done tue 08:00
        wed 07:00  A0 comes to Shed
        wed 07:00  A0 comes to opening benches
        wed 07:00  A0 leaves soak tanks (1)
        wed 08:00  A0 leaves opening benches (1)
        thu 06:00  A0 leaves Shed, promised (8)
        thu 06:00  A1 comes to Shed, promised, asked mon 08:00
        thu 06:00  A1 comes to walk-in cold
        thu 06:00  A1 leaves racks (8), done mon 08:00
        fri 06:00  A1 comes to soak tanks
        fri 06:00  A1 leaves walk-in cold (8)
        sat 08:15  A0 leaves Shed (8), done sat 06:52
        sat 08:15  A1 comes to Shed, asked fri 18:00
        sat 08:15  A1 comes to opening benches, asked fri 18:00
        sat 08:15  A1 leaves soak tanks (1), done fri 18:00
        sat 09:15  A1 leaves opening benches (1)
        sun 06:00  A1 leaves Shed, promised (8)
    """)


def test_pushed_a_lot_goes_on_as_soon_as_it_is_ripe() -> None:
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS, "room": (SMALL_SHED,)}
    parts |= {"rules": Rules(call_in="push"), "start": (LINE.but(blocks=16.0),)}
    record = seen(SHIITAKE.but(first_pick=Fixed(3 * D)), **parts)
    assert [line for line in log(record, "stays") if "crates" not in line] == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  A0 comes to walk-in cold
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        mon 08:00  A1 comes to walk-in cold
        mon 08:00  A1 leaves racks (8)
        tue 11:00  A0 comes to soak tanks, asked tue 08:00
        tue 11:00  A0 leaves walk-in cold (8), done tue 08:00
        wed 07:00  A0 comes to Shed
        wed 07:00  A0 comes to opening benches
        wed 07:00  A0 leaves soak tanks (1)
        wed 08:00  A0 leaves opening benches (1)
        wed 11:00  A1 comes to soak tanks, asked tue 08:00
        wed 11:00  A1 leaves walk-in cold (8), done tue 08:00
        sat 08:15  A0 leaves Shed (8), done sat 06:52
        sat 08:15  A1 comes to Shed, asked thu 07:00
        sat 08:15  A1 comes to opening benches, asked thu 07:00
        sat 08:15  A1 leaves soak tanks (1), done thu 07:00
        sat 09:15  A1 leaves opening benches (1)
    """)


# --- held back for block orders -------------------------------------------------------------------------------------


PROMISED = GROWER.but(notice=54.0)  # 4 blocks for Wednesday 09:00, known on Monday 03:00


def test_a_lot_that_is_promised_to_a_block_customer_is_not_called_until_the_order_is_filled() -> None:
    # Of two ripe lots one may go: the other is enough for the order.
    record = seen(LONG, start=(LINE.but(blocks=16.0),), block_customer=(PROMISED,))
    assert log(record, "stays", "blocks", "block_orders", "freed") == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        mon 08:00  8 of A0 bought
        mon 08:00  8 of A1 bought
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
        wed 09:00  A1 comes to Shed
        wed 09:00  A1 comes to Shed, promised, asked mon 08:00
        wed 09:00  A1 comes to opening benches
        wed 09:00  A1 leaves racks (4), done mon 08:00
        wed 09:00  A1 gives back 4 of racks
        wed 09:00  4 of A1/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
        wed 09:30  A1 leaves opening benches (1)
        wed 09:30  4 of A1 opened
    """)


def test_the_only_lot_is_held_back_until_the_order_is_filled() -> None:
    assert log(seen(LONG, block_customer=(PROMISED,)), "stays", "blocks", "block_orders", "freed") == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        wed 09:00  A0 comes to Shed
        wed 09:00  A0 comes to Shed, promised, asked mon 08:00
        wed 09:00  A0 comes to opening benches
        wed 09:00  A0 leaves racks (4), done mon 08:00
        wed 09:00  A0 gives back 4 of racks
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
        wed 09:30  A0 leaves opening benches (1)
        wed 09:30  4 of A0 opened
    """)


def test_with_own_rooms_first_a_lot_is_called_and_the_order_is_filled_from_what_is_left() -> None:
    parts = {"rules": Rules(ripe_blocks="own rooms first"), "block_customer": (PROMISED,)}
    record = seen(LONG, **TOO_MANY, **parts)
    assert log(record, "blocks", "block_orders") == lines("""
        mon 08:00  8 of A0 bought
        mon 08:00  8 of A1 bought
        mon 09:00  8 of A0 opened
        wed 09:00  4 of A1/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)


def test_a_held_back_lot_may_be_called_once_another_lot_is_ripe() -> None:
    later = LINE.but(name="B", days=("tue",))
    record = seen(LONG, start=(LINE, later), block_customer=(PROMISED,))
    assert log(record, "stays", "blocks", "block_orders") == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        tue 08:00  A0 comes to Shed
        tue 08:00  A0 comes to Shed, promised, asked mon 08:00
        tue 08:00  A0 comes to opening benches
        tue 08:00  A0 leaves racks (8), done mon 08:00
        tue 08:00  B0 comes to racks
        tue 08:00  8 of B0 bought
        tue 09:00  A0 leaves opening benches (1)
        tue 09:00  8 of A0 opened
        wed 09:00  B0 comes to Shed
        wed 09:00  B0 comes to Shed, promised, asked tue 08:00
        wed 09:00  B0 comes to opening benches
        wed 09:00  B0 leaves racks (4), done tue 08:00
        wed 09:00  4 of B0/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
        wed 09:30  B0 leaves opening benches (1)
        wed 09:30  4 of B0 opened
    """)


def test_an_overripe_lot_is_held_back_no_longer() -> None:
    # It cannot be sold any more, so nothing is gained by keeping it from the shelf.
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=1 * D))
    late = GROWER.but(days=("fri",), notice=102.0)
    record = seen(strain, block_customer=(late,))
    assert log(record, "stays", "blocks", "block_orders") == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        wed 00:00  A0 comes to Shed
        wed 00:00  A0 comes to Shed, promised, asked mon 08:00
        wed 00:00  A0 comes to opening benches
        wed 00:00  A0 leaves racks (8), done mon 08:00
        wed 07:30  A0 leaves opening benches (1)
        wed 07:30  8 of A0 opened
        fri 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)


# --- overripe -------------------------------------------------------------------------------------------------------


def test_a_lot_that_stands_ripe_for_too_long_is_thrown_out() -> None:
    # Ripe on Monday 08:00, holds 2 days, thrown out 2 days after that, at the next midnight.
    record = seen(LONG.but(holds_ripe=HoldsRipe(on_the_rack=2 * D)), **TOO_MANY)
    assert log(record, "stays", "blocks", "waits") == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        mon 08:00  8 of A0 bought
        mon 08:00  8 of A1 bought
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
        sat 00:00  A1 leaves racks (8), done mon 08:00
        sat 00:00  A1 gives up asking for Shed, promised, asked mon 08:00
        sat 00:00  8 of A1 too old
    """)


def test_a_lot_is_moved_to_the_cold_before_its_hold_on_the_rack_is_over() -> None:
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=2 * D, cold=1 * D))
    record = seen(strain, walk_in={"fridge": FRIDGE, "cold": COLD}, **TOO_MANY)
    assert log(record, "stays", "blocks", "waits") == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        mon 08:00  8 of A0 bought
        mon 08:00  8 of A1 bought
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
        wed 00:00  A1 comes to walk-in cold
        wed 00:00  A1 leaves racks (8), done mon 08:00
        sun 00:00  A1 leaves walk-in cold (8), done wed 00:00
        sun 00:00  A1 gives up asking for Shed, promised, asked mon 08:00
        sun 00:00  8 of A1 too old
    """)


def test_a_lot_finds_no_room_in_the_cold_and_stays_on_the_rack() -> None:
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=2 * D, cold=9 * D))
    record = seen(strain, walk_in={"fridge": FRIDGE, "cold": COLD.but(holds=7.0)}, **TOO_MANY)
    assert [line for line in log(record, "stays", "blocks") if "A1" in line] == lines("""
        mon 08:00  A1 comes to racks
        mon 08:00  8 of A1 bought
        sat 00:00  A1 leaves racks (8), done mon 08:00
        sat 00:00  8 of A1 too old
    """)


def test_a_lot_from_the_cold_is_called_like_any_other() -> None:
    strain = OYSTER.but(holds_ripe=HoldsRipe(on_the_rack=2 * D, cold=9 * D))
    record = seen(strain, walk_in={"fridge": FRIDGE, "cold": COLD}, **TOO_MANY)
    assert [line for line in log(record, "stays", "blocks") if "A1" in line] == lines("""
        mon 08:00  A1 comes to racks
        mon 08:00  8 of A1 bought
        wed 00:00  A1 comes to walk-in cold
        wed 00:00  A1 leaves racks (8), done mon 08:00
        wed 08:30  A1 comes to Shed
        wed 08:30  A1 comes to Shed, promised, asked mon 08:00
        wed 08:30  A1 comes to opening benches
        wed 08:30  A1 leaves walk-in cold (8), done wed 00:00
        wed 09:30  A1 leaves opening benches (1)
        wed 09:30  8 of A1 opened
        fri 08:30  A1 leaves Shed (8), done fri 07:00
        fri 08:30  A1 leaves Shed, promised (8)
        fri 08:30  8 of A1 cleared
    """)


def test_a_lot_that_is_not_overripe_is_not_thrown_out_even_where_overripe_blocks_are_thrown_out_at_once() -> None:
    strict = LONG.but(holds_ripe=HoldsRipe(on_the_rack=2 * D), overripe=LONG.overripe.but(thrown_out_after=0.0))
    record = seen(strict, **TOO_MANY)
    assert [line for line in log(record, "blocks") if "A1" in line] == lines("""
        mon 08:00  8 of A1 bought
        thu 00:00  8 of A1 too old
    """)


# --- bad blocks -----------------------------------------------------------------------------------------------------

BAD = OYSTER.but(contaminated=Contaminated(mean=0.5, clusters="none", shows=Fixed(3 * D)))
SEED = 5
RIPENING = LINE.but(ripe_in=Fixed(30 * D))
ROUNDS = Inspect(days=("tue", "fri"), pace=8.0)


def inspected(holds: float = 1000.0, inspect: Inspect = ROUNDS) -> object:
    racks = tiny_racks(holds).but(inspect=inspect)
    return {"incubation": racks}


def test_bad_blocks_are_found_on_the_first_inspection_after_they_show() -> None:
    # Delivered on Monday, they show on Thursday 08:00; the luck of this seed has 3 bad blocks.
    record = seen(BAD, start=(RIPENING,), **inspected(), seed=SEED)
    assert log(record) == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        tue 07:00  owner 0 ends inspect, begun tue 06:00
        fri 07:00  owner 0 ends inspect, begun fri 06:00
        fri 07:00  A0 gives back 3 of racks
        fri 07:00  3 of A0 contaminated
    """)


def test_a_bad_block_keeps_its_place_until_it_is_found() -> None:
    other = LINE.but(name="B", days=("tue",), blocks=3.0, ripe_in=Fixed(30 * D))
    record = seen(BAD, start=(RIPENING, other), **inspected(holds=8.0), seed=SEED)
    assert log(record, "stays", "blocks", "freed") == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        fri 07:00  B0 comes to racks, asked tue 08:00
        fri 07:00  A0 gives back 3 of racks
        fri 07:00  3 of A0 contaminated
        fri 07:00  3 of B0 bought
    """)


def test_without_inspection_bad_blocks_stay_until_the_lot_is_opened() -> None:
    record = seen(BAD, start=(LINE.but(ripe_in=Fixed(4 * D)),), seed=SEED)
    assert log(record, "stays", "blocks", "freed")[:9] == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        fri 08:00  A0 comes to Shed
        fri 08:00  A0 comes to Shed, promised
        fri 08:00  A0 comes to opening benches
        fri 08:00  A0 leaves racks (8)
        fri 09:00  A0 leaves opening benches (1)
        fri 09:00  A0 gives back 3 of Shed
        fri 09:00  A0 gives back 3 of Shed, promised
    """)


def test_an_inspection_that_is_not_done_when_the_next_is_due_goes_on_and_the_next_is_left_out() -> None:
    # 16 blocks at 4 an hour take 4 hours: two lots, each 2 h; the owner is there for an hour a day.
    inspect = Inspect(days=("tue", "wed", "thu", "fri", "sat"), pace=4.0)
    brief = of_crew(start=6.0, end=7.0)
    record = seen(start=(RIPENING.but(blocks=16.0),), crew=(brief,), **inspected(inspect=inspect))
    assert log(record, "tasks") == lines("""
        tue 07:00  owner 0 ends inspect, begun tue 06:00
        wed 07:00  owner 0 ends inspect, begun wed 06:00
        thu 07:00  owner 0 ends inspect, begun thu 06:00
        fri 07:00  owner 0 ends inspect, begun fri 06:00
        sat 07:00  owner 0 ends inspect, begun sat 06:00
        sun 07:00  owner 0 ends inspect, begun sun 06:00
    """)


def test_an_inspection_round_takes_as_many_lots_as_fit_into_an_hour() -> None:
    inspect = Inspect(days=("tue",), pace=16.0)
    record = seen(start=(RIPENING.but(blocks=40.0),), **inspected(inspect=inspect))
    assert log(record, "tasks") == lines("""
        tue 07:00  owner 0 ends inspect, begun tue 06:00
        tue 08:00  owner 0 ends inspect, begun tue 07:00
        tue 08:30  owner 0 ends inspect, begun tue 08:00
    """)


# --- in turn, whatever the order in the file ------------------------------------------------------------------------


def test_the_lot_that_is_ripe_longest_gets_the_last_place_in_the_cold_whatever_the_order_of_strains() -> None:
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=2 * D, cold=9 * D))
    start = (LINE.but(name="A", strain="a", blocks=16.0), LINE.but(name="B", strain="b", arrives=9.0))
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD.but(holds=8.0)}, "room": (SMALL_SHED,), "start": start}
    one = seen({"a": strain, "b": strain}, **parts)
    other = seen({"b": strain, "a": strain}, **parts)
    assert [line for line in log(one, "stays") if "comes to walk-in cold" in line] == [
        "wed 00:00  A1 comes to walk-in cold"
    ]
    assert log(one) == log(other)


def test_lots_are_inspected_in_the_order_in_which_they_came_whatever_the_order_of_lines() -> None:
    start = tuple(RIPENING.but(name=name, blocks=blocks) for name, blocks in (("A", 8.0), ("B", 5.0), ("C", 8.0)))
    inspect = Inspect(days=("tue",), pace=13.0)
    one, other = (seen(start=lines_, **inspected(inspect=inspect)) for lines_ in (start, start[::-1]))
    assert (
        log(one, "tasks")
        == log(other, "tasks")
        == lines("""
        tue 07:00  owner 0 ends inspect, begun tue 06:00
        tue 07:37  owner 0 ends inspect, begun tue 07:00
    """)
    )
