"""People: crews with shifts and duties, the tasks that wait for them, and who is sent where.

`people.do(lot, duty, hours)` is one wait. A task takes one person and runs to its end or to the end of the
shift; the rest goes to the front. Who is sent, at the end of every instant:

1. tasks in hand from an earlier shift;
2. duties by how early the crew names them, crews that name a duty equally early in the farm's order, and after all
   others the crews that are called last;
3. within a duty: further on, longest waiting, started earlier, key.

Some work is no list of tasks but a heap that any number of people eat away (ripe shelves, picked crates): a `Pool` hands
out one round at a time, cut to what the person has time for.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Sequence

from farmsim.model.calendar import DAY, FOREVER, WEEK, Rota, Shift, Stretch, ticks
from farmsim.model.desk import Desk, Part
from farmsim.model.lot import Traveller
from farmsim.model.total import total
from farmsim.model.work import MANY_LOTS, Duty, Pool, Row, Task, line_up
from farmsim.record.journal import Journal


class Crew:
    """People who share a rota and a list of duties."""

    __slots__ = (
        "begun_if_fits",
        "busy",
        "called_last",
        "desk",
        "duties",
        "free",
        "has_done",
        "index",
        "looks",
        "name",
        "open_until",
        "people",
        "rota",
        "shift",
    )

    def __init__(
        self, people: People, name: str, index: int, rota: Rota, duties: Sequence[Duty], begun_if_fits: Iterable[str]
    ) -> None:
        self.people = people
        self.desk = people.desk
        self.name = name
        self.index = index
        self.rota = rota
        self.duties = list(duties)
        self.begun_if_fits = frozenset(begun_if_fits)
        self.shift: Shift | None = None
        self.free: list[int] = []
        self.busy: dict[int, Duty] = {}  # who is at work, and at what
        self.called_last = False  # only for work that nobody of another crew is free to begin
        self.has_done: dict[int, int] = {}  # who did last, and on which day, what keeps them from some duties
        self.open_until = -FOREVER  # it is working time until then, once that has been looked up [h]
        self.looks = -FOREVER  # the end of the break for which a bell is set already [h]

    def come(self, shift: Shift) -> None:
        """A shift begins: everybody who is rostered and not still at work is free."""
        self.shift = shift
        self.open_until = -FOREVER
        self.free = [person for person in shift.people if person not in self.busy]
        self.people.rostered(self, shift)
        self.await_next(max(shift.begin, self.desk.now))

    def await_next(self, when: float) -> None:
        """Ring for the first shift that begins after `when`."""
        ends = max(self.shift.end, when) if self.shift is not None else when
        shift = self.rota.following(ends) if ends < FOREVER else None
        if shift is not None:
            self.desk.at(max(shift.begin, self.desk.now), lambda: self.come(shift))
        elif ends < FOREVER:
            self.desk.at(max(when, self.desk.now) + WEEK, lambda: self.await_next(self.desk.now))

    def open(self, now: float) -> bool:
        """Whether somebody is free and it is working time; rings again when a break is on."""
        if self.shift is None:
            return False
        if now < self.open_until:
            return True
        opens = self.shift.open_from(now)
        if opens > now:
            if opens == FOREVER:
                self.free = []
            elif opens > self.looks:
                self.looks = opens
                self.desk.at(opens, self.people.look)
            return False
        self.open_until = next((end for begin, end in self.shift.pieces if begin <= now < end), now)
        return True

    def stretch(self, now: float, hours: float, person: int) -> tuple[float, float, float, float]:
        """What becomes of `hours` of work the person begins now, in working time: the figures of a `Stretch`."""
        if self.open_until - now >= hours:
            return (now + hours, hours, 0.0, 0.0)
        return _shift(self).finish(now, hours)

    def hours_left(self, now: float, person: int) -> float:
        """How much work the person can still do in this shift, overtime included [h]."""
        return _shift(self).hours_left(now)

    def occupy(self, person: int, duty: Duty, worked: float, overtime: float) -> None:
        """The person is at work from now on, for so many hours, of which some are overtime."""
        self.free.remove(person)
        self.busy[person] = duty

    def differing(self) -> list[int]:
        """Free people between whom it may matter who is asked; all alike, so the first stands for everybody."""
        return self.free[:1]

    def last_start(self, now: float, hours: float, person: int) -> float:
        """From when on at the latest the person is done with so much work in this shift; -inf if it is too short [h]."""
        return _shift(self).last_start(hours)

    def away(self, shift: Shift, now: float, hours: float, person: int) -> Stretch:
        """What becomes of `hours` away that begin now, for somebody who was held until then; no pace makes them shorter."""
        return shift.finish(now, hours)

    def account(self, person: int, worked: float, overtime: float) -> None:
        """What the work of somebody who was held comes to, now that it is known [h]."""

    def release(self, person: int) -> None:
        """The person has nothing in hand; free if the shift is still on."""
        del self.busy[person]
        shift = self.shift
        if shift is not None and self.desk.now < shift.end and person in shift.people:
            free = self.free
            if not free or free[-1] < person:
                free.append(person)
            else:
                insort(free, person)


class People(Part):
    """All crews of the farm and the one rule by which they are sent."""

    def __init__(self, desk: Desk, journal: Journal, duties: Iterable[str]) -> None:
        super().__init__()
        self.desk = desk
        self.journal = journal
        self.duty = {name: Duty(name, index) for index, name in enumerate(duties)}
        self.crews: list[Crew] = []
        self.homeward: Part | None = None  # sees to it that people go home when nothing waits; None: nobody may
        self._in_hand = 0  # tasks begun in an earlier shift that wait for somebody
        self._turns: list[tuple[Crew, Duty]] = []
        self._orders: dict[tuple[tuple[int, ...], ...], list[tuple[Crew, Duty]]] = {}  # turns as crews stood before
        self._marks: frozenset[str] = frozenset()
        self._barred: frozenset[str] = frozenset()
        desk.join(self)

    def add(self, name: str, rota: Rota, duties: Sequence[str], begun_if_fits: Iterable[str] = ()) -> Crew:
        """A crew that does `duties` in this order; those in `begun_if_fits` are begun only if the shift lasts."""
        return self.take_on(Crew(self, name, len(self.crews), rota, [self.duty[d] for d in duties], begun_if_fits))

    def take_on(self, crew: Crew) -> Crew:
        """The crew is one of the farm's from now on, the last in its order."""
        self.crews.append(crew)
        rota = crew.rota
        self._reorder()
        first = rota.following(self.desk.now)
        if first is None:
            crew.await_next(self.desk.now)
        elif first.begin <= self.desk.now:
            crew.come(first)
        else:
            self.desk.at(first.begin, lambda: crew.come(first))
        return crew

    def reassign(self, crew: Crew, duties: Sequence[str], begun_if_fits: Iterable[str]) -> None:
        """The crew has these duties from now on."""
        crew.duties = [self.duty[name] for name in duties]
        crew.begun_if_fits = frozenset(begun_if_fits)
        self._reorder()

    def keep_apart(self, marks: Iterable[str], barred: Iterable[str]) -> None:
        """Whoever has begun one of `marks` begins no task of `barred` on the same day, from now on; rounds are not barred."""
        self._marks, self._barred = frozenset(marks), frozenset(barred)

    def _reorder(self) -> None:
        """Work out who is asked first for which duty, after a crew or its duties have changed; mostly they were so before."""
        stands = tuple([(crew.called_last, *[duty.index for duty in crew.duties]) for crew in self.crews])
        turns = self._orders.get(stands)
        if turns is None:
            ranked = [(crew.called_last, rank, crew.index) for crew in self.crews for rank in range(len(crew.duties))]
            turns = [(self.crews[index], self.crews[index].duties[rank]) for _, rank, index in sorted(ranked)]
            self._orders[stands] = turns
        self._turns = turns

    def do(self, lot: Traveller, duty: str, hours: float) -> Task:
        """Ask for one person for `hours` of work on `lot`; it happens when the work is done."""
        memory = lot.memory
        if memory is None:
            task = Task(lot, self.duty[duty], ticks(hours), self.desk.now)
            line_up(task.duty.queue, task)
        else:
            lot.memory = None
            task = Task(lot, self.duty[duty], memory.left, memory.asked)
            task.in_hand = memory.in_hand
            self._in_hand += memory.in_hand
            line_up(task.duty.in_hand if memory.in_hand else task.duty.queue, task)
        self.stale = self.desk.stale = True
        return task

    def look(self) -> None:
        """See, when this instant settles, whether anybody can be sent."""
        self.stale = self.desk.stale = True

    def rostered(self, crew: Crew, shift: Shift) -> None:
        """Write down who has come, and look for work for them."""
        if shift.end < FOREVER:
            each = total([end - begin for begin, end in shift.pieces])
            self.journal.rostered((crew.index, shift.begin, len(shift.people), each))
        self.stale = self.desk.stale = True

    def close(self) -> None:
        """Everybody goes: crews, duties and those who hand out work are let go of."""
        for duty in self.duty.values():
            duty.queue.clear()
            duty.in_hand.clear()
        self.duty.clear()
        self.crews.clear()
        self._turns = []
        self._orders.clear()
        self.homeward = None

    # --- sending ------------------------------------------------------------------------------------------------

    def settle(self) -> None:
        """Send every free person who has something to do."""
        now = self.desk.now
        if self.homeward is not None:
            self.desk.mark(self.homeward)
        crews = [crew for crew in self.crews if crew.free and (now < crew.open_until or crew.open(now))]
        if not crews:
            return
        if self._in_hand:
            for crew, duty in self._turns:
                while duty.in_hand and crew.free and crew in crews and self._send(crew, duty, duty.in_hand):
                    pass
        if len(crews) == 1:  # nobody to share with: the crew's own order of duties is the order
            for duty in crews[0].duties:
                if crews[0].free and (duty.queue or duty.heap):
                    self._serve(crews[0], duty)
            return
        for crew, duty in self._turns:
            if crew.free and (duty.queue or duty.heap) and crew in crews:
                self._serve(crew, duty)

    def _serve(self, crew: Crew, duty: Duty) -> None:
        while crew.free:
            if duty.queue:
                if not self._send(crew, duty, duty.queue):
                    return
            elif duty.pool is None or not duty.heap or not self._send_round(crew, duty, duty.pool):
                return

    def _send(self, crew: Crew, duty: Duty, queue: list[Task]) -> bool:
        """Send the crew's first free person to the first task; of one that may only be begun if it fits, the first it fits.

        False when nobody who is free may do it today, or it fits nobody.
        """
        now = self.desk.now
        task = queue[0]
        whole = duty.name in crew.begun_if_fits and not task.in_hand
        for person in crew.differing() if duty.name not in self._barred else self._allowed(crew, now):
            end, worked, left, overtime = crew.stretch(now, task.left, person)
            if not left or not whole:
                break
        else:
            return False
        self._occupy(crew, duty, person, worked, overtime)
        queue.pop(0)
        if queue is duty.in_hand:
            self._in_hand -= 1
        lot, task.left, task.crew, task.person = task.lot, left, crew, person
        task.row = (crew.index, person, duty.index, lot.number, lot.flush, task.asked, now, end, worked, overtime)
        self.desk.ring(end, task)
        return True

    def _allowed(self, crew: Crew, now: float) -> list[int]:
        """Who of the crew's free people has done nothing today that keeps them from a barred duty."""
        today = int(now // DAY)
        return [person for person in crew.free if crew.has_done.get(person) != today]

    def _occupy(self, crew: Crew, duty: Duty, person: int, worked: float, overtime: float) -> None:
        crew.occupy(person, duty, worked, overtime)
        if duty.name in self._marks:
            crew.has_done[person] = int(self.desk.now // DAY)

    def set_free(self, crew: Crew, person: int, duty: str, row: tuple[float, float, float, float, float]) -> None:
        """Somebody whom a pool held has nothing in hand any more; `row`: asked, began, ended, worked, overtime [h]."""
        self.over(crew, person, (crew.index, person, self.duty[duty].index, MANY_LOTS, 0, *row))

    def over(self, crew: Crew, person: int, row: Row) -> None:
        """The person has nothing in hand any more; what was done is written down."""
        self.journal.tasks(row)
        crew.release(person)
        self.stale = self.desk.stale = True

    def goes_on(self, task: Task) -> None:
        """The shift is over: the rest of the task goes to the front."""
        task.in_hand = True
        self._in_hand += 1
        line_up(task.duty.in_hand, task)

    def _send_round(self, crew: Crew, duty: Duty, pool: Pool) -> bool:
        """Send the crew's first free person for whom there is a round."""
        now = self.desk.now
        for person in crew.differing():
            round_ = pool.take(crew.hours_left(now, person))
            if round_ is not None:
                break
        else:
            return False
        if round_.hold is not None:
            self._occupy(crew, duty, person, 0.0, 0.0)
            round_.hold(crew, person)
            return True
        end, worked, _, overtime = crew.stretch(now, round_.hours, person)
        self._occupy(crew, duty, person, worked, overtime)
        round_.crew, round_.person, round_.pool = crew, person, pool
        round_.row = (crew.index, person, duty.index, MANY_LOTS, 0, round_.asked, now, end, worked, overtime)
        self.desk.ring(end, round_)
        return True


def _shift(crew: Crew) -> Shift:
    if crew.shift is None:
        raise AssertionError(f"{crew.name}: sent before its first shift")
    return crew.shift
