"""What months and days of standstill make of starts, times, yields, rooms, people and orders. 4 January 2027 is a Monday."""

from __future__ import annotations

import datetime
from itertools import groupby, pairwise
from pathlib import Path

import pytest

from farmsim.model.run import run
from farmsim.record.balance import faults
from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load
from farmsim.scenario.seasons import AS_USUAL, Months, Shut
from farmsim.scenario.values import MONTHS

from ..tiny import ABOUT, GROWER, LINE, MADE, MIX, OVEN, OWNER, OYSTER, SHED, SHOP, D, Fixed, farm, lines, log, seen

SCENARIOS = Path(__file__).parents[3] / "scenarios"
JANUARY = datetime.date(2027, 1, 1)


def date_of(hour: float) -> datetime.date:
    """The day an hour of the run lies in."""
    return ABOUT.start + datetime.timedelta(hours=hour)


def in_month(month: str, factor: float) -> tuple[float, ...]:
    """A factor in one month, the others as usual."""
    return tuple(factor if name == month else 1.0 for name in MONTHS)


def shut(day: int, *stops: str, last: int | None = None) -> tuple[Shut, ...]:
    until = None if last is None else datetime.date(2027, 1, last)
    return (Shut(name="holiday", first=datetime.date(2027, 1, day), last=until, stops=stops),)


# --- months ---------------------------------------------------------------------------------------------------------


def test_orders_are_multiplied_in_the_month_of_their_delivery() -> None:
    months = Months(orders=in_month("jan", 0.5), block_orders=in_month("jan", 2.0))
    told = log(seen(customer=(SHOP,), block_customer=(GROWER,), months=months), "orders", "block_orders")
    plain = log(seen(customer=(SHOP,), block_customer=(GROWER,)), "orders", "block_orders")
    assert plain == lines("""
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
        wed 09:00  grower gets 0 of 4 oyster, 0 carried over
    """)
    assert told == lines("""
        wed 09:00  shop gets 1.5 of 1.5 oyster, 0 carried over
        wed 09:00  grower gets 0 of 8 oyster, 0 carried over
    """)


def test_monthly_factors_average_to_the_year_as_worked_out_by_hand() -> None:
    """52 Wednesdays of 2027, a factor for each month: 4, 4, 5, 4, 4, 5, 4, 4, 5, 4, 4, 5 of them."""
    factors = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6)
    wednesdays = (4, 4, 5, 4, 4, 5, 4, 4, 5, 4, 4, 5)
    record = seen(about={"weeks": 52}, customer=(SHOP,), months=Months(orders=factors), weeks=52)
    promised = [(row[2], row[3]) for row in record.rows("orders")]
    by_month = [
        (month, sum(kg for _, kg in group))
        for month, group in groupby(
            promised, key=lambda row: (JANUARY + datetime.timedelta(hours=row[0] + 3 * D)).month
        )
    ]
    by_hand = [3.0 * factor * count for factor, count in zip(factors, wednesdays, strict=True)]
    assert sum(wednesdays) == 52
    assert [month for month, _ in by_month] == list(range(1, 13))
    assert [kg for _, kg in by_month] == pytest.approx(by_hand)


def test_yield_is_that_of_the_month_in_which_the_flush_begins() -> None:
    plain = log(seen(), "picks")
    assert plain == lines("wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late")
    half = log(seen(months=Months(yield_=in_month("jan", 0.5))), "picks")
    assert half == lines("wed 06:45  picked 2 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late")
    assert log(seen(months=Months(yield_=in_month("feb", 0.5))), "picks") == plain


def test_mushrooms_ripen_sooner_or_later_by_the_month() -> None:
    told = {factor: log(seen(months=Months(days=in_month("jan", factor))), "picks") for factor in (0.5, 2.0, 0.01)}
    assert [line[:3] for factor in (0.5, 2.0, 0.01) for line in told[factor]] == ["tue", "fri", "tue"]


def test_blocks_ripen_sooner_or_later_by_the_month_of_their_inoculation() -> None:
    start = (LINE.but(ripe_in=Fixed(2 * D)),)
    assert "wed 08:00  A0 leaves racks (8)" in log(seen(start=start), "stays")
    twice = log(seen(start=start, months=Months(days=in_month("jan", 2.0))), "stays")
    assert "fri 08:00  A0 leaves racks (8)" in twice


def test_a_line_is_started_in_its_months_only() -> None:
    record = seen(start=(LINE.but(months=("feb", "mar")),), about={"weeks": 8}, weeks=8)
    days = [ABOUT.start + datetime.timedelta(hours=row[3]) for row in record.rows("blocks") if row[2] == 1]
    assert {day.month for day in days} == {2}
    assert len(days) == 4


def test_a_resting_room_takes_nothing_in_and_keeps_who_is_there() -> None:
    """The lot of 25 January stays until it is cleared in February; those of February wait for 1 March."""
    slow = OYSTER.but(first_pick=Fixed(12 * D))
    record = seen(slow, room=(SHED.but(rests=("feb",)),), about={"weeks": 10}, weeks=10)
    stays = [(row[0], date_of(row[5]), row[7]) for row in record.rows("stays") if row[1] == "Shed"]
    assert {came.month for _, came, _ in stays} == {1, 3}
    left = [date_of(hour) for key, _, hour in stays if "2027-01-25" in key and hour is not None]
    assert [day.month for day in left] == [2]
    assert min(came for _, came, _ in stays if came.month == 3) == datetime.date(2027, 3, 1)
    assert faults(record) == []


