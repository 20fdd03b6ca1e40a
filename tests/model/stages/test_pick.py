"""Picking: rounds, who is picked first, missed mornings, grades, the end of the shift."""

from __future__ import annotations

import pytest

from farmsim.model.run import run
from farmsim.scenario.people import Overtime
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import Yield
from farmsim.scenario.values import Shift

from ..tiny import DAYS, LINE, OWNER, OYSTER, SHED, SHOP, D, Fixed, lines, log, of_crew, seen
from ..tiny import farm as tiny

PICKERS = ("pick", "open", "clear")
SEED = 3
BIG = SHED.but(holds=100.0)
NO_PACKING = of_crew(*PICKERS)


def test_what_is_ripe_is_looked_over_block_by_block_and_picked() -> None:
    assert log(seen(crew=(NO_PACKING,)), "tasks", "picks") == lines("""
        mon 09:00  owner 0 ends open A0, begun mon 08:00
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 08:00  owner 0 ends clear A0, begun wed 07:00
    """)


def test_lot_after_lot_is_picked_until_the_round_is_long_enough() -> None:
    # Three lots, an hour each; a round is an hour, or two.
    start = (LINE.but(blocks=24.0),)
    one = log(seen(crew=(NO_PACKING,), start=start, room=(BIG,)), "tasks", "picks")
    two = log(seen(crew=(NO_PACKING,), start=start, room=(BIG,), about={"round": 2.0}), "tasks", "picks")
    assert [line for line in one if "pick" in line] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 08:00  owner 0 ends pick, begun wed 07:00
        wed 08:00  picked 4 firsts + 0 seconds + 0 culls from A1, flush 0, 0 late
        wed 09:00  owner 0 ends pick, begun wed 08:00
        wed 09:00  picked 4 firsts + 0 seconds + 0 culls from A2, flush 0, 0 late
    """)
    assert [line for line in two if "pick" in line] == lines("""
        wed 08:00  owner 0 ends pick, begun wed 06:00
        wed 08:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 08:00  picked 4 firsts + 0 seconds + 0 culls from A1, flush 0, 0 late
        wed 09:00  owner 0 ends pick, begun wed 08:00
        wed 09:00  picked 4 firsts + 0 seconds + 0 culls from A2, flush 0, 0 late
    """)


def test_a_round_stays_in_one_room_with_one_strain() -> None:
    strains = {"oyster": OYSTER, "other": OYSTER}
    start = (LINE, LINE.but(name="B", strain="other"))
    record = seen(strains, crew=(NO_PACKING,), start=start, about={"round": 9.0})
    assert [line for line in log(record, "tasks", "picks") if "pick" in line] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 08:00  owner 0 ends pick, begun wed 07:00
        wed 08:00  picked 4 firsts + 0 seconds + 0 culls from B0, flush 0, 0 late
    """)


