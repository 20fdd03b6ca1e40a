"""The year: what differs from month to month, and the days on which the farm stands still."""

from __future__ import annotations

import datetime
from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE, TWELVE
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.part import Part

AS_USUAL = (1.0,) * 12
Stops = Literal["starts", "deliveries", "work"]
STOPS: tuple[Stops, ...] = ("starts", "deliveries", "work")


class Months(Part):
    """Twelve numbers each, January first: 1 is what the rest of the file says."""

    orders: tuple[float, ...] = figure(
        default=AS_USUAL, form=TWELVE, most=10, meaning="fresh orders by month of the delivery", source=FARM
    )
    block_orders: tuple[float, ...] = figure(
        default=AS_USUAL, form=TWELVE, most=10, meaning="orders of blocks by month of the delivery", source=FARM
    )
    yield_: tuple[float, ...] = figure(
        default=AS_USUAL,
        form=TWELVE,
        most=10,
        meaning="yield of flushes by the month in which they begin",
        source=FARM,
        toml="yield",
    )
    days: tuple[float, ...] = figure(
        default=AS_USUAL,
        form=TWELVE,
        most=10,
        meaning="days until ripe by the month of inoculation, days until mushrooms ripen by the month in which a flush begins",
        source=FARM,
    )
    prices: tuple[float, ...] = figure(
        default=AS_USUAL,
        form=TWELVE,
        most=10,
        meaning="prices of fresh mushrooms by month of the delivery",
        source=FARM,
    )
    block_prices: tuple[float, ...] = figure(
        default=AS_USUAL, form=TWELVE, most=10, meaning="prices of blocks by month of the delivery", source=FARM
    )
    energy: tuple[float, ...] = figure(
        default=AS_USUAL, form=TWELVE, most=10, meaning="power and fuel by month", source=FARM
    )

    @property
    def of_the_crop(self) -> Months:
        """The same without what differs in money only."""
        return self.but(prices=AS_USUAL, block_prices=AS_USUAL, energy=AS_USUAL)


class Shut(Part):
    """Days on which some or all of the farm stands still, such as a holiday."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    first: datetime.date = figure(form=DATE, least=1900, most=2210, meaning="first day")
    last: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2210, meaning="last day; left out: the first only"
    )
    stops: tuple[Stops, ...] = figure(
        default=STOPS,
        form=forms.WORDS,
        choices=STOPS,
        meaning="what does not take place: blocks started or bought, deliveries of any kind, people's shifts",
    )

    @property
    def end(self) -> datetime.date:
        """The last day."""
        return self.first if self.last is None else self.last