# --- days on which the farm stands still ----------------------------------------------------------------------------


def test_nothing_is_started_on_a_day_without_starts() -> None:
    start = (LINE.but(days=("mon", "tue"), blocks=16.0),)
    whole = [row[3] for row in seen(start=start).rows("blocks") if row[2] == 1]
    less = [row[3] for row in seen(start=start, shut=shut(5, "starts")).rows("blocks") if row[2] == 1]
    assert (whole, less) == ([8.0, 32.0], [8.0])
    making = {"mix": MIX, "sterilizer": OVEN, "start": (MADE.but(days=("tue",)),)}
    assert log(seen(**making, shut=shut(5, "starts")), "tasks") == []


def test_what_is_left_keeps_its_luck() -> None:
    """The lots of other days have the fate they had."""
    start = (LINE.but(days=("mon", "tue", "wed"), blocks=24.0, ripe_in=Fixed(1 * D)),)
    varied = OYSTER.but(yield_=OYSTER.yield_.but(cv_lot=0.3))
    both = [seen(varied, start=start, room=(SHED.but(holds=99.0),), shut=days) for days in ((), shut(5, "starts"))]
    picked = [{row[0]: row[5] for row in record.rows("picks")} for record in both]
    assert {key: kg for key, kg in picked[0].items() if key in picked[1]} == pytest.approx(picked[1])
    assert len(picked[0]) == len(picked[1]) + 1


def test_nobody_works_on_a_day_without_work() -> None:
    record = seen(shut=shut(6, "work"))
    assert log(record, "picks") == lines(
        "thu 07:08  picked 2.5 firsts + 2.5 seconds + 0 culls from A0, flush 0, 1 late"
    )
    assert [row[1] for row in record.rows("rostered")] == [6.0, 30.0, 78.0, 102.0, 126.0, 150.0]


def test_nothing_is_delivered_on_a_day_without_deliveries_and_what_is_short_goes_to_the_next_one() -> None:
    shop = SHOP.but(days=("tue", "wed", "fri"), unfilled="next day")
    told = log(seen(customer=(shop,), shut=shut(6, "deliveries", last=7)), "orders")
    assert [line[:9] for line in told][:2] == ["tue 09:00", "fri 09:00"]
    assert told[0].endswith("3 carried over") and "of 6 oyster" not in told[0]
    assert [line[:9] for line in log(seen(customer=(shop,)), "orders")][:2] == ["tue 09:00", "wed 09:00"]


def test_blocks_are_not_delivered_either() -> None:
    grower = GROWER.but(days=("wed", "thu"), takes={"oyster": 8.0})
    held = OYSTER.but(holds_ripe=OYSTER.holds_ripe.but(on_the_rack=14 * D))
    told = log(seen(held, block_customer=(grower,), shut=shut(6, "deliveries")), "block_orders")
    assert [line[:9] for line in told] == ["thu 09:00"]


def test_a_holiday_of_some_days_has_a_first_and_a_last() -> None:
    record = seen(shut=shut(5, "work", last=7))
    assert [row[1] for row in record.rows("rostered")] == [6.0, 102.0, 126.0, 150.0]


def test_a_dated_change_may_bring_a_holiday() -> None:
    plain: Farm = farm(crew=(OWNER,), about={"weeks": 2})
    changed = plain.but(changes=((7 * D, plain.but(shut=shut(12, "work"))),))
    hours = [row[1] for row in run(changed, 1, 0, 2).rows("rostered")]
    assert 8 * D + 6.0 not in hours
    assert 8 * D + 6.0 in [row[1] for row in run(plain, 1, 0, 2).rows("rostered")]


def test_a_year_of_ones_is_the_year_as_it_was() -> None:
    given = Months(orders=AS_USUAL, block_orders=AS_USUAL, yield_=AS_USUAL, days=AS_USUAL)
    parts = {"customer": (SHOP,), "block_customer": (GROWER,)}
    assert log(seen(months=given, **parts)) == log(seen(**parts))


def test_people_come_back_after_a_break_longer_than_anybody_looks_ahead() -> None:
    long = (Shut(name="summer", first=datetime.date(2027, 1, 11), last=datetime.date(2027, 2, 14)),)
    record = seen(shut=long, about={"weeks": 8}, weeks=8)
    days = [int(row[1] // D) for row in record.rows("rostered")]
    assert days == [*range(7), *range(42, 56)]


def test_a_helper_of_one_day_a_week_comes_back_after_missing_several() -> None:
    helper = OWNER.but(days=("mon",), absence=0.5)
    for seed in (1, 2, 3):
        weeks = [
            row[1] // (7 * D) for row in seen(crew=(helper,), seed=seed, about={"weeks": 60}, weeks=60).rows("rostered")
        ]
        assert 15 < len(weeks) < 45
        assert max(weeks) > 50
        assert (
            max(later - sooner for sooner, later in pairwise(weeks)) > 3
        )  # more than the three weeks anybody looks ahead


@pytest.mark.parametrize("last", [25, 28])
def test_a_long_break_with_soaked_lots_on_the_way_goes_by(last: int) -> None:
    plain = load(SCENARIOS / "four-rooms.toml")
    fair = Shut(name="fair", first=datetime.date(2027, 2, 9), last=datetime.date(2027, 2, last))
    assert faults(run(plain.but(shut=(fair,)), 1, 0, 10)) == []
