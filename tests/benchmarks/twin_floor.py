"""The twin's places and people: queues in the stated order, looked at when an instant ends."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterable
from typing import Any

import simpy

from .twin_hours import NEVER, Shift, ticks

STAGES_A_FLUSH = 20
Turn = tuple[float, float, float, str]


class Party:
    """Whoever asks for places or people. Further on goes first, then who waited longest, started earlier, the key."""

    def __init__(self, key: str, started: float, stage: int = 0) -> None:
        self.key, self.started, self.stage, self.flush = key, started, stage, 0
        self.holds: dict[str, list[Any]] = {}  # purpose: [place, amount]
        self.wish: Wish | None = None

    def turn(self, asked: float) -> Turn:
        return (-(self.flush * STAGES_A_FLUSH + self.stage), asked, self.started, self.key)


class Place:
    """So many places, counted in thousandths."""

    def __init__(self, name: str, holds: float) -> None:
        self.name, self.holds, self.used, self.closed = name, round(holds * 1000), 0, False
        self.queue: list[Wish] = []

    @property
    def room(self) -> int:
        return 0 if self.closed else self.holds - self.used


class Wish:
    """A wish for places: (purpose, places of which one will do, amount), all or none; `gate` says from when on."""

    def __init__(self, env: simpy.Environment, who: Party, needs: list[tuple[str, list[Place], int]]) -> None:
        self.who, self.needs, self.turn = who, needs, who.turn(env.now)
        self.gate: Callable[[], float] | None = None
        self.group = ""
        self.granted = env.event()

    def __lt__(self, other: Wish) -> bool:
        return self.turn < other.turn


class Floor:
    """All places, in the order of the farm's stages."""

    def __init__(self, env: simpy.Environment) -> None:
        self.env = env
        self.places: list[Place] = []
        self.changed: set[Place] = set()
        self.bells: set[tuple[float, Place]] = set()

    def add(self, name: str, holds: float) -> Place:
        self.places.append(Place(name, holds))
        return self.places[-1]

    def ask(
        self,
        who: Party,
        *needs: tuple[str, list[Place], int],
        gate: Callable[[], float] | None = None,
        group: str = "",
    ) -> simpy.Event:
        wish = who.wish = Wish(self.env, who, list(needs))
        wish.gate, wish.group = gate, group
        for _, places, _ in wish.needs:
            for place in places:
                insort(place.queue, wish)
                self.changed.add(place)
        return wish.granted

    def leave(self, who: Party, *purposes: str, part: int | None = None) -> None:
        """Give back all, or a part, of what is held for these purposes, if anything is."""
        for purpose in purposes:
            if purpose in who.holds:
                hold = who.holds[purpose]
                amount = hold[1] if part is None else part
                hold[0].used -= amount
                hold[1] -= amount
                if part is None:
                    del who.holds[purpose]
                self.changed.add(hold[0])

    def occupy(self, who: Party, purpose: str, place: Place, amount: int) -> None:
        place.used += amount
        who.holds[purpose] = [place, amount]

    def withdraw(self, who: Party) -> None:
        """The wish is over; whoever waits for it goes on."""
        if who.wish is not None:
            who.wish.granted.succeed()
            self.unqueue(who.wish)

    def ask_less(self, who: Party, amounts: dict[str, int]) -> None:
        """Whoever waits has become smaller."""
        if who.wish is not None:
            who.wish.needs = [(what, places, amounts.get(what, old)) for what, places, old in who.wish.needs]
            self.changed.update(*(places for _, places, _ in who.wish.needs))

    def unqueue(self, wish: Wish) -> None:
        wish.who.wish = None
        for _, places, _ in wish.needs:
            for place in places:
                place.queue.remove(wish)
                self.changed.add(place)

    # --- the end of an instant: the place furthest on is served first, then again from the last one -------------------

    def settle(self) -> None:
        while self.changed:
            place = max(self.changed, key=self.places.index)
            self.changed.remove(place)
            self.serve(place)

    def serve(self, place: Place) -> None:
        """Give what can be given, in turn; pass over those held by a rule, stop at the first without room."""
        while place.room > 0:
            wish = next((wish for wish in self.firsts(place) if self.may_go(wish, place)), None)
            if wish is None or not self.give(wish):
                return

    def firsts(self, place: Place) -> list[Wish]:
        """The first of each group, in turn."""
        seen: dict[str, Wish] = {}
        for wish in place.queue:
            seen.setdefault(wish.group, wish)
        return list(seen.values())

    def may_go(self, wish: Wish, place: Place) -> bool:
        """Whether the rule lets it go now; if it names a later hour, the place is looked at again then."""
        opens = self.env.now if wish.gate is None else wish.gate()
        if self.env.now < opens < NEVER and (opens, place) not in self.bells:
            self.bells.add((opens, place))
            self.env.timeout(opens - self.env.now).callbacks.append(lambda _: self.look(opens, place))
        return opens <= self.env.now

    def look(self, when: float, place: Place) -> None:
        self.bells.discard((when, place))
        self.changed.add(place)

    def give(self, wish: Wish) -> bool:
        chosen = [self.best(wish, places, amount) for _, places, amount in wish.needs]
        if None in chosen:
            return False
        self.unqueue(wish)
        for (purpose, _, amount), place in zip(wish.needs, chosen, strict=True):
            assert place is not None
            self.occupy(wish.who, purpose, place, amount)
        wish.granted.succeed()
        return True

    def best(self, wish: Wish, places: list[Place], amount: int) -> Place | None:
        """The place with most room where it is this wish's turn."""
        fit = [place for place in places if place.room >= amount and self.is_next(wish, place)]
        return max(fit, key=lambda place: place.room, default=None)

    def is_next(self, wish: Wish, place: Place) -> bool:
        return next((other for other in self.firsts(place) if other is wish or self.may_go(other, place)), None) is wish


