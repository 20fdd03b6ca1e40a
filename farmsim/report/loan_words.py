"""What a loan's payments do otherwise than usual, in words: the same on every screen and page."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from farmsim.report.words import dated, plural
from farmsim.study.books_answers import LoanTold


def besides(loan: LoanTold, money: Callable[[float], str]) -> str:
    """Interest only at first, a balloon, payments reckoned over more years: ", interest only for ..."; "" of none of it."""
    return "".join(f", {piece}" for piece in _pieces(loan, money))


def _pieces(loan: LoanTold, money: Callable[[float], str]) -> Iterator[str]:
    if loan.interest_only == 1:
        yield f"interest only with the first payment, of the first {loan.every}"
    elif loan.interest_only:
        yield f"interest only for the first {plural(loan.interest_only, loan.every)}"
    when = dated(f" on {loan.last_day}") if loan.last_day else ""
    if loan.as_over is not None and loan.as_over != loan.years:
        yield (
            f"payments reckoned as if over {plural(loan.as_over, 'year')}, so that all that is left comes with the last "
            f"one{when}: {money(loan.last)}"
        )
    elif loan.balloon:
        yield f"a balloon of {money(loan.balloon)} with the last payment{when}"
