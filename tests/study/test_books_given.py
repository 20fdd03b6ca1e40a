"""What the books are told to lack, and where their figures come from, over all states of a farm that changes."""

from __future__ import annotations

from pathlib import Path

import farmsim
from farmsim.scenario.balance import Balance
from farmsim.scenario.costs import Costs, FixedCost, Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import Energy
from farmsim.study.books_given import gaps, sources

TINY = farmsim.load(Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml")
SHOP, OWNER = TINY.customer[0], TINY.crew[0]
GIVEN: dict[str, object] = {
    "customer": (SHOP.but(price=10.0, prices_from="our list"),),
    "crew": (OWNER.but(wage=5.0),),
    "energy": Energy(a_week=70.0, bills_from="bills of 2026"),
    "materials": Materials(bought=2.0),
    "fixed_cost": (FixedCost(name="rent", a_month=100.0, costs_from="the contract"),),
    "costs": Costs(),
    "balance": Balance(cash=0.0),
}


def changed(before: dict[str, object], after: dict[str, object]) -> Farm:
    """The tiny farm with these parts, and with those from the second Monday on, 11 January 2027."""
    first = TINY.but(**before)
    return first.but(changes=((168.0, first.but(**after)),))


def test_what_is_given_for_all_of_the_time_is_no_gap() -> None:
    assert list(gaps(changed(GIVEN, {}))) == []
    assert list(gaps(TINY.but(**{**GIVEN, "energy": None, "balance": None}))) == [
        "no power and fuel",
        "no opening balance sheet, so cash is counted from 0",
    ]


def test_what_is_given_only_later_or_no_longer_is_missing_for_part_of_the_time() -> None:
    later = changed({**GIVEN, "energy": None}, {"energy": GIVEN["energy"], "fixed_cost": ()})
    assert list(gaps(later)) == ["no power and fuel for part of the time", "no fixed costs for part of the time"]
    assert list(gaps(changed({**GIVEN, "costs": None}, {"energy": Energy(a_week=1.0)}))) == [
        "no on-costs of wages, owner's draw, family living or taxes"
    ]


def test_crews_that_come_without_a_wage_are_named() -> None:
    helper = OWNER.but(name="helper", wage=None)
    assert list(gaps(changed(GIVEN, {"crew": (OWNER.but(wage=5.0), helper)}))) == ["no wage for helper"]


def test_sources_are_those_of_every_state_told_anew_when_they_change() -> None:
    chef = SHOP.but(name="chef", price=12.0, prices_from="his letter")
    after = {
        "customer": (SHOP.but(price=10.0, prices_from="our list"), chef),
        "energy": Energy(a_week=90.0, bills_from="an offer"),
    }
    found = dict(sources(changed(GIVEN, after)))
    assert found["prices of farm shop"] == "our list" and found["prices of chef"] == "his letter"
    assert found["power and fuel"] == "bills of 2026" and found["power and fuel from 2027-01-11 on"] == "an offer"
    assert found["rent"] == "the contract" and len(found) == len(list(sources(changed(GIVEN, after))))
