"""Rounds and market days: who goes along, when it leaves, what the van takes, and what becomes of the rest."""

from __future__ import annotations

import pickle

import pytest

from farmsim.errors import FarmsimError
from farmsim.model.calendar import Shift
from farmsim.model.run import run, standing_at
from farmsim.record import balance
from farmsim.record.tables import Record
from farmsim.scenario.delivery import Round, Van
from farmsim.scenario.people import Overtime
from farmsim.scenario.rules import Rules

from ..tiny import LINE, OUTLET, OWNER, OYSTER, SHED, SHOP, D, farm, lines, log, of_crew, seen

TOWN = Round(name="town", customers=("shop",), takes=2.0, van="van", called=0.5, late_at_most=2.0)
DUTIES = (*OWNER.duties, "deliver")
DRIVES_LAST, DRIVES_FIRST = of_crew(*DUTIES), of_crew("deliver", *OWNER.duties)
EARLY = SHOP.but(leave_by=8.0)  # the owner clears until 08:30
BIG = SHED.but(holds=100.0)
TOLD = ("tasks", "orders", "shorts", "rounds")
PARTS = {"customer": (SHOP,), "round": (TOWN,), "van": {"van": Van()}, "crew": (DRIVES_LAST,)}


def driven(*tables: str, **parts: object) -> list[str]:
    """What happened from Wednesday on where the shop is on a round."""
    return told(seen(**{**PARTS, **parts}), *tables)


def told(record: Record, *tables: str) -> list[str]:
    assert balance.faults(record) == []
    return [line for line in log(record, *tables) if not line.startswith(("mon ", "tue "))]


# --- leaving and coming back ----------------------------------------------------------------------------------------


def test_people_are_called_the_round_leaves_at_its_hour_and_is_back() -> None:
    assert driven() == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 07:30  owner 0 ends pack, begun wed 07:00
        wed 07:30  packed 4 of oyster
        wed 07:30  crates comes to walk-in
        wed 07:30  4 + 0 of oyster put in walk-in
        wed 08:30  owner 0 ends clear A0, begun wed 07:30
        wed 08:30  A0 leaves Shed (8), done wed 07:00
        wed 08:30  A0 leaves Shed, promised (8)
        wed 08:30  a load comes to van
        wed 08:30  8 of A0 cleared
        wed 09:00  crates gives back 3 of walk-in
        wed 09:00  3 firsts of oyster sold to shop, good until wed2 07:00
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
        wed 09:00  town leaves: 1 with 3 kg in 3 crates
        wed 11:00  owner 0 ends deliver, begun wed 08:30
        wed 11:00  a load leaves van (1)
        wed 11:00  town is back
    """)


def test_it_leaves_late_when_people_come_late_and_the_order_waits_with_it() -> None:
    assert driven(*TOLD, customer=(EARLY,)) == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:30  owner 0 ends pack, begun wed 07:00
        wed 08:30  owner 0 ends clear A0, begun wed 07:30
        wed 08:30  shop gets 3 of 3 oyster, 0 carried over
        wed 08:30  town leaves, due wed 08:00: 1 with 3 kg in 3 crates
        wed 10:30  owner 0 ends deliver, begun wed 08:30
        wed 10:30  town is back
    """)


def test_it_goes_if_they_come_at_the_last_moment() -> None:
    told = driven("rounds", customer=(EARLY,), round=(TOWN.but(late_at_most=0.5),))
    assert told[0] == "wed 08:30  town leaves, due wed 08:00: 1 with 3 kg in 3 crates"


def test_after_that_it_does_not_go_and_its_order_is_lost() -> None:
    assert driven(*TOLD, "stays", customer=(EARLY,), round=(TOWN.but(late_at_most=0.25),))[-7:] == lines("""
        wed 08:15  a load leaves van (1)
        wed 08:15  shop gets 0 of 3 oyster, 0 carried over
        wed 08:15  shop is short of 3 oyster: the round did not go
        wed 08:15  town does not go, due wed 08:00: people or van came too late
        wed 08:30  owner 0 ends clear A0, begun wed 07:30
        wed 08:30  A0 leaves Shed (8), done wed 07:00
        wed 08:30  A0 leaves Shed, promised (8)
    """)


