"""What a dated change does on its Monday to what already stands there."""

from __future__ import annotations

from farmsim.model.run import run
from farmsim.record import balance
from farmsim.scenario.farm import Farm
from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.rules import Rules

from .tiny import (
    COLD,
    FRIDGE,
    GROWER,
    LINE,
    OUTLET,
    OYSTER,
    SHED,
    SHIITAKE,
    SHOP,
    TANKS,
    D,
    Fixed,
    Range,
    farm,
    lines,
    log,
    of_crew,
    tiny_racks,
)

LONG = OYSTER.but(first_pick=Fixed(30 * D))
ONCE = LINE.but(blocks=16.0)
NO_MORE = (LINE.but(blocks=0.0),)
SMALL_SHED = SHED.but(holds=8.0)
BARN = SHED.but(name="Barn", holds=8.0)


def told(before: Farm, after: Farm, *tables: str, weeks: int = 2) -> list[str]:
    """The log from the second Monday on, when the farm becomes `after`."""
    record = run(before.but(changes=((7 * D, after),)), 1, 0, weeks)
    assert balance.faults(record) == []
    return [line for line in log(record, *tables) if line[3].isdigit() or line.startswith("never")]


def test_a_new_room_takes_the_lot_that_has_waited_longest() -> None:
    # A1 finds no shelf in the first week and waits; the barn opens on the second Monday.
    before = farm(LONG, start=(ONCE,), room=(SMALL_SHED,))
    assert told(before, before.but(room=(SMALL_SHED, BARN), start=NO_MORE), "stays") == lines("""
        mon2 00:00  A1 comes to Barn
        mon2 00:00  A1 comes to Barn, promised, asked mon 08:00
        mon2 00:00  A1 comes to opening benches
        mon2 00:00  A1 leaves racks (8), done mon 08:00
        mon2 07:00  A1 leaves opening benches (1)
    """)


def test_a_room_that_is_given_up_takes_nobody_new_and_is_left_by_those_who_are_there() -> None:
    before = farm(OYSTER.but(first_pick=Fixed(9 * D)), start=(ONCE,), room=(SMALL_SHED, BARN))
    after = before.but(room=(SMALL_SHED,), start=(LINE,))
    assert told(before, after, "stays") == lines("""
        mon2 08:00  A0' comes to racks
        wed2 09:00  crates comes to walk-in
        wed2 10:00  A0 leaves Shed (8), done wed2 07:00
        wed2 10:00  A0 leaves Shed, promised (8)
        wed2 10:00  A0' comes to Shed
        wed2 10:00  A0' comes to Shed, promised, asked mon2 08:00
        wed2 10:00  A0' comes to opening benches
        wed2 10:00  A0' leaves racks (8), done mon2 08:00
        wed2 11:00  A0' leaves opening benches (1)
        wed2 12:00  A1 leaves Barn (8), done wed2 08:00
        wed2 12:00  A1 leaves Barn, promised (8)
    """)


def test_a_lot_on_its_way_to_a_room_that_is_given_up_is_called_to_another() -> None:
    # Called to the barn on Sunday, it stands cold when the barn is given up on Monday.
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS}
    before = farm(SHIITAKE, start=(LINE.but(days=("sun",)),), room=(BARN,), **parts)
    after = before.but(room=(SHED,), start=NO_MORE)
    assert told(before, after, "stays") == lines("""
        mon2 00:00  A0 leaves Barn, promised (8)
        mon2 11:00  A0 comes to soak tanks, asked mon2 08:00
        mon2 11:00  A0 leaves walk-in cold (8), done mon2 08:00
        tue2 07:00  A0 comes to Shed
        tue2 07:00  A0 comes to Shed, promised
        tue2 07:00  A0 comes to opening benches
        tue2 07:00  A0 leaves soak tanks (1)
        tue2 08:00  A0 leaves opening benches (1)
        thu2 07:15  crates comes to walk-in fridge
        thu2 08:15  A0 leaves Shed (8), done thu2 06:52
        thu2 08:15  A0 leaves Shed, promised (8)
    """)


