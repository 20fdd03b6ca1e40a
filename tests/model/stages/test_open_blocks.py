"""Opening: bench and shelf together, the minutes of each cut, bad and overripe blocks."""

from __future__ import annotations

from farmsim.scenario.rooms import Opening
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import Contaminated, HoldsRipe

from ..tiny import COLD, FRIDGE, LINE, OYSTER, SHED, SHIITAKE, TANKS, D, Fixed, Range, lines, log, of_crew, seen

LONG = OYSTER.but(first_pick=Fixed(30 * D))
TWO = {"start": (LINE.but(blocks=16.0),)}
PUSH = Rules(call_in="push")


def test_a_lot_is_opened_at_a_bench_and_its_shelf_is_taken_with_it() -> None:
    assert log(seen(LONG)) == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  8 of A0 bought
        mon 09:00  owner 0 ends open A0, begun mon 08:00
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
    """)


def test_two_lots_take_turns_at_one_bench() -> None:
    assert log(seen(LONG, **TWO), "stays")[-7:] == lines("""
        mon 08:00  A1 comes to Shed, promised
        mon 08:00  A1 comes to racks
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  A1 comes to Shed, asked mon 08:00
        mon 09:00  A1 comes to opening benches, asked mon 08:00
        mon 09:00  A1 leaves racks (8), done mon 08:00
        mon 10:00  A1 leaves opening benches (1)
    """)


def test_two_benches_and_two_people_open_two_lots_at_once() -> None:
    record = seen(LONG, **TWO, opening=Opening(benches=2), crew=(of_crew(people=2),))
    assert log(record, "tasks") == lines("""
        mon 09:00  owner 0 ends open A0, begun mon 08:00
        mon 09:00  owner 1 ends open A1, begun mon 08:00
    """)


def test_a_bench_is_not_taken_while_there_is_no_shelf_and_nobody_overtakes_there() -> None:
    # Pushed on, A1 finds no shelf in the only room that takes its strain; B0 would, but stands behind it at the bench.
    cool = OYSTER.but(range=SHED.range, first_pick=Fixed(30 * D))
    rooms = (SHED.but(holds=8.0), SHED.but(name="Warm", range=Range(18.0, 19.0)))
    warm = cool.but(range=Range(18.0, 19.0))
    start = (LINE.but(blocks=16.0), LINE.but(name="B", strain="warm", arrives=12.0))
    record = seen({"oyster": cool, "warm": warm}, start=start, room=rooms, rules=PUSH)
    assert log(record, "stays") == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  A1 comes to racks
        mon 09:00  A0 leaves opening benches (1)
        mon 12:00  B0 comes to racks
        never  A1 waits for Shed since mon 08:00
        never  A1 waits for opening benches since mon 08:00
        never  B0 waits for Warm since mon 12:00
        never  B0 waits for opening benches since mon 12:00
    """)


def test_strip_and_flip_cost_minutes_a_block() -> None:
    takes = {}
    for strip, flip in ((False, False), (True, False), (False, True), (True, True)):
        opened = LONG.open.but(strip=strip, flip=flip, strip_takes=1 / 16, flip_takes=1 / 32)
        takes[strip, flip] = seen(LONG.but(open=opened)).rows("tasks")[0][8]
    assert takes == {(False, False): 1.0, (True, False): 1.5, (False, True): 1.25, (True, True): 1.75}


# --- bad blocks -----------------------------------------------------------------------------------------------------

BAD = LONG.but(contaminated=Contaminated(mean=0.5, clusters="none", shows=Fixed(99 * D)))
SEED = 5  # with this seed 3 of the 8 blocks are bad


