"""Every loan, old and new: its terms, and what is paid and left year by year."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.loan_words import besides
from farmsim.report.pack import headings
from farmsim.report.pack.said import BLANK, Told, cents, day_of, years_of
from farmsim.report.words import tidy
from farmsim.study.books_answers import LoanTold
from farmsim.study.pack_answers import Pack
from farmsim.study.pack_shown import loan_years


def parts(pack: Pack) -> Iterator[Part]:
    """Terms, then payments."""
    told = Told(pack)
    if not pack.expanded.loans:
        return
    yield headings.LOANS
    for loan in pack.expanded.loans:
        yield Words(terms(loan, told))
    found = loan_years(pack.expanded)
    rows = [
        (
            tidy(each.loan),
            f"{each.year}",
            *(cents(value, pack.currency) for value in (each.interest, each.principal, each.paid, each.left)),
        )
        for each in found
    ]
    columns = (
        Column("loan"),
        Column("year", " "),
        Column("interest paid", pack.currency),
        Column("principal paid", pack.currency),
        Column("paid together", pack.currency),
        Column("owed after it", pack.currency),
    )
    if rows:
        note = "A loan that runs longer than the plan is told with what is left of it. Years as in the statements"
        yield Sheet(Table("Payments by year", columns, tuple(rows), note=note))


def terms(loan: LoanTold, told: Told) -> str:
    """A loan in a sentence, with where its terms come from."""
    whole = f" (of {told.exact(loan.amount)})" if round(loan.owed) != round(loan.amount) else ""
    amount = (
        f"{told.exact(loan.amount)} from {day_of(loan.first_day)}"
        if loan.is_new
        else f"{told.exact(loan.owed)}{whole} still owed at the start"
    )
    fewer = " at first, less each time" if loan.kind == "equal principal" else ""
    source = tidy(loan.terms) or f"{BLANK} (who told these terms, and when)"
    return (
        f"{tidy(loan.name)}: {amount}, over {years_of(loan.years)} at {100 * loan.rate:g} % a year, {told.fine(loan.payment)} "
        f"every {loan.every}{fewer}{besides(loan, told.fine)}. Terms from: {source}."
    )
