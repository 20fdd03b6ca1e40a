"""What is started, and what is promised to whom."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Literal

from farmsim.scenario import forms
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.date_forms import MONTH_LIST
from farmsim.scenario.fields import FARM, PLACEHOLDER, figure
from farmsim.scenario.pack_form import FORMS
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import PRICES, Prices
from farmsim.scenario.values import MONTHS
from farmsim.scenario.vary import Vary
from farmsim.scenario.vary_form import VARY

__all__ = ["BlockCustomer", "Customer", "Start"]

Unfilled = Literal["lost", "next day"]


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


class Customer(Part):
    """Someone who takes fresh mushrooms."""

    lifts: ClassVar[Mapping[str, tuple[str, ...]]] = {"takes": ("varies",)}

    name: str = figure(form=forms.TEXT, meaning="its name")
    kind: Literal["standing", "outlet"] = figure(
        default="standing",
        form=forms.WORD,
        choices=("standing", "outlet"),
        meaning="a standing order of firsts, or an outlet that takes seconds and what is left",
    )
    takes: dict[str, float] | Literal["anything"] = figure(
        "kg/delivery", form=forms.TAKES, choices=("anything",), meaning="how much of which strain at each delivery"
    )
    varies: float = figure(default=0.0, most=3, meaning="spread of an order: standard deviation over mean", source=FARM)
    days: tuple[str, ...] = figure(form=forms.DAY_LIST, meaning="days of the week on which it is delivered")
    leave_by: float = figure(form=forms.CLOCK, meaning="time of day the delivery leaves the farm")
    unfilled: Unfilled = figure(
        default="lost",
        form=forms.WORD,
        choices=("lost", "next day"),
        meaning="what becomes of the part that was short: lost, or brought the next day, once",
    )
    takes_firsts_left: float | None = figure(
        "h", None, meaning="outlet: takes firsts that have so little shelf life left; left out: seconds only"
    )
    price: Prices | None = figure(
        "currency/kg", None, form=PRICES, meaning="what it pays, for all strains or by strain; left out: not counted"
    )
    price_of_seconds: Prices | None = figure(
        "currency/kg", None, form=PRICES, meaning="outlet: what it pays for seconds; left out: as for firsts"
    )
    form: Literal["any", "large clusters", "small clusters", "caps"] = figure(
        default="any", form=forms.WORD, choices=FORMS, meaning="how it wants them packed"
    )
    pack_ahead: float = figure(
        "h",
        "24 h",
        least=0.25,
        most=168,
        meaning="a form other than any: how long before it leaves its order may begin to be packed",
        source=PLACEHOLDER,
    )
