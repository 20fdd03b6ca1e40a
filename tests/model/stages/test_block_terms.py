"""On which terms blocks are sold: age, part deliveries, patience, carrier days, season, and blocks that fail later."""

from __future__ import annotations

import math

import pytest

from farmsim.model.luck import out_of
from farmsim.record import balance
from farmsim.scenario.rules import Rules
from farmsim.scenario.seasons import AS_USUAL
from farmsim.scenario.strain import Contaminated, HoldsRipe
from farmsim.scenario.values import Range

from ..tiny import BENCH, GROWER, LINE, MADE, MIX, OVEN, OYSTER, SHED, D, Fixed, W, lines, log, seen

LONG = OYSTER.but(first_pick=Fixed(30 * D))
KNOWN = GROWER.but(notice=54.0)  # 4 blocks for Wednesday 09:00, known on Monday 03:00, before any lot is there
LATER = (LINE.but(days=("wed",), arrives=20.0),)  # nothing is there on Wednesday morning
RIPENS = (LINE.but(ripe_in=Fixed(10 * D)),)  # delivered on Monday 08:00, ripe on Thursday 08:00 of the second week
SOLD = ("blocks", "block_orders")


# --- what is short --------------------------------------------------------------------------------------------------


def test_what_is_short_follows_on_the_next_day_on_which_the_carrier_comes() -> None:
    grower = KNOWN.but(days=("wed", "sat"), takes={"oyster": 8.0}, unfilled="next carrier day")
    assert log(seen(LONG, start=LATER, block_customer=(grower,)), *SOLD) == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        wed 20:00  8 of A0 bought
        sat 09:00  8 of A0 sold to grower
        sat 09:00  grower gets 8 of 8 oyster, 0 carried over
    """)


def test_the_carrier_does_not_come_on_a_day_without_deliveries() -> None:
    grower = KNOWN.but(unfilled="next carrier day")
    record = seen(LONG, start=LATER, block_customer=(grower,), weeks=2)
    assert [line[:10] for line in log(record, "block_orders")] == ["wed 09:00 ", "wed2 09:00"]


@pytest.mark.parametrize(("patience", "carried"), [(23.0, 0), (24.0, 4), (47.0, 4)])
def test_an_order_is_lost_when_the_next_round_comes_after_its_patience(patience: float, carried: int) -> None:
    grower = KNOWN.but(unfilled="next day", patience=patience)
    empty = (LINE.but(days=("sun",)),)
    told = log(seen(LONG, start=empty, block_customer=(grower,)), "block_orders")
    assert told[0] == f"wed 09:00  grower gets 0 of 4 oyster, {carried} carried over"
    assert told[1:] == ["thu 09:00  grower gets 0 of 4 oyster, 0 carried over"] * bool(carried)


def test_each_order_has_its_own_patience_though_they_are_filled_as_one() -> None:
    # Wednesday's 4 blocks are lost after Friday, Thursday's after Saturday, Friday's after Sunday; there are none.
    grower = KNOWN.but(days=("wed", "thu", "fri"), takes={"oyster": 12.0}, unfilled="next day", patience=48.0)
    told = log(seen(LONG, start=(LINE.but(days=("sun",), arrives=20.0),), block_customer=(grower,)), "block_orders")
    assert told == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        thu 09:00  grower gets 0 of 8 oyster, 8 carried over
        fri 09:00  grower gets 0 of 12 oyster, 8 carried over
        sat 09:00  grower gets 0 of 8 oyster, 4 carried over
        sun 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)


def test_the_oldest_order_is_filled_first() -> None:
    # 8 blocks come on Thursday evening: they fill Wednesday's and Thursday's orders, of Friday's nothing is left.
    grower = KNOWN.but(days=("wed", "thu", "fri"), takes={"oyster": 12.0}, unfilled="next day", patience=48.0)
    record = seen(LONG, start=(LINE.but(days=("thu",), arrives=20.0),), block_customer=(grower,))
    assert log(record, "block_orders")[2:] == lines("""
        fri 09:00  grower gets 8 of 12 oyster, 4 carried over
        sat 09:00  grower gets 0 of 4 oyster, 4 carried over
        sun 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)


def test_an_order_with_patience_follows_the_carrier_when_nothing_else_is_said() -> None:
    grower = KNOWN.but(patience=2 * W)
    assert (KNOWN.follows, grower.follows) == ("lost", "next carrier day")
    told = log(seen(LONG, start=LATER, block_customer=(grower,), weeks=2), "block_orders")
    assert told[:2] == lines("""
        wed 09:00  grower gets 0 of 4 oyster, 4 carried over
        wed2 09:00  grower gets 8 of 8 oyster, 0 carried over
    """)


