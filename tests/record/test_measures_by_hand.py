"""Every measure against a value worked out by hand from the two weeks of `two_weeks.py`."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from two_weeks import END, LAB, PICKERS

from farmsim.record.columns import ROOM_ENOUGH
from farmsim.record.journal import Journal
from farmsim.record.measures import RunTables, Table, summarise
from farmsim.record.tables import Record

Read = Callable[[Journal], Record]


@pytest.fixture
def tables(record: Record) -> RunTables:
    return summarise(record)


def row(table: Table, **wanted: str) -> dict[str, str | float]:
    """The one row in which the given columns have these texts."""
    size = len(next(iter(table.values())))
    rows = [{name: values[at] for name, values in table.items()} for at in range(size)]
    (found,) = [each for each in rows if all(each[name] == text for name, text in wanted.items())]
    return found


WEEKLY = {
    "week": (1, 2),
    "blocks_made": (40, 0),
    "blocks_bought": (0, 0),
    "blocks_sold": (10, 0),
    "blocks_sold_cheap": (0, 0),
    "blocks_fruited": (37, 0),
    "blocks_lost_contaminated": (3, 0),
    "blocks_lost_too_old": (0, 4),
    "blocks_cleared": (0, 57),
    "picked_kg": (6.5, 9),
    "firsts_kg": (5, 6),
    "seconds_kg": (1, 2),
    "culls_kg": (0.5, 1),
    "packed_kg": (6, 6),
    "sold_kg": (5, 3),
    "outlet_kg": (1, 0),
    "past_date_kg": (1, 0),
    "promised_kg": (7, 3),
    "delivered_kg": (5, 3),
    "short_kg": (2, 0),
    "orders": (3, 1),
    "orders_complete": (1, 1),
    "blocks_promised": (12, 0),
    "blocks_delivered": (10, 0),
    "blocks_short": (2, 0),
    "blocks_not_boxed": (2, 0),
    "blocks_failed": (3, 0),
    "blocks_credited": (1, 0),
    "blocks_replaced": (2, 0),
    "stall_kg": (0, 0),
    "stall_lost_kg": (0, 0),
    "to_dry_kg": (0, 0),
    "dried_kg": (0, 0),
    "substituted_kg": (0, 0),
    "customers_left": (0, 0),
    "not_ordered_kg": (0, 0),
    "short_not_there_kg": (0.5, 0),
    "short_not_packed_kg": (0, 0),
    "short_no_room_kg": (1.5, 0),
    "short_not_gone_kg": (0, 0),
    "rounds_due": (2, 3),
    "rounds_on_time": (1, 1),
    "rounds_late": (1, 0),
    "rounds_not_gone": (0, 1),
    "rounds_empty": (0, 1),
    "worked_h": (15, 2),
    "rostered_h": (24, 8),
    "overtime_h": (1, 0),
    "sent_home_h": (0, 0),
    "paid_h": (25, 8),
    "overtime_paid_h": (1, 0),
    "owner_h": (0, 0),
    "blocks_inside": (107, 46),
    "stock_kg": (2, 7),
}


def test_the_week_table_has_these_columns_and_no_others(tables: RunTables) -> None:
    assert list(tables["weekly"]) == list(WEEKLY)


@pytest.mark.parametrize("name", WEEKLY)
def test_weeks(tables: RunTables, name: str) -> None:
    assert tuple(tables["weekly"][name]) == WEEKLY[name]


def test_months_are_cut_at_their_first_day_and_add_up_to_the_weeks(tables: RunTables) -> None:
    assert tables["months"]["month"] == ["2027-01", "2027-02"]
    assert list(tables["months"]["days"]) == [7.0, 7.0]
    assert all(tuple(tables["months"][name]) == found for name, found in WEEKLY.items() if name != "week")


def test_strains(tables: RunTables) -> None:
    shiitake, oyster = row(tables["strains"], strain="shiitake"), row(tables["strains"], strain="oyster")
    assert (shiitake["firsts_kg"], shiitake["seconds_kg"], shiitake["culls_kg"]) == (11, 3, 1.5)
    assert (oyster["picked_kg"], oyster["sold_kg"], oyster["outlet_kg"], oyster["past_date_kg"]) == (0, 1, 1, 1)
    assert (oyster["blocks_made"], oyster["blocks_lost_too_old"], shiitake["blocks_fruited"]) == (40, 4, 37)
    assert (shiitake["first_pick_n"], shiitake["first_pick_mean"]) == (1, 390 / 24)
    assert oyster["first_pick_n"] == 0 and np.isnan(oyster["first_pick_mean"])


T = 336.0
PLACES = {
    "racks": {
        "kind": "racks",
        "capacity": 100,
        "used_mean": (600 + 564 + 1924 + 8000 + 4896) / T,
        "used_share": 15984 / (100 * T),
        "full_lots_waiting_share": 0,
        "full_nothing_waits_share": 0,
        "done_no_place_share": 37 * 28 / (100 * T),
        "idle_share": 1 - 15984 / (100 * T),
        "busiest_hour": "Mon 00:00",
        "busiest_used_share": (90 + 40) / 200,
        "waits_n": 0,
    },
    "tank": {
        "unit": "tanks",
        "used_share": 34 / T,
        "full_lots_waiting_share": 10 / T,
        "full_nothing_waits_share": 8 / T,
        "room_left_share": 0,
        "done_no_place_share": 16 / T,
        "hours_waiting_share": 21 / T,
        "idle_share": 302 / T,
        "busiest_hour": "Thu 04:00",
        "busiest_used_share": 0.5,
        "waits_n": 1,
        "waits_mean_h": 16,
        "waits_p90_h": 16,
    },
    "North": {
        "kind": "shelf",
        "used_mean": 7400 / T,
        "full_lots_waiting_share": 37 * 90 / (60 * T),
        "full_nothing_waits_share": 37 * 100 / (60 * T),
        "done_no_place_share": 370 / (60 * T),
        "booked_share": 37 * 30 / (60 * T),
        "hours_waiting_share": 100 / T,
        "idle_share": 1 - (7400 + 1110) / (60 * T),
        "waits_n": 1,
        "waits_mean_h": 22,
    },
}


def test_promised_shelf_places_are_no_place_of_their_own(tables: RunTables) -> None:
    assert tables["places"]["place"] == ["racks", "tank", "North"]


@pytest.mark.parametrize(("place", "name"), [(place, name) for place, found in PLACES.items() for name in found])
def test_places(tables: RunTables, place: str, name: str) -> None:
    wanted = PLACES[place][name]
    found = row(tables["places"], place=place)[name]
    assert found == (wanted if isinstance(wanted, str) else pytest.approx(wanted, abs=1e-15))


W = 168.0
PLACES_WEEKS = {
    "racks": {"capacity": (100, 100), "used_share": (98.08 / W, 61.76 / W), "hours_waiting_share": (0, 0)},
    "tank": {"capacity": (1, 1), "used_share": (34 / W, 0), "hours_waiting_share": (21 / W, 0)},
    "North": {"used_share": (37 * 68 / 60 / W, 37 * 132 / 60 / W), "hours_waiting_share": (0, 100 / W)},
}


@pytest.mark.parametrize(("place", "name"), [(place, name) for place, found in PLACES_WEEKS.items() for name in found])
def test_weeks_of_places(tables: RunTables, place: str, name: str) -> None:
    told = tables["places_weeks"]
    rows = [at for at, each in enumerate(told["place"]) if each == place]
    assert [told["week"][at] for at in rows] == [1, 2]
    assert [told[name][at] for at in rows] == pytest.approx(PLACES_WEEKS[place][name], abs=1e-15)


def test_weeks_of_crews(tables: RunTables) -> None:
    told = tables["crews_weeks"]
    assert list(zip(*(told[name] for name in ("crew", "week", "worked_h", "rostered_h")), strict=True)) == [
        ("pickers", 1, 13, 16),
        ("pickers", 2, 2, 8),
        ("lab", 1, 2, 8),
        ("lab", 2, 0, 0),
    ]


@pytest.mark.parametrize("end", [END, END - 50.0])
def test_weeks_of_places_and_crews_are_the_whole_run_cut_up(journal: Journal, end: float) -> None:
    told = summarise(Record.read(journal, date(2027, 1, 25), end))
    hours = np.diff([0.0, 168.0, end])
    weeks, places = told["places_weeks"], told["places"]
    for name in ("used_share", "hours_waiting_share", "capacity"):
        by_place = np.asarray(weeks[name]).reshape(-1, 2)
        assert (by_place * hours).sum(axis=1) / end == pytest.approx(np.asarray(places[name]))
    for name in ("worked_h", "rostered_h"):
        assert np.asarray(told["crews_weeks"][name]).reshape(-1, 2).sum(axis=1) == pytest.approx(
            np.asarray(told["crews"][name])
        )


def test_a_place_that_comes_and_one_without_end_have_shares_only_where_there_are_any(
    journal: Journal, read: Read
) -> None:
    record = read(journal)
    capacity = {name: values.copy() for name, values in record.tables["capacity"].items()}
    capacity["when"][2], capacity["amount"][0] = 168.0, ROOM_ENOUGH  # the tank comes in the second week
    told = summarise(replace(record, tables={**record.tables, "capacity": capacity}))["places_weeks"]
    rows = {name: list(told["place"]).index(name) for name in ("racks", "tank")}
    shares, there = np.asarray(told["used_share"]), np.asarray(told["capacity"])
    assert np.isnan(shares[rows["racks"]]) and np.isnan(there[rows["racks"]])
    assert np.isnan(shares[rows["tank"]]) and there[rows["tank"] : rows["tank"] + 2].tolist() == [0, 1]
    assert shares[rows["tank"] + 1] == 0


def test_the_states_of_a_place_add_up_to_all_of_it(tables: RunTables) -> None:
    states = ("full_lots_waiting_share", "full_nothing_waits_share", "room_left_share", "done_no_place_share")
    places = tables["places"]
    used = sum(np.asarray(places[name]) for name in states)
    assert used == pytest.approx(places["used_share"])
    assert used + np.asarray(places["booked_share"]) + np.asarray(places["idle_share"]) == pytest.approx(1.0)


def test_hours_of_the_week_of_places(tables: RunTables) -> None:
    hours = tables["hours_of_week"]
    tank = {hours["hour"][at]: at for at, name in enumerate(hours["name"]) if name == "tank"}
    assert len(tank) == 168
    # Hour 79: used in the first week only. Hours 80 to 95: full, and lot C waits. Hour 92: lot A is done.
    assert [hours["used"][tank[at]] for at in (75, 79, 92, 110)] == [0, 0.5, 0.5, 0]
    assert [hours["full_waiting"][tank[at]] for at in (79, 80, 95, 96, 106)] == [0, 0.5, 0.5, 0, 0.5]
    assert [hours["done_no_place"][tank[at]] for at in (89, 92, 96, 105)] == [0, 0.5, 0, 0.5]


def test_hours_of_the_week_of_crews(tables: RunTables) -> None:
    hours = tables["hours_of_week"]
    at_work = {hours["hour"][at]: at for at, name in enumerate(hours["name"]) if name == "pickers"}
    # First week: 2 people there; 1, 1, 2, 2 of them at work from 6 on. Second week: 1 there, at work at 7 and 8.
    assert [hours["used"][at_work[at]] for at in (6, 7, 8, 9, 13)] == pytest.approx([1 / 3, 2 / 3, 1, 2 / 3, 1 / 3])
    assert np.isnan(hours["used"][at_work[5]])
    assert [hours["full_waiting"][at_work[at]] for at in (5, 8, 9)] == [0, 0, 0.5]


def test_crews(tables: RunTables) -> None:
    pickers, lab = row(tables["crews"], crew="pickers"), row(tables["crews"], crew="lab")
    names = ("most_present", "rostered_h", "worked_h", "overtime_h", "use_share", "all_at_work_share")
    assert [pickers[name] for name in names] == [2, 24, 15, 1, 14 / 24, 2 / 24]
    assert [lab[name] for name in names] == [1, 8, 2, 0, 2 / 8, 0]
    assert (pickers["busiest_hour"], pickers["busiest_used_share"]) == ("Mon 08:00", 1.0)


def test_duties(tables: RunTables) -> None:
    duties = tables["duties"]
    assert list(zip(duties["crew"], duties["duty"], duties["hours"], duties["overtime_h"], strict=True)) == [
        ("pickers", "pick", 11, 1),
        ("pickers", "pack", 4, 0),
        ("lab", "pack", 2, 0),
    ]


def test_losses(tables: RunTables) -> None:
    losses = tables["losses"]
    assert list(zip(losses["cause"], losses["blocks"], losses["kg"], strict=True)) == [
        ("contaminated", 3, 0),
        ("too old", 4, 0),
        ("culls", 0, 1.5),
        ("past date", 0, 1),
        ("lost at the stall", 0, 0),
        ("short", 2, 2),
    ]


def test_deliveries(tables: RunTables) -> None:
    rounds = tables["deliveries"]
    names = ("customer", "strain", "weekday", "promised", "delivered", "short", "lines", "lines_complete")
    assert list(zip(*(rounds[name] for name in names), strict=True)) == [
        ("restaurants", "shiitake", "mon", 3, 3, 0, 1, 1),
        ("restaurants", "shiitake", "sun", 4, 4, 0, 1, 0),
        ("restaurants", "oyster", "thu", 1, 1, 0, 1, 1),
        ("stall", "oyster", "sun", 2, 0, 2, 1, 0),
    ]


def test_block_deliveries(tables: RunTables) -> None:
    rounds = tables["block_deliveries"]
    names = ("customer", "weekday", "promised", "delivered", "short", "lines", "lines_complete")
    assert list(zip(*(rounds[name] for name in names), strict=True)) == [
        ("growers", "tue", 10, 10, 0, 1, 0),
        ("growers", "wed", 2, 0, 2, 1, 0),
    ]


def test_customers(tables: RunTables) -> None:
    every = tables["customers"]
    names = (
        "customer",
        "unit",
        "promised",
        "delivered",
        "short",
        "orders",
        "orders_complete",
        "lines",
        "lines_complete",
    )
    assert list(zip(*(every[name] for name in names), strict=True)) == [
        ("restaurants", "kg", 8, 8, 0, 3, 2, 3, 2),
        ("stall", "kg", 2, 0, 2, 1, 0, 1, 0),
        ("growers", "blocks", 12, 10, 2, 2, 0, 2, 0),
    ]


def test_an_order_of_two_lines_is_complete_when_both_are(journal: Journal, read: Callable[[Journal], Record]) -> None:
    journal.orders((0, 1, 152.0, 1.0, 1.0, 0.0))  # beside the line of shiitake that is 1 kg short
    found = row(summarise(read(journal))["customers"], customer="restaurants")
    assert (found["orders"], found["orders_complete"], found["lines"], found["lines_complete"]) == (3, 2, 4, 3)


def test_rounds(tables: RunTables) -> None:
    town, market = row(tables["rounds"], round="town"), row(tables["rounds"], round="market")
    counted = ("rounds_due", "rounds_on_time", "rounds_late", "rounds_not_gone", "rounds_empty", "went", "van_full")
    assert [town[name] for name in counted] == [2, 1, 1, 0, 0, 2, 1]
    assert [market[name] for name in counted] == [3, 1, 0, 1, 1, 1, 0]
    what = ("late_h", "most_late_h", "away_h", "crates", "kg", "left_behind_kg", "van_used_share")
    assert [town[name] for name in what] == [1, 1, 8, 5, 5, 1.5, 0.75]
    assert [market[name] for name in what[1:6]] == [0, 12, 1, 1, 0]  # two people from hour 330 to the end at 336
    assert np.isnan(market["late_h"]) and np.isnan(market["van_used_share"])  # none was late; its room has no limit


def test_what_was_short_and_why(tables: RunTables) -> None:
    assert list(zip(*tables["shorts"].values(), strict=True)) == [("stall", "oyster", 2, 0.5, 0, 1.5, 0)]


def test_days(tables: RunTables) -> None:
    days = tables["days"]
    hours = {
        "start to ripe": 288,
        "ripe to called in": 28,
        "called in to shelved": 24,
        "shelved to first pick": 50,
        "start to first pick": 390,
        "first pick of flush 1 to 2": 140,
        "first pick of the last flush to cleared": 10,
        "shelved to cleared": 200,
        "start to cleared": 540,
    }
    assert dict(zip(days["span"], days["mean"], strict=True)) == {span: h / 24 for span, h in hours.items()}
    assert set(days["strain"]) == {"shiitake"} and set(days["n"]) == {1.0}


def test_checks_come_to_nothing(tables: RunTables) -> None:
    checks = tables["checks"]
    assert len(checks["check"]) == 4 * 2
    assert not np.any(checks["residual"])


# --- people told one by one -----------------------------------------------------------------------------------------


@pytest.fixture
def one_by_one(journal: Journal, read: Read) -> RunTables:
    """The second shifts told person by person: the picker (8 h from 174) is sent home after 4 h and paid 5, one of them
    as overtime; the lab (8 h from 166, 2 h at work) is the owner's."""
    journal.attended((PICKERS, 0, 174.0, 8.0, 4.0, 0.0, 5.0, 1.0, 0.0, 178.0))
    journal.attended((LAB, 0, 166.0, 8.0, 8.0, 0.0, 0.0, 0.0, 2.0, 174.0))
    return summarise(read(journal))


def test_paid_hours_of_people_told_one_by_one(one_by_one: RunTables) -> None:
    # First week: 16 h of two pickers and 1 h of overtime; the lab's 8 h from hour 166 on are not paid.
    weekly = one_by_one["weekly"]
    names = ("rostered_h", "sent_home_h", "paid_h", "overtime_paid_h", "owner_h")
    assert [tuple(weekly[name]) for name in names] == [(24, 8), (0, 4), (17, 5), (1, 1), (2, 0)]


def test_whoever_has_gone_home_is_not_there_to_be_at_work(one_by_one: RunTables) -> None:
    pickers = row(one_by_one["crews"], crew="pickers")
    assert [pickers[name] for name in ("rostered_h", "use_share")] == [24, 14 / 20]
    assert [pickers[name] for name in ("paid_h", "overtime_paid_h")] == [17 + 5, 1 + 1]
    hours = one_by_one["hours_of_week"]
    used = {hours["hour"][at]: hours["used"][at] for at, name in enumerate(hours["name"]) if name == "pickers"}
    # At 8 all three are at work; at 13 one of the two of the first week, and nobody is there in the second.
    assert (used[8], used[13]) == (pytest.approx(1.0), pytest.approx(0.5))
