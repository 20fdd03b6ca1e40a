"""Lots that wait for one another in a circle end the run, and who waits for what is told."""

from __future__ import annotations

import pytest

from farmsim.errors import RunStuck
from farmsim.scenario.rules import Rules
from farmsim.scenario.strain import Flushes

from .tiny import LINE, SHED, SHIITAKE, TANKS, D, Fixed, log, seen

AGAIN = SHIITAKE.but(
    steps=("soak", "open", "fruit"), cold_shock=None, flushes=Flushes(share=(0.5, 0.5), rest=1 * D, soak_again=True)
)
JAMS = {
    "soak": TANKS,
    "room": (SHED.but(holds=8.0),),
    "start": (LINE.but(blocks=16.0),),
    "rules": Rules(call_in="push"),
}


def test_tanks_full_of_lots_that_wait_for_shelves_whose_lots_wait_for_a_tank_end_the_run() -> None:
    # A1 lies in the only tank and waits for the shelf of A0, which waits for the tank to be soaked again.
    with pytest.raises(RunStuck) as stuck:
        seen(AGAIN, **JAMS, weeks=4)
    assert str(stuck.value).splitlines() == [
        "The farm jams on day 7: these lots wait for one another in a circle, so none of them can ever move.",
        "A/2027-01-04/00 waits for 1 in soak tanks since day 4.3 and keeps Shed (8)",
        "A/2027-01-04/01 waits for 1 in opening benches and 8 in Shed since day 2.3 and keeps soak tanks (1)",
    ]
    assert stuck.value.exit_code == 3


def test_one_more_tank_and_the_farm_goes_on() -> None:
    record = seen(AGAIN, **JAMS | {"soak": TANKS.but(tanks=2)}, weeks=2)
    assert any("8 of A0 cleared" in line for line in log(record, "blocks"))


def test_called_only_when_a_shelf_is_free_the_same_farm_never_jams() -> None:
    record = seen(AGAIN, **JAMS | {"rules": Rules()}, weeks=4)
    assert any("8 of A0 cleared" in line for line in log(record, "blocks"))


def test_lots_that_only_wait_long_are_not_stuck() -> None:
    slow = SHIITAKE.but(steps=("open", "fruit"), cold_shock=None, soak=None, first_pick=Fixed(40 * D))
    seen(slow, **JAMS, weeks=4)


def test_a_lot_too_large_for_every_room_is_stuck() -> None:
    with pytest.raises(
        RunStuck, match=r"A/2027-01-04/00 waits for 8 in Shed, promised since day 0\.3 and keeps racks \(8\)"
    ):
        seen(room=(SHED.but(holds=7.0),), weeks=2)
