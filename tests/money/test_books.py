"""The books of the tiny farm: by hand, and to the cent whatever is owed, bought, paid late or drawn on the line.

4 January 2027 is a Monday. The shop takes 3 kg each Wednesday at 10: 30 a week.
"""

from __future__ import annotations

import datetime
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as any_
from model.tiny import GROWER, OWNER, SHOP, seen

from farmsim.money import statements
from farmsim.money.books import Books, books
from farmsim.money.ledger import ledger
from farmsim.money.tables import summarise
from farmsim.record.measures.summary import Table
from farmsim.record.tables import Record
from farmsim.scenario.balance import Balance
from farmsim.scenario.capital import Capital
from farmsim.scenario.costs import Costs, Drift, FixedCost, Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import EVERY, KINDS, CreditLine, Loan

DAY = 24.0
PAID_SHOP = SHOP.but(price=10.0)
FAMILY = OWNER.but(paid="as owner")
START = datetime.date(2027, 1, 4)
UNITS = ("kg", "blocks")
IN = ("received", "owner_brought", "borrowed", "line_taken_up")
OUT = ("paid_costs", "paid_interest", "paid_principal", "paid_taxes", "owner_draw", "bought", "line_paid_back")


@pytest.fixture(scope="module")
def year() -> Record:
    """A run of 53 weeks, so that a whole year lies in it."""
    return seen(about={"weeks": 53}, weeks=53, customer=(PAID_SHOP,), crew=(FAMILY,))


def kept(record: Record, **parts: object) -> Books:
    """The books of a run of a farm that has these parts too."""
    assert record.farm is not None
    farm = record.farm.but(**{"balance": Balance(cash=0.0), **parts})
    with_books = replace(record, farm=farm)
    return books(with_books, ledger(with_books))


def column(found: Books, name: str) -> list[float]:
    return [round(float(value), 2) for value in statements.years(found)[name]]


def test_books_cover_the_whole_years_of_a_run(year: Record) -> None:
    found = kept(year)
    assert (found.days, found.ends) == (365, [365])
    assert statements.months(found)["month"][0] == "2027-01" and statements.months(found)["month"][-1] == "2028-01"
    short = kept(seen(about={"weeks": 2}, weeks=2, customer=(PAID_SHOP,)))
    assert (short.days, list(statements.years(short)["whole"])) == (14, [0.0])


def test_a_year_by_hand(year: Record) -> None:
    """52 Wednesdays x 30 = 1,560. 53 lots of 8 blocks at 2: 848. Rent 12 x 100. 4 kg packed on 52 days at 0.25: 52."""
    materials = Materials(bought=2.0, packaging=0.25)
    found = kept(year, materials=materials, fixed_cost=(FixedCost(name="rent", a_month=100.0),))
    assert [column(found, name) for name in ("sales", "blocks_bought", "packaging")] == [[1560.0], [848.0], [52.0]]
    assert column(found, "fixed_costs") == [1200.0]
    assert column(found, "operating_income") == column(found, "net_farm_income") == [1560.0 - 848.0 - 52.0 - 1200.0]
    assert [column(found, name) for name in ("end_cash", "end_overdrawn", "end_equity")] == [[0.0], [540.0], [-540.0]]


def test_who_pays_after_two_weeks_owes_two_deliveries(year: Record) -> None:
    late = kept(year, customer=(PAID_SHOP.but(pays_after=14 * DAY),), balance=Balance(cash=5.0, receivables=90.0))
    assert column(late, "end_receivables") == [60.0]
    assert column(late, "received") == [1560.0 - 60.0 + 90.0]
    months = statements.months(late)
    assert float(months["received"][0]) == 2 * 30.0 + round(90.0 * 28 / 30, 2)


def test_bills_are_paid_when_they_are_due(year: Record) -> None:
    found = kept(year, materials=Materials(bought=2.0, paid_after=30 * DAY), balance=Balance(cash=0.0, payables=50.0))
    assert column(found, "end_payables") == [4 * 16.0 + 16.0]
    assert column(found, "paid_costs") == [848.0 - 80.0 + 50.0]


