"""What is asked of a lender, and the past years of the farm's books: told in the lender's pack, heard by no run."""

from __future__ import annotations

import datetime
from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.fields import figure
from farmsim.scenario.part import Part

RATIOS = ("term debt coverage", "simple debt-service coverage")
"""The two coverages that are often mixed up, each under its full name; `money/ratios.py` defines them."""
MOST_COVERAGE = 10
LENDER = "the lender decides"
OWNER = "the owner's own figure"
BOOKS = "the farm's own books"


class Request(Part):
    """Money asked for: which loan, for what, and what the lender wants to see. How much it is stands with the loan."""

    purpose: str = figure(form=forms.TEXT, meaning='what the money is for, in a few words: "a fifth fruiting room"')
    loan: str = figure(form=forms.TEXT, meaning="the name of the new [[loan]] that is asked for")
    opens: datetime.date = figure(
        form=DATE, least=1900, most=2200, meaning="the Monday on which the new part takes its first blocks"
    )
    why: str | None = figure(default=None, form=forms.TEXT, meaning="why it is needed, in the farm's own words")
    prepared_by: str | None = figure(default=None, form=forms.TEXT, meaning="who prepared the pack")
    prepared_on: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day on which it was prepared"
    )
    needs: float | None = figure(
        "",
        None,
        most=MOST_COVERAGE,
        meaning="coverage of payments that the lender asks for, such as 1.25; left out: not known, nothing is judged by it",
        source=LENDER,
    )
    needs_of: Literal["term debt coverage", "simple debt-service coverage"] = figure(
        default="term debt coverage",
        form=forms.WORD,
        choices=RATIOS,
        meaning="which of the two coverages the lender means",
        source=LENDER,
    )
    terms_from: str | None = figure(
        default=None, form=forms.TEXT, meaning="who told which coverage is asked for, or where it stands"
    )
    terms_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day on which that was told"
    )
    discount: float | None = figure(
        "fraction/year",
        None,
        also=("fraction",),
        most=1,
        meaning="what the owner wants money to earn in a year, for the present value of the expansion; left out: none is "
        "worked out",
        source=OWNER,
    )


class PastYear(Part):
    """Twelve months of the farm's books before the start, to stand beside the projection."""

    name: str | None = figure(
        default=None, form=forms.TEXT, meaning='what it is called, such as "2026"; left out: by its last day'
    )
    ends: datetime.date = figure(form=DATE, least=1900, most=2200, meaning="the last day of its twelve months")
    sales: float = figure("currency", meaning="the sales of its twelve months", source=BOOKS)
    operating_income: float | None = figure(
        "currency",
        None,
        least=None,
        meaning="net operating income: sales less operating costs, before interest, depreciation, taxes and the owner's draw",
        source=BOOKS,
    )
    net_farm_income: float | None = figure(
        "currency", None, least=None, meaning="net farm income, after interest and depreciation", source=BOOKS
    )
    off_farm_income: float | None = figure("currency", None, meaning="income from elsewhere", source=BOOKS)
    taxes: float | None = figure(
        "currency", None, least=None, meaning="income and self-employment taxes, below 0 when paid back", source=BOOKS
    )
    family_living: float | None = figure("currency", None, meaning="what the family lived on", source=BOOKS)
    interest: float | None = figure("currency", None, meaning="interest on loans, as it came up", source=BOOKS)
    depreciation: float | None = figure("currency", None, meaning="depreciation", source=BOOKS)
    paid_interest: float | None = figure("currency", None, meaning="interest paid on loans", source=BOOKS)
    paid_principal: float | None = figure("currency", None, meaning="principal paid on loans", source=BOOKS)
    books_from: str | None = figure(default=None, form=forms.TEXT, meaning="where these figures stand")

    @property
    def called(self) -> str:
        """Its name, or its last day."""
        return self.name or f"year to {self.ends}"
