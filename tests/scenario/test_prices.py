"""Prices, wages and energy in a farm's file: how they are written, read back, changed, and shown by month."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.scenario import prices
from farmsim.scenario.assumed import assumed
from farmsim.scenario.check import faults
from farmsim.scenario.check_page import page
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import Energy
from farmsim.units import parse

from .farms import change, small

A_POUND = parse("1 lb", "kg")
SHOP = 'leave_by = "08:30"\n'
OUTLET = 'takes_firsts_left = "2 d"\n'
GROWERS = 'notice = "2 weeks"\n'
RULES = "[rules]"
PRICES = {
    SHOP: f'{SHOP}price    = {{ shiitake = "$9/lb", oyster = "$7.50/lb" }}\n',
    OUTLET: f'{OUTLET}price = "$3/lb"\nprice_of_seconds = "$2/lb"\n',
    GROWERS: f'{GROWERS}price  = "$9 a block"\n',
    RULES: '[energy]\na_week = "$450 a week"\n\n[months]\n'
    "prices = [1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1.2]\n"
    "block_prices = [0.9, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n"
    "energy = [1.5, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1.5]\n\n[rules]",
}


def priced(folder: Path, *these: str, rule: str = "") -> Farm:
    """The small farm with some of the prices above."""
    from .farms import SMALL, written

    text = SMALL
    for find in these or tuple(PRICES):
        assert text.count(find) == 1, find
        text = text.replace(find, PRICES[find])
    return written(folder, text.replace(RULES, f"{RULES}\n{rule}") if rule else text)


def section(farm: Farm, heading: str, until: str) -> list[str]:
    told = page(farm).split(f"\n{heading}")[1].split(f"\n{until}")[0]
    return [line.strip() for line in told.splitlines()]


def test_prices_are_read_by_customer_and_strain(tmp_path: Path) -> None:
    farm = priced(tmp_path)
    shop, outlet = farm.customer
    assert prices.fresh_price(shop, "oyster", is_seconds=False) == pytest.approx(7.5 / A_POUND)
    assert [prices.fresh_price(outlet, "oyster", is_seconds=each) for each in (False, True)] == pytest.approx(
        [3 / A_POUND, 2 / A_POUND]
    )
    assert farm.block_customer[0].price == 9.0
    assert farm.energy == Energy(a_week=450.0)


def test_money_is_read_back(tmp_path: Path) -> None:
    assert section(priced(tmp_path), "MONEY", "RULES") == [
        "shop pays $9/lb for shiitake and $7.50/lb for oyster.",
        "outlet pays $3/lb.",
        "outlet pays $2/lb for seconds.",
        "growers pays $9 a block.",
        "Power and fuel cost $450 a week.",
        "No wage is given for growers: their hours cost nothing in the figures of money.",
    ]


def test_what_is_missing_is_told(tmp_path: Path) -> None:
    farm = priced(tmp_path, SHOP)
    farm = farm.but(customer=(farm.customer[0].but(price={"oyster": 10.0}), *farm.customer[1:]))
    assert section(farm, "MONEY", "RULES")[1:] == [
        "No price is given for shop (shiitake), outlet and growers: what they take brings",
        "nothing in the figures of money.",
        "No wage is given for growers: their hours cost nothing in the figures of money.",
        "No [energy] is given: power and fuel cost nothing in the figures of money.",
    ]


def test_energy_without_a_price_is_told_to_do_nothing(tmp_path: Path) -> None:
    farm = small(tmp_path).but(energy=Energy(a_week=450.0))
    assert section(farm, "MONEY", "RULES") == [
        "Power and fuel cost $450 a week. But no price is given, so nothing is told of money."
    ]


def test_a_farm_without_prices_says_nothing_of_money(tmp_path: Path) -> None:
    farm = small(tmp_path)
    assert "MONEY" not in page(farm) and not prices.is_told(farm)


def test_prices_and_energy_by_month_are_rows_of_the_year(tmp_path: Path) -> None:
    assert section(priced(tmp_path), "YEAR", "ON AVERAGES")[1:4] == [
        "fresh prices, %       100  100  100  100  100  100  100  100  100  100  100  120 101.7",
        "prices of blocks, %    90  100  100  100  100  100  100  100  100  100  100  100  99.2",
        "energy, %             150  100  100  100  100  100  100  100  100  100  100  150 108.3",
    ]


def test_months_that_differ_in_money_only_are_alike_for_the_crop(tmp_path: Path) -> None:
    assert not priced(tmp_path).differs_by_month


def test_which_strain_is_dearest_is_told(tmp_path: Path) -> None:
    def told(farm: Farm) -> str:
        return " ".join(section(farm.but(rules=farm.rules.but(pick_first="dearest")), "RULES", "ON AVERAGES"))

    assert "The dearest strain is picked first: shiitake ($9/lb), then oyster ($7.50/lb)." in told(
        priced(tmp_path, SHOP)
    )
    assert "no price is given, so the one that stands first in the file." in told(small(tmp_path))


def test_the_usual_price_is_that_of_standing_orders_pound_for_pound(tmp_path: Path) -> None:
    """40 lb on two days at 9, and 20 lb on one day at 6: (80 x 9 + 20 x 6) / 100 = 8.4; the outlet has no say."""
    farm = priced(tmp_path)
    shop = farm.customer[0]
    other = shop.but(name="other", takes={"shiitake": 20 * A_POUND}, days=("wed",), price=6.0 / A_POUND)
    farm = farm.but(customer=(*farm.customer, other))
    assert prices.usual_price(farm, "shiitake") == pytest.approx(8.4 / A_POUND)
    no_orders = farm.but(customer=(farm.customer[1],))
    assert prices.usual_price(no_orders, "shiitake") == pytest.approx(3.0 / A_POUND)
    assert prices.usual_price(farm.but(customer=()), "shiitake") is None


def test_a_change_set_changes_prices_strain_by_strain(tmp_path: Path) -> None:
    given = change(
        tmp_path,
        'based_on = "small.toml"\n[change.customer.shop]\nprice = { shiitake = "$9/lb", oyster = "$7/lb" }\n'
        '[add.energy]\na_week = "$70 a day"\n',
    )
    assert given.energy == Energy(a_week=490.0)
    (tmp_path / "priced.toml").write_text((tmp_path / "change.toml").read_text(encoding="utf-8"), encoding="utf-8")
    later = change(
        tmp_path,
        'based_on = "priced.toml"\nfrom = 2027-05-03\n[change.customer.shop]\nprice = { oyster = "$8/lb" }\n'
        '[change.energy]\na_week = "$500 a week"\n',
    )
    after = later.changes[0][1]
    assert after.customer[0].price == pytest.approx({"shiitake": 9 / A_POUND, "oyster": 8 / A_POUND})
    assert section(later, "LATER", "ON AVERAGES")[:3] == [
        "From Mon 3 May 2027: customer shop, price $9/lb of shiitake and $7/lb of oyster ->",
        "$9/lb of shiitake and $8/lb of oyster.",
        "From Mon 3 May 2027: energy, a week $490 a week -> $500 a week.",
    ]


# --- prices that vary by luck -----------------------------------------------------------------------------------------


def varying(folder: Path) -> Farm:
    """The priced farm, with prices that vary by luck for the shop and for the growers."""
    from .farms import SMALL, written

    text = SMALL
    for find, put in {**PRICES, SHOP: f'{PRICES[SHOP]}price_varies = "8 %"\n'}.items():
        text = text.replace(find, put)
    grower = 'price  = "$9 a block"\n'
    return written(folder, text.replace(grower, f"{grower}price_varies = 0.125\n"))


def test_prices_that_vary_are_read_and_read_back(tmp_path: Path) -> None:
    farm = varying(tmp_path)
    assert [each.price_varies for each in (*farm.customer, *farm.block_customer)] == [0.08, 0.0, 0.125]
    assert (
        "By luck prices differ from one quarter to the next (standard deviation over mean): shop 8 % and growers 12.5 %."
        in (" ".join(section(farm, "MONEY", "RULES")))
    )
    assert "By luck prices" not in page(priced(tmp_path))


def test_a_spread_of_a_price_that_nobody_pays_is_a_fault(tmp_path: Path) -> None:
    farm = varying(tmp_path)
    shop, outlet = farm.customer
    grower = farm.block_customer[0].but(price=None)
    farm = farm.but(months=farm.months.but(block_prices=(1.0,) * 12))
    assert [
        str(told) for told in faults(farm.but(customer=(shop.but(price=None), outlet), block_customer=(grower,)))
    ] == [
        f"{kind} 1, price_varies: {name} has no price; needs a price that varies. Give it a price, or leave price_varies out."
        for kind, name in (("customer", "shop"), ("block_customer", "growers"))
    ]


@pytest.mark.parametrize("share", ["120 %", "-5 %"])
def test_a_spread_of_prices_is_no_more_than_the_price_itself(share: str, tmp_path: Path) -> None:
    from .farms import SMALL, faults_of

    text = SMALL.replace(SHOP, f'{PRICES[SHOP]}price_varies = "{share}"\n')
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    (told,) = faults_of(tmp_path / "farm.toml")
    assert f'price_varies: is "{share}"; needs 0 % to 100 %.' in told


def test_only_a_spread_that_there_is_stands_among_what_is_assumed(tmp_path: Path) -> None:
    there = [each.path for each in assumed(varying(tmp_path)) if each.path[-1] == "price_varies"]
    assert there == [("customer", "shop", "price_varies"), ("block_customer", "growers", "price_varies")]
    assert not [each for each in assumed(priced(tmp_path)) if each.path[-1] == "price_varies"]
