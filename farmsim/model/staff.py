"""Who has a crew's places: people leave by luck and are replaced, and whoever is new is slow in the first weeks.

A crew of five has five places, numbered from 0. Whether a place's holder leaves on a Monday is drawn by (crew, place,
Monday); a leaver's place is empty for some weeks, then somebody new has it, who stays a week at least. The luck is named,
so what is true of a week is found by looking back as far as it takes, not by what a run has seen: a run may begin anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from farmsim.model.calendar import WEEK
from farmsim.model.luck import Luck
from farmsim.scenario.people import Crew
from farmsim.scenario.staffing import weekly_chance

LONG_AGO = -(10**9)


class Place(NamedTuple):
    """One place of a crew in one week."""

    filled_from: int  # somebody has it from this week on, perhaps only later [ordinal of the Monday]
    is_new: bool  # whoever has it came while the farm was run


class Staff:
    """The places of one crew, week by week.

    states: from which hour on the crew is how; None: there is no such crew
    begins: the week before which nobody left, all being there and knowing the work; None: it was always as it is now
    """

    def __init__(
        self, name: str, states: Sequence[tuple[float, Crew | None]], luck: Luck, begins: int | None = None
    ) -> None:
        self._name = name
        self._states = [(int(since // WEEK) if since > LONG_AGO else LONG_AGO, crew) for since, crew in states]
        self._luck = luck
        self._begins = LONG_AGO if begins is None else begins
        crews = [crew for _, crew in states if crew is not None]
        self._people = max((crew.people for crew in crews), default=0)
        self._longest_gap = max((crew.replaced_after for crew in crews), default=0)
        weeks = [len(crew.new_hands.pace) for crew in crews if crew.new_hands is not None]
        self._looks_back = self._longest_gap + max(weeks, default=0) + 1
        self._drawn: dict[int, list[float]] = {}
        self._known: dict[tuple[int, int], Place] = {}

    def is_there(self, person: int, week: int) -> bool:
        """Whether somebody has the place in that week."""
        return self._place(person, week).filled_from <= week

    def expected(self, person: int, week: int, known_in: int) -> bool:
        """Whether somebody is to have the place in that week, as far as it is known in an earlier one."""
        return self._place(person, min(known_in, week)).filled_from <= week

    def pace(self, person: int, week: int) -> float:
        """How fast the person works in that week [share of the full pace]."""
        crew, place = self._in_force(week), self._place(person, week)
        if crew is None or crew.new_hands is None or not place.is_new:
            return 1.0
        paces, weeks = crew.new_hands.pace, week - place.filled_from
        return paces[weeks] if 0 <= weeks < len(paces) else 1.0

    def _place(self, person: int, week: int) -> Place:
        place = self._known.get((person, week))
        if place is None:
            place = self._known[person, week] = self._look_up(person, week)
        return place

    def _look_up(self, person: int, week: int) -> Place:
        """The place's holder: there from the first, or since the last that left was replaced."""
        place = self._made(person, week)
        for each in range(self._settled(person, week, place.filled_from), week + 1):
            if each > place.filled_from and self._wants_to_leave(person, each):
                gap = crew.replaced_after if (crew := self._in_force(each)) is not None else 0
                place = Place(each + gap, True)
        return place

    def _made(self, person: int, week: int) -> Place:
        """Since when the crew has had this place without a break, and whether it was made for somebody new."""
        since, is_new = self._begins, False
        for begins, crew in self._states:
            if begins > week:
                break
            if crew is None or crew.people <= person:
                since, is_new = LONG_AGO, True
            elif is_new and since == LONG_AGO:
                since = begins
        return Place(since, is_new)

    def _settled(self, person: int, week: int, first: int) -> int:
        """A week far enough back: nobody who left before it matters, for in the weeks before it nobody wanted to."""
        if not any(crew is not None and crew.leaves > 0.0 for _, crew in self._states):
            return week + 1
        at, quiet = week, 0
        while at > first and (quiet <= self._longest_gap or at > week - self._looks_back):
            quiet = 0 if self._wants_to_leave(person, at) else quiet + 1
            at -= 1
        return at + 1

    def _wants_to_leave(self, person: int, week: int) -> bool:
        crew = self._in_force(week)
        if crew is None or crew.leaves <= 0.0:
            return False
        drawn = self._drawn.get(week)
        if drawn is None:
            drawn = self._drawn[week] = self._luck.uniforms("leaving", self._name, week, self._people).tolist()
        return drawn[person] < weekly_chance(crew)

    def _in_force(self, week: int) -> Crew | None:
        found: Crew | None = None
        for begins, crew in self._states:
            if begins <= week:
                found = crew
        return found
