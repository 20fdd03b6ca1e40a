"""Blocks sold ready to fruit: promised from their notice on, taken ripe longest first, lots split with their luck."""

from __future__ import annotations

from farmsim.record import balance
from farmsim.scenario.strain import Contaminated, HoldsRipe, Yield

from ..tiny import GROWER, LINE, OYSTER, SHED, D, Fixed, lines, log, seen

SMALL_SHED = SHED.but(holds=8.0)
LONG = OYSTER.but(first_pick=Fixed(30 * D))
KNOWN = GROWER.but(notice=54.0)  # 4 blocks for Wednesday 09:00, known on Monday 03:00, before any lot is there
SOLD = ("lots", "blocks", "block_orders", "freed")


def test_of_the_last_lot_only_a_part_is_sold_under_a_key_of_its_own() -> None:
    record = seen(LONG, block_customer=(KNOWN,))
    assert log(record, *SOLD) == lines("""
        mon 08:00  A0/1 was part of its lot, 4 blocks
        mon 08:00  8 of A0 bought
        wed 09:00  A0 gives back 4 of racks
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
        wed 09:30  4 of A0 opened
    """)
    part = next(row for row in record.rows("lots") if row[0].endswith("/1"))
    assert part == ("A/2027-01-04/00/1", "A", "oyster", 0.0, 0, 8.0, 4.0, "")


def test_a_lot_sold_whole_is_gone() -> None:
    record = seen(LONG, block_customer=(KNOWN.but(takes={"oyster": 8.0}),))
    assert log(record, "stays", "waits", *SOLD) == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        wed 09:00  A0 leaves racks (8), done mon 08:00
        wed 09:00  A0 gives up asking for Shed, promised, asked mon 08:00
        wed 09:00  8 of A0 sold to grower
        wed 09:00  grower gets 8 of 8 oyster, 0 carried over
    """)


def test_several_parts_of_a_lot_are_numbered() -> None:
    other = KNOWN.but(name="other", takes={"oyster": 2.0})
    record = seen(LONG, block_customer=(KNOWN, other))
    assert log(record, "lots", "blocks") == lines("""
        mon 08:00  A0/1 was part of its lot, 4 blocks
        mon 08:00  A0/2 was part of its lot, 2 blocks
        mon 08:00  8 of A0 bought
        wed 09:00  2 of A0/2 sold to other
        wed 09:00  4 of A0/1 sold to grower
        wed 09:15  2 of A0 opened
    """)


def test_the_lot_that_is_ripe_longest_is_sold_first() -> None:
    start = (LINE.but(ripe_in=Fixed(20.0)), LINE.but(name="B", ripe_in=Fixed(10.0)))
    record = seen(LONG, start=start, block_customer=(KNOWN.but(takes={"oyster": 12.0}),))
    assert log(record, "blocks", "block_orders") == lines("""
        mon 08:00  8 of A0 bought
        mon 08:00  8 of B0 bought
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  8 of B0 sold to grower
        wed 09:00  grower gets 12 of 12 oyster, 0 carried over
        wed 09:30  4 of A0 opened
    """)


def test_lots_not_called_to_a_room_yet_are_sold_before_the_others() -> None:
    # At 08:30 A0 is at the bench, A1 is called and waits for it, A2 has no shelf yet.
    grower = GROWER.but(notice=0.0, days=("mon",), leave_by=8.5, takes={"oyster": 12.0})
    record = seen(LONG, start=(LINE.but(blocks=24.0),), room=(SHED,), block_customer=(grower,))
    assert log(record, "blocks", "block_orders") == lines("""
        mon 08:00  8 of A0 bought
        mon 08:00  8 of A1 bought
        mon 08:00  8 of A2 bought
        mon 08:30  4 of A1/1 sold to grower
        mon 08:30  8 of A2 sold to grower
        mon 08:30  grower gets 12 of 12 oyster, 0 carried over
        mon 09:00  8 of A0 opened
        mon 09:30  4 of A1 opened
    """)


def test_overripe_blocks_are_not_sold() -> None:
    # A1 finds no shelf, holds for a day, is overripe from Wednesday midnight on.
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=1 * D))
    record = seen(strain, start=(LINE.but(blocks=16.0),), room=(SMALL_SHED,), block_customer=(GROWER,))
    assert log(record, "block_orders") == ["wed 09:00  grower gets 0 of 4 oyster, 0 carried over"]


def test_what_is_short_is_lost_or_carried_to_the_next_day() -> None:
    later = (LINE.but(days=("wed",), arrives=20.0),)
    lost = seen(LONG, start=later, block_customer=(KNOWN,))
    carried = seen(LONG, start=later, block_customer=(KNOWN.but(unfilled="next day"),))
    assert log(lost, "block_orders") == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)
    assert log(carried, "block_orders") == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        thu 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)


def test_what_is_carried_over_is_still_promised_and_keeps_lots_back() -> None:
    later = (LINE.but(days=("wed",), arrives=20.0),)
    record = seen(LONG, start=later, block_customer=(KNOWN.but(unfilled="next day"),))
    assert log(record, "stays", "blocks") == lines("""
        wed 20:00  A0 comes to racks
        wed 20:00  8 of A0 bought
        thu 09:00  A0 comes to Shed
        thu 09:00  A0 comes to Shed, promised, asked wed 20:00
        thu 09:00  A0 comes to opening benches
        thu 09:00  A0 leaves racks (4), done wed 20:00
        thu 09:00  4 of A0/1 sold to grower
        thu 09:30  A0 leaves opening benches (1)
        thu 09:30  4 of A0 opened
    """)


def test_what_is_carried_over_meets_the_next_days_own_order() -> None:
    # Nothing is ripe before Thursday evening: Wednesday's 4 blocks and Thursday's own 4 are both carried to Friday.
    later = (LINE.but(days=("thu",), arrives=20.0, blocks=16.0),)
    daily = KNOWN.but(days=("wed", "thu", "fri"), takes={"oyster": 12.0}, unfilled="next day")
    record = seen(LONG, start=later, block_customer=(daily,), room=(SHED,))
    assert log(record, "block_orders") == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        thu 09:00  grower gets 0 of 8 oyster, 8 carried over
        fri 09:00  grower gets 12 of 12 oyster, 0 carried over
    """)
    assert balance.faults(record) == []