def test_or_carried_to_the_next_day_on_which_the_round_then_goes() -> None:
    shop = EARLY.but(unfilled="next day")
    assert driven("orders", "rounds", customer=(shop,), round=(TOWN.but(late_at_most=0.25),)) == lines("""
        wed 08:15  shop gets 0 of 3 oyster, 3 carried over
        wed 08:15  town does not go, due wed 08:00: people or van came too late
        thu 08:00  shop gets 3 of 3 oyster, 0 carried over
        thu 08:00  town leaves: 1 with 3 kg in 3 crates
        thu 10:00  town is back
    """)


def test_what_was_packed_for_a_round_that_did_not_go_may_be_past_its_date_the_next_day() -> None:
    # Good until Friday 07:00; packed for Thursday, when nobody drives.
    strain = OYSTER.but(shelf_life=2.0 * D, pack_forms={"caps": 2.0})
    shop = SHOP.but(days=("thu",), form="caps", unfilled="next day")
    crew = (of_crew(*OWNER.duties, "pack orders"), of_crew("deliver", name="driver", days=("fri",)))
    record = seen(strain, **{**PARTS, "customer": (shop,), "crew": crew})
    assert told(record, "packed_orders", "stock_out", "orders", "shorts", "rounds") == lines("""
        wed 10:00  packed 2 of oyster to order for shop, due thu 09:00
        wed 10:30  packed 1 of oyster to order for shop, due thu 09:00
        thu 11:00  shop gets 0 of 3 oyster, 3 carried over
        thu 11:00  shop is short of 3 oyster: the round did not go
        thu 11:00  town does not go, due thu 09:00: people or van came too late
        fri 09:00  4 firsts of oyster past date, good until fri 07:00
        fri 09:00  shop gets 0 of 3 oyster, 0 carried over
        fri 09:00  town does not go, due fri 09:00: nothing to bring
    """)


def test_nobody_drives_out_with_nothing() -> None:
    early = SHOP.but(leave_by=6.5)  # before anything is picked
    assert driven(*TOLD, customer=(early,), crew=(DRIVES_FIRST,))[:5] == lines("""
        wed 06:30  owner 0 ends deliver, begun wed 06:00
        wed 06:30  shop gets 0 of 3 oyster, 0 carried over
        wed 06:30  town does not go, due wed 06:30: nothing to bring
        wed 07:30  owner 0 ends pick, begun wed 06:30
        wed 08:00  owner 0 ends pack, begun wed 07:30
    """)


def test_a_round_has_an_hour_of_its_own_or_the_earliest_of_those_it_serves_on_the_day() -> None:
    inn = SHOP.but(name="inn", days=("wed", "thu"), leave_by=10.0, takes={"oyster": 0.5})
    both = TOWN.but(customers=("inn", "shop"))

    def hours(round_: Round) -> list[str]:
        return [line[:9] for line in driven("rounds", customer=(SHOP, inn), round=(round_,)) if "leaves" in line]

    assert hours(both) == ["wed 09:00", "thu 10:00"]
    assert hours(both.but(leave_by=8.75)) == ["wed 08:45", "thu 08:45"]


def test_customers_on_no_round_are_served_at_their_hour_as_before() -> None:
    inn = SHOP.but(name="inn", leave_by=8.0, takes={"oyster": 1.0})
    record = seen(**{**PARTS, "customer": (SHOP, inn)})
    assert told(record, "orders") == lines("""
        wed 08:00  inn gets 1 of 1 oyster, 0 carried over
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
    """)


# --- people ---------------------------------------------------------------------------------------------------------


def test_who_is_away_cannot_pick_meanwhile() -> None:
    # Lot B is ripe on Thursday at 06:00; the owner drives from 06:30 to 10:30.
    start, shop = (LINE, LINE.but(name="B", days=("tue",))), SHOP.but(days=("thu",), leave_by=6.5)
    parts = {"start": start, "customer": (shop,), "round": (TOWN.but(takes=4.0),), "room": (BIG,)}
    assert driven("tasks", "picks", "rounds", crew=(DRIVES_FIRST,), **parts)[-7:] == lines("""
        thu 06:30  town leaves: 1 with 3 kg in 3 crates
        thu 10:30  owner 0 ends deliver, begun thu 06:00
        thu 10:30  town is back
        thu 11:30  owner 0 ends pick, begun thu 10:30
        thu 11:30  picked 4 firsts + 0 seconds + 0 culls from B0, flush 0, 0 late
        thu 12:00  owner 0 ends pack, begun thu 11:30
        thu 13:00  owner 0 ends clear B0, begun thu 12:00
    """)


