"""The farms that are measured against each other: one has nothing beyond what every farm has, the other about everything."""

from __future__ import annotations

from pathlib import Path

from farmsim.model.terms import has_terms
from farmsim.scenario.fresh_sales import KINDS
from farmsim.scenario.read import load
from farmsim.scenario.rules import Rules
from farmsim.scenario.seasons import Months

FARMS = Path(__file__).parent / "farms"


def test_the_plain_farm_has_nothing_that_is_not_needed() -> None:
    farm = load(FARMS / "plain.toml")
    assert {customer.kind for customer in farm.customer} == {"standing"}
    assert not (farm.round or farm.chore or farm.shut) and farm.months == Months()
    assert not any(has_terms(crew) for crew in farm.crew)


def test_the_other_has_about_everything() -> None:
    farm = load(FARMS / "everything.toml")
    assert {customer.kind for customer in farm.customer} == set(KINDS)
    assert any(customer.form != "any" for customer in farm.customer)
    assert any(customer.substitutes for customer in farm.customer) and any(c.leaves_after for c in farm.customer)
    assert any(customer.dries for customer in farm.customer) and any(c.unfilled == "next day" for c in farm.customer)
    assert any(customer.boxing for customer in farm.block_customer)
    assert farm.round and farm.chore and farm.shut and any(room.rests for room in farm.room)
    assert sum(has_terms(crew) for crew in farm.crew) == 3
    assert farm.months.orders != Months().orders and farm.rules != Rules()
