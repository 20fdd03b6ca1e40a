"""A farm with more or fewer blocks started is the same farm otherwise; its orders grow along or stay."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

import farmsim
from farmsim.scenario import check
from farmsim.scenario.farm import Farm
from farmsim.scenario.fresh_sales import Mixed
from farmsim.scenario.scaled import blocks_a_week, least, scaled, shared_out, times
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


@pytest.fixture(scope="module")
def four_rooms() -> Farm:
    return farmsim.load(SCENARIOS / "four-rooms.toml")


def test_all_lines_grow_in_proportion_in_whole_blocks_that_add_up(four_rooms: Farm) -> None:
    for total in (19, 190, 1_111, 1_905, 2_280):
        other = scaled(four_rooms, Fraction(total, 1_900), True)
        assert blocks_a_week(other) == total
        for line, was in zip(other.start, four_rooms.start, strict=True):
            assert line.blocks == int(line.blocks) and abs(line.blocks - was.blocks * total / 1_900) < 1
            assert line.but(blocks=was.blocks) == was
        assert not check.faults(other)


def test_what_customers_want_grows_along_and_nothing_else(four_rooms: Farm) -> None:
    other = scaled(four_rooms, Fraction(6, 5), True)
    restaurants, stall, outlet = (four_rooms.customer[at] for at in (0, 3, 4))
    assert other.customer[0] == restaurants.but(takes={name: kg * 1.2 for name, kg in restaurants.takes.items()})
    assert other.customer[3].sells["shiitake"].mean == pytest.approx(1.2 * stall.sells["shiitake"].mean)
    assert other.customer[3].takes["nameko"] == pytest.approx(1.2 * stall.takes["nameko"])
    assert other.customer[4] is outlet
    assert other.block_customer[0].takes["shiitake"] == pytest.approx(192)
    same = other.but(start=four_rooms.start, customer=four_rooms.customer, block_customer=four_rooms.block_customer)
    assert same == four_rooms


def test_orders_may_stay_as_they_are(four_rooms: Farm) -> None:
    other = scaled(four_rooms, Fraction(6, 5), False)
    assert other.but(start=four_rooms.start) == four_rooms and other != four_rooms


def test_a_mixed_order_grows_along() -> None:
    tiny = farmsim.load(SCENARIOS / "tiny.toml")
    shop = tiny.customer[0].but(mixed=Mixed(of=("blue-oyster", "lions-mane"), amount=5.0))
    other = scaled(tiny.but(customer=(shop, *tiny.customer[1:])), Fraction(2), True)
    assert other.customer[0].mixed == shop.mixed.but(amount=10.0)


def test_every_phase_of_a_farm_that_grows_is_scaled() -> None:
    farm = farmsim.load(SCENARIOS / "growth.toml")
    assert farm.changes
    other = scaled(farm, Fraction(1, 2), True)
    for (since, state), (then, was) in zip(other.changes, farm.changes, strict=True):
        assert since == then and blocks_a_week(state) == round(blocks_a_week(was) / 2)
        assert state.room == was.room and state.crew == was.crew


def test_the_farm_as_it_is_comes_back_from_a_factor_of_one(four_rooms: Farm) -> None:
    assert scaled(four_rooms, Fraction(1), True) == four_rooms


def test_what_rounding_wrongs_most_gets_one_more() -> None:
    assert shared_out([700, 450, 250, 250, 150, 100], Fraction(19, 1900)) == [7, 5, 3, 2, 1, 1]
    assert shared_out([3, 3, 3], Fraction(4, 9)) == [2, 1, 1]
    assert shared_out([], Fraction(2)) == []


def test_the_fewest_blocks_leave_every_line_one(four_rooms: Farm) -> None:
    assert least(four_rooms, 1_900) == 19
    assert min(line.blocks for line in scaled(four_rooms, Fraction(19, 1_900), True).start) == 1


def test_the_fewest_blocks_leave_every_line_of_every_state_one(four_rooms: Farm) -> None:
    """A farm of 90 + 10 blocks a week grows to 450 + 50, and its level is that of the later state."""
    first, last = four_rooms.start[:2]
    later = four_rooms.but(start=(first.but(blocks=450.0), last.but(blocks=50.0)))
    farm = four_rooms.but(start=(first.but(blocks=90.0), last.but(blocks=10.0)), changes=((1_008.0, later),))
    assert least(farm, 500) == 50 and least(farm, 100) == 10
    assert [line.blocks for line in scaled(farm, Fraction(50, 500), True).start] == [9, 1]
    assert [line.blocks for line in scaled(farm, Fraction(10, 500), True).start] == [2, 0]


VARIES: list[tuple[Vary, Vary]] = [
    (Fixed(2.0), Fixed(3.0)),
    (Triangular(2.0, 4.0, 6.0), Triangular(3.0, 6.0, 9.0)),
    (Between(2.0, 4.0, 0.9), Between(3.0, 6.0, 0.9)),
    (MeanCv(2.0, 0.3, "gamma"), MeanCv(3.0, 0.3, "gamma")),
    (RangeMean(2.0, 4.0, 0.3), RangeMean(3.0, 6.0, 0.3)),
    (Measured((2.0, 6.0)), Measured((3.0, 9.0))),
]


@pytest.mark.parametrize(("vary", "larger"), VARIES)
def test_what_varies_grows_and_spreads_as_before_in_percent(vary: Vary, larger: Vary) -> None:
    assert times(vary, 1.5) == larger
    assert larger.sd / larger.mean == pytest.approx(vary.sd / vary.mean)
