"""Soaking: when a tank is filled, the night without hands, over-soaking, soaking in the bag, soaking again."""

from __future__ import annotations

from farmsim.model.luck import Luck
from farmsim.model.rota import CrewRota
from farmsim.scenario.rooms import Soak
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import Flushes

from ..tiny import COLD, FRIDGE, GROWER, LINE, SHED, SHIITAKE, TANKS, D, Fixed, lines, log, of_crew, seen

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri")
NO_COLD = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None)
LONG = NO_COLD.but(first_pick=Fixed(30 * D))
PLACES = {"walk_in": {"fridge": FRIDGE}, "soak": TANKS}
TWO = {"start": (LINE.but(blocks=16.0),)}
IN_THE_BAG = Soak(how="in the bag")


def test_a_lot_is_loaded_lies_overnight_and_is_taken_out_in_the_morning() -> None:
    assert log(seen(LONG, **PLACES), "stays", "tasks", "blocks") == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        mon 11:00  A0 comes to soak tanks, asked mon 08:00
        mon 11:00  A0 leaves racks (8), done mon 08:00
        mon 12:00  owner 0 ends soak A0, begun mon 11:00
        tue 07:00  owner 0 ends soak A0, begun tue 06:00
        tue 07:00  A0 comes to Shed
        tue 07:00  A0 comes to opening benches
        tue 07:00  A0 leaves soak tanks (1)
        tue 08:00  owner 0 ends open A0, begun tue 07:00
        tue 08:00  A0 leaves opening benches (1)
        tue 08:00  8 of A0 opened
    """)


def test_a_tank_is_filled_only_so_late_that_the_morning_shift_begins_within_the_most() -> None:
    # Filled in an hour, 18 h at most, the shift begins at 06:00: not before 11:00.
    filled = {}
    for most in (12.0, 16.0, 18.0, 24.0):
        strain = LONG.but(soak=LONG.soak.but(most=most, least=11.0))
        told = log(seen(strain, **PLACES), "stays")
        filled[most] = [line for line in told if "comes to soak tanks" in line]
    assert filled == {
        12.0: ["mon 17:00  A0 comes to soak tanks, asked mon 08:00"],
        16.0: ["mon 13:00  A0 comes to soak tanks, asked mon 08:00"],
        18.0: ["mon 11:00  A0 comes to soak tanks, asked mon 08:00"],
        24.0: ["mon 08:00  A0 comes to soak tanks"],
    }


def test_a_soak_that_can_end_in_the_same_shift_is_begun_in_the_morning() -> None:
    strain = LONG.but(soak=LONG.soak.but(least=4.0, most=8.0))
    assert log(seen(strain, **PLACES), "tasks")[:2] == lines("""
        mon 09:00  owner 0 ends soak A0, begun mon 08:00
        mon 14:00  owner 0 ends soak A0, begun mon 13:00
    """)


def test_no_tank_is_filled_before_days_off() -> None:
    # Pushed on, a lot that comes on Friday waits for Monday: nobody would take it out on Saturday.
    parts = {"rules": Rules(call_in="push"), "crew": (of_crew(days=WEEKDAYS),), **PLACES}
    record = seen(LONG, start=(LINE.but(days=("fri",)),), weeks=2, **parts)
    assert log(record, "stays", "tasks")[:5] == lines("""
        fri 08:00  A0 comes to racks
        mon2 06:00  A0 comes to soak tanks, asked fri 08:00
        mon2 06:00  A0 leaves racks (8), done fri 08:00
        mon2 07:00  owner 0 ends soak A0, begun mon2 06:00
        mon2 18:00  owner 0 ends soak A0, begun mon2 17:00
    """)


def test_a_stay_past_the_most_is_never_cut_short_and_costs_yield() -> None:
    # Taking out is slow, 2 blocks/h, and there is one person: out on Tuesday at 10 and 14, 22 and 26 h in the water.
    strain = NO_COLD.but(soak=NO_COLD.soak.but(unload=2.0, loses=1 / 16))
    record = seen(
        strain, **PLACES | {"soak": TANKS.but(tanks=2)}, crew=(of_crew("soak", "open", "pick", "pack"),), **TWO
    )
    assert log(record, "tasks")[:4] == lines("""
        mon 12:00  owner 0 ends soak A0, begun mon 11:00
        mon 13:00  owner 0 ends soak A1, begun mon 12:00
        tue 10:00  owner 0 ends soak A0, begun tue 06:00
        tue 14:00  owner 0 ends soak A1, begun tue 10:00
    """)
    picked = {row[0][-2:]: row[5] for row in record.rows("picks")}
    assert picked == {"00": 4.0 * (1 - 4 / 16), "01": 4.0 * (1 - 7 / 16)}


def test_a_tank_takes_one_lot_whole_and_the_next_waits_until_it_is_empty() -> None:
    small = LINE.but(blocks=5.0)
    record = seen(LONG, **PLACES, start=(small, small.but(name="B")))
    assert [line for line in log(record, "stays") if "tank" in line] == lines("""
        mon 11:22  A0 comes to soak tanks, asked mon 08:00
        tue 06:38  A0 leaves soak tanks (1)
        tue 06:38  B0 comes to soak tanks, asked mon 08:00
        wed 06:30  B0 leaves soak tanks (1)
    """)


def test_a_soaked_lot_stays_in_its_tank_until_it_has_a_bench_and_a_shelf() -> None:
    record = seen(LONG, **PLACES | {"rules": Rules(call_in="push"), "room": (SHED.but(holds=8.0),)}, **TWO)
    assert [line for line in log(record, "stays") if "A1" in line] == lines("""
        mon 08:00  A1 comes to racks
        tue 11:00  A1 comes to soak tanks, asked mon 08:00
        tue 11:00  A1 leaves racks (8), done mon 08:00
        never  A1 waits for Shed since wed 07:00
        never  A1 waits for opening benches since wed 07:00
    """)


# --- in the bag -----------------------------------------------------------------------------------------------------


def test_in_the_bag_a_lot_is_soaked_where_it_stands() -> None:
    record = seen(LONG, **PLACES | {"soak": IN_THE_BAG})
    assert log(record, "stays", "tasks", "blocks") == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        mon 12:00  owner 0 ends soak A0, begun mon 11:00
        tue 07:00  owner 0 ends soak A0, begun tue 06:00
        tue 07:00  A0 comes to Shed
        tue 07:00  A0 comes to opening benches
        tue 07:00  A0 leaves racks (8), done mon 08:00
        tue 08:00  owner 0 ends open A0, begun tue 07:00
        tue 08:00  A0 leaves opening benches (1)
        tue 08:00  8 of A0 opened
    """)


