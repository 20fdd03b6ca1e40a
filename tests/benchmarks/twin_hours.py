"""The twin's calendar: who is there when, when work is done, and when somebody is there next."""

from __future__ import annotations

from bisect import bisect_right
from typing import NamedTuple

from farmsim.model.luck import Luck
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.values import DAYS

Pieces = list[tuple[float, float]]
NEVER = float("inf")


def ticks(hours: float) -> float:
    """Hours in whole ticks of 2^-30 h."""
    return round(hours * 2.0**30) / 2.0**30 if abs(hours) < NEVER else hours


class Shift(NamedTuple):
    """One day of a crew: working time without the break, the people there, how long they may run over [h]."""

    pieces: Pieces
    people: list[int]
    overtime: float

    @property
    def end(self) -> float:
        return self.pieces[-1][1]

    def working(self, when: float) -> bool:
        return any(begin <= when < end for begin, end in self.pieces)

    def left(self, when: float) -> float:
        """Working hours from `when` on, overtime included [h]."""
        return sum(max(0.0, end - max(begin, when)) for begin, end in self.pieces) + self.overtime

    def finish(self, when: float, hours: float) -> tuple[float, float, float]:
        """(when the person stops, hours worked, of these overtime) for work of `hours` begun at `when`."""
        worked = 0.0
        for begin, end in self.pieces:
            begin = max(begin, when)
            if begin < end:
                if worked + end - begin >= hours:
                    return begin + hours - worked, hours, 0.0
                worked += end - begin
        extra = min(self.overtime, hours - worked)
        return self.end + extra, worked + extra, extra


def due(crew: Crew, day: int) -> list[int]:
    """Who is on the rota of a day; rotating days off move on by one day a week."""
    name = DAYS[day % 7]
    if name not in crew.hours:
        return []
    if not isinstance(crew.days, PerWeek):
        return list(range(crew.people)) if name in crew.days else []
    open_days = [each for each in DAYS if each in crew.hours]
    off = max(0, len(open_days) - crew.days.days)
    there = []
    for person in range(crew.people):
        first = (person * len(open_days) // crew.people + day // 7) % len(open_days)
        if (open_days.index(name) - first) % len(open_days) >= off:
            there.append(person)
    return there


def shift(crew: Crew, day: int, luck: Luck | None = None) -> Shift | None:
    """The crew's shift of a day; with `luck`, only those who came."""
    people = due(crew, day)
    if luck is not None and crew.absence > 0.0:
        u = luck.uniforms("absence", crew.name, day // 7, 7 * crew.people)
        people = [person for person in people if u[7 * person + day % 7] >= crew.absence]
    if not people:
        return None
    hours = crew.hours[DAYS[day % 7]]
    begin, end = day * 24.0 + hours.start, day * 24.0 + hours.end
    pause = (begin + end - crew.break_) / 2 if crew.break_at is None else day * 24.0 + crew.break_at
    pieces = [(begin, pause), (pause + crew.break_, end)] if crew.break_ else [(begin, end)]
    return Shift([(ticks(a), ticks(b)) for a, b in pieces], people, crew.overtime.at_most)


class Presence:
    """When somebody is there for a duty, by the rota (nobody absent)."""

    def __init__(self, farm: Farm, duty: str, begin: float, end: float) -> None:
        crews = [crew for crew in farm.crew if duty in crew.duties]
        days = range(int(begin // 24) - 2, int(end // 24) + 40)
        self.shifts = [found for crew in crews for day in days if (found := shift(crew, day)) is not None]
        self.begins: list[float] = []
        self.ends: list[float] = []
        for first, last in sorted(piece for each in self.shifts for piece in each.pieces):
            if self.ends and first <= self.ends[-1]:
                self.ends[-1] = max(self.ends[-1], last)
            else:
                self.begins.append(first)
                self.ends.append(last)

    def next(self, when: float) -> float:
        """The first working moment at or after `when` [h]."""
        at = bisect_right(self.ends, when)
        return max(when, self.begins[at]) if at < len(self.ends) else NEVER

    def last(self, when: float, hours: float) -> float:
        """The last moment up to `when` from which `hours` end within a shift of that day or the day before [h]."""
        day = when // 24
        found = [each for each in self.shifts if day - 1 <= each.pieces[0][0] // 24 <= day]
        return max((min(when, each.end - hours) for each in found if each.pieces[0][0] <= when), default=-NEVER)