def test_an_old_loan_goes_on_and_a_new_one_buys_something(year: Record) -> None:
    """1,200 since 1 July 2026 without interest, a year: six months are over. 2,000 on 1 May, bought at once."""
    old = Loan(name="old", amount=1_200.0, rate=0.0, from_=datetime.date(2026, 7, 1), years=1.0)
    may = datetime.date(2027, 5, 1)
    new = Loan(name="new", amount=2_000.0, rate=0.12, from_=may, years=2.0, every="quarter", kind="equal principal")
    tank = Capital(name="tank", cost=2_500.0, bought=may, life=10.0, paid={"new": 2_000.0, "owner": 500.0})
    found = kept(year, loan=(old, new), capital=(tank,))
    assert found.loans[0].opening == 120_000 - 6 * 10_000
    assert column(found, "paid_principal") == [600.0 + 2 * 250.0]
    assert column(found, "term_interest_paid") == [60.0 + 52.5]
    assert [column(found, name) for name in ("borrowed", "owner_brought", "bought")] == [[2000.0], [500.0], [2500.0]]
    assert column(found, "depreciation") == [round(2500.0 * 248 / 3652.5, 2)]  # 1 May to 3 January: 248 days
    assert column(found, "end_loans_within_a_year") == [1000.0]
    assert column(found, "end_interest_owed") == [round(45.0 * 63 / 92, 2)]  # 63 of 92 days since 1 November


def test_what_is_owned_is_worth_what_is_left_of_its_life(year: Record) -> None:
    """Bought on 4 January 2022, five of its ten years are over: 1,826 of 3,652.5 days."""
    oven = Capital(name="oven", cost=1_000.0, bought=datetime.date(2022, 1, 4), life=10.0, salvage=200.0)
    assert kept(year, capital=(oven,)).items.opening == 100_000 - round(80_000 * 1826 / 3652.5)


def test_the_credit_line_is_drawn_when_cash_falls_short_and_paid_back(year: Record) -> None:
    """Nothing comes in before Wednesday; 100 a month of rent is 3.23 a day. From Wednesday on there is more than enough."""
    line = CreditLine(limit=1_000.0, rate=0.365, keeps=0.0)
    found = kept(year, fixed_cost=(FixedCost(name="rent", a_month=100.0),), credit_line=line)
    assert found.cash.drawn[:4].tolist() == [323, 645, 0, 0]
    assert found.cash.line_accrued[:4].tolist() == [0, 0, 1, 0]  # 0.1 % a day of 3.23, then of 6.45
    assert found.cash.line_interest[27] == 1 and found.cash.line_interest.sum() == 1  # on 31 January
    first = statements.months(found)
    assert (float(first["lowest_cash"][0]), first["lowest_cash_day"][0]) == (-6.45, "2027-01-05")
    assert float(first["not_covered"][0]) == 0.0


def test_what_neither_cash_nor_line_covers_is_told(year: Record) -> None:
    """Rent of 10 a day against 30 a week: 160 are missing at the end of January, of which the line covers 5."""
    rent, line = FixedCost(name="rent", a_month=310.0), CreditLine(limit=5.0, rate=0.0)
    first = statements.months(kept(year, fixed_cost=(rent,), credit_line=line))
    assert [float(first[name][0]) for name in ("not_covered", "end_overdrawn")] == [155.0, 155.0]


def test_drift_steps_on_the_anniversary() -> None:
    record = seen(about={"weeks": 106}, weeks=106, customer=(PAID_SHOP,), crew=(FAMILY,))
    found = kept(record, drift=Drift(prices=0.10))
    assert column(found, "mushrooms") == [1560.0, pytest.approx(1.1 * 53 * 30.0)]


def test_on_costs_and_overtime_on_top() -> None:
    """84 h a week, 80 of them at 5, 4 as overtime at half as much again; 10 % on all of it."""
    from farmsim.scenario.people import Overtime

    crew = OWNER.but(wage=5.0, overtime=Overtime(after=80.0))
    record = seen(customer=(PAID_SHOP,), crew=(crew,))
    found = kept(record, costs=Costs(on_costs=0.1, overtime_more=0.5))
    assert column(found, "overtime_on_top") == [10.0] and column(found, "on_costs") == [43.0]


def test_lenders_figures_come_from_the_statements(year: Record) -> None:
    costs = Costs(owner_draw=50.0, family_living=20.0, off_farm_income=100.0, taxes=10.0)
    loan = Loan(name="old", amount=1_200.0, rate=0.0, from_=datetime.date(2027, 1, 1), years=1.0)
    found = kept(year, costs=costs, loan=(loan,), customer=(PAID_SHOP.but(firm="signed"),))
    assert column(found, "capital_debt_repayment_capacity") == [1560.0 + 1200.0 - 120.0 - 240.0]
    assert column(found, "simple_debt_service_coverage") == [1.3]
    assert column(found, "term_debt_coverage") == column(found, "term_debt_coverage_signed_only") == [2.0]
    hoped = kept(year, costs=costs, loan=(loan,))
    assert column(hoped, "term_debt_coverage_signed_only") == [0.7]
    assert column(found, "prices_may_fall") == [round(1200 / 1560, 2)]