def test_in_the_bag_a_lot_is_watered_only_if_the_morning_comes_within_the_most() -> None:
    parts = PLACES | {"soak": IN_THE_BAG, "rules": Rules(call_in="push"), "crew": (of_crew(days=WEEKDAYS),)}
    record = seen(LONG, start=(LINE.but(days=("fri",)),), weeks=2, **parts)
    assert log(record, "tasks")[:2] == lines("""
        mon2 07:00  owner 0 ends soak A0, begun mon2 06:00
        mon2 18:00  owner 0 ends soak A0, begun mon2 17:00
    """)


def test_in_the_bag_a_lot_keeps_its_cold_place_and_pays_for_a_stay_past_the_most() -> None:
    # In the cold from Monday 08:00; watered on Tuesday 11:00, 27 h later, where 25 are the most.
    shock = SHIITAKE.cold_shock.but(most=25.0, loses=0.5)
    strain = SHIITAKE.but(cold_shock=shock, soak=SHIITAKE.soak.but(loses=0.0))
    record = seen(strain, soak=IN_THE_BAG, walk_in={"fridge": FRIDGE, "cold": COLD})
    assert [line for line in log(record, "stays") if "cold" in line] == lines("""
        mon 08:00  A0 comes to walk-in cold
        wed 07:00  A0 leaves walk-in cold (8), done tue 08:00
    """)
    assert [row[5] for row in record.rows("picks")] == [4.0 * (1 - 0.5 * 2 / 24)]


