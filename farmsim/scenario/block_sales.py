"""Who takes blocks ready to fruit, and on which terms."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from math import fsum
from typing import ClassVar, Literal

from farmsim.scenario import forms
from farmsim.scenario.buyer import (
    Firm,
    day_of_prices,
    how_firm,
    how_late_it_pays,
    how_prices_vary,
    own_price_months,
    source_of_prices,
)
from farmsim.scenario.date_forms import MONTH_LIST, TWELVE
from farmsim.scenario.fields import FARM, PLACEHOLDER, figure
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import PRICES, Prices
from farmsim.scenario.seasons import AS_USUAL
from farmsim.scenario.values import MONTHS, Range

KINDS = ("standing", "outlet")
UNFILLED = ("lost", "next day", "next carrier day")
MADE_GOOD = ("credit", "replacement")
Follows = Literal["lost", "next day", "next carrier day"]


class BlockCustomer(Part):
    """Someone who takes blocks ready to fruit."""

    lifts: ClassVar[Mapping[str, tuple[str, ...]]] = {"takes": ("varies",)}

    name: str = figure(form=forms.TEXT, meaning="its name")
    kind: Literal["standing", "outlet"] = figure(
        default=KINDS[0],
        form=forms.WORD,
        choices=KINDS,
        meaning="a standing order, or an outlet that takes surplus blocks at a low price, any number",
    )
    takes: dict[str, float] | Literal["anything"] = figure(
        "blocks/week",
        form=forms.TAKES,
        choices=("anything",),
        meaning='how many blocks of which strain a week, spread over the days; an outlet: "anything"',
    )
    varies: float = figure(default=0.0, most=3, meaning="spread of an order: standard deviation over mean", source=FARM)
    months: tuple[str, ...] = figure(default=MONTHS, form=MONTH_LIST, meaning="months in which it buys")
    season: tuple[float, ...] = figure(
        default=AS_USUAL,
        form=TWELVE,
        most=10,
        meaning="its own twelve factors, January first, on top of those of all block orders",
    )
    notice: float = figure("h", "1 week", meaning="how long before the delivery the order is known", source=PLACEHOLDER)
    days: tuple[str, ...] = figure(
        form=forms.DAY_LIST, meaning="days of the week on which blocks leave: those on which the carrier comes"
    )
    leave_by: float = figure(
        default=12.0, form=forms.CLOCK, meaning="time of day the blocks leave the farm", source=f"{PLACEHOLDER}: noon"
    )
    age: Range | None = figure(
        "h",
        None,
        form=forms.RANGE,
        least=None,
        meaning="age it takes blocks at, counted from when they are ripe, less than 0 when the buyer finishes the "
        "ripening; left out: ripe, of any age. A block is never sold before it is colonised, nor overripe",
    )
    part_deliveries: bool = figure(
        default=True,
        form=forms.FLAG,
        meaning="whether it takes part of an order; if not, nothing leaves until the whole order is there",
    )
    unfilled: Follows | None = figure(
        default=None,
        form=forms.WORD,
        choices=UNFILLED,
        meaning="what becomes of the part that was short: lost, or brought the next day or the next day on which the "
        "carrier comes; left out: lost, or with a patience the next carrier day",
    )
    patience: float | None = figure(
        "h",
        None,
        meaning="how long after its day what is short may still follow; left out: until it is there, if it follows",
    )
    boxing: float | None = figure(
        "blocks/h",
        None,
        each="person",
        least=0.1,
        meaning="blocks one person boxes in an hour; left out: they leave as they stand. What is not boxed stays",
    )
    boxed_from: float = figure(
        "h", "1 d", most=336, meaning="how long before they leave blocks may be boxed", source=PLACEHOLDER
    )
    fails: float = figure(
        "fraction", "0 %", most=0.5, meaning="share of its blocks that fail later and are made good", source=FARM
    )
    made_good: Literal["credit", "replacement"] = figure(
        default=MADE_GOOD[0],
        form=forms.WORD,
        choices=MADE_GOOD,
        meaning="how a block that failed is made good: credited, or replaced with the next order",
    )
    firm: Firm = how_firm()
    price: Prices | None = figure(
        "currency/block", None, form=PRICES, meaning="what it pays, for all strains or by strain; left out: not counted"
    )
    price_months: tuple[float, ...] = own_price_months()
    price_varies: float = how_prices_vary()
    prices_of: datetime.date | None = day_of_prices()
    prices_from: str | None = source_of_prices()
    pays_after: float | None = how_late_it_pays()

    @property
    def may_take(self) -> tuple[str, ...]:
        """Every strain it may be brought, if it names them."""
        return tuple(self.promised)

    @property
    def promised(self) -> Mapping[str, float]:
        """What it is promised by strain [blocks/week]; an outlet nothing."""
        return {} if isinstance(self.takes, str) else self.takes

    @property
    def follows(self) -> Follows:
        """What becomes of the part that was short."""
        if self.unfilled is not None:
            return self.unfilled
        return "lost" if self.patience is None else "next carrier day"

    @property
    def takes_unripe(self) -> bool:
        """Whether it finishes the ripening."""
        return self.age is not None and self.age.low < 0.0

    def share_of_year(self, block_orders: tuple[float, ...]) -> float:
        """What it takes in a week of the average year, against a usual week [1]; `block_orders` are those of all."""
        of_month = zip(MONTHS, self.season, block_orders, strict=True)
        return fsum(own * every for month, own, every in of_month if month in self.months) / len(MONTHS)