def test_no_part_of_an_order_leaves_where_none_is_taken() -> None:
    # 8 blocks are there, 12 are wanted: all 12 leave with the next carrier, of the two lots that are there by then.
    grower = KNOWN.but(takes={"oyster": 12.0}, part_deliveries=False, patience=W, notice=W + 54.0)
    record = seen(LONG, start=(LINE.but(days=("tue",)),), block_customer=(grower.but(months=("jan",)),), weeks=3)
    assert log(record, *SOLD) == lines("""
        tue 08:00  8 of A0 bought
        tue2 08:00  8 of A0' bought
        wed2 09:00  4 of A0'/1 sold to grower
        wed2 09:00  8 of A0 sold to grower
        wed2 09:00  grower gets 12 of 12 oyster, 0 carried over
        tue3 08:00  8 of A0'' bought
        wed3 09:00  4 of A0' sold to grower
        wed3 09:00  8 of A0'' sold to grower
        wed3 09:00  grower gets 12 of 12 oyster, 0 carried over
    """)


def test_a_whole_order_waits_and_the_next_one_does_not_overtake_it_by_parts() -> None:
    # 8 blocks a week, 12 wanted each Wednesday: the first order leaves whole in the second week, 4 blocks stay.
    grower = KNOWN.but(takes={"oyster": 12.0}, part_deliveries=False, patience=2 * W)
    record = seen(LONG, start=(LINE.but(days=("tue",)),), block_customer=(grower,), weeks=3)
    assert log(record, "block_orders") == lines("""
        wed 09:00  grower gets 0 of 12 oyster, 12 carried over
        wed2 09:00  grower gets 12 of 24 oyster, 12 carried over
        wed3 09:00  grower gets 12 of 24 oyster, 12 carried over
    """)


def test_a_whole_order_is_one_of_all_strains() -> None:
    strains = {"oyster": LONG, "other": LONG}
    start = (LINE.but(days=("tue",)), LINE.but(name="B", strain="other", blocks=4.0, days=("tue",)))
    grower = KNOWN.but(takes={"oyster": 4.0, "other": 5.0})
    part = seen(strains, start=start, block_customer=(grower,))
    whole = seen(strains, start=start, block_customer=(grower.but(part_deliveries=False),))
    assert [row[4] for row in part.rows("block_orders")] == [4.0, 4.0]
    assert [row[4] for row in whole.rows("block_orders")] == [0.0, 0.0]


# --- age ------------------------------------------------------------------------------------------------------------


def test_who_finishes_the_ripening_is_given_lots_that_are_not_ripe_yet() -> None:
    # On the second Wednesday 09:00 the lot is 23 h short of ripe; on the first it is 8 days short, and is not taken.
    grower = KNOWN.but(age=Range(-1 * D, 14 * D))
    record = seen(LONG, start=RIPENS, block_customer=(grower,), weeks=2)
    assert log(record, "stays", *SOLD)[:6] == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        wed 09:00  grower gets 0 of 4 oyster, 0 carried over
        mon2 08:00  A0' comes to racks
        mon2 08:00  8 of A0' bought
        wed2 09:00  4 of A0/1 sold to grower
    """)
    assert balance.faults(record) == []


def test_a_lot_sold_whole_before_it_is_ripe_leaves_its_rack() -> None:
    grower = KNOWN.but(age=Range(-9 * D, 14 * D), takes={"oyster": 8.0})
    record = seen(LONG, start=RIPENS, block_customer=(grower,))
    assert log(record, "stays", *SOLD) == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        wed 09:00  A0 leaves racks (8)
        wed 09:00  8 of A0 sold to grower
        wed 09:00  grower gets 8 of 8 oyster, 0 carried over
    """)


def test_no_block_is_sold_before_it_is_colonised() -> None:
    # Inoculated by Tuesday 07:00; colonised a day and a half later, ripe ten days after that: too young on Wednesday.
    strain = LONG.but(steps=("colonise", "ripen", "open", "fruit"), colonise=Fixed(36.0), ripen=Fixed(10 * D))
    making = {"sterilizer": OVEN, "clean_bench": BENCH, "mix": MIX}
    grower = KNOWN.but(days=("wed", "thu"), takes={"oyster": 8.0}, age=Range(-30 * D, 0.0), notice=54.0)
    record = seen(strain, start=(MADE,), block_customer=(grower,), **making)
    assert [row[2:5] for row in record.rows("block_orders")] == [(57.0, 4.0, 0.0), (81.0, 4.0, 4.0)]


