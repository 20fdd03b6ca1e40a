"""Who brings the mushrooms to whom: rounds and market days with their people and hours, and the vans they go with."""

from __future__ import annotations

from farmsim.scenario import forms
from farmsim.scenario.fields import PLACEHOLDER, figure
from farmsim.scenario.part import Part


class Van(Part):
    """A van, or several of one kind."""

    count: int = figure("", 1, form=forms.COUNT, least=1, most=100, meaning="how many there are of the kind")
    holds: float | None = figure(
        "crates", None, least=1, meaning="crates it has room for, a begun crate counted whole; left out: room enough"
    )
    carries: float | None = figure("kg", None, least=1, meaning="weight of mushrooms it may carry; left out: no limit")


class Round(Part):
    """A delivery round or a market day: people drive out together and are back after so many hours."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    customers: tuple[str, ...] = figure(
        form=forms.WORDS, meaning="customers it serves; it goes on every day on which one of them is due"
    )
    leave_by: float | None = figure(
        default=None,
        form=forms.CLOCK,
        meaning="time of day it leaves; left out: the earliest hour of those it serves on the day",
    )
    takes: float = figure("h", least=0.01, most=24, meaning="hours from leaving the farm until back, breaks left out")
    people: int = figure("", 1, form=forms.COUNT, least=1, most=20, meaning="how many people go along")
    van: str | None = figure(
        default=None,
        form=forms.TEXT,
        meaning="the van it goes with; left out: none of the farm's vans, and room enough",
    )
    called: float = figure(
        "h",
        "30 min",
        most=12,
        meaning="how long before it leaves its people are called: they load, and take nothing else in hand",
        source=PLACEHOLDER,
    )
    late_at_most: float = figure(
        "h",
        "2 h",
        most=12,
        meaning="how late it may leave when people or the van are not there; after that it does not go",
        source=PLACEHOLDER,
    )