def changed(record: Record, when: float, before: dict[str, object], after: dict[str, object]) -> Books:
    """The books of a run of a farm with these parts before and those after a dated change."""
    assert record.farm is not None
    first = record.farm.but(**before)
    return kept(record, **before, changes=((when, first.but(**after)),))


def test_who_signs_or_no_longer_does_counts_by_the_day(year: Record) -> None:
    """30 each Wednesday, of 52: 10 of them before the change on the 11th Monday."""
    signed, hoped = {"customer": (PAID_SHOP.but(firm="signed"),)}, {"customer": (PAID_SHOP.but(firm="hoped for"),)}
    assert column(changed(year, 70 * DAY, hoped, signed), "signed_sales") == [42 * 30.0]
    assert column(changed(year, 70 * DAY, signed, hoped), "signed_sales") == [10 * 30.0]
    assert column(kept(year, **signed), "signed_sales") == [1560.0]


def test_who_has_signed_for_blocks_counts_and_a_namesake_who_has_not_does_not() -> None:
    """4 blocks each Wednesday at 5, of one who is called like the shop: 52 times in the year."""
    grower = GROWER.but(name=PAID_SHOP.name, notice=54.0, price=5.0, firm="signed")
    record = seen(about={"weeks": 53}, weeks=53, customer=(PAID_SHOP,), block_customer=(grower,))
    found = kept(record)
    assert column(found, "signed_sales") == column(found, "blocks") == [52 * 4 * 5.0]
    assert column(kept(record, block_customer=(grower.but(firm="letter"),)), "signed_sales") == [0.0]


def test_what_wears_out_is_replaced_by_the_share_of_the_day(year: Record) -> None:
    """An oven wears out by 0.50 a day, 365 days. All of it is to be replaced, from day 70 on a fifth."""
    oven = Capital(name="oven", cost=1_826.25, bought=START, life=10.0)
    parts = {"capital": (oven,)}
    found = changed(year, 70 * DAY, parts, {**parts, "costs": Costs(replaces=0.2)})
    told = [column(found, name)[0] for name in ("capital_debt_repayment_margin", "replacement_margin")]
    assert told[0] - told[1] == pytest.approx(35.0 + 0.2 * 147.5, abs=0.02)


# --- whatever is given ------------------------------------------------------------------------------------------------

LATE = any_.floats(0, 3_000)
MONEY = any_.floats(0, 5_000).map(lambda value: round(value, 2))
DAYS = any_.dates(datetime.date(2024, 1, 1), datetime.date(2028, 3, 1))


def loan(at: datetime.date, amount: float, rate: float, years: float, every: str, kind: str, waits: int) -> Loan:
    """A loan on which only interest is paid at first, as often as that can be."""
    found = Loan(name=f"loan {at}", amount=amount, rate=rate, from_=at, years=years, every=every, kind=kind)
    return found.but(interest_only=min(waits, found.payments - 1))


LOANS = any_.builds(
    loan,
    DAYS, any_.floats(1, 20_000).map(lambda value: round(value, 2)), any_.floats(0, 0.2), any_.integers(1, 8).map(float),
    any_.sampled_from(EVERY), any_.sampled_from(KINDS), any_.integers(0, 12),
)  # fmt: skip
ITEMS = any_.builds(
    lambda at, cost, life, share: Capital(name=f"item {at}", cost=cost, bought=at, life=life, salvage=round(cost * share, 2)),
    DAYS, any_.floats(1, 9_000).map(lambda value: round(value, 2)), any_.floats(0.5, 20), any_.floats(0, 1),
)  # fmt: skip
LINES = any_.none() | any_.builds(
    CreditLine, limit=any_.just(9_000.0), rate=any_.floats(0, 0.3), drawn=MONEY, keeps=MONEY
)
OPENINGS = any_.builds(
    Balance, cash=any_.floats(-500, 5_000), receivables=MONEY, receivables_in=any_.floats(24, 4_000), stocks=MONEY,
    payables=MONEY, payables_in=any_.floats(24, 4_000), other_debts=MONEY, land=MONEY,
)  # fmt: skip
COSTS = any_.builds(Costs, on_costs=any_.floats(0, 0.5), owner_draw=MONEY, taxes=MONEY, off_farm_income=MONEY)


MATERIALS = any_.builds(Materials, bought=MONEY, crate=MONEY, spent_brings=MONEY, paid_after=LATE)
GROWS = any_.none() | any_.fixed_dictionaries(
    {
        "since": any_.integers(1, 104).map(float), "price": any_.floats(0, 300), "pays_after": any_.floats(0, 4_000),
        "wage": any_.floats(0, 3), "costs": COSTS, "materials": MATERIALS,
    }
)  # fmt: skip
"""An expansion: what is otherwise from a Monday on; its loans and what is bought carry days of their own."""