def test_two_pickers_share_the_lots() -> None:
    record = seen(crew=(of_crew(*PICKERS, people=2),), start=(LINE.but(blocks=24.0),), room=(BIG,))
    assert [line for line in log(record, "tasks", "picks") if "pick" in line] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  owner 1 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A1, flush 0, 0 late
        wed 08:00  owner 0 ends pick, begun wed 07:00
        wed 08:00  picked 4 firsts + 0 seconds + 0 culls from A2, flush 0, 0 late
    """)


def ripe_on(*mornings: tuple[str, str, float]) -> dict[str, object]:
    """Lines of one lot each: (line, strain, days from Monday until it is ripe)."""
    strains = {strain: OYSTER.but(first_pick=Fixed(days * D)) for _, strain, days in mornings}
    return {"strain": strains, "start": tuple(LINE.but(name=name, strain=strain) for name, strain, _ in mornings)}


def test_the_ripest_is_picked_first_or_the_dearest_by_the_house_rule() -> None:
    # Nobody picks before Thursday: A is ripe since Wednesday, D, which stands first in the file, since Thursday.
    farm = ripe_on(("D", "dear", 3.0), ("A", "cheap", 2.0))
    hours = dict.fromkeys(DAYS, Shift(6.0, 18.0))
    crew = OWNER.but(duties=PICKERS, hours=hours, days=("mon", "thu", "fri"))
    told = {}
    for rule in ("ripest", "dearest"):
        record = seen(**farm, crew=(crew,), rules=Rules(pick_first=rule))
        told[rule] = log(record, "picks")
    assert told["ripest"] == lines("""
        thu 07:08  picked 2.5 firsts + 2.5 seconds + 0 culls from A0, flush 0, 1 late
        thu 08:08  picked 4 firsts + 0 seconds + 0 culls from D0, flush 0, 0 late
    """)
    assert told["dearest"] == lines("""
        thu 07:00  picked 4 firsts + 0 seconds + 0 culls from D0, flush 0, 0 late
        thu 08:08  picked 2.5 firsts + 2.5 seconds + 0 culls from A0, flush 0, 1 late
    """)


def test_the_dearest_strain_is_the_one_with_the_highest_usual_price_whatever_the_order_in_the_file() -> None:
    """The shop pays 5/kg for D and 9/kg for A; from the same farm without prices D, which stands first, is picked first."""
    farm = ripe_on(("D", "first", 2.0), ("A", "second", 2.0))
    crew = OWNER.but(duties=PICKERS)
    shop = SHOP.but(takes={"first": 1.0, "second": 1.0})

    def order(**prices: object) -> list[str]:
        told = seen(**farm, crew=(crew,), customer=(shop.but(**prices),), rules=Rules(pick_first="dearest"))
        return [line.split(" from ")[1][0] for line in log(told, "picks")]

    assert order() == ["D", "A"]
    assert order(price={"first": 5.0, "second": 9.0}) == ["A", "D"]
    assert order(price={"first": 9.0, "second": 5.0}) == ["D", "A"]
    assert order(price=9.0) == ["D", "A"]  # alike: as in the file
    assert order(price={"second": 5.0}) == ["A", "D"]  # what has no price comes last


def test_the_dearest_strain_is_another_from_the_monday_on_which_prices_change() -> None:
    farm = ripe_on(("D", "first", 2.0), ("A", "second", 2.0))
    shop = SHOP.but(takes={"first": 1.0, "second": 1.0}, price={"first": 9.0, "second": 5.0})
    parts = {"crew": (OWNER.but(duties=PICKERS),), "rules": Rules(pick_first="dearest")}
    before = tiny(**farm, **parts, customer=(shop,), about={"weeks": 2})
    after = before.but(customer=(shop.but(price={"first": 5.0, "second": 9.0}),))
    record = run(before.but(changes=((168.0, after),)), 1, 0)
    assert [line.split(" from ")[1][0] for line in log(record, "picks")] == ["D", "A", "A", "D"]


# --- missed mornings ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("days", "kg", "late"),
    [
        (("mon", "wed"), (4.0, 0.0, 0.0), 0),
        (("mon", "thu"), (2.5, 2.5, 0.0), 1),
        (("mon", "fri"), (0.0, 3.125, 3.125), 2),
        (("mon", "sat"), (0.0, 3.125, 3.125), 3),  # it stops growing where the table ends
    ],
)
def test_a_missed_morning_gains_weight_and_loses_grade_by_the_table(
    days: tuple[str, ...], kg: tuple[float, float, float], late: int
) -> None:
    record = seen(crew=(of_crew(*PICKERS, days=days),))
    assert [(row[4], row[5:]) for row in record.rows("picks")] == [(late, kg)]


def test_within_the_picking_window_a_missed_morning_costs_no_grade() -> None:
    strain = OYSTER.but(picking=OYSTER.picking.but(window=2 * D))
    record = seen(strain, crew=(of_crew(*PICKERS, days=("mon", "thu")),))
    assert [(row[4], row[5:]) for row in record.rows("picks")] == [(0, (5.0, 0.0, 0.0))]
    record = seen(strain, crew=(of_crew(*PICKERS, days=("mon", "fri")),))
    assert [(row[4], row[5:]) for row in record.rows("picks")] == [(1, (3.125, 3.125, 0.0))]


def test_what_is_heavier_takes_longer_to_pick() -> None:
    record = seen(crew=(of_crew(*PICKERS, days=("mon", "thu")),))
    assert log(record, "tasks", "picks")[1:3] == lines("""
        thu 07:08  owner 0 ends pick, begun thu 06:00
        thu 07:08  picked 2.5 firsts + 2.5 seconds + 0 culls from A0, flush 0, 1 late
    """)


def test_a_lot_is_looked_over_again_on_each_morning_on_which_something_ripens() -> None:
    record = seen(OYSTER.but(spread=48.0, first_pick=Fixed(4 * D)), crew=(NO_PACKING,), seed=SEED)
    worked = {row[7] // D: row[8] for row in record.rows("tasks") if row[2] == "pick"}
    picked = {row[3] // D: sum(row[5:]) for row in record.rows("picks")}
    assert len(picked) > 2
    assert worked == pytest.approx({day: 0.5 + kg / 8.0 for day, kg in picked.items()})


# --- the end of the shift -------------------------------------------------------------------------------------------


def test_at_the_end_of_the_shift_a_part_of_the_lot_is_picked_and_the_rest_is_a_morning_older() -> None:
    # Half an hour of the hour: half the blocks are looked over and half the weight is picked.
    hours = dict.fromkeys(DAYS, Shift(6.0, 18.0)) | {"wed": Shift(6.0, 6.5)}
    record = seen(crew=(OWNER.but(duties=PICKERS, hours=hours),))
    assert log(record, "tasks", "picks")[1:5] == lines("""
        wed 06:30  owner 0 ends pick, begun wed 06:00
        wed 06:30  picked 2 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        thu 06:34  owner 0 ends pick, begun thu 06:00
        thu 06:34  picked 1.25 firsts + 1.25 seconds + 0 culls from A0, flush 0, 1 late
    """)


def test_overtime_finishes_a_round() -> None:
    hours = dict.fromkeys(DAYS, Shift(6.0, 18.0)) | {"wed": Shift(6.0, 6.5)}
    crew = OWNER.but(duties=PICKERS, hours=hours, overtime=Overtime(at_most=1.0))
    assert log(seen(crew=(crew,)), "tasks", "picks")[1:3] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00, 0.5 h overtime
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
    """)


