"""Farms that something hits run through, and until the day on which it hits them they are the farm they were."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.model.run import run
from farmsim.record import balance
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load
from farmsim.scenario.stress import Stress
from farmsim.scenario.stressed import blows, later, without_customer, without_hoped

from .farms import SCENARIOS, SMALL, everything
from .test_before_a_date import BASE, BASE_BEFORE, BASE_STANDING, CHANGED_AT, WEEK, WEEKS, before, stands_at

TINY = next(path for path in SCENARIOS if path.name == "tiny.toml")
OPENS, LATER = 2, 2  # weeks after the start, and how much later
CHANGE = """
based_on = "tiny.toml"
name     = "a lean-to"

[add.energy]
a_week = "$80 a week"

[add.balance]
cash = "$6,000"

[add.credit_line]
limit = "$2,000"
rate  = "9 % a year"

[change.crew.owner]
wage = "$15/h"

[change.customer."farm shop"]
price = "$9/lb"

[change.customer.neighbours]
price = "$4/lb"

[[phase]]
name = "the lean-to opens"
from = 2027-01-18

[phase.add.room.Lean-to]
holds = "120 shelf places"
range = "60 to 66 degF"

[phase.change.start.oyster]
blocks = "80 blocks a week"

[phase.add.customer.inn]
takes    = { blue-oyster = "20 lb a delivery" }
days     = ["wed"]
leave_by = "10:00"
firm     = "hoped for"
price    = "$8/lb"
"""


@pytest.fixture(scope="module")
def change(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("lean-to")
    (folder / "tiny.toml").write_text(TINY.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "change.toml").write_text(CHANGE, encoding="utf-8")
    return folder / "change.toml"


def short(farm: Farm) -> Record:
    """A few weeks of a farm, with a short lead-in."""
    return run(farm.but(farm=farm.farm.but(lead_in=2)), 1, 0, 6)


def rows(record: Record, week: int) -> dict[str, list[tuple[object, ...]]]:
    return everything(record, before=week * WEEK)


def test_opening_late_leaves_all_before_the_later_day_as_without_the_expansion(change: Path) -> None:
    expanded = load(change)
    base = expanded.but(changes=(), phases=())
    late, opened, without = (short(farm) for farm in (later(change, LATER), expanded, base))
    assert rows(late, OPENS) == rows(opened, OPENS) == rows(without, OPENS)
    assert rows(late, OPENS + LATER) == rows(without, OPENS + LATER) != rows(opened, OPENS + LATER)
    assert everything(late) != everything(without)
    assert balance.faults(late) == []


def test_opening_after_the_end_is_never_opening(change: Path) -> None:
    base = load(change).but(changes=(), phases=())
    assert everything(short(later(change, 30))) == everything(short(base))


def test_every_blow_runs_through_and_is_seen_in_the_run_unless_it_is_of_money_alone(change: Path) -> None:
    expanded = load(change).but(stress=Stress(late=1, together=(("prices", "yield"), ("late", "largest_customer"))))
    found = blows(change, expanded, "farm shop", OPENS * WEEK)
    usual = everything(short(expanded))
    seen = {}
    for blow in found:
        record = short(blow.farm)
        assert balance.faults(record) == [], blow.key
        seen[blow.key] = everything(record) != usual
    assert seen == {
        "prices": False,
        "yield": True,
        "contaminated": True,
        "wages": False,
        "energy": False,
        "interest": False,
        "late": True,
        "largest_customer": True,
        "prices+yield": True,
        "late+largest_customer": True,
    }


def test_without_those_who_are_only_hoped_for_nothing_is_brought_to_them(change: Path) -> None:
    expanded = load(change)
    other = without_hoped(expanded.but(changes=(), phases=()), expanded)
    assert other is not None
    record = short(other)
    assert rows(record, OPENS) == rows(short(expanded), OPENS)
    assert balance.faults(record) == [] and "inn" not in record.names.customers


BUYERS = [*(each.name for each in SMALL.customer), *(each.name for each in SMALL.block_customer)]


@pytest.mark.parametrize("name", BUYERS)
def test_before_a_customer_is_lost_all_stays_as_it_was(name: str) -> None:
    lost = without_customer(SMALL, name, CHANGED_AT - 100.0)  # the Monday after
    record = run(lost, 1, 0, WEEKS)
    assert before(record) == BASE_BEFORE
    assert stands_at(lost, CHANGED_AT) == BASE_STANDING
    assert balance.faults(record) == []
    assert everything(record) != everything(BASE)


def test_who_is_lost_on_the_first_monday_was_served_in_the_lead_in() -> None:
    record = run(without_customer(SMALL, "shop", 0.0), 1, 0, WEEKS)
    assert before(record, 0.0) == before(BASE, 0.0)
    assert everything(record) != everything(BASE) and balance.faults(record) == []
