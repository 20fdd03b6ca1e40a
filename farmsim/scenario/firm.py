"""How firm it is that a customer buys, mushrooms or blocks: one figure of both."""

from __future__ import annotations

from typing import Any, Literal

from farmsim.scenario import forms
from farmsim.scenario.fields import figure

Firm = Literal["signed", "by habit", "letter", "hoped for"]
FIRM = ("signed", "by habit", "letter", "hoped for")
"""How firm a customer is, the firmest first."""
SIGNED, HOPED = FIRM[0], FIRM[-1]


def how_firm() -> Any:  # the type stands in the annotation beside it
    """The figure."""
    return figure(default="by habit", form=forms.WORD, choices=FIRM, meaning="how firm it is that it buys")
