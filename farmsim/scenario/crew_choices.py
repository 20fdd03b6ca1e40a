"""What can be changed about the crews of a farm, as data: fewer people, shorter shifts, another's duties as well.

A `Step` changes one thing about one crew; a `Choice` is one or more steps that are tried together. Steps stand in two
ladders, from coarse to fine. Whoever is paid as owner is left as they are: their hours cost nothing, so any search for
the cheapest crews would only add some. Nobody is given duties in the fruiting rooms beside the clean bench, unless the
farm's rule keeps whoever was in a room from it: then the model sees to it person by person.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from farmsim.scenario import averages
from farmsim.scenario.check import faults, plan_faults
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import IN_THE_ROOMS, Crew, PerWeek
from farmsim.scenario.rules import CLEAN_BENCH
from farmsim.scenario.staffing import filled_share, is_owner
from farmsim.scenario.values import DAYS, Shift

What = Literal["people", "hours", "days", "in turn", "overtime", "helped", "on their own"]
Use = Mapping[str, Mapping[str, float]]
"""How busy each crew is seen to be on each day of the week [share of those there at work]; a day without shift is left out."""

SHORTEST: Final = 1.0  # h; nobody comes for less
LONGEST: Final = 10.0  # h; nor is a longer one proposed, break left out
MOST_OVERTIME: Final = 2.0  # h a day; more is not proposed


@dataclass(frozen=True, slots=True)
class Step:
    """One thing about a crew, and by how much it is changed.

    by: people, hours of each shift [h], days a week, hours of overtime a day [h]; no matter for the others
    """

    what: What
    by: float = 0.0


@dataclass(frozen=True, slots=True)
class Choice:
    """Steps for one crew that are tried together."""

    crew: str
    steps: tuple[Step, ...]


CUTS: Final[tuple[tuple[Step, ...], ...]] = (
    (Step("people", -1),),
    (Step("people", -1), Step("helped")),
    (Step("people", -1), Step("in turn")),
    (Step("hours", -1.0),),
    (Step("days", -1),),
    (Step("hours", -1.0), Step("overtime", 1.0)),
    (Step("hours", -0.5),),
    (Step("hours", -0.5), Step("helped")),
    (Step("overtime", -1.0),),
)
"""What makes crews cheaper, coarse steps first."""

ADDITIONS: Final[tuple[tuple[Step, ...], ...]] = (
    (Step("people", 1),),
    (Step("days", 1),),
    (Step("in turn"),),
    (Step("helped"),),
    (Step("hours", 1.0),),
    (Step("overtime", 1.0),),
    (Step("hours", 0.5),),
    (Step("on their own"),),
)
"""What helps crews that cannot keep up, coarse steps first."""


def all_choices(farm: Farm, ladder: Sequence[tuple[Step, ...]], crews: Sequence[str]) -> list[Choice]:
    """Every choice of a ladder for those crews that may be changed: coarse ones first, then in the order of the crews."""
    paid = [name for name in crews if any(crew.name == name and not is_owner(crew) for crew in farm.crew)]
    return [Choice(name, steps) for steps in ladder for name in paid]


def chosen(farm: Farm, choice: Choice, use: Use) -> Farm | None:
    """The farm with the choice made; None when it cannot be made, or the farm's rules forbid it.

    use: from which a crew's quietest day, and the crew that has most time to help, are taken
    """
    other: Farm | None = farm
    for step in choice.steps:
        if other is not None:
            other = _MAKE[step.what](other, choice.crew, step.by, use)
    if other is None or other.crew == farm.crew or faults(other) or plan_faults(other):
        return None
    return other if can_do_the_work(other) or not can_do_the_work(farm) else None


def crew_named(farm: Farm, name: str) -> Crew:
    """The crew of that name."""
    return next(crew for crew in farm.crew if crew.name == name)


# --- the arithmetic of averages -----------------------------------------------------------------------


def can_do_the_work(farm: Farm) -> bool:
    """Whether no group of crews has, on average, more work that only it may do than hours, overtime counted.

    This thins out what can never keep up; what passes may still choke on a Monday.
    """
    hours = averages.duty_hours(farm)
    whose = {duty: frozenset(crew.name for crew in farm.crew if duty in crew.all_duties) for duty in hours}
    groups = {frozenset[str]()}
    for crews in {whose[duty] for duty in hours if hours[duty] > 0}:
        groups |= {group | crews for group in groups}
    have = {crew.name: averages.crew_hours(crew) + _overtime(crew) for crew in farm.crew}
    return all(
        sum(hours[duty] for duty in hours if hours[duty] > 0 and whose[duty] <= group)
        <= sum(have[name] for name in group) + 1e-9
        for group in groups
    )


def _overtime(crew: Crew) -> float:
    """Most overtime of all its people [h/week]."""
    working = len(averages.days_worked(crew))
    days = min(crew.days.days, working) if isinstance(crew.days, PerWeek) else working
    each = crew.overtime.at_most * days
    if crew.overtime.at_most_a_week is not None:
        each = min(each, crew.overtime.at_most_a_week)
    return crew.people * filled_share(crew) * each * (1 - crew.absence)


def usual_pay(farm: Farm) -> float:
    """About what the crews cost, overtime left out: at their wages if all have one, else in hours.

    In currency/week or h/week. Good for putting farms in an order, no more.
    """
    paid = [crew for crew in farm.crew if not is_owner(crew)]
    has_wages = all(crew.wage is not None for crew in paid)
    return sum(averages.crew_hours(crew) * ((crew.wage or 0.0) if has_wages else 1.0) for crew in paid)


# --- making a step ------------------------------------------------------------------------------------


def _with(farm: Farm, name: str, **figures: object) -> Farm:
    return farm.but(crew=tuple(crew.but(**figures) if crew.name == name else crew for crew in farm.crew))


def _people(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    people = crew_named(farm, name).people + round(by)
    return _with(farm, name, people=people) if people >= 1 else None


def _hours(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    """Every shift ends so much sooner or later."""
    crew = crew_named(farm, name)
    shifts = {day: Shift(shift.start, shift.end + by) for day, shift in crew.hours.items()}
    worked = [averages.worked_hours(crew, shifts[day]) for day in averages.days_worked(crew)]
    too_long = max(worked) > LONGEST and by > 0
    return None if min(worked) < SHORTEST or too_long else _with(farm, name, hours=shifts)


def _days(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    """A day a week fewer, the quietest, or more: the one before the busiest on which nobody is there."""
    crew = crew_named(farm, name)
    if isinstance(crew.days, PerWeek):
        days = crew.days.days + round(by)
        return _with(farm, name, days=PerWeek(days)) if 1 <= days <= len(crew.hours) else None
    busy = {day: use.get(name, {}).get(day, 0.0) for day in crew.days}
    if by < 0:
        quiet = min(crew.days, key=lambda day: (busy[day], DAYS.index(day)))
        left = tuple(day for day in crew.days if day != quiet)
        return _with(farm, name, days=left) if left else None
    if len(crew.days) == len(DAYS):
        return None
    at = DAYS.index(max(crew.days, key=lambda day: (busy[day], -DAYS.index(day))))
    new = next(day for back in range(1, 8) if (day := DAYS[at - back]) not in crew.days)
    hours = crew.hours if new in crew.hours else _in_order({**crew.hours, new: crew.hours[DAYS[at]]})
    return _with(farm, name, days=tuple(day for day in DAYS if day in (*crew.days, new)), hours=hours)


def _in_turn(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    """The same days a week, days off in turn, so that somebody is there every day."""
    crew = crew_named(farm, name)
    if isinstance(crew.days, PerWeek) or crew.people < 2 or len(crew.days) == len(DAYS):
        return None
    usual = crew.hours[crew.days[-1]]
    hours = _in_order({**dict.fromkeys(DAYS, usual), **{day: crew.hours[day] for day in crew.days}})
    return _with(farm, name, days=PerWeek(len(crew.days)), hours=hours)


def _in_order(hours: Mapping[str, Shift]) -> dict[str, Shift]:
    return {day: hours[day] for day in DAYS if day in hours}


def _overtime_limit(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    overtime = crew_named(farm, name).overtime
    limit = overtime.at_most + by
    if not 0 <= limit <= max(MOST_OVERTIME, overtime.at_most):
        return None
    figures = (
        {"at_most": limit} if limit or overtime.at_most_a_week is None else {"at_most": 0.0, "at_most_a_week": None}
    )
    return _with(farm, name, overtime=overtime.but(**figures))


def _helped(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    """Another crew has the crew's own duties as well, after all of its own: the one that has most time."""
    hours = averages.duty_hours(farm)
    crew = crew_named(farm, name)
    own = [duty for duty in crew.duties if averages.first_for(farm, duty) is crew and hours[duty] > 0]
    idle = sorted(farm.crew, key=lambda each: _mean(use.get(each.name, {})))
    for other in idle:
        more = [duty for duty in own if duty not in other.duties]
        if more and other is not crew and may_have(farm, other, more):
            return _with(farm, other.name, duties=(*other.duties, *more))
    return None


