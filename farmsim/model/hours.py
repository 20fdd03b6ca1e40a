"""Looking ahead in the rota as it stands today: when somebody is next there for a duty, and what that allows.

A night without hands comes out of the shift calendar: a soak is begun only if the morning shift begins within its most,
and a lot is called only on days from which its soak and its opening fall on days with people.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import Final

from farmsim.model.calendar import DAY, NEVER, TICKS_PER_HOUR, Shift, days_from
from farmsim.model.rota import CrewRota
from farmsim.model.site import Site
from farmsim.scenario.strain import Strain

LOOK_AHEAD_DAYS: Final = 15
LOOKED_UP_AT_ONCE: Final = 56  # days
TICK: Final = 1 / TICKS_PER_HOUR


class Spans:
    """When somebody is there for a duty, by the rotas in force at one moment: hours at work, merged over the crews."""

    def __init__(self, rotas: Sequence[CrewRota], duty: str, known_at: float) -> None:
        self._rotas = [rota for rota in rotas if rota.ever_does(duty, known_at)]
        self._duty = duty
        self._known_at = known_at
        self._begins: list[float] = []
        self._ends: list[float] = []
        self._at = 0  # where it was last looked, which is mostly where it is looked next
        self._first = self._last = NEVER  # hours between which they are looked up
        # Where people leave and come, all this holds for a week only (`look_who_left`).
        self._at_once = 7 if any(rota.changes_hands for rota in self._rotas) else LOOKED_UP_AT_ONCE

    def next(self, when: float) -> float:
        """The first working instant at or after `when`; never when none comes in two weeks [h]."""
        if when == NEVER:
            return NEVER
        if not self._first <= when < self._last:
            self._look_up(int(when // DAY))
        at = self._at
        if when >= self._ends[at] or (at > 0 and when < self._ends[at - 1]):
            at = self._at = bisect_right(self._ends, when)
        begin = self._begins[at]
        return when if when > begin else begin

    def _look_up(self, day: int) -> None:
        """Write down the pieces of some weeks of shifts; ends are made to rise, so that they can be searched."""
        self._first, self._last = day * DAY, (day + self._at_once) * DAY
        self._begins, self._ends = [], []
        for begin, end in self._pieces(day):
            if self._ends and begin <= self._ends[-1]:
                self._ends[-1] = max(end, self._ends[-1])
            else:
                self._begins.append(begin)
                self._ends.append(end)
        self._begins.append(NEVER)  # after the last
        self._ends.append(NEVER)
        self._at = 0

    def _pieces(self, day: int) -> list[tuple[float, float]]:
        """Those of the days that are looked up, and on to the first after them; a day more, for a night has two dates."""
        found: list[tuple[float, float]] = []
        each, stop = day - 1, day + self._at_once + LOOK_AHEAD_DAYS
        while each < stop:
            for rota in self._rotas:
                for piece in rota.pieces(each, self._known_at, self._duty):
                    found.append(piece)
                    if piece[1] > self._last:
                        stop = min(stop, each + 2)
            each += 1
        found.sort()
        return found


def next_open(site: Site, duty: str, when: float) -> float:
    """The first working instant at or after `when` of any crew with that duty; never when none comes in two weeks [h]."""
    spans = site.spans.get(duty)
    if spans is None:
        spans = site.spans[duty] = Spans(site.rotas, duty, site.desk.now)
    return spans.next(when)


def look_who_left(site: Site) -> None:
    """Each Monday: whoever has left is not counted on until somebody new has come.

    Rules that named an hour are asked again at that hour, and nobody comes sooner than was known: they need not be told.
    """
    if any(rota.changes_hands for rota in site.rotas):
        site.spans = {}


def last_open(site: Site, duty: str, when: float, hours: float) -> float:
    """The last moment at or before `when` at which a task of `hours` still ends within a shift; -inf when there is none."""
    now = site.desk.now
    latest = -NEVER
    for rota in site.rotas:
        if rota.ever_does(duty, now):
            for day in days_from(when - DAY, 2):
                shift = rota.planned(day, now)
                if shift is not None and shift.begin <= when:
                    start = min(when, _latest_start(shift, hours))
                    latest = max(latest, _last_in(rota, shift, duty, now, start))
    return latest


def _last_in(rota: CrewRota, shift: Shift, duty: str, known_at: float, start: float) -> float:
    """The last moment at or before `start` at which the crew has the duty; a task in hand runs on past its hours."""
    for begin, end, duties in reversed(rota.parts(shift, known_at)):
        if begin <= start and duty in duties:
            return min(start, end if end == shift.end else end - TICK)
    return -NEVER


def _latest_start(shift: Shift, hours: float) -> float:
    """From when on at the latest `hours` of work are done by the end of the shift, breaks counted; -inf if it is too short."""
    for begin, end in reversed(shift.pieces):
        if end - begin >= hours:
            return end - hours
        hours -= end - begin
    return -NEVER


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
        if morning == NEVER:
            return NEVER
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
