"""All rules about people together on a whole farm: sums, standing lots, dated changes, luck by name."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from farmsim.model.run import run, standing_at
from farmsim.record.balance import faults
from farmsim.record.measures import summarise
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew, FromHour, NewHands, Overtime
from farmsim.scenario.read import load
from farmsim.scenario.values import DAYS, Shift

from .test_standing_lots import TABLES, rest

SHIPPED = load(Path(__file__).parents[2] / "scenarios" / "four-rooms.toml")
PLAIN = SHIPPED.but(crew=tuple(crew for crew in SHIPPED.crew if crew.paid == "by the hour"), round=(), van={})
SLOW = NewHands(pace=(0.5, 0.7, 0.85))
OWNER = Crew(
    name="owner",
    people=2,
    days=DAYS,
    hours=dict.fromkeys(DAYS, Shift(6.0, 18.0)),
    duties=("pick", "pack", "soak", "open", "clear"),
    paid="as owner",
    called="last",
    at_most_hours=9.0,
)
RULES: dict[str, dict[str, object]] = {
    "block makers": {"leaves": 2.0, "replaced_after": 2, "new_hands": SLOW},
    "growers": {
        "overtime": Overtime(at_most=2.0, at_most_a_week=0.5, after=32.0),
        "by_hour": (FromHour(from_=10.0, duties=("open", "soak", "clear", "clean")),),
    },
    "pickers": {"may_go": "when nothing waits", "shortest_shift": 4.0, "leaves": 1.0, "new_hands": SLOW},
    "packers": {"may_go": "when nothing waits", "shortest_shift": 3.0},
}
FARM = PLAIN.but(crew=(*(crew.but(**RULES[crew.name]) for crew in PLAIN.crew), OWNER))


def changed() -> Farm:
    """On the Monday of the third week there is one more picker, and packers are paid another shortest shift."""
    more = {"pickers": {"people": 4}, "packers": {"shortest_shift": 5.0}}
    crews = tuple(crew.but(**more.get(crew.name, {})) for crew in FARM.crew)
    return FARM.but(changes=((2 * 168.0, FARM.but(crew=crews)),))


@pytest.fixture(scope="module")
def record() -> Record:
    return run(FARM, 7, 0, 8)


def test_nothing_is_broken_and_every_rule_has_a_say(record: Record) -> None:
    assert faults(record) == []
    weekly = summarise(record)["weekly"]
    assert (sum(weekly["owner_h"]) > 0, sum(weekly["sent_home_h"]) > 0) == (True, True)
    assert sum(weekly["overtime_paid_h"]) != sum(weekly["overtime_h"])
    assert max(weekly["owner_h"]) <= 2 * 9.0


def test_what_is_paid_is_what_each_person_is_paid(record: Record) -> None:
    """Hours of crews told person by person, and rostered hours with overtime of the others."""
    by_person = {row[0] for row in record.rows("attended")}
    assert by_person == {"growers", "pickers", "packers", "owner"}
    since = [row for row in record.rows("attended") if row[2] >= 0.0]
    others = sum(row[2] * row[3] for row in record.rows("rostered") if row[0] not in by_person and row[1] >= 0.0)
    overtime = sum(row[9] for row in record.rows("tasks") if row[0] not in by_person and row[6] >= 0.0)
    weekly = summarise(record)["weekly"]
    assert sum(weekly["paid_h"]) == pytest.approx(sum(row[6] for row in since) + others + overtime)
    assert sum(weekly["owner_h"]) == pytest.approx(sum(row[9 - 1] for row in since))


def test_the_limits_hold_for_every_person_in_every_week(record: Record) -> None:
    overtime: dict[tuple[object, ...], float] = {}
    owned: dict[tuple[object, ...], float] = {}
    for crew, person, when, _, _, over, *_, own, _ in record.rows("attended"):
        key = (crew, person, when // 168)
        overtime[key] = overtime.get(key, 0.0) + over
        owned[key] = owned.get(key, 0.0) + own
    assert max(hours for (crew, *_), hours in overtime.items() if crew == "growers") == pytest.approx(0.5)
    assert max(hours for (crew, *_), hours in owned.items() if crew == "owner") == pytest.approx(9.0)


def test_somebody_of_each_shift_stays_to_the_end(record: Record) -> None:
    ends: dict[tuple[object, ...], list[bool]] = {}
    for crew, _, when, hours, stayed, *_ in record.rows("attended"):
        if crew in ("pickers", "packers"):
            ends.setdefault((crew, when), []).append(stayed == hours)
    assert all(any(shift) for shift in ends.values())
    assert not all(all(shift) for shift in ends.values())


@pytest.mark.parametrize("monday", [3, 5])
@pytest.mark.parametrize("farm", [FARM, changed()], ids=["as it is", "changed on a date"])
def test_the_rest_of_the_journal_is_equal_from_standing_lots(farm: Farm, monday: int) -> None:
    when = monday * 168.0
    whole, standing = run(farm, 7, 0, 8), standing_at(farm, 7, 0, when)
    again = run(farm, 7, 0, 8, pickle.loads(pickle.dumps(standing)))
    for table in (*TABLES, "attended"):
        assert rest(again, table, when) == rest(whole, table, when), table


def test_until_a_change_everything_is_as_without_it(record: Record) -> None:
    other = run(changed(), 7, 0, 8)
    assert faults(other) == []
    for table in (*TABLES, "attended"):
        assert record.rows(table, before=336.0) == other.rows(table, before=336.0), table
    assert record.rows("attended") != other.rows("attended")


def test_a_crew_that_is_called_last_and_never_may_work_changes_nothing_for_the_others() -> None:
    idle = OWNER.but(name="idle", at_most_hours=0.0, duties=("pick", "pack"))
    with_idle = run(PLAIN.but(crew=(*PLAIN.crew, idle)), 7, 0, 4)
    assert with_idle.rows("tasks") == run(PLAIN, 7, 0, 4).rows("tasks")


def test_rules_that_ask_nothing_change_nothing() -> None:
    """Each rule at a value at which it cannot have a say: the same tasks, whatever way they are worked out."""
    nothing: list[dict[str, object]] = [
        {"called": "last"} if len(PLAIN.crew) == 1 else {},
        {"overtime": PLAIN.crew[0].overtime.but(at_most_a_week=80.0, after=168.0)},
        {"may_go": "when nothing waits", "shortest_shift": 24.0},
        {"new_hands": SLOW},
        {"new_hands": NewHands(pace=(1.0,)), "leaves": 4.0, "replaced_after": 0},
        {"by_hour": (FromHour(from_=12.0, duties=("inoculate", "mix", "inspect")),)},
    ]
    plain = run(PLAIN, 7, 0, 4)
    for rule in nothing:
        record = run(PLAIN.but(crew=(PLAIN.crew[0].but(**rule), *PLAIN.crew[1:])), 7, 0, 4)
        assert record.rows("tasks") == plain.rows("tasks"), rule
        assert record.rows("orders") == plain.rows("orders"), rule
