"""Work for people: tasks on one lot each, and rounds of work that many can eat away; what waits, and for whom."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Collection
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Final

from farmsim.model.desk import Wait
from farmsim.model.lot import Traveller

if TYPE_CHECKING:
    from farmsim.model.crew import Crew

IN_TURN: Final = attrgetter("turn")
MANY_LOTS: Final = -1
Row = tuple[int, int, int, int, int, float, float, float, float, float]
"""A row of the journal's tasks."""
WORTH_BEGINNING: Final = 1.0 / 60.0
"""Nobody begins a round with less than a minute left [h]."""


class Task(Wait):
    """Work for one person on one lot. It happens when the person stops; what follows, when the work is done."""

    __slots__ = ("asked", "crew", "duty", "in_hand", "left", "lot", "person", "row", "turn")
    crew: Crew  # who is at it
    person: int
    row: Row  # what is written down when they stop

    def __init__(self, lot: Traveller, duty: Duty, hours: float, asked: float) -> None:
        self.then = None
        self.follower = None
        self.lot = lot
        self.duty = duty
        self.left = hours
        self.asked = asked
        self.in_hand = False  # begun in an earlier shift
        self.turn = lot.turn(asked)

    def happen(self) -> None:
        """It is done, or the bell rings."""
        crew = self.crew
        crew.people.over(crew, self.person, self.row)
        if self.left:
            crew.people.goes_on(self)
        elif self.follower is not None:
            self.follower.follow()
        elif self.then is not None:
            self.then()


class Round(Wait):
    """A stretch of pool work for one person. It happens when the round is over."""

    __slots__ = ("asked", "crew", "hold", "hours", "load", "person", "pool", "row")
    crew: Crew  # who is at it
    person: int
    pool: Pool
    row: Row

    def __init__(self, hours: float, asked: float, load: Any, hold: Callable[[Crew, int], None] | None = None) -> None:
        self.then = None
        self.follower = None
        self.hours = hours
        self.asked = asked  # since when the first of it waited [h]
        self.load = load  # what the pool needs to know when the round is over
        self.hold = hold  # how long is not known yet: who keeps the person until it is

    def happen(self) -> None:
        """It is over."""
        self.pool.done(self)
        self.crew.people.over(self.crew, self.person, self.row)


class Pool:
    """Work that is handed out in rounds: what is on the heap, and nobody's yet, makes a round."""

    def __init__(
        self, heap: Collection[object], take: Callable[[float], Round | None], done: Callable[[Round], None]
    ) -> None:
        self.heap = heap
        self._take, self._done = take, done

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when there is none."""
        return self._take(most_hours)

    def done(self, round_: Round) -> None:
        """A round is over."""
        self._done(round_)


class Duty:
    """One kind of work: the tasks that wait for it, or the pool it eats away."""

    __slots__ = ("heap", "in_hand", "index", "name", "pool", "queue")

    def __init__(self, name: str, index: int) -> None:
        self.name = name
        self.index = index
        self.queue: list[Task] = []
        self.in_hand: list[Task] = []
        self.pool: Pool | None = None
        self.heap: Collection[object] = ()

    def take_from(self, pool: Pool) -> None:
        """People who do this duty eat away the pool's heap."""
        self.pool, self.heap = pool, pool.heap


def line_up(line: list[Task], task: Task) -> None:
    """Stand in line, in turn: mostly at its end."""
    if not line or line[-1].turn <= task.turn:
        line.append(task)
    else:
        insort(line, task, key=IN_TURN)
