"""Rounds by the calendar and on averages: on which days each goes, when, what it usually carries, who can go along."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from statistics import fmean as mean

from farmsim.scenario.delivery import Round
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.sales import Customer
from farmsim.scenario.values import DAYS
from farmsim.units import HOURS_A_DAY

ROUNDING = 1e-9


def served(farm: Farm, round_: Round) -> list[Customer]:
    """The customers on a round, in the order of the farm's file."""
    return [customer for customer in farm.customer if customer.name in round_.customers]


def days_of(farm: Farm, round_: Round) -> tuple[str, ...]:
    """Days of the week on which somebody on the round is due."""
    return tuple(day for day in DAYS if any(day in customer.days for customer in served(farm, round_)))


def leaves(farm: Farm, round_: Round, day: str) -> float:
    """Time of day a round leaves: its own, or the earliest of those it serves on the day, else of all it serves [h]."""
    if round_.leave_by is not None:
        return round_.leave_by
    every = served(farm, round_)
    return min(customer.leave_by for customer in [each for each in every if day in each.days] or every)


def usual_load(farm: Farm, round_: Round, day: str) -> tuple[float, float]:
    """What is promised on a round on a day of the average month: crates, each line's last counted whole, and weight [kg]."""
    crates = kg = 0.0
    for strain, wanted in _lines(farm, round_, day):
        crates += math.ceil(wanted / farm.strain[strain].crate - ROUNDING)
        kg += wanted
    return crates, kg


def _lines(farm: Farm, round_: Round, day: str) -> Iterator[tuple[str, float]]:
    factor = mean(farm.months.orders)
    for customer in served(farm, round_):
        if day in customer.days and not isinstance(customer.takes, str):
            yield from ((strain, kg * factor) for strain, kg in customer.takes.items())


def packed_to_order(farm: Farm) -> Iterator[tuple[str, str, float]]:
    """What is packed in a form of its own in a usual week: strain, form and weight [kg/week]."""
    for customer in farm.customer:
        if customer.form != "any" and not isinstance(customer.takes, str):
            for strain, kg in customer.takes.items():
                yield strain, customer.form, kg * len(customer.days) * mean(farm.months.orders)


def at_once(farm: Farm) -> Iterator[tuple[str, Round, Round]]:
    """Rounds that want the same van while none of its kind is free: the day, the one that is out, the one that waits."""
    for day in DAYS:
        going = sorted(
            (each for each in farm.round if each.van and day in days_of(farm, each)), key=_leaving(farm, day)
        )
        for at, round_ in enumerate(going):
            begins = leaves(farm, round_, day) - round_.called
            out = [
                each for each in going[:at] if each.van == round_.van and leaves(farm, each, day) + each.takes > begins
            ]
            if round_.van is not None and len(out) >= farm.van[round_.van].count:
                yield day, out[-1], round_


def _leaving(farm: Farm, day: str) -> Callable[[Round], float]:
    return lambda round_: leaves(farm, round_, day)


def can_go(farm: Farm, round_: Round, day: str) -> int:
    """How many people could at most go along on a day: they come in time and can be back in their shift and overtime."""
    return sum(crew.people for crew in farm.crew if "deliver" in crew.all_duties and _is_back(farm, crew, round_, day))


def _is_back(farm: Farm, crew: Crew, round_: Round, day: str) -> bool:
    hour = leaves(farm, round_, day)
    for shift_day, moved in (
        (day, 0.0),
        (DAYS[DAYS.index(day) - 1], HOURS_A_DAY),
    ):  # a night shift is of the day before
        works = isinstance(crew.days, PerWeek) or shift_day in crew.days
        if works and shift_day in crew.hours:
            begin, end = crew.hours[shift_day].start - moved, crew.hours[shift_day].end - moved
            start = max(hour, begin)
            pause = (begin + end - crew.break_) / 2 if crew.break_at is None else crew.break_at
            left = end - start - (crew.break_ if pause >= start else 0.0) + crew.overtime.at_most
            in_time = start < end and start <= hour + round_.late_at_most and left >= round_.takes - ROUNDING
            if in_time and _drives(crew, shift_day, start + moved, hour + round_.late_at_most + moved):
                return True
    return False


def _drives(crew: Crew, day: str, earliest: float, latest: float) -> bool:
    """Whether driving is among the crew's duties at some moment between the two [h of the day its shift begins on]."""
    parts = crew.duties_in(crew.hours[day])
    return any("deliver" in duties and begin <= latest and end > earliest for begin, end, duties in parts)