def test_a_bigger_cooler_takes_in_the_warm_crates() -> None:
    before = farm(start=(LINE.but(days=("sat",), blocks=16.0),), walk_in={"fridge": FRIDGE.but(holds=4.0)})
    after = before.but(walk_in={"fridge": FRIDGE}, start=NO_MORE)
    assert told(before, after, "stays", "crates") == lines("""
        mon2 09:00  crates comes to walk-in
        mon2 09:00  8 + 0 of oyster put in walk-in
        mon2 10:00  A0 leaves Shed (8), done mon2 07:00
        mon2 10:00  A0 leaves Shed, promised (8)
        mon2 11:00  A1 leaves Shed (8), done mon2 08:00
        mon2 11:00  A1 leaves Shed, promised (8)
    """)


def test_more_racks_take_the_lots_that_wait_for_them() -> None:
    before = farm(LONG, start=(LINE.but(blocks=16.0, ripe_in=Fixed(20 * D)),), incubation=tiny_racks(8.0))
    after = before.but(incubation=tiny_racks(16.0), start=NO_MORE)
    assert told(before, after, "stays", "blocks") == lines("""
        mon2 00:00  A1 comes to racks, asked mon 08:00
        mon2 00:00  8 of A1 bought
    """)


def test_other_hours_begin_on_the_monday() -> None:
    before = farm(start=(LINE.but(days=("sat",)),))
    after = before.but(crew=(of_crew(start=9.0),), start=NO_MORE)
    assert told(before, after, "tasks") == lines("""
        mon2 10:00  owner 0 ends pick, begun mon2 09:00
        mon2 10:30  owner 0 ends pack, begun mon2 10:00
        mon2 11:30  owner 0 ends clear A0, begun mon2 10:30
    """)


def test_a_crew_that_is_hired_is_there_on_its_first_shift() -> None:
    before = farm(start=(LINE.but(days=("sat",)),))
    after = before.but(crew=(of_crew("open"), of_crew("pick", "pack", "clear", start=7.0, name="hired")), start=NO_MORE)
    assert told(before, after, "tasks") == lines("""
        mon2 08:00  hired 0 ends pick, begun mon2 07:00
        mon2 08:30  hired 0 ends pack, begun mon2 08:00
        mon2 09:30  hired 0 ends clear A0, begun mon2 08:30
    """)


def test_the_night_shift_of_sunday_is_worked_to_its_end() -> None:
    before = farm(start=(LINE.but(days=("sat",)),), crew=(of_crew(start=22.0, end=30.0),))
    after = before.but(crew=(of_crew(start=8.0, end=18.0),), start=NO_MORE)
    assert told(before, after, "tasks") == lines("""
        mon2 01:00  owner 0 ends pick, begun mon2 00:00
        mon2 01:30  owner 0 ends pack, begun mon2 01:00
        mon2 02:30  owner 0 ends clear A0, begun mon2 01:30
    """)


def test_blocks_are_soaked_in_the_bag_from_a_date_on() -> None:
    # A1 and A2 wait for the tank in the cold when the tanks are given up.
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS, "room": (SHED.but(holds=24.0),)}
    before = farm(SHIITAKE, start=(LINE.but(days=("sat",), blocks=24.0),), **parts)
    after = before.but(soak=before.soak.but(how="in the bag"), start=NO_MORE)
    assert told(before, after, "stays", "tasks", "waits")[:17] == lines("""
        mon2 00:00  A1 gives up asking for soak tanks, asked sun 08:00
        mon2 00:00  A2 gives up asking for soak tanks, asked sun 08:00
        mon2 07:00  owner 0 ends soak A1, begun mon2 06:00
        mon2 08:00  owner 0 ends soak A2, begun mon2 07:00
        mon2 09:00  owner 0 ends soak A0, begun mon2 08:00
        mon2 09:00  A0 comes to Shed
        mon2 09:00  A0 comes to opening benches
        mon2 09:00  A0 leaves soak tanks (1)
        mon2 10:00  owner 0 ends open A0, begun mon2 09:00
        mon2 10:00  A0 leaves opening benches (1)
        mon2 18:00  owner 0 ends soak A1, begun mon2 17:00
        mon2 18:00  A1 comes to Shed
        mon2 18:00  A1 comes to opening benches
        mon2 18:00  A1 leaves walk-in cold (8), done sun 08:00
        tue2 07:00  owner 0 ends open A1, begun tue2 06:00
        tue2 07:00  A1 leaves opening benches (1)
        tue2 08:00  owner 0 ends soak A2, begun tue2 07:00
    """)


