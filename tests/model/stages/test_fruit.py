"""Flush after flush on the shelf: mornings, rest, shares of the yield, and how many flushes are kept."""

from __future__ import annotations

from farmsim.record.balance import faults
from farmsim.record.columns import WHATS
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import Start
from farmsim.scenario.strain import Contaminated, Flushes, Strain, Yield

from ..tiny import GROWER, LINE, OYSTER, SHED, D, Fixed, farm, lines, log, run, seen

TWO_FLUSHES = OYSTER.but(flushes=Flushes(share=(0.75, 0.25), rest=1 * D))
ONE_LOT = {"start": (LINE,), "weeks": 2}


SEED = 3


def of_first(told: list[str]) -> list[str]:
    """What is said of the first week's lot."""
    return [line for line in told if "A0" in line and "A0'" not in line]


def test_flush_after_flush_the_lot_keeps_its_shelf_and_rests_between() -> None:
    # 3 kg on Wednesday, a day of rest from the pick at 06:52, 1 kg two mornings after Thursday.
    assert of_first(log(seen(TWO_FLUSHES, **ONE_LOT), "stays", "picks", "tasks", "blocks")) == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 08:00  8 of A0 bought
        mon 09:00  owner 0 ends open A0, begun mon 08:00
        mon 09:00  A0 leaves opening benches (1)
        mon 09:00  8 of A0 opened
        wed 06:52  picked 3 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        sat 06:38  picked 1 firsts + 0 seconds + 0 culls from A0, flush 1, 0 late
        sat 07:45  owner 0 ends clear A0, begun sat 06:45
        sat 07:45  A0 leaves Shed (8), done sat 06:38
        sat 07:45  A0 leaves Shed, promised (8)
        sat 07:45  8 of A0 cleared
    """)


def test_mornings_are_counted_from_the_day_of_shelving_whatever_the_hour() -> None:
    early = seen(start=(LINE.but(arrives=6.0),)).rows("picks")[0][3]
    late = seen(start=(LINE.but(arrives=16.5),)).rows("picks")[0][3]
    assert early == late == 2 * D + 7.0


def test_shares_say_how_the_yield_is_spread_over_the_flushes() -> None:
    strain = OYSTER.but(flushes=Flushes(share=(0.5, 0.25, 0.25), rest=0.0), next_pick=Fixed(1 * D))
    picks = [row for row in seen(strain, **ONE_LOT).rows("picks") if "01-04" in row[0]]
    assert [(row[1], row[5]) for row in picks] == [(0, 2.0), (1, 1.0), (2, 1.0)]


def test_blocks_of_a_lot_ripen_on_several_mornings_and_the_flush_is_over_when_the_last_is_picked() -> None:
    # A spread of two days round Friday: the luck of this seed ripens the 8 blocks on several mornings.
    record = seen(OYSTER.but(spread=48.0, first_pick=Fixed(4 * D)), seed=SEED)
    assert log(record, "picks", "blocks") == lines("""
        mon 08:00  8 of A0 bought
        mon 09:00  8 of A0 opened
        tue 06:34  picked 0.5 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 06:34  picked 0.5 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        thu 06:34  picked 0.5 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        fri 06:49  picked 2.5 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        fri 08:08  8 of A0 cleared
    """)


def test_called_when_a_shelf_is_promised_the_promise_ends_before_the_last_flush_is_over() -> None:
    record = seen(TWO_FLUSHES, rules=Rules(call_in="when a shelf is promised"), **ONE_LOT)
    assert of_first(log(record, "stays")) == lines("""
        mon 08:00  A0 comes to Shed
        mon 08:00  A0 comes to Shed, promised
        mon 08:00  A0 comes to opening benches
        mon 08:00  A0 comes to racks
        mon 08:00  A0 leaves racks (8)
        mon 09:00  A0 leaves opening benches (1)
        sat 00:00  A0 leaves Shed, promised (8)
        sat 07:45  A0 leaves Shed (8), done sat 06:38
    """)


# --- the rule on the number of flushes is the one in force when a flush ends ----------------------------------------


def changed_to(*share: float, before: tuple[float, ...]) -> list[str]:
    """What becomes of a lot on the shelf when the number of flushes changes on the second Monday."""
    slow = OYSTER.but(flushes=Flushes(share=before, rest=1 * D), first_pick=Fixed(8 * D))
    now = farm(slow, start=(LINE,))
    then = farm(slow.but(flushes=Flushes(share=share, rest=1 * D)), start=(LINE.but(blocks=0.0),))
    return log(run(now.but(changes=((7 * D, then),)), 1, 0, 4), "picks", "blocks")


def test_from_a_date_on_fewer_flushes_are_kept() -> None:
    assert changed_to(1.0, before=(0.75, 0.25)) == lines("""
        mon 08:00  8 of A0 bought
        mon 09:00  8 of A0 opened
        tue2 06:52  picked 3 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        tue2 08:15  8 of A0 cleared
    """)


def test_from_a_date_on_more_flushes_are_kept_but_what_grows_in_a_block_was_settled_when_it_was_started() -> None:
    assert changed_to(0.5, 0.5, before=(1.0,)) == lines("""
        mon 08:00  8 of A0 bought
        mon 09:00  8 of A0 opened
        tue2 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        tue2 08:30  8 of A0 cleared
    """)


def test_more_flushes_from_a_date_on_never_read_the_luck_of_another_lot() -> None:
    slow = OYSTER.but(first_pick=Fixed(8 * D))
    two_lots = (LINE.but(blocks=16.0),)
    now = farm(slow, start=two_lots)
    then = farm(slow.but(flushes=Flushes(share=(0.5, 0.5), rest=1 * D)), start=(LINE.but(blocks=0.0),))
    record = run(now.but(changes=((7 * D, then),)), 1, 0, 4)
    assert sum(row[5] for row in record.rows("picks")) == 8.0


def test_bad_blocks_of_a_lot_leave_the_yield_of_the_others_alone() -> None:
    bad = OYSTER.but(contaminated=Contaminated(mean=0.5, clusters="none", shows=Fixed(0.0)))
    strain = bad.but(yield_=Yield(mean=0.5, cv_lot=0.2, cv_block=0.2))
    some, none = (seen(each, room=(SHED,), seed=5) for each in (strain, strain.but(contaminated=OYSTER.contaminated)))
    picked, whole = (sum(row[5] for row in record.rows("picks")) for record in (some, none))
    assert 0.4 * whole < picked < whole


# --- making way for a fresh lot -------------------------------------------------------------------------------------

SOONER = "when a fresh lot waits and the next flush is small"
SMALL_SHED = SHED.but(holds=8.0)


def cleared(strain: Strain, rules: Rules, lines_started: tuple[Start, ...]) -> list[tuple[str, float]]:
    """Which lot is cleared when [h]."""
    record = seen(strain, start=lines_started, room=(SMALL_SHED,), rules=rules, about={"weeks": 2}, weeks=2)
    assert faults(record) == []
    return [(row[0], row[3]) for row in record.rows("blocks") if row[2] == WHATS.index("cleared")]


def test_a_lot_with_little_to_come_makes_way_for_one_that_waits() -> None:
    waiting = (LINE, LINE.but(name="B", days=("tue",)))
    last = cleared(TWO_FLUSHES, Rules(), waiting)
    sooner = cleared(TWO_FLUSHES, Rules(clear_out=SOONER, small_flush=0.3), waiting)
    assert last[0] == ("A/2027-01-04/00", 5 * D + 7.75)
    assert sooner[0][0] == "A/2027-01-04/00"
    assert sooner[0][1] < 3 * D  # after its first flush, on Wednesday


def test_it_stays_when_much_is_still_to_come() -> None:
    waiting = (LINE, LINE.but(name="B", days=("tue",)))
    rules = Rules(clear_out=SOONER, small_flush=0.25)
    assert cleared(TWO_FLUSHES, rules, waiting) == cleared(TWO_FLUSHES, Rules(), waiting)


def test_it_stays_when_nobody_waits() -> None:
    rules = Rules(clear_out=SOONER, small_flush=0.3)
    assert cleared(TWO_FLUSHES, rules, (LINE,))[:1] == cleared(TWO_FLUSHES, Rules(), (LINE,))[:1]


def test_it_stays_when_who_waits_is_kept_for_an_order() -> None:
    held = {"block_customer": (GROWER.but(takes={"oyster": 8.0}, days=("sat",), notice=5 * D),)}
    waiting = (LINE, LINE.but(name="B", days=("tue",)))
    parts = {"start": waiting, "room": (SMALL_SHED,), "about": {"weeks": 2}, "weeks": 2, **held}
    told = [
        log(seen(TWO_FLUSHES, rules=rules, **parts), "picks")
        for rules in (Rules(), Rules(clear_out=SOONER, small_flush=0.3))
    ]
    assert told[0] == told[1]


def test_pushed_lots_wait_at_the_shelf_and_are_made_way_for_too() -> None:
    waiting = (LINE, LINE.but(name="B", days=("tue",)))
    pushed = Rules(call_in="push", clear_out=SOONER, small_flush=0.3)
    assert cleared(TWO_FLUSHES, pushed, waiting)[0][1] < 3 * D