def test_orders_are_spread_over_the_days_of_the_customer() -> None:
    grower = GROWER.but(takes={"oyster": 40.0}, days=("mon", "thu"), notice=0.0)
    assert [row[2:4] for row in seen(block_customer=(grower,)).rows("block_orders")] == [(9.0, 20.0), (81.0, 20.0)]


def test_orders_with_a_notice_of_weeks_are_promised_in_time() -> None:
    # Known 8 days before: the first order of the run that is known is Wednesday's of the second week, on Tuesday 09:00.
    record = seen(LONG, start=(LINE.but(days=("wed",)),), block_customer=(GROWER.but(notice=8 * D),), weeks=3)
    assert log(record, "block_orders") == lines("""
        wed2 09:00  grower gets 4 of 4 oyster, 0 carried over
        wed3 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)
    assert [line for line in log(record, "stays") if "promised" in line] == lines("""
        wed2 08:00  A0 comes to Shed, promised, asked wed 08:00
        wed3 08:00  A0' comes to Shed, promised, asked wed2 08:00
        never  A0'' waits for Shed, promised since wed3 08:00
    """)


# --- luck of the parts ----------------------------------------------------------------------------------------------


def test_the_blocks_that_stay_keep_their_luck() -> None:
    # The part is taken from the end: the first 4 blocks of the lot yield what they would have yielded anyway.
    strain = OYSTER.but(yield_=Yield(mean=0.5, cv_lot=0.2, cv_block=0.3), spread=24.0, first_pick=Fixed(3 * D))
    whole = seen(strain, start=(LINE.but(days=("wed",), arrives=9.0),))
    sold = seen(
        strain, start=(LINE.but(days=("wed",), arrives=9.0),), block_customer=(KNOWN.but(leave_by=10.0, notice=50.0),)
    )
    of_whole, of_sold = ({row[3] // D: row[5] for row in record.rows("picks")} for record in (whole, sold))
    assert sum(of_sold.values()) < sum(of_whole.values())
    assert all(of_sold[day] <= of_whole[day] + 1e-12 for day in of_sold)


def test_bad_blocks_not_found_yet_are_sold_with_the_others() -> None:
    bad = LONG.but(contaminated=Contaminated(mean=0.5, clusters="none", shows=Fixed(99 * D)))
    record = seen(bad, block_customer=(KNOWN,), seed=5)  # 3 of the 8 are bad
    assert log(record, "blocks", "block_orders") == lines("""
        mon 08:00  8 of A0 bought
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
        wed 09:30  1 of A0 contaminated
        wed 09:30  3 of A0 opened
    """)