def test_a_market_day_takes_two_who_leave_together_and_the_first_waits_for_the_second() -> None:
    two = OWNER.but(people=2, duties=DUTIES)
    assert driven(*TOLD, crew=(two,), customer=(EARLY,), round=(TOWN.but(people=2, takes=9.0),))[2:] == lines("""
        wed 08:00  owner 1 ends clear A0, begun wed 07:00
        wed 08:00  shop gets 3 of 3 oyster, 0 carried over
        wed 08:00  town leaves: 2 with 3 kg in 3 crates
        wed 17:00  owner 0 ends deliver, begun wed 07:30
        wed 17:00  owner 1 ends deliver, begun wed 08:00
        wed 17:00  town is back
    """)


def test_only_who_can_be_back_in_the_shift_goes() -> None:
    assert driven("orders", "shorts", "rounds", crew=(of_crew(*DUTIES, end=10.5),)) == lines("""
        wed 11:00  shop gets 0 of 3 oyster, 0 carried over
        wed 11:00  shop is short of 3 oyster: the round did not go
        wed 11:00  town does not go, due wed 09:00: people or van came too late
    """)
    assert driven("rounds", crew=(of_crew(*DUTIES, end=11.0),))[-1] == "wed 11:00  town is back"


def test_or_in_the_overtime_they_may_work() -> None:
    late = of_crew(*DUTIES, end=10.5, overtime=Overtime(at_most=0.5))
    assert driven("tasks", "rounds", crew=(late,))[-2:] == lines("""
        wed 11:00  owner 0 ends deliver, begun wed 08:30, 0.5 h overtime
        wed 11:00  town is back
    """)


def test_a_break_is_taken_on_the_way() -> None:
    assert driven("tasks", "rounds", crew=(of_crew(*DUTIES, break_=0.5, break_at=10.0),))[-2:] == lines("""
        wed 11:30  owner 0 ends deliver, begun wed 08:30, 2.5 h worked
        wed 11:30  town is back
    """)


def test_somebody_who_waited_too_long_to_be_back_in_time_goes_back_to_other_work() -> None:
    # The driver could leave at 08:15 at the latest; the owner comes at 08:30, and then one is missing.
    driver = of_crew("deliver", start=7.0, end=10.75, name="driver")
    parts = {"customer": (EARLY,), "round": (TOWN.but(people=2, takes=2.5),)}
    assert driven(*TOLD, crew=(DRIVES_LAST, driver), **parts)[2:] == lines("""
        wed 08:15  driver 0 ends deliver, begun wed 07:30
        wed 08:30  owner 0 ends clear A0, begun wed 07:30
        wed 10:00  owner 0 ends deliver, begun wed 08:30
        wed 10:00  shop gets 0 of 3 oyster, 0 carried over
        wed 10:00  shop is short of 3 oyster: the round did not go
        wed 10:00  town does not go, due wed 08:00: people or van came too late
    """)


def test_another_takes_the_place_of_somebody_who_could_wait_no_longer() -> None:
    driver, second = (
        of_crew("deliver", start=7.0, end=10.75, name="driver"),
        of_crew("deliver", start=8.5, name="second"),
    )
    parts = {"customer": (EARLY,), "round": (TOWN.but(people=2, takes=2.5),)}
    assert driven("rounds", crew=(DRIVES_LAST, driver, second), **parts) == lines("""
        wed 08:30  town leaves, due wed 08:00: 2 with 3 kg in 3 crates
        wed 11:00  town is back
    """)


