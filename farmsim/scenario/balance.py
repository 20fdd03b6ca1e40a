"""The farm's opening balance sheet: what it owns and owes when the simulated time begins."""

from __future__ import annotations

import datetime

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.fields import FARM, PLACEHOLDER, figure
from farmsim.scenario.part import Part


class Balance(Part):
    """What is owned and owed on the evening before the start, besides capital items and loans, which stand by themselves."""

    cash: float = figure("currency", least=None, meaning="cash and what is on the account")
    receivables: float = figure("currency", 0.0, meaning="what customers still owe from before the start", source=FARM)
    receivables_in: float = figure(
        "h", "30 d", least=24, most=8766, meaning="within which time they pay that, evenly by day", source=PLACEHOLDER
    )
    stocks: float = figure(
        "currency",
        0.0,
        meaning="worth of substrate, spawn, bags and other stocks, kept up all the time; blocks that grow are not valued",
        source=FARM,
    )
    land: float = figure("currency", 0.0, meaning="land and whatever else keeps its worth", source=FARM)
    payables: float = figure("currency", 0.0, meaning="bills from before the start not paid yet", source=FARM)
    payables_in: float = figure(
        "h", "30 d", least=24, most=8766, meaning="within which time they are paid, evenly by day", source=PLACEHOLDER
    )
    other_debts: float = figure(
        "currency", 0.0, meaning="what is owed without a plan of repayment, such as money of the family", source=FARM
    )
    equity: float | None = figure(
        "currency",
        None,
        least=None,
        meaning="equity by the farm's books, to be checked: what is owned less what is owed; left out: worked out",
    )
    books_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day of the books these figures are from"
    )
    books_from: str | None = figure(default=None, form=forms.TEXT, meaning="where these figures stand")
