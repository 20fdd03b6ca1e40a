"""Income statement, cash flow and balance sheet of one run, month by month and year by year, and what lenders make of them.

Every figure of a period is a sum of its days or what there is on its last evening, in whole cents, so months add up to
years and the balance sheet balances: equity is carried on from the income statement, never taken as what is missing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import NamedTuple

import numpy as np

from farmsim.money.books import COSTS, SALES, Books, interest
from farmsim.money.days import month_ends
from farmsim.money.ledger import ON_TOP, PAID
from farmsim.money.materials import MATERIALS
from farmsim.money.owed import in_all
from farmsim.money.ratios import Year
from farmsim.record.measures.summary import Table
from farmsim.record.tables import Figures, Numbers

Rows = Mapping[str, Numbers]
SHORTEST_YEAR = 365  # days of twelve calendar months without a 29 February


class Cut(NamedTuple):
    """Stretches of days one after the other: on which day each begins, and the day after its last."""

    begins: Numbers
    ends: Numbers


def by_month(found: Books) -> Cut:
    """Calendar months."""
    lasts = np.flatnonzero(month_ends(found.first, found.days)) + 1
    ends = np.unique(np.append(lasts, found.days))
    return Cut(np.append(0, ends[:-1]), ends)


def by_year(found: Books) -> Cut:
    """Years from the first day on."""
    ends = np.array(found.ends)
    return Cut(np.append(0, ends[:-1]), ends)


def column(line: str) -> str:
    """A line as its column is called: overtime_on_top."""
    return line.replace("-", "_").replace(" ", "_").replace("'", "")


# --- by day -----------------------------------------------------------------------------------------------------------


def income(found: Books) -> Rows:
    """What each day earned, what that cost, and what is left: net farm income [cents]."""
    days = found.days
    rows = {column(name): found.earned[name] for name in SALES}
    sales = sum((found.earned[name] for name in SALES), start=np.zeros(days, np.int64))
    costs = _sum_of(found, COSTS)
    of_interest = interest(found)
    return {
        **rows,
        "sales": sales,
        **{column(name): found.spent[name] for name in COSTS},
        "materials": _sum_of(found, MATERIALS),
        "people": _sum_of(found, (*PAID[:2], *ON_TOP)),
        "operating_costs": costs,
        "operating_income": sales - costs,
        "depreciation": found.items.worn,
        "interest": of_interest,
        "net_farm_income": sales - costs - found.items.worn - of_interest,
    }


def _sum_of(found: Books, names: Sequence[str]) -> Numbers:
    return sum((found.spent[name] for name in names), start=np.zeros(found.days, np.int64))


def cash_flow(found: Books) -> Rows:
    """What came in and went out on each day [cents]."""
    days, cash = found.days, found.cash
    return {
        "received": found.received,
        "paid_costs": found.bills,
        "paid_interest": in_all(found.loans, "interest", days) + cash.line_interest,
        "paid_principal": in_all(found.loans, "principal", days),
        "paid_taxes": found.taxes,
        "owner_draw": found.draw,
        "bought": found.items.bought,
        "owner_brought": found.items.from_owner,
        "borrowed": in_all(found.loans, "received", days),
        "line_taken_up": cash.taken_up,
        "line_paid_back": cash.paid_back,
    }


def balance(found: Books) -> Rows:
    """What is owned and owed on each evening, the evening before the first day coming first [cents]."""
    earned, flows = income(found), cash_flow(found)
    loans = _levels(sum(loan.opening for loan in found.loans), flows["borrowed"] - flows["paid_principal"])
    soon = sum((loan.soon for loan in found.loans), start=np.zeros(found.days + 1, np.int64))
    owing = sum(loan.opening_interest for loan in found.loans)
    cash = np.append(found.opening_cash, found.cash.cash)
    owns = {
        "cash": np.maximum(0, cash),
        "receivables": _levels(found.opening_receivables, earned["sales"] - found.received),
        "stocks": np.full(found.days + 1, found.stocks),
        "equipment": _levels(found.items.opening, found.items.bought - found.items.worn),
        "land": np.full(found.days + 1, found.land),
    }
    owes = {
        "payables": _levels(found.opening_payables, earned["operating_costs"] - found.bills),
        "line_owed": np.append(found.opening_line, found.cash.drawn),
        "overdrawn": np.maximum(0, -cash),
        "interest_owed": _levels(owing, interest(found) - flows["paid_interest"]),
        "loans_within_a_year": soon,
        "loans_later": loans - soon,
        "other_debts": np.full(found.days + 1, found.other_debts),
    }
    equity = earned["net_farm_income"] + flows["owner_brought"] - flows["paid_taxes"] - flows["owner_draw"]
    return {
        **owns,
        "assets": sum(owns.values(), start=np.zeros(found.days + 1, np.int64)),
        **owes,
        "debts": sum(owes.values(), start=np.zeros(found.days + 1, np.int64)),
        "equity": _levels(found.opening_equity, equity),
    }


CURRENT_ASSETS = ("cash", "receivables", "stocks")
CURRENT_DEBTS = ("payables", "line_owed", "overdrawn", "interest_owed", "loans_within_a_year")


def _levels(opening: int, change: Numbers) -> Numbers:
    return np.append(opening, opening + np.cumsum(change))


# --- by month and year ------------------------------------------------------------------------------------------------


def months(found: Books) -> Table:
    """One row for each calendar month [currency]."""
    cut = by_month(found)
    labels = [f"{found.first + timedelta(days=int(day)):%Y-%m}" for day in cut.begins]
    return {"month": labels, **_told(found, cut)}


def years(found: Books) -> Table:
    """One row for each year from the start, with what lenders look at [currency, ratios]."""
    cut = by_year(found)
    told = _told(found, cut)
    told |= _ratios_of_the_balance(told)
    whole = np.array([float(_is_year(int(begin), int(end))) for begin, end in zip(*cut, strict=True)])
    sums: Table = {name: _sums(rows, cut) / found.per for name, rows in _of_lenders(found).items()}
    each = [_year(told, sums, at, replaces) for at, replaces in enumerate(_replaces(found, cut).tolist())]
    return {
        "year": np.arange(1.0, len(whole) + 1),
        "whole": whole,
        **told,
        **sums,
        "kg_sold": _sums(found.kg, cut),
        "blocks_fruited": _sums(found.fruited, cut),
        **_ratios(each),
        **_may_fall(told, sums, each),
    }


def _told(found: Books, cut: Cut) -> Table:
    """Sums of each stretch, and what there is at its end."""
    told: Table = {"days": (cut.ends - cut.begins).astype(float)}
    for rows in (income(found), cash_flow(found)):
        told |= {name: _sums(amounts, cut) / found.per for name, amounts in rows.items()}
    told |= {f"end_{name}": levels[cut.ends] / found.per for name, levels in balance(found).items()}
    own = np.append(found.opening_cash - found.opening_line, found.cash.own)
    told["begin_cash"] = np.append(found.opening_cash, found.cash.cash)[cut.begins] / found.per
    at = [int(begin + np.argmin(own[begin + 1 : end + 1])) for begin, end in zip(*cut, strict=True)]
    told["lowest_cash"] = own[np.array(at) + 1] / found.per
    told["lowest_cash_day"] = [(found.first + timedelta(days=day)).isoformat() for day in at]
    told["line_most"] = (
        np.array([found.cash.drawn[begin:end].max() for begin, end in zip(*cut, strict=True)]) / found.per
    )
    told["not_covered"] = (
        np.array([_not_covered(found, begin, end) for begin, end in zip(*cut, strict=True)]) / found.per
    )
    return told


def _not_covered(found: Books, begin: int, end: int) -> int:
    """The most that neither cash nor the credit line covered [cents]."""
    return max(0, -int(found.cash.cash[begin:end].min()))


def _sums(amounts: Numbers | Figures, cut: Cut) -> Figures:
    so_far = np.append(0, np.cumsum(amounts))
    sums: Figures = (so_far[cut.ends] - so_far[cut.begins]).astype(float)
    return sums


def _is_year(begin: int, end: int) -> bool:
    return end - begin >= SHORTEST_YEAR


def _of_lenders(found: Books) -> Rows:
    """What lenders count besides the statements [cents]."""
    days = found.days
    return {
        "signed_sales": found.signed,
        "off_farm_income": found.elsewhere,
        "family_living": found.living,
        "term_interest": in_all(found.loans, "accrued", days),
        "term_interest_paid": in_all(found.loans, "interest", days),
    }


def _replaces(found: Books, cut: Cut) -> Figures:
    """Share of each stretch's depreciation that is to be spent to replace what wears out, each day by its own share."""
    worn = _sums(found.items.worn, cut)
    shares: Figures = np.divide(
        _sums(found.replaces * found.items.worn, cut), worn, out=np.ones(len(worn)), where=worn > 0
    )
    return shares


