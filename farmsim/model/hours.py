"""Looking ahead in the rota as it stands today: when somebody is next there for a duty, and what that allows.

A night without hands comes out of the shift calendar: a soak is begun only if the morning shift begins within its most,
and a lot is called only on days from which its soak and its opening fall on days with people.
"""

from __future__ import annotations

from farmsim.model.calendar import DAY, days_from
from farmsim.model.site import Site
from farmsim.scenario.strain import Strain

LOOK_AHEAD_DAYS = 15
NEVER = float("inf")


def next_open(site: Site, duty: str, when: float) -> float:
    """The first working instant at or after `when` of any crew with that duty; never when none comes in two weeks [h]."""
    now = site.desk.now
    rotas = [rota for rota in site.rotas if duty in rota.duties(now)]
    opens = NEVER
    for day in days_from(when - DAY, LOOK_AHEAD_DAYS):
        for rota in rotas:
            shift = rota.planned(day, now)
            if shift is not None and shift.end > when:
                opens = min(opens, shift.open_from(when))
        if opens < (day + 1) * DAY:
            return opens
    return NEVER


def last_open(site: Site, duty: str, when: float, hours: float) -> float:
    """The last moment at or before `when` at which a task of `hours` still ends within a shift; -inf when there is none."""
    now = site.desk.now
    latest = -NEVER
    for rota in site.rotas:
        if duty in rota.duties(now):
            for day in days_from(when - DAY, 2):
                shift = rota.planned(day, now)
                if shift is not None and shift.begin <= when:
                    latest = max(latest, min(when, shift.end - hours))
    return latest


def soak_from(site: Site, strain: Strain, blocks: int, when: float) -> float:
    """The first moment at or after `when` at which a tank may be filled, so that the morning comes within the most [h]."""
    soak = strain.soak
    if soak is None:
        return when
    filling = blocks / soak.load
    for _ in range(LOOK_AHEAD_DAYS):
        when = next_open(site, "soak", when)
        if when == NEVER:
            return NEVER
        morning = next_open(site, "soak", when + filling + soak.least)
        if morning - (when + filling) <= soak.most:
            return when
        when = min(morning - soak.most - filling, morning)
    return NEVER


def call_from(site: Site, strain: Strain, blocks: int, when: float) -> float:
    """The first moment at or after `when` at which a lot may be called: `when` itself, or a midnight to look again at [h].

    Goes by the strain's usual times: cold shock, then soak, then opening must each fall on a day with people for it.
    """
    ahead = when
    if strain.cold_shock is not None and "cold shock" in strain.steps:
        ahead += strain.cold_shock.usual
    if strain.soak is not None and "soak" in strain.steps:
        filled = soak_from(site, strain, blocks, ahead)
        if filled >= (ahead // DAY + 1) * DAY:
            return (when // DAY + 1) * DAY
        ahead = next_open(site, "soak", filled + blocks / strain.soak.load + strain.soak.least)
    if next_open(site, "open", ahead) >= (ahead // DAY + 1) * DAY:
        return (when // DAY + 1) * DAY
    return when
