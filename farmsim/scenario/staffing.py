"""How many of a crew are there on average, and when in the day they have which duty."""

from __future__ import annotations

from farmsim.scenario.people import CALLED, PAID, Crew
from farmsim.units import HOURS_A_WEEK

HOURS_A_YEAR = 8766.0  # 365.25 days


def weekly_chance(crew: Crew) -> float:
    """Chance that somebody at work leaves in a week [share]."""
    return crew.leaves * HOURS_A_WEEK / HOURS_A_YEAR


def filled_share(crew: Crew) -> float:
    """Share of the crew's places that somebody has, on average: after each leaver one is empty for some weeks [share]."""
    return 1.0 / (1.0 + weekly_chance(crew) * crew.replaced_after)


def pace_share(crew: Crew) -> float:
    """Mean pace of those who are there, slow first weeks counted [share of the full pace].

    Each leaver's follower loses some of each first week, if still there then: the chance to have stayed so long.
    """
    leaves = weekly_chance(crew)
    if leaves <= 0.0 or crew.new_hands is None:
        return 1.0
    lost = sum((1.0 - pace) * (1.0 - leaves) ** week for week, pace in enumerate(crew.new_hands.pace))
    return 1.0 - leaves * lost


def is_owner(crew: Crew) -> bool:
    """Whether their hours are the owner's: counted apart and not paid."""
    return crew.paid == PAID[1]


def is_called_last(crew: Crew) -> bool:
    """Whether they are called only for work that nobody of another crew is free to begin."""
    return crew.called == CALLED[1]


def turn_for(crew: Crew, duty: str) -> tuple[bool, int]:
    """How early a crew is asked for a duty it has: not among the last, then by where it names the duty at its earliest."""
    lists = [crew.duties, *(each.duties for each in crew.by_hour)]
    return is_called_last(crew), min(names.index(duty) for names in lists if duty in names)


def duty_hours_of(crew: Crew, day: str, duty: str) -> list[tuple[float, float]]:
    """From when until when they have a duty in the shift of a day, breaks not cut out [h of the day it begins on]."""
    return [(begin, end) for begin, end, duties in crew.duties_in(crew.hours[day]) if duty in duties]