def test_tanks_are_used_only_from_a_date_on() -> None:
    parts = {"walk_in": {"fridge": FRIDGE}, "start": (LINE,)}
    strain = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None)
    before = farm(strain, soak=TANKS.but(how="in the bag"), **parts)
    record = run(before.but(changes=((7 * D, before.but(soak=TANKS)),)), 1, 0, 2)
    assert [line for line in log(record, "stays") if "tanks" in line] == lines("""
        mon2 11:00  A0' comes to soak tanks, asked mon2 08:00
        tue2 07:00  A0' leaves soak tanks (1)
    """)


def test_a_room_that_was_being_emptied_opens_again_under_another_house_rule() -> None:
    emptied = SHED.but(clean=RoomEmptied(every=6 * D, takes=2.0))
    start = (LINE.but(days=("fri",)),)
    before = farm(OYSTER.but(first_pick=Fixed(4 * D)), start=start, room=(emptied,), rules=Rules(call_in="push"))
    after = before.but(rules=Rules())
    assert told(before, after, "stays", "room_days") == lines("""
        mon2 00:00  A0 comes to Shed, promised
        tue2 07:30  crates comes to walk-in
        tue2 08:30  A0 leaves Shed (8), done tue2 07:00
        tue2 08:30  A0 leaves Shed, promised (8)
        tue2 08:30  Shed emptied
        tue2 10:30  Shed cleaned
        fri2 08:00  A0' comes to Shed
        fri2 08:00  A0' comes to Shed, promised
        fri2 08:00  A0' comes to opening benches
        fri2 08:00  A0' comes to racks
        fri2 08:00  A0' leaves racks (8)
        fri2 09:00  A0' leaves opening benches (1)
    """)


def test_other_start_days_begin_with_the_monday() -> None:
    before = farm(LONG, start=(LINE.but(days=("mon", "fri")),), room=(SHED.but(holds=99.0),))
    after = before.but(start=(LINE.but(days=("wed",)),))
    assert told(before, after, "blocks") == lines("""
        wed2 08:00  8 of A0' bought
        wed2 09:00  8 of A0' opened
    """)


def test_pushed_from_a_date_on_the_lots_that_wait_to_be_called_go_on() -> None:
    # A0 has the only shelf; A1, which waits on its rack to be called, goes into the tank on the second Monday.
    strain = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None, first_pick=Fixed(9 * D))
    before = farm(strain, start=(ONCE,), room=(SMALL_SHED,), soak=TANKS)
    assert told(before, before.but(rules=Rules(call_in="push"), start=NO_MORE), "stays", "waits") == lines("""
        mon2 00:00  A0 leaves Shed, promised (8)
        mon2 00:00  A1 gives up asking for Shed, promised, asked mon 08:00
        mon2 06:00  A1 comes to soak tanks, asked mon2 00:00
        mon2 06:00  A1 leaves racks (8), done mon 08:00
        thu2 07:15  crates comes to walk-in
        thu2 08:15  A0 leaves Shed (8), done thu2 06:52
        thu2 08:15  A1 comes to Shed, asked mon2 18:00
        thu2 08:15  A1 comes to opening benches, asked mon2 18:00
        thu2 08:15  A1 leaves soak tanks (1), done mon2 18:00
        thu2 09:15  A1 leaves opening benches (1)
    """)


def test_pushed_no_more_the_lots_without_a_shelf_wait_to_be_called() -> None:
    # A1 lies in the tank without a shelf when the rule changes; A0's shelf becomes free on Thursday.
    strain = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None, first_pick=Fixed(9 * D))
    before = farm(strain, start=(ONCE,), room=(SMALL_SHED,), soak=TANKS, rules=Rules(call_in="push"))
    assert told(before, before.but(rules=Rules(), start=NO_MORE), "stays", "waits") == lines("""
        mon2 00:00  A0 comes to Shed, promised
        mon2 00:00  A1 gives up asking for opening benches, asked wed 07:00
        thu2 07:15  crates comes to walk-in
        thu2 08:15  A0 leaves Shed (8), done thu2 06:52
        thu2 08:15  A0 leaves Shed, promised (8)
        thu2 08:15  A1 comes to Shed
        thu2 08:15  A1 comes to Shed, promised, asked mon2 00:00
        thu2 08:15  A1 comes to opening benches
        thu2 08:15  A1 leaves soak tanks (1), done wed 07:00
        thu2 09:15  A1 leaves opening benches (1)
    """)


