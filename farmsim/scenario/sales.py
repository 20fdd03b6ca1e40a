"""What is started, and what is promised to whom."""

from __future__ import annotations

from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.date_forms import MONTH_LIST
from farmsim.scenario.fields import PLACEHOLDER, figure
from farmsim.scenario.fresh_sales import Customer
from farmsim.scenario.part import Part
from farmsim.scenario.values import MONTHS
from farmsim.scenario.vary import Vary
from farmsim.scenario.vary_form import VARY

__all__ = ["BlockCustomer", "Customer", "Start"]


class Start(Part):
    """A line of blocks started every week."""

    name: str = figure(form=forms.TEXT, meaning="its name, part of the code of each of its lots")
    strain: str = figure(form=forms.TEXT, meaning="the strain")
    blocks: float = figure(
        "blocks/week", least=0, also=("/week",), meaning="blocks started a week, spread over the days"
    )
    days: tuple[str, ...] = figure(
        form=forms.DAY_LIST, meaning="days of the week on which lots are started or delivered"
    )
    months: tuple[str, ...] = figure(default=MONTHS, form=MONTH_LIST, meaning="months in which it is started")
    made: Literal["here", "bought"] = figure(
        default="here", form=forms.WORD, choices=("here", "bought"), meaning="made here, or bought in colonised"
    )
    ripe_in: Vary | None = figure(
        "h", None, form=VARY, meaning="bought: from delivery until ripe; left out: ripe at delivery"
    )
    arrives: float = figure(
        default=8.0,
        form=forms.CLOCK,
        meaning="bought: time of day of the delivery",
        source=f"{PLACEHOLDER}: in the morning",
    )
