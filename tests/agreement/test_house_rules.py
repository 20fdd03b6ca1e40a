"""Each house rule that says who may do what keeps its word over weeks of a whole farm, and changes something."""

from __future__ import annotations

from farmsim.model.run import run
from farmsim.record.balance import faults
from farmsim.record.tables import Record
from farmsim.scenario.people import IN_THE_ROOMS

from .farms import SMALL, everything

WEEKS = 6
APART = SMALL.but(rules=SMALL.rules.but(clean_bench="nobody from a fruiting room"))


def from_the_rooms_to_the_bench(record: Record) -> int:
    """How often somebody begins to inoculate who has been in a fruiting room on the same day."""
    rows = sorted(record.rows("tasks"), key=lambda row: row[6])
    in_rooms: set[tuple[object, ...]] = set()
    found = 0
    for crew, person, duty, _, _, _, began, *_ in rows:
        day = began // 24.0
        found += duty == "inoculate" and (crew, person, day) in in_rooms
        if duty in IN_THE_ROOMS:
            in_rooms.add((crew, person, day))
    return found


def test_nobody_goes_from_a_fruiting_room_to_the_clean_bench_on_one_day() -> None:
    plain, apart = run(SMALL, 1, 0, WEEKS), run(APART, 1, 0, WEEKS)
    assert from_the_rooms_to_the_bench(plain) > 10
    assert from_the_rooms_to_the_bench(apart) == 0
    assert faults(apart) == []
    assert everything(apart) != everything(plain)