@pytest.mark.parametrize(
    ("hours", "overtime", "last"),
    [
        (2.0, 0.0, 14.0),
        (2.0, 0.5, 14.5),
        (6.0, 0.0, 9.5),
        (9.5, 0.0, 6.0),
        (0.5, 1.0, 16.0),
        (10.0, 0.0, -float("inf")),
    ],
)
def test_from_when_on_at_the_latest_work_is_done_within_a_shift(hours: float, overtime: float, last: float) -> None:
    shift = Shift(((6.0, 12.0), (12.5, 16.0)), overtime=overtime)  # 9.5 h of work
    assert shift.last_start(hours) == last
    if last > 0.0:
        assert shift.finish(last, hours).left == 0.0
        assert overtime > hours or shift.finish(last + 0.125, hours).left > 0.0


def test_who_has_an_hours_ceiling_goes_only_if_the_round_fits_below_it() -> None:
    # Away from 09:00 to 11:00; whoever has just these two hours left comes at the last moment.
    def goes(most: float) -> str:
        driver = of_crew("deliver", name="driver", at_most_hours=most, paid="as owner", start=8.0)
        return driven("rounds", crew=(of_crew(), driver))[-1]

    assert goes(2.0) == "wed 11:00  town is back"
    assert goes(1.75) == "wed 11:00  town does not go, due wed 09:00: people or van came too late"


def test_waiting_and_driving_count_below_the_ceiling() -> None:
    # 2.5 h each time: of 6.75 h there are 1.75 left for a third round of the week.
    driver = of_crew("deliver", name="driver", at_most_hours=6.75, paid="as owner", start=8.0)
    shop = SHOP.but(days=("wed", "thu", "fri"), takes={"oyster": 1.0})
    told = driven("rounds", crew=(of_crew(), driver), customer=(shop,))
    assert told[0::2][:2] == lines("""
        wed 09:00  town leaves: 1 with 1 kg in 1 crates
        thu 09:00  town leaves: 1 with 1 kg in 1 crates
    """)
    assert told[-1] == "fri 11:00  town does not go, due fri 09:00: people or van came too late"


def test_somebody_who_has_hours_left_drives_when_the_first_has_too_few() -> None:
    # As above, but there are two: the first has driven twice, so the second drives on Friday.
    drivers = of_crew("deliver", name="driver", people=2, at_most_hours=6.75, paid="as owner", start=8.0)
    shop = SHOP.but(days=("wed", "thu", "fri"), takes={"oyster": 1.0})
    assert driven("rounds", crew=(of_crew(), drivers), customer=(shop,))[-1] == "fri 11:00  town is back"


def test_overtime_of_the_week_is_what_one_may_still_do_on_the_way() -> None:
    # Back half an hour after the shift each day, and only so much overtime in the week.
    late = Overtime(at_most=1.0, at_most_a_week=0.75)
    driver = of_crew("deliver", name="driver", start=8.0, end=10.5, overtime=late)
    shop = SHOP.but(days=("wed", "thu"), takes={"oyster": 1.0})
    assert driven("rounds", crew=(of_crew(), driver), customer=(shop,))[1:] == lines("""
        wed 11:00  town is back
        thu 11:00  town does not go, due thu 09:00: people or van came too late
    """)


# --- vans -----------------------------------------------------------------------------------------------------------


def test_what_does_not_fit_in_the_van_stays_and_the_last_in_the_houses_order_is_short() -> None:
    # Room for 4 crates of 1 kg: the shop's 2.5 kg take three of them, one is left for the inn.
    shop, inn = SHOP.but(takes={"oyster": 2.5}), SHOP.but(name="inn", takes={"oyster": 1.5})
    parts = {"round": (TOWN.but(customers=("inn", "shop")),), "van": {"van": Van(holds=4.0)}}
    assert driven("orders", "shorts", "rounds", customer=(shop, inn), **parts)[:4] == lines("""
        wed 09:00  inn gets 1 of 1.5 oyster, 0 carried over
        wed 09:00  shop gets 2.5 of 2.5 oyster, 0 carried over
        wed 09:00  inn is short of 0.5 oyster: no room in the van
        wed 09:00  town leaves: 1 with 3.5 kg in 4 crates (100 % of the van), 0.5 kg left behind
    """)
    first = driven("orders", "shorts", customer=(inn, shop), **parts)
    assert first == lines("""
        wed 09:00  inn gets 1.5 of 1.5 oyster, 0 carried over
        wed 09:00  shop gets 2 of 2.5 oyster, 0 carried over
        wed 09:00  shop is short of 0.5 oyster: no room in the van
    """)
    largest = driven("orders", "shorts", customer=(inn, shop), rules=Rules(served_first="largest first"), **parts)
    assert largest[-1] == "wed 09:00  inn is short of 0.5 oyster: no room in the van"


