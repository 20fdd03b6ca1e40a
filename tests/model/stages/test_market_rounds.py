"""Stalls, outlets, mixed orders and substitutes on a round: the van limits them all, and a round that stays at home too."""

from __future__ import annotations

import pytest

from farmsim.record import balance
from farmsim.record.columns import WHY_SHORT
from farmsim.record.tables import Record
from farmsim.scenario.delivery import Round, Van
from farmsim.scenario.fresh_sales import Mixed
from farmsim.scenario.people import Crew
from farmsim.scenario.sales import Customer
from farmsim.scenario.vary import Fixed

from ..tiny import LINE, OUTLET, OWNER, OYSTER, SHED, SHOP, lines, log, of_crew, seen

STALL = Customer(
    name="stall", kind="market stall", takes={"oyster": 3.0}, sells={"oyster": Fixed(1.0)}, days=("wed",), leave_by=9.0,
    back_at=15.0, comes_back_older=10.0,
)  # fmt: skip
DRIVES = (of_crew(*OWNER.duties), of_crew("deliver", name="driver", start=8.0))
WALKS = (of_crew(*OWNER.duties, "deliver", end=8.0),)  # nobody who could drive is there at nine
SOLD = ("stock_out", "orders", "market_days", "shorts", "rounds")


def goes(who: Customer, holds: float, crew: tuple[Crew, ...] = DRIVES, **parts: object) -> Record:
    """A week with one customer on one round, with a van of so many crates of 1 kg."""
    round_ = Round(name="town", customers=(who.name,), takes=2.0, van="van", called=0.5, late_at_most=1.0)
    given = {"customer": (who,), "round": (round_,), "van": {"van": Van(holds=holds)}, "crew": crew, **parts}
    record = seen(**given)
    assert balance.faults(record) == []
    return record


def told(record: Record) -> list[str]:
    return log(record, *SOLD)


def test_a_stall_brings_what_the_van_has_room_for() -> None:
    assert [line for line in told(goes(STALL, 2.0)) if "town" in line or "stall" in line] == lines("""
        wed 09:00  1 firsts of oyster stall to stall, good until wed2 07:00
        wed 09:00  town leaves: 1 with 2 kg in 2 crates (100 % of the van), 1 kg left behind
        wed 11:00  town is back
        wed 15:00  stall took 2 of 3 oyster wed 09:00: 1 of 1 asked for sold, 1 came back, 0 lost
    """)


def test_a_market_day_whose_round_does_not_go_sells_nothing() -> None:
    found = goes(STALL, 9.0, crew=WALKS)
    assert found.figures("market_days", "brought").tolist() == [0.0]
    assert found.figures("market_days", "sold").tolist() == [0.0]


def test_an_outlet_takes_what_the_van_has_room_for() -> None:
    outlet = OUTLET.but(takes_firsts_left=1000.0)
    record = goes(outlet, 2.0)
    assert record.figures("rounds", "kg").tolist() == [2.0]
    assert sum(record.figures("stock_out", "kg")) == 2.0


TWO = {"start": (LINE, LINE.but(name="B", strain="other")), "room": (SHED.but(holds=100.0),),
       "strain": {"oyster": OYSTER, "other": OYSTER}}  # fmt: skip


def test_what_is_taken_instead_needs_room_too_and_is_no_longer_short() -> None:
    """4 kg of each strain are there and 6 of oyster are wanted: 4, and 1 of the other, for the van holds 5."""
    shop = SHOP.but(leave_by=10.0, takes={"oyster": 6.0}, substitutes={"oyster": ("other",)})
    record = goes(shop, 5.0, **TWO)
    assert record.figures("orders", "delivered").tolist() == [5.0]
    assert record.figures("substituted", "kg").tolist() == [1.0]
    assert record.figures("rounds", "kg").tolist() == [5.0]


def test_a_mixed_order_shares_the_van() -> None:
    shop = SHOP.but(leave_by=10.0, takes={}, mixed=Mixed(of=("oyster", "other"), at_least=2, amount=6.0))
    record = goes(shop, 4.0, **TWO)
    assert record.figures("rounds", "kg").tolist() == [4.0]
    assert sum(record.figures("orders", "promised")) == pytest.approx(6.0)


def test_a_mixed_order_whose_round_does_not_go_is_short_for_that_reason() -> None:
    shop = SHOP.but(leave_by=10.0, takes={}, mixed=Mixed(of=("oyster", "other"), at_least=2, amount=6.0))
    record = goes(shop, 9.0, crew=WALKS, **TWO)
    assert [WHY_SHORT[int(why)] for why in record.figures("shorts", "why")] == ["the round did not go"]
    assert record.figures("shorts", "kg").tolist() == [6.0]
    assert record.figures("rounds", "behind").tolist() == [0.0]


def test_a_mixed_order_for_which_the_van_has_no_room_is_short_for_that_reason() -> None:
    shop = SHOP.but(leave_by=10.0, takes={}, mixed=Mixed(of=("oyster", "other"), at_least=2, amount=6.0))
    record = goes(shop, 4.0, **TWO)
    assert [WHY_SHORT[int(why)] for why in record.figures("shorts", "why")] == ["no room in the van"]
    assert record.figures("shorts", "kg").tolist() == record.figures("rounds", "behind").tolist() == [2.0]


def test_what_is_not_sold_is_not_back_before_its_round() -> None:
    """It is to leave at 09:00 and to be back at 10:00, but its driver comes at 09:30 and needs two hours."""
    late = (of_crew(*OWNER.duties), of_crew("deliver", name="driver", start=9.5))
    record = goes(STALL.but(back_at=10.0), 9.0, crew=late)
    assert record.figures("rounds", "left").tolist() == [2 * 24 + 9.5]
    assert (
        record.figures("market_days", "back").tolist() == record.figures("rounds", "back").tolist() == [2 * 24 + 11.5]
    )
