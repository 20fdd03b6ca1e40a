"""Costs, loans, capital and the opening balance sheet in a farm's file: read, read back, and every fault with its line."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from farmsim.scenario.check import faults
from farmsim.scenario.farm import Farm

from .farms import SMALL, change, faults_of, small, written
from .test_faults import Case, cases, named
from .test_prices import GROWERS, OUTLET, PRICES, RULES, SHOP, section

BOOKS = """
[materials]
substrate    = "$0.85 a block"
spawn        = { shiitake = "$0.60 a block", oyster = "$0.40 a block" }
packaging    = "$0.20/lb"
spent_brings = "$0.10 a block"
paid_after   = "30 d"
prices_of    = 2026-11-15
prices_from  = "invoices"

[[fixed_cost]]
name    = "rent"
a_month = "$1,200 a month"

[costs]
on_costs      = "12 %"
owner_draw    = "$3,000 a year"
family_living = "$400 a month"

[drift]
prices = "2 % a year"

[[capital]]
name   = "oven"
cost   = "$9,000"
bought = 2024-05-01
life   = 12

[[capital]]
name        = "tank"
cost        = "$6,000"
contingency = "10 %"
bought      = 2027-03-01
life        = 10
paid        = { bank = "$5,000", owner = "$1,600" }

[[loan]]
name          = "bank"
amount        = "$6,500"
rate          = "8.25 %"
from          = 2027-03-01
years         = 5
interest_only = 3
working_money = "$1,500"
terms_of      = 2026-11-20
terms_from    = "offer"

[credit_line]
limit = "$5,000"
rate  = "9 % a year"