def test_half_a_crate_has_no_room() -> None:
    parts = {"customer": (SHOP.but(takes={"oyster": 4.0}),), "van": {"van": Van(holds=3.5)}}
    assert driven("orders", **parts) == ["wed 09:00  shop gets 3 of 4 oyster, 0 carried over"]


def test_nor_what_is_too_heavy_for_it() -> None:
    shop, inn = SHOP.but(takes={"oyster": 2.5}), SHOP.but(name="inn", takes={"oyster": 1.5})
    parts = {"round": (TOWN.but(customers=("inn", "shop")),), "van": {"van": Van(carries=3.0)}}
    assert driven("shorts", "rounds", customer=(shop, inn), **parts)[:2] == lines("""
        wed 09:00  inn is short of 1 oyster: no room in the van
        wed 09:00  town leaves: 1 with 3 kg in 4 crates (100 % of the van), 1 kg left behind
    """)


def test_short_of_room_and_of_mushrooms_are_told_apart() -> None:
    # Of 6 kg there are 4, and room for 3.
    parts = {"customer": (SHOP.but(takes={"oyster": 6.0}),), "van": {"van": Van(holds=3.0)}}
    assert driven("orders", "shorts", **parts) == lines("""
        wed 09:00  shop gets 3 of 6 oyster, 0 carried over
        wed 09:00  shop is short of 1 oyster: no room in the van
    """)


def test_an_outlet_on_the_round_takes_what_room_is_left() -> None:
    late = of_crew(*DUTIES, days=("mon", "thu", "fri"))  # picked a morning late: 2.5 firsts and 2.5 seconds
    shop, outlet = SHOP.but(days=("fri",), takes={"oyster": 1.0}), OUTLET.but(days=("fri",))
    parts = {"round": (TOWN.but(customers=("outlet", "shop")),), "van": {"van": Van(holds=2.0)}}
    assert driven("stock_out", "rounds", crew=(late,), customer=(outlet, shop), **parts)[:3] == lines("""
        fri 09:00  1 firsts of oyster sold to shop, good until thu2 07:08
        fri 09:00  1 seconds of oyster outlet to outlet, good until thu2 07:08
        fri 09:00  town leaves: 1 with 2 kg in 2 crates (100 % of the van)
    """)


def test_one_van_goes_on_one_round_after_the_other() -> None:
    shop, inn = SHOP.but(takes={"oyster": 1.0}), SHOP.but(name="inn", leave_by=10.0, takes={"oyster": 2.0})
    rounds = (TOWN, TOWN.but(name="hills", customers=("inn",)))
    two = OWNER.but(people=2, duties=DUTIES)

    def gone(count: int) -> list[str]:
        return driven("rounds", crew=(two,), customer=(shop, inn), round=rounds, van={"van": Van(count=count)})

    assert gone(1) == lines("""
        wed 09:00  town leaves: 1 with 1 kg in 1 crates
        wed 11:00  hills leaves, due wed 10:00: 1 with 2 kg in 2 crates
        wed 11:00  town is back
        wed 13:00  hills is back
    """)
    assert gone(2)[1] == "wed 10:00  hills leaves: 1 with 2 kg in 2 crates"


def test_a_round_that_waits_for_its_van_too_long_does_not_go() -> None:
    shop, inn = SHOP.but(takes={"oyster": 1.0}), SHOP.but(name="inn", leave_by=10.0, takes={"oyster": 2.0})
    rounds = (TOWN, TOWN.but(name="hills", customers=("inn",), late_at_most=0.75))
    two = OWNER.but(people=2, duties=DUTIES)
    assert driven("shorts", "rounds", "waits", crew=(two,), customer=(shop, inn), round=rounds) == lines("""
        wed 09:00  town leaves: 1 with 1 kg in 1 crates
        wed 10:45  a load gives up asking for van, asked wed 09:30
        wed 10:45  inn is short of 2 oyster: the round did not go
        wed 10:45  hills does not go, due wed 10:00: people or van came too late
        wed 11:00  town is back
    """)


