"""Crews with rules by the person: overtime by the week, an hours ceiling, slow first weeks, going home early, duties by
part of the day. A crew without such rules is a plain `Crew` and pays nothing for them.

What a person has worked in a week is kept from Monday to Sunday, by the shift's begin. So nothing of it has to be
remembered over a Monday 00:00 at which nobody is at work.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterable, Sequence
from functools import partial

from farmsim.model.calendar import DAY, FOREVER, NAN, WEEK, Shift, Stretch, ticks
from farmsim.model.crew import Crew, People
from farmsim.model.desk import Desk, Part
from farmsim.model.rota import CrewRota
from farmsim.model.work import WORTH_BEGINNING, Duty
from farmsim.scenario.people import BRINGS, MAY_GO
from farmsim.scenario.people import Crew as Terms
from farmsim.scenario.staffing import is_called_last, is_owner


def has_terms(crew: Terms) -> bool:
    """Whether a crew has any rule by the person or by part of the day."""
    slow = crew.new_hands is not None or crew.leaves > 0.0
    return bool(crew.by_hour) or slow or is_called_last(crew) or counts_by_person(crew)


def counts_by_person(crew: Terms) -> bool:
    """Whether each person's shifts are written down, because what they are paid depends on more than the rota."""
    overtime = crew.overtime
    by_week = overtime.at_most_a_week is not None or overtime.after is not None
    return by_week or crew.shortest_shift > 0.0 or crew.may_go != MAY_GO[0] or is_owner(crew)


class Presence:
    """One person's shift: since they came, until they go home."""

    __slots__ = ("overtime", "shift", "terms", "worked")

    def __init__(self, shift: Shift, terms: Terms) -> None:
        self.shift = shift
        self.terms = terms
        self.worked = 0.0  # time at work so far, overtime included [h]
        self.overtime = 0.0  # [h]


class Tally:
    """What one person has worked in a week: the week whose hours they are [ordinal of the Monday], and the hours."""

    __slots__ = ("overtime", "there", "week", "worked")

    def __init__(self, week: int) -> None:
        self.week = week
        self.worked = 0.0  # at work, what has been begun counted to its end [h]
        self.overtime = 0.0  # past the end of shifts [h]
        self.there = 0.0  # in shifts that are over, overtime included [h]


