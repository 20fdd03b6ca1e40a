"""The books of a farm over many runs: sums over runs, what cannot be kept, earnings by strain, the workbook."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook

import farmsim
from farmsim.report.books import Said, screen
from farmsim.report.books_plain import plain
from farmsim.report.figures import cash
from farmsim.report.workbook import write
from farmsim.scenario.balance import Balance
from farmsim.scenario.capital import Capital
from farmsim.scenario.costs import Costs, FixedCost, Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import CreditLine, Loan
from farmsim.scenario.prices import Energy
from farmsim.study.books import NoBooks, keep, weeks_of, years_of
from farmsim.study.books_answers import Kept
from farmsim.study.pool import Where
from farmsim.study.trials import Brief

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
QUICK = Brief(weeks=53, where=Where(1))


@pytest.fixture(scope="module")
def tiny() -> Farm:
    """The tiny farm with books: an old loan, an oven, a shop that pays late, a credit line."""
    farm = farmsim.load(SCENARIOS / "tiny.toml")
    shop, outlet = farm.customer
    return farm.but(
        customer=(shop.but(price=22.0, pays_after=336.0, firm="signed"), outlet.but(price=3.0)),
        crew=tuple(each.but(paid="as owner") for each in farm.crew),
        energy=Energy(a_week=40.0),
        materials=Materials(bought={"blue-oyster": 5.0, "lions-mane": 6.0}, packaging=0.5, spent=0.1),
        fixed_cost=(FixedCost(name="rent", a_month=400.0),),
        costs=Costs(owner_draw=1_500.0, taxes=200.0),
        capital=(Capital(name="oven", cost=9_000.0, bought=datetime.date(2024, 5, 1), life=12.0, salvage=500.0),),
        loan=(Loan(name="shed", amount=20_000.0, rate=0.07, from_=datetime.date(2026, 12, 15), years=6.0),),
        credit_line=CreditLine(limit=5_000.0, rate=0.1, keeps=200.0),
        balance=Balance(cash=1_000.0, receivables=900.0),
    )


@pytest.fixture(scope="module")
def kept(tiny: Farm) -> Kept:
    return keep(tiny, 10, QUICK)


def test_a_year_is_whole_when_a_week_more_than_52_is_run(tiny: Farm) -> None:
    assert [weeks_of(tiny, years) for years in (1, 3, 5)] == [53, 157, 261]
    assert (years_of(tiny), years_of(tiny.but(farm=tiny.farm.but(weeks=156)))) == (1, 3)


def test_averages_add_up_and_the_balance_balances(kept: Kept) -> None:
    (year,) = kept.years
    mean = {name: line.mean.value for name, line in year.lines.items()}
    assert year.is_whole and (year.first, year.last) == ("2027-01-04", "2028-01-03")
    assert mean["end_assets"] - mean["end_debts"] == pytest.approx(mean["end_equity"], abs=1e-6)
    assert mean["operating_costs"] == pytest.approx(
        mean["materials"] + mean["people"] + mean["energy"] + mean["fixed_costs"], abs=1e-6
    )
    assert kept.months["sales"].sum() == pytest.approx(mean["sales"])
    opening = kept.opening
    assert opening["assets"] - opening["debts"] == pytest.approx(opening["equity"])


def test_a_poor_year_is_no_better_than_a_usual_one_and_every_run_is_told(kept: Kept) -> None:
    lines = kept.years[0].lines
    for name in ("net_farm_income", "term_debt_coverage", "simple_debt_service_coverage", "prices_may_fall"):
        assert lines[name].low <= lines[name].usual <= lines[name].high
    assert lines["payments"].low == lines["payments"].high == pytest.approx(12 * 340.98)
    assert list(kept.runs_years["run"]) == list(range(1, 11))


def test_at_break_even_capacity_just_covers_the_payments(tiny: Farm) -> None:
    """With prices so much lower the average margin of the same runs is nothing, where no credit line gets dearer by it."""
    tiny = tiny.but(credit_line=None)
    even = keep(tiny, 4, QUICK).break_even
    assert even is not None
    share = even.price_then / even.price
    cheaper = tiny.but(customer=tuple(each.but(price=float(str(each.price)) * share) for each in tiny.customer))
    margin = keep(cheaper, 4, QUICK).years[0].lines["capital_debt_repayment_margin"].mean.value
    assert margin == pytest.approx(0.0, abs=1.0)


def test_a_strain_earns_its_takings_less_what_is_bought_for_it(tiny: Farm, kept: Kept) -> None:
    found = farmsim.run(tiny, runs=2, weeks=53, workers=1).tables
    rows = found["money_strains"][found["money_strains"]["strain"] == "blue-oyster"]
    oyster = next(each for each in kept.earns if each.strain == "blue-oyster")
    assert oyster.block_sold is None and oyster.block_fruited is not None and oyster.hour is not None
    for at, row in enumerate(rows.itertuples()):
        earned = row.mushrooms - row.packaging - row.disposal - row.block_materials
        assert oyster.block_fruited.runs[at] == pytest.approx(earned / row.blocks_fruited)
        assert oyster.hour.runs[at] == pytest.approx(earned / row.hours)
    money = found["money"].groupby("run")["mushrooms"].sum()
    assert found["money_strains"].groupby("run")["mushrooms"].sum().tolist() == pytest.approx(money.tolist(), abs=0.02)


def test_of_a_farm_that_changes_strains_are_told_since_then_by_the_year(tiny: Farm) -> None:
    """Twice the price from week 27 on: 26 weeks of it, told as a year."""
    dear = tuple(each.but(price=2 * float(str(each.price))) for each in tiny.customer)
    changed = tiny.but(changes=((27 * 168.0, tiny.but(customer=dear)),))
    table = farmsim.run(changed, runs=2, weeks=53, workers=1).tables["money_strains"]
    rows = table[table["strain"] == "lions-mane"]
    earned = rows["mushrooms"] - rows["packaging"] - rows["disposal"] - rows["block_materials"]
    found = next(each for each in keep(changed, 2, QUICK).earns if each.strain == "lions-mane")
    assert found.a_year.runs == pytest.approx(tuple(earned * 365 / (26 * 7)))


def test_two_workers_keep_the_same_books(tiny: Farm) -> None:
    short = Brief(weeks=10, where=Where(1))
    assert plain(keep(tiny, 4, replace(short, where=Where(2)))) == plain(keep(tiny, 4, short))


def test_years_follow_one_another(tiny: Farm) -> None:
    first, second = keep(tiny, 2, Brief(weeks=105, where=Where(1))).years
    assert (first.last, second.first) == ("2028-01-03", "2028-01-04")
    assert first.lines["end_cash"].runs == second.lines["begin_cash"].runs


def test_the_year_in_which_debts_are_covered_worst_is_told(tiny: Farm) -> None:
    """A balloon falls due in the second year."""
    shed = tiny.loan[0].but(years=1.5, balloon=15_000.0)
    found = keep(tiny.but(loan=(shed,)), 2, Brief(weeks=105, where=Where(1)))
    assert found.weakest == 2
    lines = found.years[1].lines
    told = f"Debts are covered worst in year 2: simple debt-service coverage {lines['simple_debt_service_coverage'].usual:.2f}"
    assert told in " ".join(screen(found).split())


def test_less_than_a_year_is_told_without_what_lenders_look_at(tiny: Farm) -> None:
    text = screen(keep(tiny, 2, Brief(weeks=6, where=Where(1))))
    assert "books of 42 days" in text and "What lenders look at is told of whole years only." in text
    assert "coverage" not in text


def test_what_cannot_be_kept_is_told(tiny: Farm) -> None:
    shop, outlet = tiny.customer
    with pytest.raises(NoBooks) as caught:
        keep(tiny.but(customer=(shop.but(price={"blue-oyster": 20.0}), outlet)), 2, QUICK)
    assert str(caught.value).startswith(
        "no price is given for farm shop (lions-mane): the books would count it as given"
    )
    bare = farmsim.load(SCENARIOS / "tiny.toml")
    bare = bare.but(customer=tuple(each.but(price=9.0) for each in bare.customer))
    with pytest.raises(NoBooks) as caught:
        keep(bare, 2, QUICK)
    assert "One shed gives nothing for its books: no costs besides wages and energy" in str(caught.value)


def test_equity_by_the_farms_books_is_checked_before_anything_is_run(tiny: Farm, kept: Kept) -> None:
    """It has to be that of the opening balance sheet, to the cent."""
    assert tiny.balance is not None
    right = kept.opening["equity"]
    assert keep(tiny.but(balance=tiny.balance.but(equity=right)), 2, QUICK).opening["equity"] == right
    with pytest.raises(NoBooks) as caught:
        keep(tiny.but(balance=tiny.balance.but(equity=right + 100.0)), 2, QUICK)
    assert (
        f"but what is owned less what is owed comes to {f'-${-right:,.2f}' if right < 0 else f'${right:,.2f}'}"
        in str(caught.value)
    )


# --- how it is told ---------------------------------------------------------------------------------------------------


def test_the_screen_tells_both_coverages_under_their_full_names(kept: Kept) -> None:
    text = screen(kept)
    assert max(map(len, text.splitlines())) <= 100
    told, lines = " ".join(text.split()), kept.years[0].lines
    simple, ffsc = lines["simple_debt_service_coverage"], lines["term_debt_coverage"]
    assert f"Simple debt-service coverage (net operating income / principal and interest): {simple.usual:.2f}" in told
    assert f"principal and interest): {ffsc.usual:.2f} ({ffsc.low:.2f} in a poor year)" in told
    assert "shed: $20,000 owed at the start, 7 % a year, payments of $340.98, one every month" in told
    equal = replace(kept, loans=(replace(kept.loans[0], kind="equal principal"),))
    assert "payments of $340.98 now, less each time, one every month" in " ".join(screen(equal).split())
    assert "(no source and no day for these terms)" in told
    assert "A computed plan is not engineering, legal, tax or lending advice." in told


def test_without_a_loan_there_is_nothing_to_cover(tiny: Farm) -> None:
    text = " ".join(screen(keep(tiny.but(loan=()), 2, QUICK)).split())
    assert "Nothing has to be covered. Capital debt repayment capacity: " in text and "nan" not in text


def test_what_is_missing_is_told(tiny: Farm) -> None:
    text = " ".join(
        screen(keep(tiny.but(costs=None, fixed_cost=(), balance=None, loan=(), capital=()), 2, QUICK)).split()
    )
    assert "NOT IN IT No fixed costs, no on-costs of wages, owner's draw, family living or taxes and no opening" in text


def test_money_is_said_to_three_digits_in_the_farms_currency() -> None:
    assert [Said("USD").money(value) for value in (1_006_700.0, -860.4, 0.2)] == ["$1,010,000", "-$860", "$0"]
    assert [Said("EUR").money(1_234.0), Said("EUR").fine(8.5)] == ["1,230 EUR", "8.5 EUR"]


def test_the_workbook_holds_numbers_and_is_the_same_bytes_each_time(kept: Kept, tmp_path: Path) -> None:
    for name in ("one.xlsx", "two.xlsx"):
        write(kept, tmp_path / name)
    assert (tmp_path / "one.xlsx").read_bytes() == (tmp_path / "two.xlsx").read_bytes()
    book = load_workbook(tmp_path / "one.xlsx")
    assert book.sheetnames[:4] == ["About", "Income by month", "Cash by month", "Owned and owed by month"]
    rows = {row[0]: row[1:] for row in book["Income by month"].iter_rows(values_only=True)}
    lines = [name for name in rows if name and name not in ("Sales", "Net operating income", "Net farm income")]
    for at in range(len(kept.months)):
        parts = sum(rows[name][at] for name in lines)
        assert rows["Net farm income"][at] == pytest.approx(parts, abs=0.1)
    owned = {row[0]: row[1:] for row in book["Owned and owed by month"].iter_rows(values_only=True)}
    assert np.allclose(np.array(owned["Assets"]) - np.array(owned["Debts"]), np.array(owned["Equity"]), atol=0.02)


def test_the_picture_is_drawn_with_and_without_a_credit_line(kept: Kept) -> None:
    for each in (kept, replace(kept, limit=None, runs=3)):
        figure = cash.draw(each)
        figure.canvas.draw()
        assert len(figure.axes) == 1