def test_blocks_in_their_soak_are_not_sold() -> None:
    # The order falls on Tuesday 05:00; the lot was called on Monday 08:00 and is under water, in a tank or in the bag.
    order = GROWER.but(days=("tue",), notice=0.0, leave_by=5.0)
    for soak in (TANKS, IN_THE_BAG):
        record = seen(LONG, **PLACES | {"soak": soak}, block_customer=(order,))
        assert log(record, "block_orders") == ["tue 05:00  grower gets 0 of 4 oyster, 0 carried over"]


def test_blocks_called_to_a_room_may_be_sold_until_their_soak_begins() -> None:
    order = GROWER.but(days=("mon",), notice=0.0, leave_by=10.0)
    for soak in (TANKS, IN_THE_BAG):
        record = seen(LONG, **PLACES | {"soak": soak}, block_customer=(order,))
        assert log(record, "block_orders") == ["mon 10:00  grower gets 4 of 4 oyster, 0 carried over"]


# --- again ----------------------------------------------------------------------------------------------------------


def test_soaked_again_a_lot_keeps_its_shelf_and_is_opened_only_once() -> None:
    strain = NO_COLD.but(flushes=Flushes(share=(0.5, 0.5), rest=24.0, soak_again=True))
    strain = strain.but(soak=strain.soak.but(loses=0.0))
    record = seen(strain, **PLACES, weeks=2)
    assert [line for line in log(record, "stays", "tasks") if "A0" in line and "A0'" not in line] == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 11:00  A0 comes to soak tanks, asked mon 08:00
        mon 11:00  A0 leaves racks (8), done mon 08:00
        mon 12:00  owner 0 ends soak A0, begun mon 11:00
        tue 07:00  owner 0 ends soak A0, begun tue 06:00
        tue 07:00  A0 comes to Shed
        tue 07:00  A0 comes to opening benches
        tue 07:00  A0 leaves soak tanks (1)
        tue 08:00  owner 0 ends open A0, begun tue 07:00
        tue 08:00  A0 leaves opening benches (1)
        fri 06:45  A0 comes to soak tanks
        fri 07:45  owner 0 ends soak A0, begun fri 06:45
        fri 18:00  owner 0 ends soak A0, begun fri 17:45
        sat 06:45  owner 0 ends soak A0, begun sat 06:00
        sat 06:45  A0 leaves soak tanks (1)
        mon2 08:00  owner 0 ends clear A0, begun mon2 07:00
        mon2 08:00  A0 leaves Shed (8), done mon2 06:45
        mon2 08:00  A0 leaves Shed, promised (8)
    """)


def test_a_soak_that_nobody_could_end_in_time_is_never_begun() -> None:
    # An hour of work a day: the next morning comes 22 h after the tank is filled, at most 18 are allowed.
    parts = PLACES | {"rules": Rules(call_in="push"), "crew": (of_crew(end=7.0),), "start": (LINE.but(arrives=6.0),)}
    assert log(seen(LONG.but(soak=LONG.soak.but(load=80.0)), **parts), "stays") == lines("""
        mon 06:00  A0 comes to racks
        never  A0 waits for soak tanks since mon 06:00
    """)


def test_no_tank_is_filled_while_the_only_one_who_soaks_has_left() -> None:
    """The lot comes on Sunday evening, the soaker leaves on Monday, another comes three weeks later."""
    soaker = of_crew("soak", leaves=4.0, replaced_after=3, name="soaker")
    others = of_crew(*(duty for duty in of_crew().duties if duty != "soak"))
    seed = next(
        seed
        for seed in range(200)
        if not CrewRota("soaker", [(-1e9, soaker)], Luck(seed, 0), begins=0).staff.is_there(0, 1)
    )
    start = (LINE.but(days=("sun",), arrives=19.0, months=("jan",)),)
    parts = PLACES | {"start": start, "rules": Rules(call_in="push"), "crew": (soaker, others)}
    held = LONG.but(holds_ripe=LONG.holds_ripe.but(on_the_rack=60 * 24.0))
    told = [line for line in log(seen(held, **parts, weeks=6, seed=seed), "stays") if "A0 comes to soak tanks" in line]
    assert told == ["mon5 06:00  A0 comes to soak tanks, asked sun 19:00"]
