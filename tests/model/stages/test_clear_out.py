"""Clearing spent blocks, and rooms that are emptied to be cleaned."""

from __future__ import annotations

from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import ColdShock, Contaminated, HoldsRipe

from ..tiny import COLD, FRIDGE, GROWER, LINE, OYSTER, SHED, SHIITAKE, TANKS, D, Fixed, Range, lines, log, of_crew, seen

EVERY_FOUR_DAYS = RoomEmptied(every=4 * D, takes=2.0)
EMPTIED = SHED.but(clean=EVERY_FOUR_DAYS)
LONG = OYSTER.but(first_pick=Fixed(30 * D))


def test_spent_blocks_keep_the_shelf_until_they_are_cleared_away() -> None:
    clears_later = (of_crew("pick", "open", name="pickers"), of_crew("clear", start=12.0, name="clearers"))
    assert log(seen(crew=clears_later), "stays", "tasks", "blocks")[5:] == lines("""
        mon 08:00  8 of A0 bought
        mon 09:00  pickers 0 ends open A0, begun mon 08:00
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
        wed 07:00  pickers 0 ends pick, begun wed 06:00
        wed 13:00  clearers 0 ends clear A0, begun wed 12:00
        wed 13:00  A0 leaves Shed (8), done wed 07:00
        wed 13:00  A0 leaves Shed, promised (8)
        wed 13:00  8 of A0 cleared
    """)


def test_a_room_that_is_due_takes_nothing_in_until_it_was_emptied_and_cleaned() -> None:
    # Due on Friday 00:00; A0 leaves on Saturday, the room is cleaned for 2 h, and B0, ripe on Friday, comes in.
    start = (LINE.but(days=("thu",)), LINE.but(name="B", days=("fri",)))
    record = seen(start=start, room=(EMPTIED,))
    assert log(record, "stays", "tasks", "room_days") == lines("""
        thu 08:00  A0 comes to Shed
        thu 08:00  A0 comes to Shed, promised
        thu 08:00  A0 comes to opening benches
        thu 08:00  A0 comes to racks
        thu 08:00  A0 leaves racks (8)
        thu 09:00  owner 0 ends open A0, begun thu 08:00
        thu 09:00  A0 leaves opening benches (1)
        fri 00:00  Shed closed
        fri 08:00  B0 comes to racks
        sat 07:00  owner 0 ends pick, begun sat 06:00
        sat 07:30  owner 0 ends pack, begun sat 07:00
        sat 07:30  crates comes to walk-in
        sat 08:30  owner 0 ends clear A0, begun sat 07:30
        sat 08:30  A0 leaves Shed (8), done sat 07:00
        sat 08:30  A0 leaves Shed, promised (8)
        sat 08:30  Shed emptied
        sat 10:30  owner 0 ends clean, begun sat 08:30
        sat 10:30  B0 comes to Shed
        sat 10:30  B0 comes to Shed, promised, asked fri 08:00
        sat 10:30  B0 comes to opening benches
        sat 10:30  B0 leaves racks (8), done fri 08:00
        sat 10:30  Shed cleaned
        sat 11:30  owner 0 ends open B0, begun sat 10:30
        sat 11:30  B0 leaves opening benches (1)
    """)


def test_an_empty_room_that_is_due_is_cleaned_at_once() -> None:
    record = seen(start=(LINE.but(days=("sun",)),), room=(EMPTIED,))
    assert log(record, "tasks", "room_days") == lines("""
        fri 00:00  Shed closed
        fri 00:00  Shed emptied
        fri 08:00  owner 0 ends clean, begun fri 06:00
        fri 08:00  Shed cleaned
        sun 09:00  owner 0 ends open A0, begun sun 08:00
    """)