def _year(told: Table, sums: Table, at: int, replaces: float) -> Year:
    both = told | sums

    def of(name: str) -> float:
        return float(both[name][at])

    return Year(
        operating=of("operating_income"),
        net_income=of("net_farm_income"),
        off_farm=of("off_farm_income"),
        taxes=of("paid_taxes"),
        living=of("family_living"),
        interest=of("term_interest"),
        depreciation=of("depreciation"),
        paid_interest=of("term_interest_paid"),
        paid_principal=of("paid_principal"),
        replaces=replaces,
    )


def _ratios(each: Sequence[Year]) -> Table:
    """The figures of lenders, not a number where there is nothing to cover."""
    names = {
        "payments": "payments",
        "simple_debt_service_coverage": "simple_coverage",
        "capital_debt_repayment_capacity": "capacity",
        "capital_debt_repayment_margin": "margin",
        "term_debt_coverage": "coverage",
        "replacement_margin": "margin_after_replacement",
        "replacement_margin_coverage": "coverage_after_replacement",
    }
    return {
        name: np.array([np.nan if (value := getattr(year, of)) is None else value for year in each])
        for name, of in names.items()
    }


def _may_fall(told: Table, sums: Table, each: Sequence[Year]) -> Table:
    """How far prices, and how far the harvest, may fall before capacity no longer covers the payments.

    Costs stay as they are; of a smaller harvest packaging falls with it. On signed orders alone: as if nobody else paid.
    """
    sales, mushrooms, packaging = (np.asarray(told[name], float) for name in ("sales", "mushrooms", "packaging"))
    margin = np.array([year.margin for year in each])
    payments = np.array([year.payments for year in each])
    capacity = np.array([year.capacity for year in each]) - (sales - np.asarray(sums["signed_sales"], float))
    return {
        "prices_may_fall": _shares(margin, sales),
        "harvest_may_fall": _shares(margin, mushrooms - packaging),
        "term_debt_coverage_signed_only": _shares(capacity, payments),
    }


def _shares(part: Figures, whole: Figures) -> Figures:
    shares: Figures = np.divide(part, whole, out=np.full(len(whole), np.nan), where=whole > 0)
    return shares


def opening(found: Books) -> Table:
    """The balance sheet of the evening before the first day, in one row."""
    told: Table = {f"end_{name}": levels[:1] / found.per for name, levels in balance(found).items()}
    return {name.removeprefix("end_"): values for name, values in (told | _ratios_of_the_balance(told)).items()}


def _ratios_of_the_balance(told: Table) -> Table:
    """Current ratio, working capital and debt to assets at the end of each stretch."""

    def of(*names: str) -> Figures:
        sums: Figures = np.sum([np.asarray(told[f"end_{name}"], float) for name in names], axis=0)
        return sums

    current, soon = of(*CURRENT_ASSETS), of(*CURRENT_DEBTS)
    return {
        "end_current_ratio": _shares(current, soon),
        "end_working_capital": current - soon,
        "end_debt_to_assets": _shares(of("debts"), of("assets")),
    }
