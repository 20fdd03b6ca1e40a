"""A farm's dated changes: which state is in force when, and which named things each change touches."""

from __future__ import annotations

from datetime import timedelta

from farmsim.scenario.farm import Farm
from farmsim.scenario.readback_later import later
from farmsim.scenario.say import Say
from farmsim.study.answers import Change
from farmsim.units import HOURS_A_WEEK


def in_force(farm: Farm, when: float) -> Farm:
    """The state of the farm at a moment [h]."""
    return [farm, *(state for since, state in farm.changes if since <= when)][-1]


def weeks_before(farm: Farm, weeks: int) -> int:
    """Measured weeks before the last change that falls into them; 0 when none does [weeks].

    weeks: measured length of a run [weeks]
    """
    begins = [int(since // HOURS_A_WEEK) for since, _ in farm.changes]
    return max((week for week in begins if week < weeks), default=0)


def changes(farm: Farm) -> tuple[Change, ...]:
    """Every dated change with its day, the week it opens, and what differs from the state before."""
    found, before = [], farm
    for since, state in farm.changes:
        day = farm.farm.start + timedelta(hours=since)
        found.append(Change(day.isoformat(), int(since // HOURS_A_WEEK) + 1, _differences(before, since, state)))
        before = state
    return tuple(found)


def _differences(before: Farm, since: float, after: Farm) -> tuple[str, ...]:
    """What differs, as it is read back, without the date: "crew pickers, people 3 -> 4", "room Annex comes"."""
    sentences = later(before.but(changes=((since, after),)), Say(after.farm.units, after.farm.currency))
    return tuple(sentence.partition(": ")[2].removesuffix(".") for sentence in sentences)