[balance]
cash  = "$2,000"
land  = "$40,000"
"""
TEXT = SMALL
for find in (SHOP, OUTLET, GROWERS, RULES):
    TEXT = TEXT.replace(find, PRICES[find])
TEXT = TEXT.replace('duties   = ["pick"', 'paid     = "as owner"\nduties   = ["pick"') + BOOKS


def with_books(folder: Path, find: str = "", put: str = "") -> Farm:
    assert not find or TEXT.count(find) == 1, find
    return written(folder, TEXT.replace(find, put) if find else TEXT)


def test_books_are_read(tmp_path: Path) -> None:
    farm = with_books(tmp_path)
    assert farm.materials is not None and farm.materials.spawn == {"shiitake": 0.6, "oyster": 0.4}
    assert farm.costs is not None and farm.costs.owner_draw == pytest.approx(250.0)
    assert (farm.loan[0].rate, farm.loan[0].payments, farm.loan[0].from_) == (0.0825, 60, date(2027, 3, 1))
    assert farm.capital[1].spent == pytest.approx(6_600.0) and farm.capital[0].payers == {"cash": 9_000.0}


def test_books_are_read_back(tmp_path: Path) -> None:
    told = section(with_books(tmp_path), "MONEY", "RULES")
    assert " ".join(told[5:]) == (
        "Costs: substrate of a block made here $0.85 a block; its spawn $0.60 a block for shiitake and $0.40 a block "
        "for oyster; packaging by weight $0.20/lb, paid 30 d later (invoices, of 15 Nov 2026). A spent block brings "
        "$0.10 a block. Fixed costs: rent $1,200 a month. On top of wages come 12 %; the owner takes out $250 a "
        "month; the family lives on $400 a month. From year to year, on each anniversary of the start: prices +2 %. "
        "oven: owned, bought on 1 May 2024 for $9,000; 12 years of use, then worth $0. tank: to be bought on 1 Mar "
        "2027 for $6,000 and 10 % of contingency; bank pays $5,000 and the owner pays $1,600; 10 years of use, then "
        "worth $0. bank: $6,500 from 1 Mar 2027 at 8.25 % a year, 5 years of level payments, one every month, the "
        "first 3 of interest only, $1,500 of it for working money (offer, of 20 Nov 2026). Credit line: up to $5,000 "
        "at 9 % a year, drawn when needed (no day and no source is given for these terms). At the start there is, "
        "besides what is listed above: cash $2,000 and land $40,000."
    )


def test_other_terms_are_read_back(tmp_path: Path) -> None:
    terms = 'kind = "equal principal"\nballoon = "$500"\nsecurity = "the tank"\nterms_from    = "offer"'
    farm = with_books(tmp_path, 'terms_from    = "offer"', terms)
    farm = farm.but(
        customer=(farm.customer[0].but(pays_after=336.0, price_months=(1.2, *(1.0,) * 11)), *farm.customer[1:]),
        energy=None if farm.energy is None else farm.energy.but(by_room={"North": 120.0}),
        credit_line=None if farm.credit_line is None else farm.credit_line.but(drawn=100.0, keeps=50.0),
        balance=None if farm.balance is None else farm.balance.but(payables=300.0, receivables=20.0),
    )
    told = " ".join(section(farm, "MONEY", "RULES"))
    assert "equal parts of principal, one every month, the first 3 of interest only, $500 with the last, " in told
    assert "secured by the tank (offer" in told
    assert "Power and fuel cost $450 a week, and $120 a week for North." in told
    assert "shop pays by the month, % of its price from January on: 120, 100, 100," in told
    assert "Customers pay after the delivery: shop 14 d; others at once." in told
    assert "drawn when needed to keep $50 in cash, $100 drawn at the start" in told
    assert "cash $2,000, owed by customers $20 and land $40,000; owed besides loans: bills $300." in told


def test_without_prices_nothing_is_told_of_money(tmp_path: Path) -> None:
    farm = written(tmp_path, SMALL + '\n[[fixed_cost]]\nname = "rent"\na_month = "$900 a month"\n')
    assert section(farm, "MONEY", "RULES") == ["No price is given, so nothing is told of money and no books are kept."]


@pytest.mark.parametrize("case", cases("broken_books.toml"), ids=named)
def test_a_fault_of_the_books_is_told(case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    find, put, says = (str(case[key]) for key in ("find", "put", "says"))
    assert TEXT.count(find) == 1, find
    Path("farm.toml").write_text(TEXT.replace(find, put), encoding="utf-8")
    told = [re.sub(r"^farm\.toml:\d+, ", "", line) for line in faults_of("farm.toml")]
    assert (told[0], len(told)) == (says, 2 if "block_customer" in says else 1) if says else told == []


def test_a_loan_without_an_opening_balance_sheet_is_a_fault(tmp_path: Path) -> None:
    text = TEXT[: TEXT.index("[balance]")]
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    told = faults_of(tmp_path / "farm.toml")
    assert [line.split(", ", 1)[1].split(":")[0] for line in told] == ["capital oven", "loan bank", "credit_line"]
    assert told[1].endswith(
        'there is no [balance]; needs the opening balance sheet. Add [balance] with cash = "$12,000" and what else is owned '
        "and owed."
    )


def test_a_drift_of_what_costs_nothing_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(SMALL + '\n[drift]\nmaterials = "2 % a year"\n', encoding="utf-8")
    (told,) = faults_of(tmp_path / "farm.toml")
    assert told.endswith("materials: is given, but nothing of it costs anything; needs such costs. Leave it out.")


def test_a_loan_cannot_come_with_a_dated_change(tmp_path: Path) -> None:
    text = 'based_on = "small.toml"\nfrom = 2027-03-01\n[add.balance]\ncash = "$5"\n'
    (tmp_path / "small.toml").write_text(SMALL, encoding="utf-8")
    (tmp_path / "change.toml").write_text(text, encoding="utf-8")
    (told,) = faults_of(tmp_path / "change.toml")
    assert told.endswith(
        "[balance] is changed on a date; needs things that can change on a date. Change it from the start, without a date."
    )


def test_a_change_set_adds_and_changes_what_is_in_the_books(tmp_path: Path) -> None:
    text = (
        'based_on = "small.toml"\n[add.fixed_cost.rent]\na_month = "$900 a month"\n[add.materials]\nspawn = "$1 a block"\n'
        '[add.balance]\ncash = "$10"\n[change.crew.growers]\nwage = "$15/h"\n[change.customer.shop]\nprice = "$9/lb"\n'
        '[change.customer.outlet]\nprice = "$2/lb"\n[change.block_customer.growers]\nprice = "$9 a block"\n'
    )
    farm = change(tmp_path, text)
    assert farm.fixed_cost[0].name == "rent" and farm.balance is not None and farm.balance.cash == 10.0
    assert small(tmp_path).fixed_cost == ()


def test_months_of_a_price_that_nobody_pays_are_a_fault(tmp_path: Path) -> None:
    farm = small(tmp_path)
    shop = farm.customer[0].but(price_months=(1.2, *(1.0,) * 11))
    (told,) = faults(farm.but(customer=(shop, farm.customer[1])))
    assert str(told) == (
        "customer 1, price_months: shop has no price; needs a price that differs by month. Give it a price, or leave "
        "price_months out."
    )


def test_day_and_source_are_read_back(tmp_path: Path) -> None:
    farm = with_books(tmp_path, 'a_month = "$1,200 a month"', 'a_month = "$1,200 a month"\ncosts_of = 2025-01-01')
    shop = farm.customer[0].but(price=20.0, prices_from="contract", prices_of=date(2026, 9, 1))
    energy = None if farm.energy is None else farm.energy.but(bills_from="bills of 2026")
    loan = farm.loan[0].but(security="the tank", security_worth=7_000.0)
    told = " ".join(section(farm.but(customer=(shop, farm.customer[1]), energy=energy, loan=(loan,)), "MONEY", "RULES"))
    assert told.startswith("shop pays $9.072/lb (contract, of 1 Sep 2026). outlet pays $3/lb.")
    assert "Power and fuel cost $450 a week (bills of 2026)." in told
    assert "Fixed costs: rent $1,200 a month (of 1 Jan 2025)." in told
    assert "secured by the tank worth $7,000 (offer, of 20 Nov 2026)." in told
