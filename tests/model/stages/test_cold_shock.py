"""Cold shock: places in the cold, the usual time, out earlier the same day, and what a stay past the most costs."""

from __future__ import annotations

from farmsim.scenario.rooms import Uses
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import HoldsRipe
from farmsim.scenario.values import Shift

from ..tiny import COLD, DAYS, FRIDGE, LINE, OWNER, SHED, SHIITAKE, SHOP, TANKS, D, Fixed, WalkIn, lines, log, seen

PLACES = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS}
TWO = {"start": (LINE.but(blocks=16.0),)}
LONG = SHIITAKE.but(first_pick=Fixed(30 * D))


def of_lot(told: list[str], lot: str) -> list[str]:
    return [line for line in told if f"  {lot} " in line or f" {lot}," in line or f" of {lot} " in line]


def test_a_lot_stands_cold_for_its_usual_time_and_keeps_its_place_until_the_tank_is_filled() -> None:
    assert log(seen(LONG, **PLACES), "stays", "tasks", "blocks") == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 08:00  A0 comes to walk-in cold
        mon 08:00  A0 leaves racks (8)
        mon 08:00  8 of A0 bought
        tue 11:00  A0 comes to soak tanks, asked tue 08:00
        tue 11:00  A0 leaves walk-in cold (8), done tue 08:00
        tue 12:00  owner 0 ends soak A0, begun tue 11:00
        wed 07:00  owner 0 ends soak A0, begun wed 06:00
        wed 07:00  A0 comes to Shed
        wed 07:00  A0 comes to opening benches
        wed 07:00  A0 leaves soak tanks (1)
        wed 08:00  owner 0 ends open A0, begun wed 07:00
        wed 08:00  A0 leaves opening benches (1)
        wed 08:00  8 of A0 opened
    """)


def test_a_lot_waits_on_the_rack_until_there_is_room_in_the_cold() -> None:
    places = PLACES | {"walk_in": {"fridge": FRIDGE, "cold": COLD.but(holds=8.0)}}
    assert log(seen(LONG, **places, **TWO), "stays") == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 08:00  A0 comes to walk-in cold
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to Shed, promised
        mon 08:00  A1 comes to racks
        tue 11:00  A0 comes to soak tanks, asked tue 08:00
        tue 11:00  A0 leaves walk-in cold (8), done tue 08:00
        tue 11:00  A1 comes to walk-in cold, asked mon 08:00
        tue 11:00  A1 leaves racks (8), done mon 08:00
        wed 07:00  A0 comes to Shed
        wed 07:00  A0 comes to opening benches
        wed 07:00  A0 leaves soak tanks (1)
        wed 08:00  A0 leaves opening benches (1)
        wed 11:00  A1 comes to soak tanks
        wed 11:00  A1 leaves walk-in cold (8)
        thu 07:00  A1 comes to Shed
        thu 07:00  A1 comes to opening benches
        thu 07:00  A1 leaves soak tanks (1)
        thu 08:00  A1 leaves opening benches (1)
    """)


def test_a_cold_shock_that_would_end_when_nobody_soaks_any_more_ends_earlier_the_same_day() -> None:
    # A1 comes to the cold on Tuesday 12:00; on Wednesday the owner goes home at 10, and loading takes an hour.
    hours = dict.fromkeys(DAYS, Shift(6.0, 18.0)) | {"wed": Shift(6.0, 10.0)}
    places = PLACES | {"walk_in": {"fridge": FRIDGE, "cold": COLD.but(holds=8.0)}, "soak": TANKS.but(tanks=2)}
    strain = LONG.but(soak=LONG.soak.but(most=24.0))
    noon = LINE.but(blocks=16.0, arrives=12.0)
    told = log(seen(strain, crew=(OWNER.but(hours=hours),), **places, start=(noon,)), "stays")
    assert of_lot(told, "A1") == lines("""
        mon 12:00  A1 comes to Shed, promised
        mon 12:00  A1 comes to racks
        tue 12:00  A1 comes to walk-in cold, asked mon 12:00
        tue 12:00  A1 leaves racks (8), done mon 12:00
        wed 09:00  A1 comes to soak tanks
        wed 09:00  A1 leaves walk-in cold (8)
        thu 07:00  A1 comes to Shed
        thu 07:00  A1 comes to opening benches
        thu 07:00  A1 leaves soak tanks (1)
        thu 08:00  A1 leaves opening benches (1)
    """)


def test_but_never_before_the_least() -> None:
    hours = dict.fromkeys(DAYS, Shift(6.0, 18.0)) | {"wed": Shift(6.0, 10.0)}
    places = PLACES | {"walk_in": {"fridge": FRIDGE, "cold": COLD.but(holds=8.0)}, "soak": TANKS.but(tanks=2)}
    strain = LONG.but(soak=LONG.soak.but(most=24.0), cold_shock=LONG.cold_shock.but(least=23.0, most=99.0))
    noon = LINE.but(blocks=16.0, arrives=12.0)
    told = log(seen(strain, crew=(OWNER.but(hours=hours),), **places, start=(noon,)), "stays")
    assert of_lot(told, "A1") == lines("""
        mon 12:00  A1 comes to Shed, promised
        mon 12:00  A1 comes to racks
        tue 12:00  A1 comes to walk-in cold, asked mon 12:00
        tue 12:00  A1 leaves racks (8), done mon 12:00
        thu 06:00  A1 comes to soak tanks, asked wed 12:00
        thu 06:00  A1 leaves walk-in cold (8), done wed 12:00
        thu 18:00  A1 comes to Shed
        thu 18:00  A1 comes to opening benches
        thu 18:00  A1 leaves soak tanks (1)
        fri 07:00  A1 leaves opening benches (1)
    """)


