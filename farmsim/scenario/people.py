"""Who works when, and at what."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Literal

from farmsim.scenario import forms
from farmsim.scenario.fields import PLACEHOLDER, figure, one
from farmsim.scenario.part import Part
from farmsim.scenario.values import DAYS, PerWeek, Shift

__all__ = ["DAYS", "DUTIES", "Chore", "Crew", "Overtime", "PerWeek", "Shift"]

IN_THE_ROOMS = ("pick", "clear", "clean")
"""Duties for which people go into a fruiting room."""
DUTIES = ("mix", "inoculate", "inspect", "soak", "open", "pick", "pack", "clear", "clean", "chores", "box", "dry")
Duty = Literal["mix", "inoculate", "inspect", "soak", "open", "pick", "pack", "clear", "clean", "chores", "box", "dry"]


class Overtime(Part):
    """Overtime finishes the task in hand and takes no new one."""

    at_most: float = figure(
        "h/day", "0 h a day", most=12, meaning="longest overtime in a day: hours worked past the shift's end"
    )


class Crew(Part):
    """People who share shifts and duties."""

    lifts: ClassVar[Mapping[str, tuple[str, ...]]] = {"hours": ("break", "break_at")}

    name: str = figure(form=forms.TEXT, meaning="its name")
    people: int = figure("", form=forms.COUNT, least=1, most=10_000, meaning="people in the crew")
    days: tuple[str, ...] | PerWeek = figure(
        form=forms.ROTA, meaning='days each person works: a list, or "5 a week, rotating" with days off in turn'
    )
    hours: dict[str, Shift] = figure(form=forms.HOURS, meaning="shift by day of the week")
    break_: float = figure("h", "0 min", most=6, toml="break", meaning="break in each shift, unpaid")
    break_at: float | None = figure(
        default=None, form=forms.CLOCK, meaning="time of day the break begins; left out: the middle of the shift"
    )
    duties: tuple[Duty, ...] = figure(form=forms.WORDS, choices=DUTIES, meaning="what they do, first things first")
    fits: tuple[Duty, ...] = figure(
        default=(),
        form=forms.WORDS,
        choices=DUTIES,
        meaning="duties begun only if they fit before the end of the shift",
    )
    wage: float | None = figure("currency/h", None, meaning="wage of one person; left out: not counted")
    absence: float = figure(
        "fraction", "0 %", most=0.9, meaning="share of person-days missed", source=f"{PLACEHOLDER}: none"
    )
    overtime: Overtime = one(Overtime, Overtime(), meaning="overtime")


class Chore(Part):
    """Fixed work that no lot asks for, such as books, repairs or a weekly clean-up."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    days: tuple[str, ...] = figure(form=forms.DAY_LIST, meaning="days of the week on which it is to be done")
    begin: float = figure(
        default=0.0,
        form=forms.CLOCK,
        meaning="time of day from which it may be done; left out: from the first shift on",
    )
    takes: float = figure("h", least=0.01, most=24, meaning="hours of work for each person it needs")
    people: int = figure("", 1, form=forms.COUNT, least=1, most=1000, meaning="how many people it needs")
