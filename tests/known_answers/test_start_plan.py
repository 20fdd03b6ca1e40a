"""A plan of the starts on farms without luck: what is needed follows by hand from yield, orders and shifts."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
from model import tiny

from farmsim.scenario.costs import Costs, Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.rooms import Room
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer
from farmsim.scenario.seasons import Shut
from farmsim.scenario.values import Range
from farmsim.study.headlines import DELIVERED
from farmsim.study.plan import plan
from farmsim.study.plan_answers import Planned
from farmsim.study.plan_seen import fills_up
from farmsim.study.pool import Where
from farmsim.study.precision import ALIKE_RUNS
from farmsim.study.sell_or_fruit import Either, sell_or_fruit
from farmsim.study.start_numbers import by_arithmetic
from farmsim.study.start_sheet import of_week
from farmsim.study.targets import Target
from farmsim.study.trials import Brief, Case, Trials

BIG_SHED = (Room(name="Shed", holds=400.0, range=Range(14.0, 16.0)),)
SHOP = tiny.SHOP.but(takes={"oyster": 10.0}, days=("thu",))
LINE = tiny.LINE.but(blocks=30.0)
QUICK = Brief(weeks=4, where=Where(1))


def no_luck(**parts: object) -> Farm:
    """A farm without any luck: a block delivered ripe on Monday brings half a kilogram of firsts on Wednesday."""
    about = {"begin": "full swing", "lot": 8.0, "weeks": 4}
    return tiny.farm(about=about, **{"room": BIG_SHED, "start": (LINE,), "customer": (SHOP,), **parts})  # type: ignore[arg-type]


def planned(farm: Farm, *given: Target, tries: int = 3) -> Planned:
    return plan(farm, given, ALIKE_RUNS, tries, 2, QUICK)  # without luck all runs are alike


@pytest.fixture(scope="module")
def known() -> Planned:
    return planned(no_luck())


# --- known answers --------------------------------------------------------------------------------------------------


def test_the_blocks_that_are_needed_follow_from_yield_and_orders(known: Planned) -> None:
    """10 kg a week are promised, 95 of 100 have to come, half a kilogram a block: 19 blocks, and nothing is thrown out."""
    (line,) = known.lines
    assert (line.before, line.blocks) == (30.0, 10 * 0.95 / 0.5)
    assert known.arithmetic == {"oyster": pytest.approx(19.0, abs=1e-3)}
    assert known.is_kept and known.targets[0].mean == pytest.approx(0.95)
    thrown = known.difference("thrown out")
    assert thrown is not None and thrown.base == pytest.approx(30 * 0.5 - 10) and thrown.change == pytest.approx(0.0)


def test_another_target_asks_for_other_blocks() -> None:
    every = Target("delivered", DELIVERED, "at least", 0.80)
    (line,) = planned(no_luck(), every).lines
    assert line.blocks == 10 * 0.80 / 0.5


def test_mould_and_blocks_for_others_come_on_top() -> None:
    """19 blocks to fruit and 95 of 100 of the 20 that are sold, of which a fifth is lost to mould."""
    mould = tiny.OYSTER.contaminated.but(mean=0.2)
    grower = BlockCustomer(name="grower", takes={"oyster": 20.0}, notice=48.0, days=("tue",), leave_by=9.0)
    farm = no_luck(strain=tiny.OYSTER.but(contaminated=mould), block_customer=(grower,))
    assert by_arithmetic(farm, 0.95, 0.95) == {"oyster": pytest.approx((19 + 19) / 0.8, abs=0.01)}


def test_one_weekday_of_start_makes_picks_fall_on_the_day_before_delivery() -> None:
    """Picked two days after the start and good for a day and a fifth: for Thursday morning only Monday's blocks will do."""
    short_lived = tiny.OYSTER.but(shelf_life=1.2 * tiny.D)
    farm = no_luck(strain=short_lived, start=(LINE.but(days=("thu",)),))
    found = planned(farm)
    (days,) = found.weekdays
    assert (days.now, days.proposed) == (("thu",), ("mon",))
    assert [None if each is None else each.lost for each in days.by_day] == pytest.approx(
        [0, 1, 1, 1, 1, 1, 1], abs=1e-6
    )
    assert found.lines[0].days == ("mon",) and found.lines[0].blocks == 19.0
    assert found.targets_before[0].mean == 0.0 and found.is_kept


