"""Boxing: a duty before a round leaves; what is not boxed by then stays."""

from __future__ import annotations

from farmsim.model.run import run, standing_at
from farmsim.record import balance
from farmsim.scenario.people import Overtime
from farmsim.scenario.strain import HoldsRipe

from ..tiny import GROWER, LINE, OWNER, OYSTER, D, Fixed, farm, lines, log, of_crew, seen

LONG = OYSTER.but(first_pick=Fixed(30 * D))
BOXED = GROWER.but(notice=54.0, boxing=4.0)  # 4 blocks for Wednesday 09:00: one hour of boxing, from Tuesday 09:00 on
BOXERS = (OWNER, of_crew("box").but(name="boxer"))
TOLD = ("tasks", "blocks", "unboxed", "block_orders")


def told(*crews: object, grower: object = BOXED, **parts: object) -> list[str]:
    record = seen(LONG, block_customer=(grower,), crew=crews or BOXERS, **parts)
    assert balance.faults(record) == []
    return [line for line in log(record, *TOLD) if "open" not in line and "bought" not in line]


def test_blocks_are_boxed_the_day_before_and_leave() -> None:
    assert told() == lines("""
        tue 10:00  boxer 0 ends box, begun tue 09:00
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)


def test_boxing_begins_only_so_long_before_they_leave() -> None:
    assert told(grower=BOXED.but(boxed_from=2.0))[0] == "wed 08:00  boxer 0 ends box, begun wed 07:00"


def test_what_is_not_boxed_when_the_round_leaves_stays() -> None:
    # From 07:30 to 09:00 two rounds of half an hour and two blocks each would do; from 08:15 on only one is over.
    late = of_crew("box", start=8.25).but(name="boxer")
    record = seen(LONG, block_customer=(BOXED.but(boxed_from=1.5),), crew=(OWNER, late), about={"round": 0.5})
    assert log(record, "tasks", "blocks", "block_orders")[1:4] == lines("""
        wed 08:45  boxer 0 ends box, begun wed 08:15
        wed 09:00  2 of A0/1 sold to grower
        wed 09:00  grower gets 2 of 4 oyster, 0 carried over
    """)
    assert [row[2:] for row in record.rows("unboxed")] == [(57.0, 2.0)]


def test_what_was_in_hand_when_the_round_left_follows_if_it_may() -> None:
    late = of_crew("box", start=8.75).but(name="boxer")
    grower = BOXED.but(boxed_from=1.5, unfilled="next day")
    assert told(OWNER, late, grower=grower) == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        wed 09:45  boxer 0 ends box, begun wed 08:45
        thu 09:00  4 of A0/1 sold to grower
        thu 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)


def test_nobody_boxes_what_is_not_there() -> None:
    later = (LINE.but(days=("wed",), arrives=20.0),)
    assert told(start=later) == ["wed 09:00  grower gets 0 of 4 oyster, 0 carried over"]


def test_blocks_that_ripen_before_the_round_leaves_are_boxed_too() -> None:
    # Ripe on Wednesday 08:00, boxed on Tuesday; the customer takes ripe blocks, and they are by then.
    assert told(start=(LINE.but(ripe_in=Fixed(2 * D)),))[0] == "tue 10:00  boxer 0 ends box, begun tue 09:00"


def test_blocks_boxed_and_lost_cost_the_work_and_nothing_leaves() -> None:
    # Ripe on Monday 08:00, overripe on Wednesday 00:00, when it can no longer be sold.
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=1 * D))
    record = seen(strain, block_customer=(BOXED,), crew=BOXERS, room=())
    assert log(record, "tasks", "block_orders") == lines("""
        tue 10:00  boxer 0 ends box, begun tue 09:00
        wed 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)


def test_where_no_part_is_taken_an_order_leaves_when_all_of_it_is_boxed() -> None:
    late = of_crew("box", start=8.25).but(name="boxer")
    grower = BOXED.but(boxed_from=1.5, part_deliveries=False, unfilled="next day")
    record = seen(LONG, block_customer=(grower,), crew=(OWNER, late), about={"round": 0.5})
    assert log(record, "block_orders") == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        thu 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)


def test_boxing_is_handed_out_in_rounds_cut_to_the_shift() -> None:
    # 16 blocks in rounds of an hour, 4 blocks each; on Tuesday there is time for two and a half of them.
    grower = BOXED.but(takes={"oyster": 16.0})
    short = of_crew("box", start=6.0, end=11.5).but(name="boxer", overtime=Overtime())
    record = seen(
        LONG, block_customer=(grower,), crew=(OWNER, short), start=(LINE.but(blocks=16.0),), about={"round": 1.0}
    )
    assert [line for line in log(record, "tasks") if "box" in line] == lines("""
        tue 10:00  boxer 0 ends box, begun tue 09:00
        tue 11:00  boxer 0 ends box, begun tue 10:00
        tue 11:30  boxer 0 ends box, begun tue 11:00
        wed 07:00  boxer 0 ends box, begun wed 06:00
        wed 07:30  boxer 0 ends box, begun wed 07:00
    """)


def test_what_stands_boxed_on_a_monday_is_boxed_when_a_run_begins_there() -> None:
    # Boxed on Sunday for Monday 09:00.
    grower = GROWER.but(days=("mon",), notice=3 * D, boxing=4.0, fails=0.5, made_good="replacement")
    one = farm(LONG, block_customer=(grower,), crew=BOXERS, start=(LINE.but(days=("fri",), blocks=16.0),))
    whole, standing = run(one, 1, 0, 4), standing_at(one, 1, 0, 336.0)
    assert sum(standing.boxed.values()) == 4 + sum(standing.owed_blocks.values())
    again = run(one, 1, 0, 4, standing)
    for table in ("tasks", "blocks", "block_orders", "block_claims", "stays"):
        assert again.rows(table) == whole.rows(table)[len(whole.rows(table, before=336.0)) :], table


def test_what_has_left_is_boxed_no_more() -> None:
    record = seen(LONG, block_customer=(BOXED,), crew=BOXERS, weeks=2)
    assert [line for line in log(record, "tasks") if "box" in line.split("ends")[-1]] == lines("""
        tue 10:00  boxer 0 ends box, begun tue 09:00
        tue2 10:00  boxer 0 ends box, begun tue2 09:00
    """)


def test_nobody_boxes_again_what_somebody_has_in_hand() -> None:
    # In hand when the round leaves on Wednesday; what follows on Thursday may be boxed at once, and is in hand.
    boxer = of_crew("box", start=8.75, days=("wed", "thu")).but(name="boxer", people=2)
    told_of = told(OWNER, boxer, grower=BOXED.but(unfilled="next day"))
    assert told_of == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        wed 09:45  boxer 0 ends box, begun wed 08:45
        thu 09:00  4 of A0/1 sold to grower
        thu 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)