def test_a_stay_past_the_most_is_never_cut_short_and_costs_yield() -> None:
    # One tank: the lots stand cold for 27, 51 and 75 h, with 48 at most and half the yield lost a day past that.
    strain = SHIITAKE.but(soak=SHIITAKE.soak.but(loses=0.0))
    record = seen(strain, **PLACES, start=(LINE.but(blocks=24.0),), room=(SHED.but(holds=24.0),))
    assert [line for line in log(record, "stays") if "leaves walk-in cold" in line] == lines("""
        tue 11:00  A0 leaves walk-in cold (8), done tue 08:00
        wed 11:00  A1 leaves walk-in cold (8), done tue 08:00
        thu 11:00  A2 leaves walk-in cold (8), done tue 08:00
    """)
    picked = {row[0][-2:]: row[5] for row in record.rows("picks")}
    assert picked == {"00": 4.0, "01": 4.0 * (1 - 0.5 * 3 / 24), "02": 4.0 * (1 - 0.5 * 27 / 24)}


def test_a_lot_held_in_the_room_for_cold_shock_stays_where_it_is() -> None:
    # A1 is held back cold from Wednesday on, fills the room, and has its cold shock there once a shelf is free.
    strain = SHIITAKE.but(holds_ripe=HoldsRipe(on_the_rack=2 * D, cold=20 * D))
    places = PLACES | {"walk_in": {"fridge": FRIDGE, "cold": COLD.but(holds=8.0)}, "room": (SHED.but(holds=8.0),)}
    told = log(seen(strain, **places, **TWO), "stays")
    assert of_lot(told, "A1") == lines("""
        mon 08:00  A1 comes to racks
        wed 00:00  A1 comes to walk-in cold
        wed 00:00  A1 leaves racks (8), done mon 08:00
        fri 08:15  A1 comes to Shed, promised, asked mon 08:00
        fri 08:15  A1 comes to walk-in cold
        fri 08:15  A1 leaves walk-in cold (8), done wed 00:00
        sat 11:00  A1 comes to soak tanks, asked sat 08:15
        sat 11:00  A1 leaves walk-in cold (8), done sat 08:15
        sun 07:00  A1 comes to Shed
        sun 07:00  A1 comes to opening benches
        sun 07:00  A1 leaves soak tanks (1)
        sun 08:00  A1 leaves opening benches (1)
    """)


def test_fresh_crates_in_the_same_walk_in_leave_less_room_for_cold_shock() -> None:
    # 4 of 11 places are taken by crates on Friday 07:30; lot B0, which needs 8, has to wait until they are sold.
    shared = WalkIn(holds=11.0, uses=Uses(cold_shock=1.0, fresh=1.0))
    start = (LINE, LINE.but(name="B", days=("fri",), arrives=8.0))
    shop = SHOP.but(days=("fri",), leave_by=10.0, takes={"oyster": 4.0})
    strain = SHIITAKE.but(soak=SHIITAKE.soak.but(loses=0.0))
    record = seen(strain, walk_in={"all": shared}, soak=TANKS, start=start, customer=(shop,))
    assert log(record, "stays") == lines("""
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to racks
        mon 08:00  A0 comes to walk-in
        mon 08:00  A0 leaves racks (8)
        tue 11:00  A0 comes to soak tanks, asked tue 08:00
        tue 11:00  A0 leaves walk-in (8), done tue 08:00
        wed 07:00  A0 comes to Shed
        wed 07:00  A0 comes to opening benches
        wed 07:00  A0 leaves soak tanks (1)
        wed 08:00  A0 leaves opening benches (1)
        fri 07:30  crates comes to walk-in
        fri 08:00  B0 comes to Shed, promised
        fri 08:00  B0 comes to racks
        fri 08:30  A0 leaves Shed (8), done fri 07:00
        fri 08:30  A0 leaves Shed, promised (8)
        fri 10:00  B0 comes to walk-in, asked fri 08:00
        fri 10:00  B0 leaves racks (8), done fri 08:00
        fri 10:00  crates leaves walk-in (4)
        sat 11:00  B0 comes to soak tanks, asked sat 10:00
        sat 11:00  B0 leaves walk-in (8), done sat 10:00
        sun 07:00  B0 comes to Shed
        sun 07:00  B0 comes to opening benches
        sun 07:00  B0 leaves soak tanks (1)
        sun 08:00  B0 leaves opening benches (1)
    """)


def test_a_strain_without_cold_shock_asks_for_no_cold_place() -> None:
    strain = LONG.but(steps=("soak", "open", "fruit"), cold_shock=None)
    assert [line for line in log(seen(strain, **PLACES), "stays") if "cold" in line] == []


def test_a_cold_shock_ends_at_its_usual_time_when_nobody_soaks_for_days() -> None:
    late = (OWNER.but(days=("sun",)),)
    parts = PLACES | {"rules": Rules(call_in="push"), "crew": late}
    assert log(seen(LONG, **parts), "stays")[:5] == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  A0 comes to walk-in cold
        mon 08:00  A0 leaves racks (8)
        sun 06:00  A0 comes to soak tanks, asked tue 08:00
        sun 06:00  A0 leaves walk-in cold (8), done tue 08:00
    """)