def test_days_that_cost_nothing_are_left_alone(known: Planned) -> None:
    (days,) = known.weekdays
    assert not days.matters and days.of(("mon",)).lost == pytest.approx(0.0, abs=1e-9)
    assert days.of(("mon",)).waits == pytest.approx(1.0) and known.days_tried is None
    assert days.picks == pytest.approx((0, 0, 1, 0, 0, 0, 0), abs=1e-9)


# --- when nothing is enough -----------------------------------------------------------------------------------------


def test_what_averages_refuse_is_told_and_the_nearest_plan_is_told() -> None:
    """Six places on the shelves, two days and a half for each block: some 16 a week, and 19 are needed."""
    shed = (Room(name="Shed", holds=6.0, range=Range(14.0, 16.0)),)
    farm = no_luck(room=shed, start=(LINE.but(blocks=12.0),))
    farm = farm.but(farm=farm.farm.but(lot=2.0))
    found = planned(farm, tries=2)
    assert not found.is_kept and found.targets[0].verdict == "broken"
    assert "Room Shed" in {need.name for need in found.refused}
    assert 0.3 < found.targets[0].mean < 0.95


def test_what_does_not_keep_until_it_is_delivered_is_a_reason() -> None:
    """Picked on Wednesdays only, delivered on Mondays, good for a day."""
    short_lived = tiny.OYSTER.but(shelf_life=24.0)
    farm = no_luck(strain=short_lived, customer=(SHOP.but(days=("mon",)),), crew=(tiny.of_crew(days=("mon", "wed")),))
    found = planned(farm, tries=1)
    assert not found.is_kept and found.targets[0].mean == 0.0
    assert found.keeps_short == (("oyster", 24.0, 168.0),)


def piles_up(farm: Farm) -> bool:
    with Trials(farm, Brief(weeks=24, where=Where(1))) as trials:
        return fills_up(farm, trials.take([Case(farm, number) for number in range(3)], None), 24)


def test_a_farm_that_fills_up_is_seen_on_its_racks_or_before_them() -> None:
    """56 blocks come each week; one and a half hours of work a day do for fewer. With small racks they wait outside."""
    slow = no_luck(start=(LINE.but(blocks=56.0),), crew=(tiny.of_crew(start=6.0, end=7.5),))
    assert piles_up(slow) and piles_up(slow.but(incubation=tiny.tiny_racks(60.0))) and not piles_up(no_luck())


def test_a_plan_under_which_the_farm_fills_up_is_not_kept(known: Planned) -> None:
    assert known.is_kept and not replace(known, fills_up=True).is_kept


# --- the start sheet ------------------------------------------------------------------------------------------------


def test_the_sheet_tells_the_days_of_every_group_of_lots(known: Planned) -> None:
    """Brought and opened on Monday, picked on Wednesday; carts of 8, and the rest."""
    first, second = known.groups
    assert (first.day.isoformat(), second.day.isoformat(), second.week) == ("2027-01-04", "2027-01-11", 2)
    assert (first.lots, first.blocks, first.loads) == ((8, 8, 3), 19, 0)
    assert (first.first, first.last) == ("A/2027-01-04/00", "A/2027-01-04/02")
    told = [(when.step, when.early.isoformat(), when.usual.isoformat(), when.late.isoformat()) for when in first.steps]
    monday, wednesday = ("2027-01-04",) * 3, ("2027-01-06",) * 3
    assert told == [("ripe", *monday), ("open", *monday), ("first pick", *wednesday)]


def test_nothing_stands_on_the_sheet_where_nothing_is_started() -> None:
    """The second Monday of January is shut, and the line is not started in February."""
    holiday = Shut(name="holiday", first=datetime.date(2027, 1, 11), stops=("starts",))
    farm = no_luck(shut=(holiday,), start=(LINE.but(months=("jan",)),))
    days = {"oyster": {"ripe": (0.5, 0.5, 0.5)}}
    groups = [group for week in range(6) for group in of_week(farm, farm.start[0], week, days)]
    assert [group.day.isoformat() for group in groups] == ["2027-01-04", "2027-01-18", "2027-01-25"]