def test_nobody_begins_a_round_with_less_than_a_minute_left() -> None:
    hours = dict.fromkeys(DAYS, Shift(6.0, 18.0)) | {"wed": Shift(6.0, 6.0 + 1 / 64)}
    told = log(seen(crew=(OWNER.but(duties=PICKERS, hours=hours),)), "picks")
    assert [line[:3] for line in told] == ["thu"]


def test_what_ripens_while_a_round_goes_on_is_left_for_the_next() -> None:
    # A night shift, 22 to 02, and a slow look, 4 h a lot: a round begun at 22:00 goes on when more ripens at midnight.
    strain = OYSTER.but(spread=24.0, first_pick=Fixed(3 * D), picking=OYSTER.picking.but(look=0.5))
    crew = of_crew(*PICKERS, start=22.0, end=26.0)
    record = seen(strain, crew=(crew,), start=(LINE.but(arrives=23.0),), about={"round": 9.0}, seed=SEED)
    assert [line for line in log(record, "tasks", "picks") if "pick" in line] == lines("""
        thu 02:00  owner 0 ends pick, begun thu 00:00
        thu 02:00  picked 0.484848 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        fri 00:08  owner 0 ends pick, begun thu 22:00
        fri 00:08  picked 0.515152 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        fri 02:00  owner 0 ends pick, begun fri 00:08
        fri 02:00  picked 1.28571 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        sat 00:30  owner 0 ends pick, begun fri 22:00
        sat 00:30  picked 1.71429 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
    """)


def test_a_lot_that_yields_little_is_picked_all_the_same() -> None:
    strain = OYSTER.but(yield_=Yield(mean=1e-3, cv_lot=0.0, cv_block=0.0))
    assert [row[5] for row in seen(strain).rows("picks")] == [0.008]