def test_a_room_is_due_again_so_long_after_it_was_cleaned() -> None:
    record = seen(start=(LINE.but(blocks=0.0),), room=(EMPTIED,), weeks=2)
    assert log(record, "room_days") == lines("""
        fri 00:00  Shed closed
        fri 00:00  Shed emptied
        fri 08:00  Shed cleaned
        wed2 00:00  Shed closed
        wed2 00:00  Shed emptied
        wed2 08:00  Shed cleaned
    """)


def test_several_rooms_are_not_due_on_the_same_day() -> None:
    rooms = (EMPTIED, EMPTIED.but(name="Barn"))
    record = seen(start=(LINE.but(blocks=0.0),), room=rooms)
    assert log(record, "room_days") == lines("""
        wed 00:00  Shed closed
        wed 00:00  Shed emptied
        wed 08:00  Shed cleaned
        fri 00:00  Barn closed
        fri 00:00  Barn emptied
        fri 08:00  Barn cleaned
    """)


COLD_LOTS = {"walk_in": {"fridge": FRIDGE, "cold": COLD}, "soak": TANKS, "room": (EMPTIED,)}


def test_lots_called_before_the_room_was_due_still_come_in() -> None:
    # A0 is called on Wednesday and stands cold or lies in the tank when the room is closed; B0 comes too late.
    start = (LINE.but(days=("wed",)), LINE.but(name="B", days=("fri",)))
    strain = SHIITAKE.but(first_pick=Fixed(1 * D))
    record = seen(strain, start=start, **COLD_LOTS, weeks=2)
    assert [line for line in log(record, "stays", "room_days") if "Shed" in line and "B0'" not in line] == lines("""
        wed 08:00  A0 comes to Shed, promised
        fri 00:00  Shed closed
        fri 07:00  A0 comes to Shed
        sat 08:15  A0 leaves Shed (8), done sat 06:52
        sat 08:15  A0 leaves Shed, promised (8)
        sat 08:15  Shed emptied
        sat 10:15  B0 comes to Shed, promised, asked fri 08:00
        sat 10:15  Shed cleaned
        mon2 07:00  B0 comes to Shed
        tue2 08:15  B0 leaves Shed (8), done tue2 06:52
        tue2 08:15  B0 leaves Shed, promised (8)
        wed2 08:00  A0' comes to Shed, promised
        thu2 00:00  Shed closed
        fri2 07:00  A0' comes to Shed
        sat2 08:15  A0' leaves Shed (8), done sat2 06:52
        sat2 08:15  A0' leaves Shed, promised (8)
        sat2 08:15  Shed emptied
        sat2 10:15  Shed cleaned
    """)


def test_meanwhile_other_rooms_take_the_lots() -> None:
    start = (LINE.but(days=("thu",)), LINE.but(name="B", days=("fri",)))
    record = seen(start=start, room=(EMPTIED.but(holds=24.0), SHED.but(name="Barn", holds=8.0)))
    assert [line for line in log(record, "stays") if "promised" in line] == lines("""
        thu 08:00  A0 comes to Shed, promised
        fri 08:00  B0 comes to Barn, promised
        sat 08:30  A0 leaves Shed, promised (8)
        sun 08:30  B0 leaves Barn, promised (8)
    """)


def test_pushed_lots_wait_before_a_room_that_is_emptied() -> None:
    start = (LINE.but(days=("thu",)), LINE.but(name="B", days=("fri",)))
    record = seen(start=start, room=(EMPTIED,), rules=Rules(call_in="push"))
    assert [line for line in log(record, "stays", "room_days") if "crates" not in line] == lines("""
        thu 08:00  A0 comes to Shed
        thu 08:00  A0 comes to opening benches
        thu 08:00  A0 comes to racks
        thu 08:00  A0 leaves racks (8)
        thu 09:00  A0 leaves opening benches (1)
        fri 00:00  Shed closed
        fri 08:00  B0 comes to racks
        sat 08:30  A0 leaves Shed (8), done sat 07:00
        sat 08:30  Shed emptied
        sat 10:30  B0 comes to Shed, asked fri 08:00
        sat 10:30  B0 comes to opening benches, asked fri 08:00
        sat 10:30  B0 leaves racks (8), done fri 08:00
        sat 10:30  Shed cleaned
        sat 11:30  B0 leaves opening benches (1)
    """)


