"""A run can begin from standing lots: run, list them at a Monday 00:00, begin again with the same luck: the rest is equal."""

from __future__ import annotations

import datetime
import pickle
from pathlib import Path

import pytest

from farmsim.errors import FarmsimError
from farmsim.model.run import run, set_up, standing_at
from farmsim.model.standing import list_standing
from farmsim.record.balance import faults
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer
from farmsim.scenario.seasons import AS_USUAL, Months, Shut
from farmsim.scenario.vary import Fixed

from .farms import SMALL

SCENARIOS = Path(__file__).parents[2] / "scenarios"
EVERYTHING = Path(__file__).parents[1] / "benchmarks" / "farms" / "everything.toml"
ALL_CUSTOMERS = Path(__file__).parents[1] / "scenario" / "all_customers.toml"
WRITTEN_AT_THE_START = {"capacity", "inside", "left_over", "lots"}
TABLES = (
    "stays", "freed", "waits", "tasks", "picks", "packs", "crates", "stock_out", "orders", "blocks", "block_orders",
    "room_days", "rostered", "unboxed", "block_claims",
    "substituted", "customers_left", "not_ordered", "market_days", "dried",
)  # fmt: skip


def rest(record: Record, table: str, since: float) -> list[tuple[object, ...]]:
    """Rows not over before `since`; those not over at the end are among them."""
    before = len(record.rows(table, before=since))
    return list(record.rows(table)[before:])


@pytest.mark.parametrize("number", [0, 1])
@pytest.mark.parametrize(("name", "monday", "weeks"), [("tiny", 5, 12), ("four-rooms", 3, 8), ("four-rooms", 4, 8)])
def test_the_rest_of_the_journal_is_equal(name: str, monday: int, weeks: int, number: int) -> None:
    farm = load(SCENARIOS / f"{name}.toml")
    when = monday * 168.0
    whole = run(farm, 7, number, weeks)
    standing = pickle.loads(pickle.dumps(standing_at(farm, 7, number, when)))
    again = run(farm, 7, number, weeks, standing)
    for table in TABLES:
        assert rest(again, table, when) == rest(whole, table, when), table
    assert [row for row in again.rows("lots") if row[5] >= when] == [
        row for row in whole.rows("lots") if row[5] >= when
    ]
    assert faults(again) == []


def test_whatever_a_farm_can_have() -> None:
    """Packing to order and what is kept for it, boxed blocks, rules by the person, rounds: the farm with everything."""
    farm, when = load(EVERYTHING), 4 * 168.0
    whole = run(farm, 7, 0, 7)
    again = run(farm, 7, 0, 7, pickle.loads(pickle.dumps(standing_at(farm, 7, 0, when))))
    for table in (*TABLES, "packed_orders", "shorts", "rounds", "attended"):
        assert rest(again, table, when) == rest(whole, table, when), table
    assert rest(whole, "packed_orders", when) != []


def test_whatever_the_year_brings() -> None:
    """Poor and rich months, a room that rests over the list's Monday, and a holiday after it."""
    plain = load(SCENARIOS / "four-rooms.toml")
    months = Months(orders=(0.5, 1.5, *AS_USUAL[2:]), yield_=(0.8, 1.2, *AS_USUAL[2:]), days=(1.1, 0.9, *AS_USUAL[2:]))
    rooms = (plain.room[0].but(rests=("jan", "feb")), *plain.room[1:])
    farm = plain.but(months=months, room=rooms, shut=(Shut(name="fair", first=datetime.date(2027, 2, 9)),))
    when = 4 * 168.0
    whole = run(farm, 7, 0, 8)
    again = run(farm, 7, 0, 8, standing_at(farm, 7, 0, when))
    for table in TABLES:
        assert rest(again, table, when) == rest(whole, table, when), table


def test_whoever_the_customers_are() -> None:
    """Customers who have left, short deliveries counted, what came back from a stall, and drying that is not done yet."""
    farm, when, seen = every_wish(), 5 * 168.0, set()
    for number in range(4):
        whole, standing = run(farm, 7, number, 12), standing_at(farm, 7, number, when)
        again = run(farm, 7, number, 12, pickle.loads(pickle.dumps(standing)))
        for table in TABLES:
            assert rest(again, table, when) == rest(whole, table, when), table
        assert faults(again) == faults(whole) == []
        came_back = any(stands.life[1] is not None for stands in standing.crates)
        stands = {
            "gone": standing.gone,
            "short": any(standing.short_in_a_row.values()),
            "back": came_back,
        }
        seen |= {
            what for what, there in {**stands, "drying": standing.drying, "carried": standing.carried}.items() if there
        }
        seen |= {table for table in TABLES if rest(whole, table, when)}
    assert {"gone", "short", "back", "drying", "carried"} < seen
    assert {"substituted", "customers_left", "not_ordered", "market_days", "dried"} < seen


