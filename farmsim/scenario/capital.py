"""What the farm owns for years: rooms, machines, vehicles, with their life and what they are worth at its end."""

from __future__ import annotations

import datetime

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import BY_NAME

CASH, OWNER = "cash", "owner"
"""Words for what pays for a capital item besides a loan's name: the farm's cash, or money the owner brings in."""


class Capital(Part):
    """Something bought for years. What was bought before the farm's start is owned already and paid for."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    cost: float = figure("currency", least=0.01, meaning="what it cost or will cost, without contingency")
    bought: datetime.date = figure(form=DATE, least=1900, most=2200, meaning="day on which it is bought and paid for")
    life: float = figure(least=1 / 12, most=100, meaning="years it is of use")
    salvage: float = figure("currency", 0.0, meaning="what it is worth at the end of its life", source=FARM)
    contingency: float = figure(
        "fraction", "0 %", most=1, meaning="share of its cost that is set aside for what nobody foresaw, and spent"
    )
    paid: dict[str, float] | None = figure(
        "currency",
        None,
        form=BY_NAME,
        meaning='who pays for it and its contingency: loans by name, "cash" of the farm, "owner"; left out: all from cash',
    )
    costs_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day on which the cost was told"
    )
    costs_from: str | None = figure(
        default=None, form=forms.TEXT, meaning="who told the cost, such as a quotation or the books"
    )

    @property
    def spent(self) -> float:
        """Cost and contingency [currency]."""
        return self.cost * (1.0 + self.contingency)

    @property
    def payers(self) -> dict[str, float]:
        """Who pays how much of it [currency]."""
        return {CASH: self.spent} if self.paid is None else self.paid