def test_a_room_whose_last_lot_is_all_bad_is_cleaned_too() -> None:
    # The lot was called before the room was due; its only block is seen to be bad at opening.
    bad = SHIITAKE.but(contaminated=Contaminated(mean=0.5, clusters="none", shows=Fixed(99 * D)))
    record = seen(bad, start=(LINE.but(days=("wed",), blocks=1.0),), **COLD_LOTS, seed=2)
    assert log(record, "blocks", "room_days") == lines("""
        wed 08:00  1 of A0 bought
        fri 00:00  Shed closed
        fri 06:15  1 of A0 contaminated
        sat 00:00  Shed emptied
        sat 08:00  Shed cleaned
    """)


def held_up(**parts: object) -> list[str]:
    """A0 is called to the shed on Thursday, but the cold room is taken by B0, whose cold shock lasts 20 days."""
    long = ColdShock(least=12.0, usual=20 * D, most=40 * D)
    strains = {"oyster": SHIITAKE, "other": SHIITAKE.but(cold_shock=long, range=Range(17.0, 24.0))}
    strains["oyster"] = strains["oyster"].but(**parts.pop("strain", {}))
    rooms = (SHED.but(name="Barn", range=Range(18.0, 22.0)), EMPTIED)
    start = (LINE.but(days=("thu",)), LINE.but(name="B", strain="other"))
    places = COLD_LOTS | {"walk_in": {"fridge": FRIDGE, "cold": COLD.but(holds=8.0)}, "room": rooms}
    record = seen(strains, start=start, **places, **parts)
    return [line for line in log(record, "stays", "blocks", "room_days") if "A0" in line or "Shed" in line]


def test_a_room_whose_last_promised_lot_is_sold_is_cleaned_too() -> None:
    grower = GROWER.but(days=("fri",), leave_by=15.0, takes={"oyster": 8.0}, notice=0.0)
    assert held_up(block_customer=(grower,)) == lines("""
        thu 08:00  A0 comes to Shed, promised
        thu 08:00  A0 comes to racks
        thu 08:00  8 of A0 bought
        fri 00:00  Shed closed
        fri 15:00  A0 leaves Shed, promised (8)
        fri 15:00  A0 leaves racks (8), done thu 08:00
        fri 15:00  8 of A0 sold to grower
        sat 00:00  Shed emptied
        sat 08:00  Shed cleaned
    """)


def test_a_room_whose_last_promised_lot_is_thrown_out_is_cleaned_too() -> None:
    short = {"holds_ripe": HoldsRipe(on_the_rack=6.0), "overripe": OYSTER.overripe.but(thrown_out_after=1 * D)}
    assert held_up(strain=short) == lines("""
        thu 08:00  A0 comes to Shed, promised
        thu 08:00  A0 comes to racks
        thu 08:00  8 of A0 bought
        fri 00:00  Shed closed
        sat 00:00  A0 leaves Shed, promised (8)
        sat 00:00  A0 leaves racks (8), done thu 08:00
        sat 00:00  8 of A0 too old
        sat 00:00  Shed emptied
        sat 08:00  Shed cleaned
    """)


def test_a_room_is_cleaned_in_its_rest_and_rests_on() -> None:
    resting = SHED.but(rests=("jan",), clean=RoomEmptied(every=7 * D, takes=2.0))
    record = seen(room=(resting,), start=(LINE,), about={"weeks": 5}, weeks=5)
    days = [(row[1], row[2]) for row in record.rows("room_days")]
    assert days[:3] == [(7 * D, 0), (7 * D, 1), (7 * D + 8.0, 2)]  # due, empty, cleaned from 06:00 to 08:00
    came = [row[5] for row in record.rows("stays") if row[1] == "Shed"]
    assert came and min(came) >= 28 * D  # the first of February