# --- dated changes, the end of a run, standing lots -----------------------------------------------------------------


def test_a_van_and_a_round_may_come_on_a_date() -> None:
    plain = farm(customer=(SHOP,), crew=(DRIVES_LAST,), about={"weeks": 3})
    with_round = plain.but(round=(TOWN,), van={"van": Van(holds=2.0)})
    larger = with_round.but(van={"van": Van(holds=9.0)})
    record = run(plain.but(changes=((7 * D, with_round), (14 * D, larger))), 1)
    assert told(record, "orders", "rounds") == lines("""
        wed 09:00  shop gets 3 of 3 oyster, 0 carried over
        wed2 09:00  shop gets 2 of 3 oyster, 0 carried over
        wed2 09:00  town leaves: 1 with 2 kg in 2 crates (100 % of the van), 1 kg left behind
        wed2 11:00  town is back
        wed3 09:00  shop gets 3 of 3 oyster, 0 carried over
        wed3 09:00  town leaves: 1 with 3 kg in 3 crates (33.3333 % of the van)
        wed3 11:00  town is back
    """)


def test_a_round_that_is_no_more_leaves_its_customers_to_come_themselves() -> None:
    # What was carried over on Sunday waits for the round on Monday, and there is none any more.
    shop = SHOP.but(days=("sun",), takes={"oyster": 5.0}, unfilled="next day")
    with_round = farm(**PARTS, about={"weeks": 2}).but(customer=(shop,))
    record = run(with_round.but(changes=((7 * D, with_round.but(round=())),)), 1)
    assert told(record, "rounds") == ["sun 09:00  town leaves: 1 with 4 kg in 4 crates", "sun 11:00  town is back"]
    assert log(record, "orders")[:2] == lines("""
        sun 09:00  shop gets 4 of 5 oyster, 1 carried over
        mon2 09:00  shop gets 0 of 1 oyster, 0 carried over
    """)


def test_a_round_that_is_away_at_the_end_is_written_down_without_an_end() -> None:
    late = of_crew(*DUTIES, end=24.0, overtime=Overtime(at_most=1.0))
    shop = SHOP.but(days=("sun",), leave_by=23.5)
    parts = {"crew": (late,), "customer": (shop,), "round": (TOWN.but(takes=1.0),)}
    assert driven("rounds", "stays", **parts)[-2:] == lines("""
        sun 23:00  a load comes to van
        sun 23:30  town leaves: 1 with 3 kg in 3 crates
    """)


def test_rounds_go_on_the_same_from_standing_lots() -> None:
    # On Sunday 4 of 5 kg are there: the rest is carried to Monday, after the list was made.
    shop = SHOP.but(days=("mon", "sun"), takes={"oyster": 5.0}, unfilled="next day")
    start = (LINE, LINE.but(name="B", days=("fri",)))
    driving = farm(**{**PARTS, "customer": (shop,)}, start=start, about={"weeks": 3}).but(room=(BIG,))
    whole, standing = run(driving, 1, 0, 3), pickle.loads(pickle.dumps(standing_at(driving, 1, 0, 7 * D)))
    again = run(driving, 1, 0, 3, standing)
    for table in ("rounds", "orders", "shorts", "stock_out", "tasks", "stays"):
        rest = whole.rows(table)[len(whole.rows(table, before=7 * D)) :]
        assert again.rows(table) == rest, table
    assert len(again.rows("rounds")) > 2


def test_a_farm_on_which_a_round_waits_to_leave_cannot_be_listed() -> None:
    shop = SHOP.but(days=("sun",), leave_by=23.0)
    waits = farm(**{**PARTS, "customer": (shop,)}, about={"weeks": 2})
    with pytest.raises(FarmsimError) as fault:
        standing_at(waits, 1, 0, 7 * D)
    assert str(fault.value) == (
        "The farm can be listed only while no round waits to leave; on Monday at 00:00 there waits town. "
        "Choose another Monday."
    )


def test_a_van_that_goes_on_no_round_changes_nothing() -> None:
    plain = {"customer": (SHOP,), "crew": (DRIVES_LAST,)}
    assert log(seen(**plain, van={"van": Van()})) == log(seen(**plain))
