"""What is unusual about a loan's payments is told on the screen of the books, on the first page and in the loans' chapter."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from pack_sample import ASKED, LOAN, OLD_LOAN, pack

from farmsim.report import books
from farmsim.report.loan_words import besides
from farmsim.report.pack import first_page, loans
from farmsim.report.pack.said import Told
from farmsim.scenario.loans import Loan
from farmsim.study.books import loan_told

PACK = pack()
TOLD = Told(PACK)
TERMS = {"name": "l", "amount": "$120,000", "rate": "6 % a year", "from": date(2027, 2, 1), "years": 10}


def of(**terms: object) -> str:
    """Words of a loan as it is worked out from its terms."""
    return besides(loan_told(Loan(**{**TERMS, **terms}), date(2027, 1, 4), 100), TOLD.fine)


def test_a_plain_loan_needs_no_more_words() -> None:
    assert of() == "" and besides(LOAN, TOLD.fine) == ""


def test_interest_only_at_first_is_told_by_how_often_it_is_paid() -> None:
    assert of(interest_only=9) == ", interest only for the first 9 months"
    assert of(interest_only=3, every="quarter") == ", interest only for the first 3 quarters"
    assert of(interest_only=1, every="year") == ", interest only with the first payment, of the first year"


def test_a_balloon_is_told_with_its_day() -> None:
    assert of(interest_only=9, balloon="$9,000") == (
        ", interest only for the first 9 months, a balloon of $9,000 with the last payment on 1 Feb 2037"
    )


def test_what_is_left_of_a_loan_reckoned_over_more_years_is_told() -> None:
    """Without interest 120,000 as if over 20 years are 500 a month; 119 months repay 59,500, and 60,500 are left."""
    told = of(rate="0 % a year", as_over=20)
    assert told == (
        ", payments reckoned as if over 20 years, so that all that is left comes with the last one on 1 Feb 2037: $60,500"
    )
    assert of(as_over=10) == ""


def test_the_first_page_the_chapter_and_the_books_all_tell_it() -> None:
    odd = replace(LOAN, interest_only=9, balloon=9_000.0, last=10_962.44, last_day="2037-02-01")
    words = "interest only for the first 9 months, a balloon of $9,000 with the last payment on 1 Feb 2037"
    one = replace(PACK, asked=replace(ASKED, loan=odd))
    assert f"in a usual year, {words}. Security" in first_page.ask(one, TOLD)
    assert f"$1,962.44 every month, {words}. Terms from" in loans.terms(odd, TOLD)
    told = " ".join(books._loan(odd, PACK.expanded).split())
    assert f"one every month, {words} (a bank, 2 Nov 2026)." in told


def test_of_an_old_loan_it_is_told_what_is_still_owed() -> None:
    assert loans.terms(OLD_LOAN, TOLD).startswith(
        "old loan: $40,000 (of $60,000) still owed at the start, over 5 years"
    )
    untouched = replace(OLD_LOAN, owed=60_000.0)
    assert loans.terms(untouched, TOLD).startswith("old loan: $60,000 still owed at the start, over 5 years")