class Job:
    """Work for one person."""

    def __init__(self, env: simpy.Environment, who: Party, duty: str, hours: float) -> None:
        self.duty, self.left, self.turn, self.in_hand = duty, hours, who.turn(env.now), False
        self.done = env.event()

    def __lt__(self, other: Job) -> bool:
        return self.turn < other.turn


class Crew:
    """People with the same shifts and duties."""

    def __init__(self, name: str, duties: Iterable[str], fits: Iterable[str]) -> None:
        self.name, self.duties, self.fits = name, tuple(duties), tuple(fits)
        self.shift: Shift | None = None
        self.free: list[int] = []
        self.busy: set[int] = set()


class People:
    """All crews, the jobs that wait, and who is sent where. A pool hands out rounds: (hours, what to do at its end)."""

    def __init__(self, env: simpy.Environment, note: Callable[[str, float], None]) -> None:
        self.env, self.note = env, note
        self.crews: list[Crew] = []
        self.jobs: dict[str, list[Job]] = {}
        self.in_hand: dict[str, list[Job]] = {}
        self.pools: dict[str, Callable[[float], tuple[float, Callable[[], None]] | None]] = {}
        self.turns: list[tuple[Crew, str]] = []
        self.dirty = False

    def hire(self, crews: list[Crew]) -> None:
        self.crews = crews
        ranked = [(crew.duties.index(d), n, d) for n, crew in enumerate(crews) for d in crew.duties]
        self.turns = [(crews[number], duty) for _, number, duty in sorted(ranked)]
        self.jobs = {duty: [] for _, duty in self.turns}
        self.in_hand = {duty: [] for _, duty in self.turns}

    def work(self, who: Party, duty: str, hours: float) -> simpy.Event:
        job = Job(self.env, who, duty, ticks(hours))
        insort(self.jobs[duty], job)
        self.dirty = True
        return job.done

    def come(self, crew: Crew, shift: Shift) -> None:
        crew.shift = shift
        crew.free = [person for person in shift.people if person not in crew.busy]
        self.dirty = True

    # --- the end of an instant: work in hand first, then duty by duty ------------------------------------------------

    def send(self) -> None:
        self.dirty = False
        there = [c for c in self.crews if c.free and c.shift is not None and c.shift.working(self.env.now)]
        turns = [(crew, duty) for crew, duty in self.turns if crew in there]
        for crew, duty in turns:
            while crew.free and self.in_hand[duty]:
                self.begin(crew, self.in_hand[duty])
        for crew, duty in turns:
            if duty in self.pools:
                while crew.free and self.begin_round(crew, duty):
                    pass
            while crew.free and self.jobs[duty] and self.may_begin(crew, self.jobs[duty][0]):
                self.begin(crew, self.jobs[duty])

    def may_begin(self, crew: Crew, job: Job) -> bool:
        """Some duties are begun only if they fit before the end of the shift."""
        assert crew.shift is not None
        return job.duty not in crew.fits or crew.shift.finish(self.env.now, job.left)[1] >= job.left

    def begin(self, crew: Crew, queue: list[Job]) -> None:
        self.env.process(self.do(crew, crew.free.pop(0), queue.pop(0)))

    def do(self, crew: Crew, person: int, job: Job) -> Any:
        assert crew.shift is not None
        end, worked, extra = crew.shift.finish(self.env.now, job.left)
        yield from self.at_work(crew, person, job.duty, end, worked, extra)
        job.left -= worked
        if job.left > 0:
            insort(self.in_hand[job.duty], job)
        else:
            job.done.succeed()

    def begin_round(self, crew: Crew, duty: str) -> bool:
        assert crew.shift is not None
        found = self.pools[duty](crew.shift.left(self.env.now))
        if found is not None:
            self.env.process(self.do_round(crew, crew.free.pop(0), duty, *found))
        return found is not None

    def do_round(self, crew: Crew, person: int, duty: str, hours: float, finish: Callable[[], None]) -> Any:
        assert crew.shift is not None
        end, worked, extra = crew.shift.finish(self.env.now, hours)
        yield from self.at_work(crew, person, duty, end, worked, extra)
        finish()

    def at_work(self, crew: Crew, person: int, duty: str, end: float, worked: float, extra: float) -> Any:
        """The person is away until `end`."""
        crew.busy.add(person)
        yield self.env.timeout(end - self.env.now)
        self.note(f"hours {duty}", worked)
        self.note("hours overtime", extra)
        crew.busy.discard(person)
        shift = crew.shift
        if shift is not None and self.env.now < shift.end and person in shift.people:
            insort(crew.free, person)
        self.dirty = True
