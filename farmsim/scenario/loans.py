"""What the farm owes and to which terms: loans with a plan of repayment, old and new, and the credit line."""

from __future__ import annotations

import datetime
from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.part import Part

EVERY = ("month", "quarter", "half year", "year")
A_YEAR = {"month": 12, "quarter": 4, "half year": 2, "year": 1}
"""Payments a year, by how often one is due."""
KINDS = ("level", "equal principal")
MOST_YEARS = 60


class Loan(Part):
    """Money owed on fixed terms; terms of lending change, so each loan tells its own, with date and source."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    amount: float = figure("currency", least=0.01, meaning="what is owed from its first day on")
    rate: float = figure(
        "fraction/year",
        also=("fraction",),
        most=1,
        meaning="interest in a year, charged in equal parts with each payment",
    )
    from_: datetime.date = figure(
        form=DATE,
        least=1900,
        most=2200,
        toml="from",
        meaning="day on which it is paid out; of an old loan the day since which the amount is owed, such as the last payment",
    )
    years: float = figure(least=1 / 12, most=MOST_YEARS, meaning="years from then until the last payment")
    every: Literal["month", "quarter", "half year", "year"] = figure(
        default="month", form=forms.WORD, choices=EVERY, meaning="how often a payment is due"
    )
    kind: Literal["level", "equal principal"] = figure(
        default="level",
        form=forms.WORD,
        choices=KINDS,
        meaning="level payments of interest and principal, or equal parts of principal with interest on what is left",
    )
    interest_only: int = figure(
        "", 0, form=forms.COUNT, most=600, meaning="how many payments at first are of interest only"
    )
    balloon: float = figure("currency", 0.0, meaning="what is left to be paid at once with the last payment")
    as_over: float | None = figure(
        "",
        None,
        least=1 / 12,
        most=MOST_YEARS,
        meaning="years over which payments are reckoned when the last one, with all that is left, comes sooner; "
        "left out: the years of the loan",
    )
    first_payment: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day of the first payment; left out: one period later"
    )
    working_money: float = figure(
        "currency", 0.0, meaning="of a new loan, what is for working money and pays for no capital item"
    )
    security: str | None = figure(default=None, form=forms.TEXT, meaning="what it is secured by, in words")
    security_worth: float | None = figure("currency", None, meaning="what that is worth, as the lender counts it")
    terms_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day on which these terms were told"
    )
    terms_from: str | None = figure(default=None, form=forms.TEXT, meaning="who told these terms, or where they stand")

    @property
    def payments(self) -> int:
        """How many payments there are."""
        return round(self.years * A_YEAR[self.every])


class CreditLine(Part):
    """A credit line: drawn on days on which cash would fall short, paid back as soon as there is cash."""

    limit: float = figure("currency", meaning="the most that may be owed on it")
    rate: float = figure(
        "fraction/year", also=("fraction",), most=1, meaning="interest in a year on what is owed each day, paid monthly"
    )
    drawn: float = figure("currency", 0.0, meaning="what is owed on it at the start", source=FARM)
    keeps: float = figure("currency", 0.0, meaning="least cash: below it the line is drawn", source=FARM)
    terms_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day on which these terms were told"
    )
    terms_from: str | None = figure(default=None, form=forms.TEXT, meaning="who told these terms, or where they stand")