def given_up_strain(**figures: object) -> tuple[Farm, Farm]:
    """Shiitake in the barn and oysters in the shed; from the second Monday on only oysters, and no barn."""
    cool = OYSTER.but(range=SHED.range, **figures)
    warm = OYSTER.but(range=Range(18.0, 22.0))
    barn = BARN.but(range=Range(19.0, 20.0))
    start = (
        LINE.but(name="C", strain="cool"),
        LINE.but(strain="warm", blocks=16.0, days=("sat",), ripe_in=Fixed(3 * D)),
    )
    before = farm({"cool": cool, "warm": warm}, start=start, room=(SHED, barn))
    return before, before.but(strain={"cool": cool}, start=start[:1], room=(SHED,))


def test_lots_of_a_strain_no_room_takes_any_more_stay_on_the_racks_until_they_are_too_old() -> None:
    before, after = given_up_strain()
    found = told(before, after, "stays", "blocks", "waits", weeks=5)
    assert [line for line in found if "A0" in line or "A1" in line] == lines("""
        fri4 00:00  A0 leaves racks (8), done tue2 08:00
        fri4 00:00  A1 leaves racks (8), done tue2 08:00
        fri4 00:00  8 of A0 too old
        fri4 00:00  8 of A1 too old
    """)


def test_lots_of_a_strain_no_room_takes_any_more_do_not_jam_the_farm() -> None:
    before, after = given_up_strain()
    record = run(before.but(changes=((7 * D, after),)), 1, 0, 5)
    assert [line for line in log(record, "blocks") if "cleared" in line] == lines("""
        wed 08:30  8 of C0 cleared
        wed2 08:30  8 of C0' cleared
        wed3 08:30  8 of C0'' cleared
        wed4 08:30  8 of C0''' cleared
        wed5 08:30  8 of C0'''' cleared
    """)


def a_new_strain() -> tuple[Farm, Farm]:
    """Oysters; from the second Monday on lion's mane too, delivered on Fridays."""
    before = farm(start=(LINE,), block_customer=(GROWER,), customer=(SHOP, OUTLET), rules=Rules(surplus_blocks="fruit"))
    start = (LINE, LINE.but(name="M", strain="mane", days=("fri",)))
    mane = OYSTER.but(first_pick=Fixed(1 * D), crate=2.0)
    return before, before.but(strain={"oyster": OYSTER, "mane": mane}, start=start)


def test_a_strain_that_comes_on_a_date_is_fruited_from_then_on() -> None:
    before, after = a_new_strain()
    found = told(before, after, "blocks", "packs", weeks=3)
    assert [line for line in found if "M0" in line or "mane" in line] == lines("""
        fri2 08:00  8 of M0' bought
        fri2 09:00  8 of M0' opened
        sat2 07:30  packed 4 of mane
        sat2 08:30  8 of M0' cleared
        fri3 08:00  8 of M0'' bought
        fri3 09:00  8 of M0'' opened
        sat3 07:30  packed 4 of mane
        sat3 08:30  8 of M0'' cleared
    """)


def test_a_strain_that_goes_on_a_date_is_fruited_to_its_end() -> None:
    # Opened on Friday, it is ripe to be picked on the Monday from which on the strain is no more.
    oysters, both = a_new_strain()
    slow = both.strain["mane"].but(first_pick=Fixed(3 * D))
    both = both.but(strain={"oyster": OYSTER, "mane": slow})
    record = run(both.but(changes=((7 * D, oysters),)), 1, 0, 3)
    assert balance.faults(record) == []
    assert [line for line in log(record, "blocks", "packs") if "M0" in line or "mane" in line] == lines("""
        fri 08:00  8 of M0 bought
        fri 09:00  8 of M0 opened
        mon2 07:30  packed 4 of mane
        mon2 08:30  8 of M0 cleared
    """)


