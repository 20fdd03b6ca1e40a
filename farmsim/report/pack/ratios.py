"""What lenders look at, year by year, each with its formula and with figures put in."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from farmsim.report.document import Listed, Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.said import (
    CAPACITY,
    NONE,
    SIMPLE,
    TERM,
    Told,
    percent,
    poor,
    ratio,
    usual,
    whole,
    year_columns,
)
from farmsim.study.pack_answers import Pack

Say = Callable[[float | None], str]
LINES: tuple[tuple[str, str, Say], ...] = (
    ("Net operating income", "operating_income", whole),
    (CAPACITY, "capital_debt_repayment_capacity", whole),
    ("All debt payments", "payments", whole),
    (SIMPLE, "simple_debt_service_coverage", ratio),
    (TERM, "term_debt_coverage", ratio),
    ("Capital debt repayment margin", "capital_debt_repayment_margin", whole),
    ("Replacement margin", "replacement_margin", whole),
    ("Replacement margin coverage", "replacement_margin_coverage", ratio),
    (f"{TERM}, only customers who have signed", "term_debt_coverage_signed_only", ratio),
    ("Prices may fall before payments are not covered", "prices_may_fall", percent),
    ("Current ratio at the end of the year", "end_current_ratio", ratio),
    ("Working capital at the end of the year", "end_working_capital", whole),
    ("Debt to assets at the end of the year", "end_debt_to_assets", percent),
)
HAS_POOR = ("operating_income", "capital_debt_repayment_capacity", "simple_debt_service_coverage", "term_debt_coverage",
            "capital_debt_repayment_margin")  # fmt: skip
FORMULAS = (
    f"{SIMPLE} = net operating income / all debt payments (principal and interest of all loans, old and new).",
    f"{CAPACITY}, after the Farm Financial Standards Council (FFSC) = net farm income + income from elsewhere - taxes + "
    "interest on loans + depreciation - family living.",
    f"{TERM} (FFSC) = capital debt repayment capacity / all debt payments.",
    "Capital debt repayment margin (FFSC) = capital debt repayment capacity - all debt payments.",
    "Replacement margin (FFSC) = that margin - what is spent to replace what wears out (a share of depreciation). Replacement "
    "margin coverage = capacity / (all debt payments + that share of depreciation).",
    "Current ratio = cash, what customers owe and stocks / all that is due within twelve months. Working capital = the first "
    "less the second. Debt to assets = all debts / all that is owned.",
    f"{TERM}, only customers who have signed = the same after all that other customers pay is taken off, costs as they are.",
    "Prices may fall = capital debt repayment margin / sales, all costs as they are.",
    "What the new part alone earns = its capacity to repay (with it less without it) / its own debt payments (with it less "
    "without it), run by run.",
)

OF_LIVING = "Family living = the owner's draw, because the farm's file does not say what the family lives on."


def parts(pack: Pack) -> Iterator[Part]:
    """Formulas, one of them with figures put in, then the table."""
    yield headings.RATIOS
    yield Words(
        f"{SIMPLE} and {TERM.lower()} are two ratios that are often mixed up; each is told under its full name."
    )
    yield Listed((*FORMULAS, *((OF_LIVING,) if pack.lives_on_draw else ())))
    if worked := example(pack):
        yield Words(worked)
    yield Sheet(table(pack))


def example(pack: Pack) -> str:
    """A usual year with its figures put in: payments are the same in all runs, so usual figures give the usual ratio."""
    year, told = pack.expanded.years[pack.told_year - 1], Told(pack)
    names = ("operating_income", "capital_debt_repayment_capacity", "payments", "simple_debt_service_coverage")
    income, capacity, payments, simple = (usual(year, name) for name in names)
    coverage = usual(year, "term_debt_coverage")
    if income is None or capacity is None or payments is None or simple is None or coverage is None:
        return ""
    return (
        f"In a usual year {pack.told_year}: {SIMPLE.lower()} = {told.exact(income)} / {told.exact(payments)} = "
        f"{ratio(simple)}; {TERM.lower()} = {told.exact(capacity)} / {told.exact(payments)} = {ratio(coverage)}."
    )


def table(pack: Pack) -> Table:
    """Usual years, and poor ones below them."""
    rows: list[tuple[str, ...]] = []
    for label, line, say in LINES:
        cells = [say(usual(year, line)) for year in pack.expanded.years]
        if any(cell != NONE for cell in cells):
            rows.append((label, *cells))
        if line in HAS_POOR and Told(pack).has_poor:
            rows.append(("in a poor year (1 in 10)", *(say(poor(year, line)) for year in pack.expanded.years)))
    if any(pack.alone):
        rows.append(("Earned by the new part alone for each 1 of its own payments",
                     *(ratio(None if each is None else each.usual) for each in pack.alone)))  # fmt: skip
    columns = (Column(f"in {pack.currency}, or a ratio"), *year_columns(pack))
    return Table("What lenders look at, usual years", columns, tuple(rows))
