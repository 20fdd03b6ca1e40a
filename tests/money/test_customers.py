"""Money of stalls, dryers and orders filled with other strains, worked out by hand on the tiny farm."""

from __future__ import annotations

import pytest
from model.tiny import LINE, OUTLET, OWNER, OYSTER, SHED, SHOP, farm, seen

from farmsim.money.tables import summarise
from farmsim.record.tables import Record
from farmsim.scenario.check import faults
from farmsim.scenario.fresh_sales import Dries, Mixed
from farmsim.scenario.prices import fresh_price, not_priced, usual_price
from farmsim.scenario.sales import Customer
from farmsim.scenario.vary import Fixed

STALL = Customer(
    name="stall", kind="market stall", takes={"oyster": 3.0}, sells={"oyster": Fixed(2.0)}, days=("wed",), leave_by=9.0,
    unsold="lost", price=10.0,
)  # fmt: skip
LATE = OWNER.but(days=("mon", "thu", "fri"), duties=(*OWNER.duties, "dry"))  # picked a morning late: 2.5 kg are seconds


def paid(record: Record) -> list[tuple[object, ...]]:
    table = summarise(record)["money_customers"]
    return list(zip(table["customer"], table["priced"], table["brought"], strict=True))


def test_a_stall_takes_in_what_it_sells_not_what_it_loses() -> None:
    """3 kg brought, 2 sold at 10, one lost."""
    assert paid(seen(customer=(STALL,))) == [("stall", 2.0, 20.0)]


def test_nor_what_is_past_its_date_when_it_is_back() -> None:
    back = STALL.but(unsold="comes back", back_at=15.0, comes_back_older=14 * 24.0)
    assert paid(seen(customer=(back,))) == [("stall", 2.0, 20.0)]


def test_what_is_dried_is_paid_by_its_dried_weight() -> None:
    """2.5 kg of seconds make 0.25 kg dried, at 80: 20."""
    dryer = OUTLET.but(name="dryer", days=("fri",), dries=Dries(ratio=10.0), price=80.0)
    assert paid(seen(crew=(LATE,), customer=(dryer,))) == [("dryer", 2.5, pytest.approx(20.0))]
    assert fresh_price(dryer.but(price_of_seconds=50.0), "oyster", is_seconds=True) == 5.0
    assert fresh_price(dryer.but(price=None), "oyster", is_seconds=False) is None
    assert usual_price(farm(customer=(dryer,)), "oyster") == 8.0


def test_what_stands_in_is_paid_at_its_own_price() -> None:
    """4 kg of oyster at 10 and 2 of nameko, which stand in for more of it, at 7: 54."""
    strains = {"oyster": OYSTER, "nameko": OYSTER}
    prices = {"oyster": 10.0, "nameko": 7.0}
    shop = SHOP.but(leave_by=17.0, takes={"oyster": 6.0}, substitutes={"oyster": ("nameko",)}, price=prices)
    start, room = (LINE, LINE.but(name="B", strain="nameko")), (SHED.but(holds=100.0),)
    assert paid(seen(strains, customer=(shop,), start=start, room=room)) == [("shop", 6.0, 54.0)]


def test_a_price_may_be_of_whatever_a_customer_may_be_brought() -> None:
    strains = {"oyster": OYSTER, "nameko": OYSTER, "enoki": OYSTER}
    start = tuple(LINE.but(name=name, strain=name) for name in strains)
    shop = SHOP.but(substitutes={"oyster": ("nameko",)}, mixed=Mixed(of=("oyster", "enoki"), amount=1.0))

    def told(customer: Customer) -> list[str]:
        small = farm(strains, customer=(customer,), start=start)
        return [fault.found for fault in faults(small) if "price" in str(fault.path)]

    assert told(shop.but(price=dict.fromkeys(strains, 5.0))) == []
    assert told(shop.but(mixed=None, price=dict.fromkeys(strains, 5.0))) == ["shop takes no enoki"]
    small = farm(strains, customer=(shop.but(price={"oyster": 5.0}),), start=start)
    assert list(not_priced(small)) == ["shop (enoki, nameko)"]


def test_only_an_outlet_is_brought_seconds() -> None:
    small = farm(customer=(STALL.but(price_of_seconds=3.0),))
    assert "is given for a market stall" in [fault.found for fault in faults(small)]