def test_a_day_without_hands_is_passed_over() -> None:
    farm = no_luck(crew=(tiny.of_crew(days=("mon", "thu")),))
    days = {"oyster": {"ripe": (0.9, 0.9, 0.9), "open": (0.8, 1.8, 3.8)}}  # from Monday 08:00
    (group,) = of_week(farm, farm.start[0], 0, days)
    ripe, opened = group.steps
    assert ripe.usual.isoformat() == "2027-01-05"
    assert [each.isoformat() for each in (opened.early, opened.usual, opened.late)] == [
        "2027-01-07", "2027-01-07", "2027-01-11",
    ]  # fmt: skip


# --- sell or fruit --------------------------------------------------------------------------------------------------


GROWER = BlockCustomer(name="grower", takes={"oyster": 8.0}, notice=48.0, days=("tue",), leave_by=9.0, price=6.0)


def priced(**parts: object) -> Farm:
    """28 blocks a week: 8 are sold at 6, 20 fruited and their mushrooms sold at 20 a kilogram, by hands at 16 an hour."""
    return no_luck(**{
        "customer": (SHOP.but(price=20.0),), "crew": (tiny.OWNER.but(wage=16.0),), "block_customer": (GROWER,),
        "start": (LINE.but(blocks=28.0),), "rules": Rules(ripe_blocks="promised blocks first"), **parts,
    })  # fmt: skip


def of_run(farm: Farm) -> Either:
    with Trials(farm, Brief(weeks=4, where=Where(1))) as trials:
        runs = trials.take([Case(farm, 0)], None)
    (either,) = sell_or_fruit(farm, runs)
    return either


def test_what_a_block_brings_fruited_and_sold_by_hand() -> None:
    """Half a kilogram at 20 a kilogram, less the wages of picking, packing, opening and clearing at 16 an hour.

    A block of 8 a lot is opened in 1/8 h, looked over in 1/16 h, picked in 0.5/8 h, packed in 0.5/8 h, cleared in 1/8 h.
    """
    either = of_run(priced())
    assert either.of_100 == pytest.approx(100 * 8 / 28)
    assert either.brings == pytest.approx(0.5) and either.sold == pytest.approx(6.0)
    assert either.hours == pytest.approx(1 / 8 + 1 / 16 + 1 / 16 + 1 / 16 + 1 / 8)
    assert either.fruited == pytest.approx(20.0 * 0.5 - 16.0 * either.hours)
    assert either.an_hour == pytest.approx(0.5 / either.hours)
    assert either.earns is not None and either.shelf_weeks is not None
    assert either.earns.block_fruited is not None and either.earns.block_fruited.mean.value == pytest.approx(20.0 * 0.5)
    assert either.earns.shelf_week is not None
    assert either.earns.shelf_week.mean.value == pytest.approx(20.0 * 0.5 / either.shelf_weeks)


def test_what_is_bought_for_a_block_and_what_goes_on_top_of_wages_is_taken_off() -> None:
    """Blocks at 1.50 each, packaging at 2 a kilogram, boxes at 0.25 a block, a quarter on top of all wages."""
    materials = Materials(bought={"oyster": 1.5}, packaging=2.0, block_box=0.25)
    either = of_run(priced(materials=materials, costs=Costs(on_costs=0.25)))
    assert either.hours is not None
    assert either.fruited == pytest.approx(20.0 * 0.5 - 1.5 - 2.0 * 0.5 - 1.25 * 16.0 * either.hours)
    assert either.sold == pytest.approx(6.0 - 1.5 - 0.25)


def test_without_prices_nothing_is_told_of_what_a_block_earns() -> None:
    either = of_run(priced(customer=(SHOP,), block_customer=(GROWER.but(price=None),)))
    assert (either.fruited, either.sold, either.earns) == (None, None, None)
    either = of_run(priced(customer=(SHOP,)))
    assert either.fruited is None and either.sold == pytest.approx(6.0)


def test_a_plan_is_judged_by_less_all_that_is_paid_where_the_farm_gives_it() -> None:
    """10 kg a week are sold of 30 blocks as of 19: what is left is the same, but 11 blocks at 1.50 need not be bought."""
    with_costs = planned(priced(block_customer=(), start=(LINE,), materials=Materials(bought={"oyster": 1.5})))
    without = planned(priced(block_customer=(), start=(LINE,)))
    operating = with_costs.difference("net operating income")
    assert with_costs.difference("left for all else") is None and without.difference("net operating income") is None
    left = without.difference("left for all else")
    assert operating is not None and left is not None
    assert operating.mean - left.mean == pytest.approx(1.5 * 11.0, rel=0.05)