def test_bad_blocks_are_seen_at_opening_even_if_they_do_not_show_yet_and_free_their_shelf() -> None:
    assert log(seen(BAD, seed=SEED)) == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  8 of A0 bought
        mon 09:00  owner 0 ends open A0, begun mon 08:00
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  A0 gives back 3 of Shed
        mon 09:00  A0 gives back 3 of Shed, promised
        mon 09:00  3 of A0 contaminated
        mon 09:00  5 of A0 opened
    """)


def test_the_shelf_of_bad_blocks_is_promised_to_the_next_lot_at_once() -> None:
    other = LINE.but(name="B", strain="other", blocks=3.0, arrives=8.0)
    strains = {"oyster": BAD, "other": LONG}
    record = seen(strains, start=(LINE, other), room=(SHED.but(holds=8.0),), seed=SEED)
    assert [line for line in log(record, "stays") if "B0" in line] == lines("""
        mon 08:00  B0 comes to racks
        mon 09:00  B0 comes to Shed
        mon 09:00  B0 comes to Shed, promised, asked mon 08:00
        mon 09:00  B0 comes to opening benches
        mon 09:00  B0 leaves racks (3), done mon 08:00
        mon 09:22  B0 leaves opening benches (1)
    """)


def test_a_lot_of_bad_blocks_only_ends_at_the_bench() -> None:
    # With this seed the one block of the lot is bad.
    record = seen(BAD, start=(LINE.but(blocks=1.0),), seed=2)
    assert log(record) == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (1)
        mon 08:00  1 of A0 bought
        mon 08:08  owner 0 ends open A0, begun mon 08:00
        mon 08:08  A0 leaves Shed (1)
        mon 08:08  A0 leaves Shed, promised (1)
        mon 08:08  A0 leaves opening benches (1)
        mon 08:08  1 of A0 contaminated
    """)


def test_bad_blocks_yield_nothing() -> None:
    strain = OYSTER.but(contaminated=BAD.contaminated)
    assert [row[5:] for row in seen(strain, seed=SEED).rows("picks")] == [(2.5, 0.0, 0.0)]


# --- overripe -------------------------------------------------------------------------------------------------------


def test_overripe_blocks_take_longer_and_yield_less() -> None:
    # B0 is delivered on Monday 09:00 and holds for a day; its shelf is free on Wednesday 09:00, a day late.
    strain = OYSTER.but(holds_ripe=HoldsRipe(on_the_rack=1 * D))
    start = (LINE, LINE.but(name="B", arrives=8.5))
    record = seen(strain, start=start, room=(SHED.but(holds=8.0),))
    assert [line for line in log(record, "tasks", "picks") if "B0" in line] == lines("""
        wed 10:00  owner 0 ends open B0, begun wed 08:30
        fri 06:52  picked 3 firsts + 0 seconds + 0 culls from B0, flush 0, 0 late
        fri 08:15  owner 0 ends clear B0, begun fri 07:15
    """)


def test_overripe_blocks_cost_the_same_when_they_go_through_cold_shock_and_soak() -> None:
    # B0 is ripe on Monday 08:30 and holds for 3 days; its shelf is free on Friday 08:30, a day late.
    strain = SHIITAKE.but(holds_ripe=HoldsRipe(on_the_rack=3 * D), soak=SHIITAKE.soak.but(loses=0.0))
    start = (LINE, LINE.but(name="B", arrives=8.5))
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS, "room": (SHED.but(holds=8.0),)}
    record = seen(strain, **parts, start=start, weeks=2)
    assert [line for line in log(record, "tasks", "picks") if "B0 " in line or "B0," in line] == lines("""
        sat 12:00  owner 0 ends soak B0, begun sat 11:00
        sun 07:00  owner 0 ends soak B0, begun sun 06:00
        sun 08:30  owner 0 ends open B0, begun sun 07:00
        tue2 06:52  picked 3 firsts + 0 seconds + 0 culls from B0, flush 0, 0 late
        tue2 08:15  owner 0 ends clear B0, begun tue2 07:15
    """)


def test_an_overripe_lot_held_cold_longer_is_not_overripe_there() -> None:
    strain = OYSTER.but(holds_ripe=HoldsRipe(on_the_rack=1 * D, cold=9 * D))
    start = (LINE, LINE.but(name="B", arrives=8.5))
    parts = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "room": (SHED.but(holds=8.0),)}
    record = seen(strain, start=start, **parts)
    assert [line for line in log(record, "tasks", "picks") if "B0" in line] == lines("""
        wed 09:30  owner 0 ends open B0, begun wed 08:30
        fri 07:00  picked 4 firsts + 0 seconds + 0 culls from B0, flush 0, 0 late
        fri 08:30  owner 0 ends clear B0, begun fri 07:30
    """)