def _mean(by_day: Mapping[str, float]) -> float:
    return sum(by_day.values()) / len(by_day) if by_day else 0.0


def may_have(farm: Farm, crew: Crew, more: Sequence[str]) -> bool:
    """Whether a crew may be given more duties: paid, the same all day, and nobody out of a room at the clean bench."""
    if is_owner(crew) or crew.by_hour:
        return False
    together = {*crew.duties, *more}
    is_mixed = "inoculate" in together and bool(together & set(IN_THE_ROOMS))
    return not is_mixed or farm.rules.clean_bench == CLEAN_BENCH[1]


def _on_their_own(farm: Farm, name: str, by: float, use: Use) -> Farm | None:
    """The crew keeps its own duties; what stands at the end of its list and is first another's, it has no more."""
    crew = crew_named(farm, name)
    kept = list(_until_others(farm, crew))
    if not kept or len(kept) == len(crew.duties) or crew.by_hour:
        return None
    return _with(farm, name, duties=tuple(kept), fits=tuple(duty for duty in crew.fits if duty in kept))


def _until_others(farm: Farm, crew: Crew) -> Iterator[str]:
    last = max((at for at, duty in enumerate(crew.duties) if averages.first_for(farm, duty) is crew), default=-1)
    yield from crew.duties[: last + 1]


_MAKE: Final[Mapping[What, Callable[[Farm, str, float, Use], Farm | None]]] = {
    "people": _people,
    "hours": _hours,
    "days": _days,
    "in turn": _in_turn,
    "overtime": _overtime_limit,
    "helped": _helped,
    "on their own": _on_their_own,
}