def every_wish() -> Farm:
    """The farm that sells to everyone, with more going on over a Sunday night."""
    farm = load(ALL_CUSTOMERS)
    bistro, caterer, coop, stall, fair, dryer, kitchen = farm.customer
    assert coop.mixed is not None and dryer.dries is not None
    return farm.but(
        customer=(
            bistro.but(name="hungry", takes={"blue-oyster": 80.0}, substitutes={}, leaves_after=2, goes_short="first"),
            bistro.but(takes={"blue-oyster": 55.0}, leaves_after=13),
            caterer.but(takes={"lions-mane": 40.0}, leaves_after=8, days=("thu", "sun")),
            coop.but(
                mixed=coop.mixed.but(amount=12.0), notice=96.0, unfilled="next day", days=("mon", "sun"), leave_by=20.0
            ),
            stall.but(days=("sun",), sells={name: Fixed(1.0) for name in stall.takes}),
            fair,
            dryer.but(days=("sun",), dries=dryer.dries.but(pace=0.5)),
            kitchen,
        ),
    )


@pytest.mark.parametrize("call_in", ["when a shelf is promised", "push"])
def test_whatever_the_rule_by_which_lots_are_called(call_in: str) -> None:
    farm = load(SCENARIOS / "four-rooms.toml")
    farm = farm.but(rules=farm.rules.but(call_in=call_in, ripe_blocks="own rooms first"))
    whole, standing = run(farm, 3, 0, 6), standing_at(farm, 3, 0, 2 * 168.0)
    again = run(farm, 3, 0, 6, standing)
    for table in TABLES:
        assert rest(again, table, 336.0) == rest(whole, table, 336.0), table


@pytest.mark.parametrize("surplus", ["fruit", "sell cheap", "wait on the rack"])
@pytest.mark.parametrize("number", [0, 1, 2])
def test_whatever_the_terms_on_which_blocks_are_sold(surplus: str, number: int) -> None:
    """Whole orders that wait, some of them boxed, blocks owed, lots sold unripe, surplus, moving days."""
    outlet = BlockCustomer(name="yard", kind="outlet", takes="anything", days=("mon", "sat"))
    monday = SMALL.block_customer[1].but(days=("mon", "wed"), boxing=10.0, boxed_from=60.0, takes={"quick": 30.0})
    farm = SMALL.but(
        block_customer=(SMALL.block_customer[0].but(fails=0.3, made_good="replacement"), monday, outlet),
        rules=Rules(
            surplus_blocks=surplus, sold_first="freshest first", call_in="on moving days", moving_days=("mon", "fri")
        ),
    )
    when = 3 * 168.0
    whole, standing = run(farm, 3, number, 6), standing_at(farm, 3, number, when)
    assert standing.owed_blocks and standing.boxed and standing.block_orders
    again = run(farm, 3, number, 6, pickle.loads(pickle.dumps(standing)))
    for table in TABLES:
        assert rest(again, table, when) == rest(whole, table, when), table


def test_after_a_dated_change_too() -> None:
    base = load(SCENARIOS / "four-rooms.toml")
    changed = base.but(changes=((168.0, base.but(opening=base.opening.but(benches=1))),))
    whole, standing = run(changed, 3, 0, 6), standing_at(changed, 3, 0, 3 * 168.0)
    again = run(changed, 3, 0, 6, standing)
    for table in TABLES:
        assert rest(again, table, 504.0) == rest(whole, table, 504.0), table


def test_it_stands_the_same_at_the_next_monday() -> None:
    farm = load(SCENARIOS / "four-rooms.toml")
    standing = standing_at(farm, 7, 0, 3 * 168.0)
    site = set_up(farm, 7, 0, 8, standing)
    site.desk.run(until=5 * 168.0)
    again, straight = list_standing(site), standing_at(farm, 7, 0, 5 * 168.0)
    by_key = {lot.key: lot for lot in straight.lots}
    assert {lot.key: lot.state for lot in again.lots} == {key: lot.state for key, lot in by_key.items()}
    assert again.block_orders == straight.block_orders
    assert again.room_due == straight.room_due


def test_only_a_monday_can_be_listed() -> None:
    site = set_up(load(SCENARIOS / "tiny.toml"), 1, 0, 2)
    site.desk.run(until=site.desk.now + 30.0)
    with pytest.raises(FarmsimError, match="on a Monday at 00:00 only"):
        list_standing(site)
