"""What is told of all customers alike, for mushrooms and for blocks: each figure is declared once for both."""

from __future__ import annotations

from typing import Any, Literal

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE, TWELVE
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.seasons import AS_USUAL

Firm = Literal["signed", "by habit", "letter", "hoped for"]
FIRM = ("signed", "by habit", "letter", "hoped for")
"""How firm a customer is, the firmest first."""
SIGNED, HOPED = FIRM[0], FIRM[-1]


# The types of these figures stand in the annotations beside them.


def how_firm() -> Any:
    """How firm it is that it buys."""
    return figure(default="by habit", form=forms.WORD, choices=FIRM, meaning="how firm it is that it buys")


def own_price_months() -> Any:
    """Its own twelve factors of prices."""
    return figure(
        default=AS_USUAL,
        form=TWELVE,
        most=10,
        meaning="its own twelve factors of what it pays, January first, on top of those of all prices",
    )


def how_prices_vary() -> Any:
    """The spread of what it pays."""
    return figure(
        "fraction",
        "0 %",
        most=1,
        meaning="by how much what it pays differs from one calendar quarter to the next, besides months and drift: standard "
        "deviation over mean, drawn anew for each quarter",
        source=FARM,
    )


def day_of_prices() -> Any:
    """Of which day its prices are."""
    return figure(default=None, form=DATE, least=1900, most=2200, meaning="day on which its prices were agreed or paid")


def source_of_prices() -> Any:
    """Where its prices come from."""
    return figure(
        default=None, form=forms.TEXT, meaning="where its prices stand, such as a contract or last year's invoices"
    )


def how_late_it_pays() -> Any:
    """How late it pays."""
    return figure("h", None, most=8766, meaning="how long after the delivery it pays; left out: at once")
