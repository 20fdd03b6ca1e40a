"""Who works when, and at what."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Literal, get_args

from farmsim.scenario import forms
from farmsim.scenario.fields import PLACEHOLDER, figure, many, one
from farmsim.scenario.pace_form import PACES
from farmsim.scenario.part import Part
from farmsim.scenario.values import DAYS, PerWeek, Shift

__all__ = ["DAYS", "DUTIES", "Chore", "Crew", "FromHour", "NewHands", "Overtime", "PerWeek", "Shift"]

IN_THE_ROOMS = ("pick", "clear", "clean")
"""Duties for which people go into a fruiting room."""
Duty = Literal[
    "mix",
    "inoculate",
    "inspect",
    "soak",
    "open",
    "pick",
    "pack",
    "clear",
    "clean",
    "chores",
    "box",
    "dry",
    "pack orders",
    "deliver",
]
DUTIES: tuple[str, ...] = get_args(Duty)
BRINGS: Mapping[str, tuple[str, ...]] = {
    "mix": ("inoculate",),
    "soak": ("soak", "open"),
    "pick": ("pack", "clear", "pack orders"),
    "pack": ("pack orders",),
    "clear": ("clean", "soak", "open"),
    "clean": ("soak", "open"),
}
"""What work in hand may bring on the same day: nobody who has one of these duties is sent home meanwhile."""
MAY_GO = ("at the end of the shift", "when nothing waits")
PAID = ("by the hour", "as owner")
CALLED = ("in turn", "last")


class Overtime(Part):
    """Overtime finishes the task in hand and takes no new one."""

    at_most: float = figure(
        "h/day", "0 h a day", most=12, meaning="longest overtime in a day: hours worked past the shift's end"
    )
    at_most_a_week: float | None = figure(
        "h/week",
        None,
        most=80,
        meaning="longest overtime of one person in a week, Monday to Sunday; left out: as many hours as the days allow",
    )
    after: float | None = figure(
        "h/week",
        None,
        least=1,
        most=168,
        meaning="hours there in a week from which on one person is paid for overtime, breaks left out; left out: paid "
        "as overtime is what is worked past the shift's end",
    )


class NewHands(Part):
    """How fast people work in their first weeks."""

    pace: tuple[float, ...] = figure(
        form=PACES,
        meaning="pace in the first week, the second and so on, of what somebody does who knows the work",
    )


class FromHour(Part):
    """Duties from an hour of the day on."""

    from_: float = figure(
        form=forms.CLOCK,
        toml="from",
        meaning="time of day from which on these are the duties, until the next such time",
    )
    duties: tuple[Duty, ...] = figure(
        form=forms.WORDS, choices=DUTIES, meaning="what they do from then on, first things first"
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
    by_hour: tuple[FromHour, ...] = many(
        FromHour, (), meaning="other duties later in the day, such as opening after the cool morning"
    )
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
    shortest_shift: float = figure("h", "0 h", most=24, meaning="shortest shift that is paid to whoever comes")
    may_go: str = figure(
        default=MAY_GO[0],
        form=forms.WORD,
        choices=MAY_GO,
        meaning="when people go home: at the end of the shift, or after their shortest shift as soon as nothing waits for "
        "any of their duties and nobody has work in hand that brings some",
    )
    stay: int = figure(
        "",
        1,
        form=forms.COUNT,
        most=10_000,
        meaning="how many of those who came stay to the end all the same, for what comes up later in the day",
    )
    paid: str = figure(
        default=PAID[0],
        form=forms.WORD,
        choices=PAID,
        meaning="paid by the hour they are there, or as owner and family: their hours at work are counted apart, unpaid",
    )
    called: str = figure(
        default=CALLED[0],
        form=forms.WORD,
        choices=CALLED,
        meaning="in turn, or last: only for work that nobody of another crew is free to begin",
    )
    at_most_hours: float | None = figure(
        "h/week",
        None,
        most=168,
        meaning="longest time at work of one person in a week, Monday to Sunday, for those paid as owner; left out: no end",
    )
    new_hands: NewHands | None = one(
        NewHands,
        None,
        meaning="slow first weeks, of whoever makes the crew larger on a date and of whoever takes a leaver's place; left "
        "out: new people work as fast as all",
    )
    leaves: float = figure(
        "fraction/year",
        "0 % a year",
        most=4,
        meaning="leavers in a year, of 100 people at work; by luck, on a Monday",
    )
    replaced_after: int = figure(
        "weeks",
        3,
        form=forms.COUNT,
        most=52,
        meaning="whole weeks until somebody new has taken a leaver's place",
        source=PLACEHOLDER,
    )

    @property
    def all_duties(self) -> tuple[Duty, ...]:
        """Every duty they ever have in the day, those of the morning first."""
        return tuple(dict.fromkeys((*self.duties, *(duty for each in self.by_hour for duty in each.duties))))

    def duties_in(self, shift: Shift) -> tuple[tuple[float, float, tuple[Duty, ...]], ...]:
        """From when until when in a shift they have which duties, breaks not cut out [h of the day it begins on]."""
        hours = [(hour_in(each.from_, shift), each.duties) for each in self.by_hour]
        kept = sorted((hour, duties) for hour, duties in hours if hour < shift.end)
        begins = [(shift.start, self.duties), *kept]
        ends = [*(hour for hour, _ in kept), shift.end]
        return tuple((begin, end, duties) for (begin, duties), end in zip(begins, ends, strict=True) if begin < end)


def hour_in(hour: float, shift: Shift) -> float:
    """An hour of the day in a shift, which may go on past midnight [h of the day the shift begins on]."""
    return hour if hour >= shift.start else hour + 24.0


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