class TermedCrew(Crew):
    """A crew whose people are not all alike, or not for the whole day."""

    __slots__ = (
        "_are_even",
        "_counts",
        "_day_duties",
        "_day_names",
        "_here",
        "_in_hand",
        "_may_go_from",
        "_of",
        "_paces",
        "_tallies",
        "_told",
        "terms",
    )

    def __init__(self, people: People, name: str, rota: CrewRota) -> None:
        super().__init__(people, name, len(people.crews), rota, (), ())
        self._of = rota
        self.terms: Terms | None = None  # of the shift that is on
        self._told: Terms | None = None  # of this hour
        self._day_duties: list[Duty] = []  # all that they have at any hour of the day
        self._day_names: frozenset[str] = frozenset()
        self._here: dict[int, Presence] = {}
        self._in_hand: dict[int, tuple[float, float]] = {}
        self._paces: dict[int, float] = {}  # of the shift that is on
        self._tallies: dict[int, Tally] = {}
        self._may_go_from = FOREVER
        self._are_even = False  # all at full pace, and no end to their hours within this shift
        self._counts = False  # what they have worked this week limits what they may do

    @property
    def may_ever_go(self) -> bool:
        """Whether people may go home early in any state of the farm."""
        return any(crew.may_go != MAY_GO[0] for crew in self._of.states)

    # --- coming ---------------------------------------------------------------------------------------------------

    def come(self, shift: Shift) -> None:
        """A shift begins: everybody who came, is not still at work and has hours left this week is free."""
        if self.shift is not None and self.shift.end <= self.desk.now:
            self._shift_over(self.shift)
        terms = self.terms = self._of.terms(shift.begin // DAY * DAY)
        if terms is None:
            raise AssertionError(f"{self.name}: a shift of a crew that is no more")
        super().come(shift)
        self._paces.clear()
        no_end = terms.at_most_hours is None
        self._counts = not no_end or terms.overtime.at_most_a_week is not None
        self._are_even = no_end and all(self._pace(person, shift) == 1.0 for person in shift.people)
        self._here.update((person, Presence(shift, terms)) for person in self.free)
        self.take_up_duties(self.desk.now)
        if not no_end:
            for person in [person for person in self.free if self._may_work(person) < WORTH_BEGINNING]:
                self.free.remove(person)
                self._go_home(person)
        self._ring(shift, terms)

    def _ring(self, shift: Shift, terms: Terms) -> None:
        """Bells for what changes within the shift: other duties, the end of the shortest shift, the end."""
        for begin, _, _ in self._of.parts(shift, shift.begin)[1:]:
            self._at(begin, self._change_duties)
        self._may_go_from = FOREVER
        if terms.may_go != MAY_GO[0]:
            self._may_go_from = _worked_from(shift, ticks(terms.shortest_shift))
            self._at(self._may_go_from, self.people.look)
        self._at(shift.end, partial(self._shift_over, shift))

    def _at(self, when: float, call: Callable[[], None]) -> None:
        if self.desk.now < when < FOREVER:
            self.desk.at(when, call)

    def _change_duties(self) -> None:
        self.take_up_duties(self.desk.now)
        self.people.look()

    def take_up_duties(self, now: float) -> None:
        """The duties of this hour; what is in hand is finished."""
        terms, shift = self._of.terms(now), self.shift
        duties: Sequence[str] = () if terms is None else terms.duties
        if shift is not None and shift.begin <= now < shift.end:
            for begin, _, each in self._of.parts(shift, now):
                if begin <= now:
                    duties = each
        if terms is not self._told:
            self._told = terms
            self.called_last = terms is not None and is_called_last(terms)
            names = () if terms is None else terms.all_duties
            self._day_names = frozenset(names)
            self._day_duties = [self.people.duty[name] for name in names]
        self.people.reassign(self, duties, () if terms is None else terms.fits)

    # --- at work --------------------------------------------------------------------------------------------------

    def stretch(self, now: float, hours: float, person: int) -> tuple[float, float, float, float]:
        """What becomes of `hours` of work, as somebody at full pace would need: whoever is slow needs longer."""
        if self._are_even and self.open_until - now >= hours:
            return (now + hours, hours, 0.0, 0.0)
        shift = self._current()
        pace = self._pace(person, shift)
        needs = hours if pace == 1.0 else ticks(hours / pace)
        end, worked, left, overtime = shift.finish(
            now, min(needs, self._may_work(person)), self._may_stay(person, shift)
        )
        left = needs - worked
        return end, worked, left if pace == 1.0 else ticks(left * pace), overtime

    def hours_left(self, now: float, person: int) -> float:
        """How much work the person can still do in this shift, as somebody at full pace would need [h]."""
        shift = self._current()
        hours = min(shift.hours_left(now, self._may_stay(person, shift)), self._may_work(person))
        pace = self._pace(person, shift)
        return hours if pace == 1.0 else ticks(hours * pace)

    def occupy(self, person: int, duty: Duty, worked: float, overtime: float) -> None:
        """The person is at work; what this brings in hours is known, for nothing is interrupted."""
        super().occupy(person, duty, worked, overtime)
        if self._counts:
            tally = self._tally(person, self._here[person].shift)
            tally.worked += worked
            tally.overtime += overtime
        self._in_hand[person] = worked, overtime

    def differing(self) -> list[int]:
        """Free people between whom it may matter who is asked: somebody may have fewer hours left, or be slow."""
        return self.free[:1] if self._are_even and not self._counts else list(self.free)

    def last_start(self, now: float, hours: float, person: int) -> float:
        """From when on at the latest the person is done with so much work; waiting until then counts as work too [h]."""
        shift = self._current()
        return min(shift.last_start(hours, self._may_stay(person, shift)), now + self._may_work(person) - hours)

    def away(self, shift: Shift, now: float, hours: float, person: int) -> Stretch:
        """What becomes of `hours` away, with the overtime this person may still do."""
        return shift.finish(now, hours, self._may_stay(person, shift))

    def account(self, person: int, worked: float, overtime: float) -> None:
        """What the work of somebody who was held comes to."""
        if self._counts:
            tally = self._tally(person, self._here[person].shift)
            tally.worked += worked
            tally.overtime += overtime
        self._in_hand[person] = worked, overtime

    def release(self, person: int) -> None:
        """The person has nothing in hand: free for the next, or on the way home."""
        del self.busy[person]
        presence, (worked, overtime) = self._here[person], self._in_hand.pop(person)
        presence.worked += worked
        presence.overtime += overtime
        if self.desk.now >= presence.shift.end:
            self._go_home(person)
            self._join(person)
        elif self._counts and self._may_work(person) < WORTH_BEGINNING:
            self._go_home(person)
        else:
            insort(self.free, person)

    def _join(self, person: int) -> None:
        """Whoever worked over the begin of the next shift is there for it now."""
        shift, terms = self.shift, self.terms
        if shift is not None and terms is not None and self.desk.now < shift.end and person in shift.people:
            self._here[person] = Presence(shift, terms)
            insort(self.free, person)

    def _current(self) -> Shift:
        if self.shift is None:
            raise AssertionError(f"{self.name}: sent before its first shift")
        return self.shift

    def _pace(self, person: int, shift: Shift) -> float:
        staff = self._of.staff
        if staff is None:
            return 1.0
        pace = self._paces.get(person)
        if pace is None:
            pace = self._paces[person] = staff.pace(person, int(shift.begin // WEEK))
        return pace

    def _may_work(self, person: int) -> float:
        """Hours the person may still be at work this week [h]."""
        presence = self._here[person]
        most = presence.terms.at_most_hours
        return FOREVER if most is None else ticks(most) - self._tally(person, presence.shift).worked

    def _may_stay(self, person: int, shift: Shift) -> float:
        """Overtime the person may do in this shift [h]."""
        most = self._here[person].terms.overtime.at_most_a_week
        if most is None:
            return shift.overtime
        return min(shift.overtime, ticks(most) - self._tally(person, shift).overtime)

    def _tally(self, person: int, shift: Shift) -> Tally:
        week = int(shift.begin // WEEK)
        tally = self._tallies.get(person)
        if tally is None or tally.week != week:
            tally = self._tallies[person] = Tally(week)
        return tally

    # --- going home -----------------------------------------------------------------------------------------------

    def let_go(self, now: float) -> None:
        """Whoever is free goes home when nothing waits and nothing in hand brings work; some stay to the end."""
        terms = self.terms
        if terms is None or now < self._may_go_from or not self.free or not self.open(now):
            return
        for duty in self._day_duties:
            if duty.queue or duty.in_hand or duty.heap:
                return
        if self._may_still_come():
            return
        there = sum([presence.shift is self.shift for presence in self._here.values()])
        for _ in range(min(len(self.free), there - terms.stay)):
            self._go_home(self.free.pop())

    def _may_still_come(self) -> bool:
        """Whether what somebody is at may bring work for this crew on the same day."""
        for crew in self.people.crews:
            for at_work in crew.busy.values():
                for name in BRINGS.get(at_work.name, ()):
                    if name in self._day_names:
                        return True
        return False

    def _shift_over(self, shift: Shift) -> None:
        """The shift is over: whoever has nothing in hand goes home."""
        for person in [person for person, presence in self._here.items() if presence.shift is shift]:
            if person not in self.busy:
                if person in self.free:
                    self.free.remove(person)
                self._go_home(person)

    def _go_home(self, person: int) -> None:
        self._write_down(person, self._here.pop(person), self.desk.now)

    def close(self) -> None:
        """Write down those who are still there at the end of the run, as if they stayed to the end of their shift."""
        for person, presence in self._here.items():
            self._write_down(person, presence, NAN)

    def _write_down(self, person: int, presence: Presence, gone: float) -> None:
        shift, terms = presence.shift, presence.terms
        if not counts_by_person(terms):
            return
        hours = shift.hours_until(shift.end)
        stayed = shift.hours_until(gone) if gone == gone else hours
        there, tally = stayed + presence.overtime, self._tally(person, shift)
        before, tally.there = tally.there, tally.there + there
        after = terms.overtime.after
        extra = presence.overtime if after is None else _above(before + there, after) - _above(before, after)
        paid, owned = max(there, terms.shortest_shift), 0.0
        if is_owner(terms):
            paid, extra, owned = 0.0, 0.0, presence.worked
        row = (self.index, person, shift.begin, hours, stayed, presence.overtime, paid, extra, owned, gone)
        self.people.journal.attended(row)


class Homeward(Part):
    """The last part of an instant: when everybody has been sent, those with nothing to do may go home."""

    def __init__(self, desk: Desk, crews: Iterable[TermedCrew]) -> None:
        super().__init__()
        self._desk = desk
        self._crews = list(crews)
        desk.join(self)

    def settle(self) -> None:
        """Let people go home."""
        for crew in self._crews:
            crew.let_go(self._desk.now)


def _worked_from(shift: Shift, hours: float) -> float:
    """From when on somebody has been there for so many hours, breaks left out; never if the shift is too short [h]."""
    for begin, end in shift.pieces:
        if end - begin >= hours:
            return begin + hours
        hours -= end - begin
    return FOREVER


def _above(hours: float, limit: float) -> float:
    return max(0.0, hours - limit)
