"""The start plan in lots: how blocks are spread over days, cut into lots and put into loads."""

from __future__ import annotations

from farmsim.model.plan import Slot, week_of

from .tiny import MADE


def test_blocks_are_spread_evenly_and_what_is_over_goes_to_the_first_days() -> None:
    assert week_of(MADE.but(blocks=11.0, days=("mon", "wed", "fri")), 50, 50) == [
        Slot(0, 0, 4, 0),
        Slot(1, 2, 4, 1),
        Slot(2, 4, 3, 2),
    ]


def test_a_day_is_cut_into_whole_lots_and_a_rest() -> None:
    slots = week_of(MADE.but(blocks=20.0), 8, 16)
    assert slots == [Slot(0, 0, 8, 0), Slot(1, 0, 8, 0), Slot(2, 0, 4, 1)]


def test_a_load_takes_no_more_than_it_holds_and_no_lot_of_another_day() -> None:
    slots = week_of(MADE.but(blocks=60.0, days=("mon", "tue")), 8, 20)
    assert [(slot.weekday, slot.blocks, slot.load) for slot in slots] == [
        (0, 8, 0),
        (0, 8, 0),
        (0, 8, 1),
        (0, 6, 1),
        (1, 8, 2),
        (1, 8, 2),
        (1, 8, 3),
        (1, 6, 3),
    ]


def test_what_is_bought_in_on_a_day_comes_as_one_load() -> None:
    slots = week_of(MADE.but(blocks=60.0, days=("mon", "tue")), 8, None)
    assert {(slot.weekday, slot.load) for slot in slots} == {(0, 0), (1, 1)}


def test_a_line_that_grows_keeps_the_positions_of_its_lots() -> None:
    ten, twelve = (week_of(MADE.but(blocks=blocks), 8, 16) for blocks in (80.0, 96.0))
    assert twelve[:10] == ten


def test_few_blocks_leave_days_empty() -> None:
    assert week_of(MADE.but(blocks=1.0, days=("mon", "tue")), 8, 16) == [Slot(0, 0, 1, 0)]
    assert week_of(MADE.but(blocks=0.0), 8, 16) == []
