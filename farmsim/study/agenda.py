"""Tasks as they are given out: each is looked for only when it is its turn, and one that was lost is given out again."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import Generic, TypeVar

from farmsim.errors import FarmsimError

Task = TypeVar("Task")


class WorkersLost(FarmsimError):
    """Workers were lost before they handed back their runs: out of memory, most likely, or ended from outside."""

    def __init__(self, what: str, missing: int, mend: str) -> None:
        super().__init__(f"{what}; {missing:,} of the runs asked for were not worked out. {mend}")


class Agenda(Generic[Task]):
    """What is still to be done, in the order in which it comes; what was lost goes first.

    tasks: asked for the next one only when somebody can take it, so that it may leave out what was done elsewhere meanwhile
    A task is known by its position among those that came.
    """

    def __init__(self, tasks: Iterable[Task]) -> None:
        self._coming = enumerate(tasks)
        self._waiting: deque[tuple[int, Task]] = deque()
        self._in_hand: dict[int, Task] = {}

    def has(self, count: int) -> bool:
        """Whether so many tasks at least wait to be given out [count]."""
        while len(self._waiting) < count:
            one = next(self._coming, None)
            if one is None:
                return False
            self._waiting.append(one)
        return True

    def take(self) -> tuple[int, Task]:
        """The next one, given out: its position, and what it is. There has to be one."""
        self.has(1)
        at, task = self._waiting.popleft()
        self._in_hand[at] = task
        return at, task

    def done(self, at: int) -> None:
        """One that was given out is done."""
        del self._in_hand[at]

    def lost(self, at: int | None = None) -> None:
        """One that was given out has to be given out again; None: all of them."""
        for each in sorted(self._in_hand, reverse=True) if at is None else [at]:
            self._waiting.appendleft((each, self._in_hand.pop(each)))

    @property
    def missing(self) -> int:
        """Tasks that are not done, in hand or not; all are looked for [count]."""
        self._waiting.extend(self._coming)
        return len(self._waiting) + len(self._in_hand)
