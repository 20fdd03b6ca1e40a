"""Changes that mean nothing change nothing: a room nobody may enter, the order of things in the file."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from farmsim.errors import RunStuck
from farmsim.model.run import run
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.values import Range

from .farms import SCENARIOS, SMALL, everything, farms, shipped, with_ties

WEEKS = 3
HOT_ROOM = SMALL.room[0].but(name="Hot", range=Range(40.0, 45.0))


def without_room(record: Record, name: str) -> dict[str, list[tuple[object, ...]]]:
    """Every row that does not speak of the room's places."""
    gone = {name, f"{name}, promised"}
    return {
        table: [row for row in rows if not (table in ("capacity", "room_days") and gone & set(row))]
        for table, rows in everything(record).items()
    }


BASE = run(SMALL, 1, 0, WEEKS)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_room_that_nothing_may_enter_changes_nothing(place: int) -> None:
    rooms = (*SMALL.room[:place], HOT_ROOM, *SMALL.room[place:])
    record = run(SMALL.but(room=rooms), 1, 0, WEEKS)
    assert without_room(record, "Hot") == everything(BASE)


def test_a_room_that_nothing_may_enter_changes_nothing_under_push_either() -> None:
    pushed = SMALL.but(rules=SMALL.rules.but(call_in="push"), soak=SMALL.soak.but(tanks=20))
    record = run(pushed.but(room=(HOT_ROOM, *SMALL.room)), 1, 0, WEEKS)
    assert without_room(record, "Hot") == everything(run(pushed, 1, 0, WEEKS))


def test_a_crew_without_a_duty_that_is_ever_asked_for_changes_nothing_but_who_is_rostered() -> None:
    idle = SMALL.crew[0].but(name="idle", duties=("clean",), absence=0.0)
    emptied = SMALL.but(room=(SMALL.room[0],))
    one, other = (
        everything(run(emptied, 1, 0, WEEKS)),
        everything(run(emptied.but(crew=(*emptied.crew, idle)), 1, 0, WEEKS)),
    )
    other["rostered"] = [row for row in other["rostered"] if row[0] != "idle"]
    assert one == other


def reversed_lines(farm: Farm) -> Farm:
    """The same farm with its lines, block customers and strains written down the other way round."""
    return farm.but(start=farm.start[::-1], strain=dict(reversed(farm.strain.items())))


def test_lines_written_down_in_reverse_give_the_same_rows() -> None:
    assert everything(run(reversed_lines(SMALL), 1, 0, WEEKS)) == everything(BASE)


def test_lines_in_reverse_give_the_same_rows_under_push() -> None:
    pushed = SMALL.but(rules=SMALL.rules.but(call_in="push"), soak=SMALL.soak.but(tanks=20))
    assert everything(run(reversed_lines(pushed), 1, 0, WEEKS)) == everything(run(pushed, 1, 0, WEEKS))


@pytest.mark.parametrize(
    "path", [path for path in SCENARIOS if path.stem in ("tiny", "four-rooms")], ids=lambda p: p.stem
)
def test_lines_of_a_shipped_farm_in_reverse_give_the_same_rows(path) -> None:
    farm = shipped(path, lead_in=8)
    other = farm.but(start=farm.start[::-1])
    assert everything(run(other, 1, 0, 1)) == everything(run(farm, 1, 0, 1))


@given(farms())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_order_of_lines_and_strains_in_the_file_changes_nothing(farm: Farm) -> None:
    for each in (farm, with_ties(farm)):
        plain = each.but(rules=each.rules.but(pick_first="ripest"))
        assert outcome(reversed_lines(plain)) == outcome(plain)


def outcome(farm: Farm) -> dict[str, list[tuple[object, ...]]] | str:
    """Every row, without the order in which rows of one moment were written down; or that the run cannot go on."""
    try:
        return {table: sorted(rows, key=repr) for table, rows in everything(run(farm, 1, 0, WEEKS)).items()}
    except RunStuck:
        return "stuck"