def test_over_the_upper_age_blocks_are_not_taken_and_not_kept_back() -> None:
    # The first lot waits, promised to nobody that may have it, and is called; ripe on Monday, it is 2 days old.
    young, old = KNOWN.but(age=Range(0.0, 2 * D)), KNOWN.but(age=Range(0.0, 3 * D))
    assert log(seen(LONG, block_customer=(young,)), *SOLD) == lines("""
        mon 08:00  8 of A0 bought
        mon 09:00  8 of A0 opened
        wed 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)
    assert log(seen(LONG, block_customer=(old,)), *SOLD)[1:3] == lines("""
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  grower gets 4 of 4 oyster, 0 carried over
    """)


def test_unripe_lots_cover_an_order_so_that_ripe_ones_may_be_fruited() -> None:
    # B is ripe on Thursday; who takes it from Wednesday on needs nothing of A, who takes ripe blocks only holds A back.
    start = (LINE, LINE.but(name="B", ripe_in=Fixed(3 * D)))
    ripe = seen(LONG, start=start, block_customer=(KNOWN,))
    early = seen(LONG, start=start, block_customer=(KNOWN.but(age=Range(-2 * D, 14 * D)),))
    assert "wed 09:00  4 of A0/1 sold to grower" in log(ripe, "blocks")
    assert log(early, "blocks")[2:4] == lines("""
        mon 09:00  8 of A0 opened
        wed 09:00  4 of B0/1 sold to grower
    """)


def test_the_youngest_that_is_taken_goes_to_who_finishes_the_ripening() -> None:
    start = (
        LINE.but(ripe_in=Fixed(5 * D)),
        LINE.but(name="B", ripe_in=Fixed(7 * D)),
        LINE.but(name="C", ripe_in=Fixed(9 * D)),
    )
    record = seen(LONG, start=start, block_customer=(KNOWN.but(age=Range(-6 * D, 14 * D), takes={"oyster": 12.0}),))
    assert [line for line in log(record, "blocks") if "sold" in line] == lines("""
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  8 of B0 sold to grower
    """)


def test_an_overripe_lot_is_not_sold_whatever_age_is_taken() -> None:
    strain = LONG.but(holds_ripe=HoldsRipe(on_the_rack=1 * D))
    record = seen(strain, room=(), block_customer=(KNOWN.but(age=Range(0.0, 14 * D)),))
    assert log(record, "block_orders") == ["wed 09:00  grower gets 0 of 4 oyster, 0 carried over"]


# --- season ---------------------------------------------------------------------------------------------------------


def test_a_customers_own_season_is_on_top_of_that_of_all() -> None:
    grower = KNOWN.but(season=(0.5, *AS_USUAL[1:]))
    assert log(seen(LONG, block_customer=(grower,)), "block_orders") == [
        "wed 09:00  grower gets 2 of 2 oyster, 0 carried over"
    ]


def test_out_of_its_months_a_customer_orders_nothing() -> None:
    assert log(seen(LONG, block_customer=(GROWER.but(months=("feb",)),)), "block_orders") == []
    assert log(seen(LONG, block_customer=(GROWER.but(season=(0.0, *AS_USUAL[1:])),)), "block_orders") == []


def test_terms_at_their_defaults_change_nothing() -> None:
    given = KNOWN.but(unfilled="lost", season=AS_USUAL, part_deliveries=True, fails=0.0, boxing=None, age=None)
    assert log(seen(LONG, block_customer=(given,))) == log(seen(LONG, block_customer=(KNOWN,)))


# --- blocks that fail later -----------------------------------------------------------------------------------------

MANY = {"start": (LINE.but(blocks=80.0),), "room": (SHED,)}


def claims(made_good: str, weeks: int = 3, fails: float = 0.5) -> list[tuple[object, ...]]:
    grower = KNOWN.but(takes={"oyster": 40.0}, fails=fails, made_good=made_good)
    record = seen(LONG, block_customer=(grower,), weeks=weeks, **MANY)
    assert balance.faults(record) == []
    return [row[2:] for row in record.rows("block_claims")], [row[3:] for row in record.rows("block_orders")]


def test_blocks_that_fail_are_credited() -> None:
    told, orders = claims("credit")
    assert [failed == credited and replaced == 0.0 for _, failed, credited, replaced in told] == [True] * 3
    assert all(10 <= row[1] <= 30 for row in told)  # of 40, each with an even chance: within 3 standard deviations
    assert orders == [(40.0, 40.0, 0.0)] * 3


def test_blocks_that_fail_are_replaced_with_the_next_order() -> None:
    told, orders = claims("replacement")
    (first, second, third) = [row[1] for row in told]
    assert [row[2:] for row in told] == [(0.0, 0.0), (0.0, first), (0.0, second)]
    assert [row[0] for row in orders] == [40.0, 40.0 + first, 40.0 + second]
    assert all(promised == delivered and carried == 0.0 for promised, delivered, carried in orders)
    assert third >= 0


def test_blocks_owed_that_are_not_there_stay_owed() -> None:
    # 40 blocks a week and 40 wanted: what failed finds nothing left, and is promised again with every order.
    grower = KNOWN.but(takes={"oyster": 40.0}, fails=0.5, made_good="replacement")
    record = seen(LONG, block_customer=(grower,), start=(LINE.but(blocks=40.0),), weeks=3)
    rows, told = record.rows("block_orders"), record.rows("block_claims")
    owed = 0.0
    for order, claim in zip(rows, told, strict=True):
        assert order[3:] == (40.0 + owed, 40.0, owed)
        owed += claim[3]
    assert owed > 0


def test_blocks_owed_are_promised_and_keep_lots_back() -> None:
    replaced, credited = (
        seen(LONG, block_customer=(KNOWN.but(takes={"oyster": 16.0}, fails=0.5, made_good=how),), weeks=2,
             start=(LINE.but(blocks=24.0),), room=(SHED.but(holds=100.0),))
        for how in ("replacement", "credit")
    )  # fmt: skip
    opened = [sum(row[4] for row in each.rows("blocks") if row[2] == 5) for each in (replaced, credited)]
    assert opened[0] < opened[1]


@pytest.mark.parametrize(("uniform", "failed"), [(0.1, 0), (0.3, 1), (0.7, 2), (0.9, 3)])
def test_how_many_fail_is_one_draw_turned_by_the_binomial_numbers(uniform: float, failed: int) -> None:
    # Of 3 blocks, each with an even chance: none 1/8, one 3/8, two 3/8, three 1/8 (worked out by hand).
    assert out_of(3, 0.5, uniform) == failed


def test_many_fail_where_the_draw_is_high_and_few_where_it_is_low() -> None:
    # Of 40 blocks, three in ten each: the chance of at most so many is the sum of the binomial numbers up to it.
    chances = [math.comb(40, failed) * 0.3**failed * 0.7 ** (40 - failed) for failed in range(41)]
    for failed in (3, 7, 8, 9, 12, 25):
        below, up_to = sum(chances[:failed]), sum(chances[: failed + 1])
        assert [out_of(40, 0.3, below + part * (up_to - below)) for part in (0.01, 0.5, 0.99)] == [failed] * 3


def test_nothing_fails_for_sure_where_nothing_can() -> None:
    assert [out_of(5, share, u) for share, u in ((0.0, 0.999), (1.0, 0.001))] == [0, 5]


def test_bad_blocks_sold_are_among_those_that_fail_by_luck_of_their_own() -> None:
    bad = LONG.but(contaminated=Contaminated(mean=0.5, clusters="none", shows=Fixed(99 * D)))
    one, other = (seen(strain, block_customer=(KNOWN.but(fails=0.3),), weeks=4) for strain in (LONG, bad))
    assert [row[3] for row in one.rows("block_claims")] == [row[3] for row in other.rows("block_claims")]


# --- house rules on ripe blocks -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "sold"),
    [
        ("ripest first", ["wed 09:00  4 of A0/1 sold to grower", "wed 09:00  8 of B0 sold to grower"]),
        ("freshest first", ["wed 09:00  4 of B0/1 sold to grower", "wed 09:00  8 of A0 sold to grower"]),
    ],
)
def test_the_ripest_or_the_freshest_are_sold_first(rule: str, sold: list[str]) -> None:
    start = (LINE.but(ripe_in=Fixed(20.0)), LINE.but(name="B", ripe_in=Fixed(10.0)))
    grower = KNOWN.but(takes={"oyster": 12.0})
    record = seen(LONG, start=start, block_customer=(grower,), rules=Rules(sold_first=rule))
    assert [line for line in log(record, "blocks") if "sold" in line] == sold


def test_who_finishes_the_ripening_is_given_ripe_lots_last() -> None:
    start = (LINE, LINE.but(name="B", ripe_in=Fixed(3 * D)))
    grower = KNOWN.but(age=Range(-2 * D, 14 * D), takes={"oyster": 12.0})
    record = seen(LONG, start=start, room=(), block_customer=(grower,))
    assert [line for line in log(record, "blocks") if "sold" in line] == lines("""
        wed 09:00  4 of A0/1 sold to grower
        wed 09:00  8 of B0 sold to grower
    """)


def test_a_lot_kept_back_is_let_go_on_the_day_after_one_has_come_that_covers_the_order() -> None:
    # A is ripe on Monday and promised for Friday; B comes on Tuesday and will be 2 days short of ripe on Friday.
    start = (LINE, LINE.but(name="B", days=("tue",), ripe_in=Fixed(5 * D)))
    grower = GROWER.but(days=("fri",), notice=102.0, age=Range(-3 * D, 14 * D))
    record = seen(LONG, start=start, block_customer=(grower,))
    called = [line for line in log(record, "stays") if "promised" in line]
    assert called[0] == "wed 00:00  A0 comes to Shed, promised, asked mon 08:00"
    assert "fri 09:00  4 of B0/1 sold to grower" in log(record, "blocks")
