"""The rota of a farm's crew: shifts by weekday, breaks, days off that move on, absence by luck, dated changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from farmsim.model.calendar import DAY, WEEK, Shift, days_from, pieces_of, ticks
from farmsim.model.luck import AT_ONCE, Luck
from farmsim.model.staff import Staff
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.people import Shift as Hours

WEEKDAYS: Final[tuple[str, ...]] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LOOK_AHEAD_DAYS: Final = 21
NO_DAYS: Final[frozenset[int]] = frozenset()
Pieces = tuple[tuple[float, float], ...]
Parts = tuple[tuple[float, float, tuple[str, ...]], ...]


class CrewRota:
    """When the people of one crew are there.

    states: from which hour on the crew is how; None: there is no such crew
    shut: for each state, the days on which nobody works
    begins: the Monday on which a farm begins that was empty before [ordinal]; None: it was always at work
    """

    def __init__(
        self,
        name: str,
        states: Sequence[tuple[float, Crew | None]],
        luck: Luck,
        shut: Sequence[frozenset[int]] | None = None,
        begins: int | None = None,
    ) -> None:
        self._name = name
        self._shut = shut or [frozenset()] * len(states)
        self._states = states
        self._luck = luck
        self._absent: dict[int, list[float]] = {}
        self._planned: dict[tuple[int, int], Shift | None] = {}
        self._on: dict[int, Shift | None] = {}
        self._pieces: dict[tuple[int, str], Pieces] = {}
        self._parts: dict[tuple[int, float, float], Parts] = {}
        self._in_duty: dict[tuple[int, float, float, str], Pieces] = {}
        crews = self.states = [crew for _, crew in states if crew is not None]
        self.changes_hands = any(crew.leaves > 0.0 for crew in crews)
        is_slow_at_first = any(crew.new_hands is not None for crew in crews)
        self.staff = Staff(name, states, luck, begins) if self.changes_hands or is_slow_at_first else None

    def following(self, when: float) -> Shift | None:
        """The first shift with anybody there that ends after `when`; None when there is none for three weeks."""
        for day in days_from(when - DAY, LOOK_AHEAD_DAYS + 1):
            shift = self.on(day)
            if shift is not None and shift.end > when:
                return shift
        return None

    def on(self, day: int) -> Shift | None:
        """The shift that begins on `day`, with those who came."""
        if day not in self._on:
            crew = self._in_force(day * DAY)
            if crew is None or day in self._shut_in_force(day * DAY):
                self._on[day] = None
            else:
                self._on[day] = self._shift(crew, day, tuple(self._who_comes(crew, day)))
        return self._on[day]

    def planned(self, day: int, known_at: float) -> Shift | None:
        """The shift that begins on `day` as the rota in force at `known_at` says, nobody absent.

        None when nobody is rostered, or no place of those who are is known to be filled by then. Its people are all who are
        rostered, whether or not their places are.
        """
        crew = self._in_force(known_at)
        if crew is None or day in self._shut_in_force(known_at):
            return None
        key = (day, id(crew))
        if key not in self._planned:
            self._planned[key] = self._shift(crew, day, tuple(self._due(crew, day)))
        shift = self._planned[key]
        if shift is None or not self.changes_hands or self.staff is None:
            return shift
        known_in = int(known_at // WEEK)
        for person in shift.people:
            if self.staff.expected(person, day // 7, known_in):
                return shift
        return None

    def terms(self, known_at: float) -> Crew | None:
        """The crew as it stands at `known_at`; None when there is no such crew."""
        return self._in_force(known_at)

    def duties(self, known_at: float) -> tuple[str, ...]:
        """The crew's duties as they stand at `known_at`, those it begins the day with."""
        crew = self._in_force(known_at)
        return () if crew is None else tuple(crew.duties)

    def ever_does(self, duty: str, known_at: float) -> bool:
        """Whether the crew, as it stands at `known_at`, has a duty at any hour of the day."""
        crew = self._in_force(known_at)
        return crew is not None and duty in (crew.all_duties if crew.by_hour else crew.duties)

    def parts(self, shift: Shift, known_at: float) -> Parts:
        """From when until when the crew has which duties in a shift, as it stands at `known_at` [h]."""
        crew = self._in_force(known_at)
        if crew is None or not crew.by_hour:
            return ((shift.begin, shift.end, () if crew is None else crew.duties),)
        midnight = shift.begin // DAY * DAY
        return tuple(
            [
                (midnight + begin, midnight + end, duties)
                for begin, end, duties in self._day_parts(crew, shift, midnight)
            ]
        )

    def _day_parts(self, crew: Crew, shift: Shift, midnight: float) -> Parts:
        """The same counted from the midnight before the shift, which is all that differs from week to week."""
        begin, end = shift.begin - midnight, shift.end - midnight
        parts = self._parts.get((id(crew), begin, end))
        if parts is None:
            day = crew.duties_in(Hours(begin, end))
            parts = self._parts[id(crew), begin, end] = tuple([(ticks(a), ticks(b), duties) for a, b, duties in day])
        return parts

    def pieces(self, day: int, known_at: float, duty: str) -> Pieces:
        """Working time of the shift that begins on `day` in which a crew has a duty it ever has, as planned at `known_at`."""
        shift, crew = self.planned(day, known_at), self._in_force(known_at)
        if shift is None or crew is None or not crew.by_hour:
            return () if shift is None else shift.pieces
        midnight = shift.begin // DAY * DAY
        key = (id(crew), shift.begin - midnight, shift.end - midnight, duty)
        pieces = self._in_duty.get(key)
        if pieces is None:
            parts = self._day_parts(crew, shift, midnight)
            pieces = self._in_duty[key] = _cut([(a - midnight, b - midnight) for a, b in shift.pieces], parts, duty)
        return tuple([(midnight + begin, midnight + end) for begin, end in pieces])

    def begun_if_fits(self, known_at: float) -> tuple[str, ...]:
        """The duties the crew begins only if they fit, as they stand at `known_at`."""
        crew = self._in_force(known_at)
        return () if crew is None else tuple(crew.fits)

    def _in_force(self, when: float) -> Crew | None:
        crew: Crew | None = None
        for since, state in self._states:
            if since <= when:
                crew = state
        return crew

    def _shut_in_force(self, when: float) -> frozenset[int]:
        days = NO_DAYS
        for at, (since, _) in enumerate(self._states):
            if since <= when:
                days = self._shut[at]
        return days

    def _due(self, crew: Crew, day: int) -> list[int]:
        """Who is rostered on `day`: everybody on fixed days, all but those off where days off move on week by week."""
        weekday = WEEKDAYS[day % 7]
        if weekday not in crew.hours:
            return []
        if not isinstance(crew.days, PerWeek):
            return list(range(crew.people)) if weekday in crew.days else []
        open_days = [d for d in WEEKDAYS if d in crew.hours]
        off = max(0, len(open_days) - crew.days.days)
        position, week = open_days.index(weekday), day // 7
        return [p for p in range(crew.people) if not _is_off(p, crew.people, week, position, len(open_days), off)]

    def _shift(self, crew: Crew, day: int, people: tuple[int, ...]) -> Shift | None:
        weekday = WEEKDAYS[day % 7]
        if weekday not in crew.hours or not people:
            return None
        pieces = self._pieces.get((id(crew), weekday))
        if pieces is None:
            pieces = self._pieces[id(crew), weekday] = _pieces(crew, weekday)
        midnight = day * DAY
        return Shift(tuple((midnight + begin, midnight + end) for begin, end in pieces), people, crew.overtime.at_most)

    def _who_comes(self, crew: Crew, day: int) -> list[int]:
        """Those rostered on `day` who have not left and are not absent."""
        people, week, share = self._due(crew, day), day // 7, crew.absence
        if self.staff is not None:
            people = [person for person in people if self.staff.is_there(person, week)]
        if share > 0.0 and people:
            drawn, weekday = self._absences(crew, week), day % 7
            people = [person for person in people if drawn[7 * person + weekday] >= share]
        return people

    def _absences(self, crew: Crew, week: int) -> list[float]:
        """The draws of a week's absences, seven for each person [1]. Some weeks are drawn together."""
        drawn = self._absent.get(week)
        if drawn is not None and len(drawn) >= 7 * crew.people:
            return drawn
        first = week // AT_ONCE * AT_ONCE
        weeks = range(first, first + AT_ONCE)
        rows = self._luck.uniforms_many("absence", self._name, weeks, 7 * crew.people).tolist()
        self._absent.update(zip(weeks, rows, strict=True))
        return self._absent[week]


def _is_off(person: int, people: int, week: int, position: int, open_days: int, off: int) -> bool:
    """Days off are `off` days in a row; they are spread over the people and move on by one day a week."""
    first = (person * open_days // people + week) % open_days
    return (position - first) % open_days < off


def _cut(pieces: list[tuple[float, float]], parts: Parts, duty: str) -> Pieces:
    """The working time in which a duty is among theirs."""
    spans = [(begin, end) for begin, end, duties in parts if duty in duties]
    cut = [(max(begin, first), min(end, last)) for begin, end in pieces for first, last in spans]
    return tuple([(begin, end) for begin, end in cut if begin < end])


def _pieces(crew: Crew, weekday: str) -> Pieces:
    """The pieces of a shift, counted from the midnight before it [h]."""
    hours = crew.hours[weekday]
    begin, end = ticks(hours.start), ticks(hours.end)
    pause_at = (begin + end - crew.break_) / 2 if crew.break_at is None else crew.break_at
    if pause_at < begin:
        pause_at += DAY  # a night shift's break after midnight
    return pieces_of(begin, end, ticks(pause_at), ticks(crew.break_))