def farm_of(draw: dict[str, object], farm: Farm) -> Farm:
    draw = dict(draw)
    grows = draw.pop("grows")
    farm = with_parts(farm, draw)
    if not isinstance(grows, dict):
        return farm
    then = dict(grows)
    return farm.but(changes=((then.pop("since") * 7 * DAY, with_parts(farm, then)),))


def with_parts(farm: Farm, parts: dict[str, object]) -> Farm:
    customer = PAID_SHOP.but(price=parts.pop("price"), pays_after=parts.pop("pays_after"))
    return farm.but(customer=(customer,), crew=(OWNER.but(wage=parts.pop("wage")),), **parts)


@settings(max_examples=60, deadline=None)
@given(
    draw=any_.fixed_dictionaries(
        {
            "price": any_.floats(0, 300), "pays_after": any_.floats(0, 4_000), "wage": any_.floats(0, 3),
            "loan": any_.lists(LOANS, max_size=3).map(tuple), "capital": any_.lists(ITEMS, max_size=3).map(tuple),
            "credit_line": LINES, "balance": OPENINGS, "costs": COSTS,
            "materials": MATERIALS, "grows": GROWS,
            "fixed_cost": MONEY.map(lambda value: (FixedCost(name="rent", a_month=value),)),
            "drift": any_.builds(Drift, prices=any_.floats(-0.2, 0.2), wages=any_.floats(-0.2, 0.2)),
        }
    )
)  # fmt: skip
def test_cash_adds_up_and_the_balance_sheet_balances_to_the_cent(two_years: Record, draw: dict[str, object]) -> None:
    assert two_years.farm is not None
    record = replace(two_years, farm=farm_of(draw, two_years.farm))
    found = books(record, ledger(record))
    flows, levels = statements.cash_flow(found), statements.balance(found)
    assert np.array_equal(levels["assets"] - levels["debts"], levels["equity"])
    moved = sum(flows[name] for name in IN) - sum(flows[name] for name in OUT)
    assert np.array_equal(np.diff(levels["cash"] - levels["overdrawn"]), moved)
    assert all(
        (levels[name] >= 0).all() for name in ("receivables", "equipment", "payables", "line_owed", "loans_later")
    )
    line = record.farm.credit_line if record.farm is not None else None
    assert line is None or (found.cash.drawn <= line.limit * 100).all()
    tables = summarise(record)
    both = tables["books_months"], tables["books_years"]
    for name in (*statements.income(found), *flows):
        by_month, by_year = (np.rint(np.asarray(table[name], float) * 100).sum() for table in both)
        assert by_month == by_year == statements.income(found).get(name, flows.get(name)).sum()
    assert paid_by_year(tables["books_customers"]) == paid_by_line(tables["books_years"])
    goods, is_kg = np.asarray(tables["books_customers"]["goods"]), np.asarray(tables["books_customers"]["unit"]) == "kg"
    assert goods[is_kg].sum() == pytest.approx(np.asarray(tables["books_years"]["kg_sold"]).sum())


def paid_by_year(customers: Table) -> list[list[int]]:
    """What customers for mushrooms, and those for blocks, pay in each year [cents]."""
    unit, year, paid = (np.asarray(customers[name]) for name in ("unit", "year", "paid"))
    return [[round(100 * float(paid[(unit == of) & (year == number)].sum())) for number in (1, 2)] for of in UNITS]


def paid_by_line(years: Table) -> list[list[int]]:
    """The same by the lines of the income statement [cents]."""
    return [[round(100 * float(value)) for value in years[line]] for line in ("mushrooms", "blocks")]


@pytest.fixture(scope="module")
def two_years() -> Record:
    return seen(about={"weeks": 105}, weeks=105, customer=(PAID_SHOP,), crew=(OWNER,))


def test_weeks_hold_net_operating_income_where_other_costs_are_given(year: Record) -> None:
    assert year.farm is not None
    farm = year.farm.but(
        materials=Materials(bought=2.0, spent_brings=0.5), fixed_cost=(FixedCost(name="rent", a_month=310.0),)
    )
    money = summarise(replace(year, farm=farm))["money"]
    spent_blocks = [round(float(left - (taken - wages - energy)), 2) for left, taken, wages, energy in zip(
        money["operating"] + money["other_costs"], money["taken"], money["wages"], money["energy"], strict=True)]  # fmt: skip
    assert float(money["other_costs"][0]) == 16.0 + 70.0 and set(spent_blocks) <= {0.0, 4.0}
    assert "operating" not in summarise(year)["money"]