def test_a_strain_that_comes_back_is_fruited_again() -> None:
    oysters, both = a_new_strain()
    record = run(both.but(changes=((7 * D, oysters), (14 * D, both))), 1, 0, 3)
    assert balance.faults(record) == []
    assert [line for line in log(record, "packs") if "mane" in line] == lines("""
        sat 07:30  packed 4 of mane
        sat3 07:30  packed 4 of mane
    """)


def test_the_only_room_is_shut_for_three_weeks() -> None:
    # What was called or waits is called when the room is there again; what is too old by then is thrown out.
    before = farm(OYSTER.but(first_pick=Fixed(1 * D)), start=(LINE.but(days=("sun",), ripe_in=Fixed(2 * D)),))
    shut = before.but(room=(SHED.but(name="Other", range=Range(25.0, 30.0)),), start=NO_MORE)
    record = run(before.but(changes=((7 * D, shut), (28 * D, before))), 1, 0, 6)
    assert balance.faults(record) == []
    assert log(record, "blocks", "waits") == lines("""
        sun 08:00  8 of A0 bought
        fri4 00:00  8 of A0 too old
        sun5 08:00  8 of A0'''' bought
        tue6 09:00  8 of A0'''' opened
        wed6 08:30  8 of A0'''' cleared
        sun6 08:00  8 of A0''''' bought
    """)


def test_surplus_that_was_for_our_rooms_is_kept_back_again_when_the_rule_goes() -> None:
    # A1 finds no shelf and is surplus from the first day on. Then the rule goes and a barn opens, but 4 of its blocks
    # are promised for Wednesday: it is kept back until they have left, and is called then.
    grower = GROWER.but(notice=100.0)
    fruit = Rules(surplus_blocks="fruit", surplus_left=14 * D)
    before = farm(LONG, start=(ONCE,), room=(SMALL_SHED,), block_customer=(grower,), rules=fruit)
    after = before.but(start=NO_MORE, room=(SMALL_SHED, BARN), rules=Rules())
    seen = told(before, after, "stays", "blocks")
    assert [line for line in seen if "Barn, promised" in line or "sold" in line] == lines("""
        wed2 09:00  A1 comes to Barn, promised, asked mon 08:00
        wed2 09:00  4 of A1/1 sold to grower
    """)


def bag_farms() -> tuple[Farm, Farm, Farm]:
    """A lot comes on Sunday at 19:00 to be soaked in the bag for 12 to 18 h; from Monday on nobody works on Tuesdays."""
    strain = SHIITAKE.but(steps=("soak", "open", "fruit"), cold_shock=None)
    strain = strain.but(soak=strain.soak.but(least=12.0, most=18.0))
    start = (LINE.but(days=("sun",), arrives=19.0),)
    before = farm(strain, start=start, soak=TANKS.but(how="in the bag"), rules=Rules(call_in="push"))
    no_tuesdays = before.but(crew=(of_crew(days=("mon", "wed", "thu", "fri")),), start=NO_MORE)
    return before, no_tuesdays, before.but(start=NO_MORE)


def test_a_soak_in_the_bag_waits_for_the_hours_people_have_from_a_date_on() -> None:
    # Watered on Monday it would lie until Wednesday; a Wednesday 11:00 is followed by a Thursday 06:00.
    before, no_tuesdays, as_it_was = bag_farms()
    assert told(before, as_it_was, "tasks")[:2] == lines("""
        mon2 12:00  owner 0 ends soak A0, begun mon2 11:00
        tue2 07:00  owner 0 ends soak A0, begun tue2 06:00
    """)
    assert told(before, no_tuesdays, "tasks")[:2] == lines("""
        wed2 12:00  owner 0 ends soak A0, begun wed2 11:00
        thu2 07:00  owner 0 ends soak A0, begun thu2 06:00
    """)


def test_a_soak_in_the_bag_is_one_in_a_tank_when_there_is_one_from_a_date_on() -> None:
    before, _, after = bag_farms()
    after = after.but(soak=TANKS)
    assert [line for line in told(before, after, "stays") if "tank" in line] == lines("""
        mon2 11:00  A0 comes to soak tanks, asked mon2 00:00
        tue2 07:00  A0 leaves soak tanks (1)
    """)
