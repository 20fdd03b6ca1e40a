"""What stalls sold, what was dried and given instead, and who left, from a journal written by hand."""

import datetime

import pytest
from two_weeks import END, NAMES, OYSTER, SHIITAKE

from farmsim.record.balance import faults
from farmsim.record.columns import WHYS
from farmsim.record.journal import Journal
from farmsim.record.measures import RunTables, Table, summarise
from farmsim.record.tables import Record
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.rooms import Incubation, Opening
from farmsim.scenario.sales import Customer

RESTAURANTS, STALL = range(2)
WHY = {name: number for number, name in enumerate(WHYS)}


def rows(table: Table) -> list[tuple[object, ...]]:
    return list(zip(*table.values(), strict=True))


@pytest.fixture
def journal() -> Journal:
    """20 kg of each strain at the start; a stall on two Saturdays, a dryer, restaurants that leave in the second week."""
    written = Journal(NAMES)
    for row in (
        (SHIITAKE, 0, WHY["sold"], RESTAURANTS, -5.0, 400.0, 26.0, 3.0),
        (OYSTER, 0, WHY["sold"], RESTAURANTS, -5.0, 400.0, 26.0, 2.0),
        (OYSTER, 0, WHY["stall"], STALL, -5.0, 400.0, 128.0, 4.0),
        (OYSTER, 0, WHY["lost at the stall"], STALL, -5.0, 400.0, 128.0, 1.0),
        (OYSTER, 0, WHY["stall"], STALL, -5.0, 400.0, 296.0, 2.0),
        (OYSTER, 0, WHY["past date"], STALL, -5.0, 300.0, 303.0, 1.0),
        (SHIITAKE, 0, WHY["to dry"], STALL, -5.0, 400.0, 200.0, 8.0),
    ):
        written.stock_out(row)
    written.orders((RESTAURANTS, SHIITAKE, 26.0, 6.0, 5.0, 0.0))
    written.substituted((RESTAURANTS, SHIITAKE, OYSTER, 26.0, 2.0))
    written.customers_left((RESTAURANTS, 194.0, 3, 12.0))
    written.not_ordered((RESTAURANTS, SHIITAKE, 218.0, 5.5))
    written.not_ordered((RESTAURANTS, SHIITAKE, 242.0, 6.5))
    written.market_days((STALL, OYSTER, 128.0, 6.0, 5.0, 4.0, 4.0, 0.0, 1.0, 128.0))
    written.market_days((STALL, OYSTER, 296.0, 6.0, 6.0, 2.0, 2.0, 3.0, 1.0, 303.0))
    written.market_days((STALL, SHIITAKE, 296.0, 2.0, 0.0, 1.5, 0.0, 0.0, 0.0, 303.0))
    written.dried((STALL, SHIITAKE, 200.0, 8.0, 1.0))
    for row in ((SHIITAKE, 0, 20.0, 0.0), (OYSTER, 0, 20.0, 0.0), (SHIITAKE, 0, 9.0, END), (OYSTER, 0, 10.0, END)):
        written.left_over(row)
    return written


def read(journal: Journal, farm: Farm | None = None) -> Record:
    return Record.read(journal, datetime.date(2027, 1, 25), END, farm=farm)


@pytest.fixture
def tables(journal: Journal) -> RunTables:
    return summarise(read(journal))


def test_all_of_it_adds_up(journal: Journal) -> None:
    assert faults(read(journal)) == []


def test_weeks(tables: RunTables) -> None:
    weekly = tables["weekly"]
    found = {
        name: tuple(weekly[name]) for name in weekly if name.startswith(("stall", "to_dry", "dried", "subst", "not"))
    }
    assert found == {
        "stall_kg": (4, 2),
        "stall_lost_kg": (1, 0),
        "to_dry_kg": (0, 8),
        "dried_kg": (0, 1),
        "substituted_kg": (2, 0),
        "not_ordered_kg": (0, 12),
    }
    assert tuple(weekly["customers_left"]) == (0, 1)
    assert tuple(weekly["past_date_kg"]) == (0, 1)
    assert tuple(weekly["promised_kg"]) == (6, 0)  # what is no longer ordered is not promised
    assert (tuple(weekly["sold_kg"]), tuple(weekly["delivered_kg"])) == ((5, 0), (5, 0))


def test_stalls_by_strain(tables: RunTables) -> None:
    assert list(tables["stalls"]) == [
        "stall", "strain", "market_days", "wanted", "brought", "asked", "sold", "came_back", "lost", "days_there",
        "sold_out_days",
    ]  # fmt: skip
    assert rows(tables["stalls"]) == [
        ("stall", "shiitake", 1, 2, 0, 1.5, 0, 0, 0, 0, 0),
        ("stall", "oyster", 2, 12, 11, 6, 6, 3, 2, 2, 0),
    ]


def test_who_left_and_when(tables: RunTables) -> None:
    assert rows(tables["customers_left"]) == [("restaurants", "2027-02-02", 2, 3, 12)]


def test_what_was_lost_at_stalls_is_a_loss_of_its_own(tables: RunTables) -> None:
    losses = tables["losses"]
    assert dict(zip(losses["cause"], losses["kg"], strict=True)) == {
        "contaminated": 0, "too old": 0, "culls": 0, "past date": 1, "lost at the stall": 1, "short": 1,
    }  # fmt: skip


def test_promises_by_how_firm_they_are(journal: Journal) -> None:
    journal.orders((STALL, OYSTER, 40.0, 3.0, 0.0, 0.0))
    journal.orders((RESTAURANTS, SHIITAKE, 50.0, 2.0, 0.0, 0.0))
    plain = Customer(name="restaurants", takes={"shiitake": 6.0}, days=("tue",), leave_by=2.0, firm="signed")
    farm = Farm(
        farm=About(name="By hand", start=datetime.date(2027, 1, 25), weeks=2),
        incubation=Incubation(holds=1.0),
        opening=Opening(benches=1),
        customer=(plain, plain.but(name="stall", firm="hoped for")),
    )
    told = summarise(read(journal, farm))["firmness"]
    assert list(told) == ["firm", "promised", "delivered", "short", "orders", "orders_complete"]
    assert rows(told) == [("signed", 8, 5, 3, 2, 0), ("hoped for", 3, 0, 3, 1, 0)]


def test_of_a_record_without_a_farm_it_is_not_told(tables: RunTables) -> None:
    assert rows(tables["firmness"]) == [("not told", 6, 5, 1, 1, 0)]
