"""One counted place: what it holds, who stands there, who waits for it and in which order."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterator
from operator import attrgetter
from typing import Final

from farmsim.model.calendar import NAN, NEVER
from farmsim.model.desk import Wait
from farmsim.model.lot import Traveller

IN_TURN: Final = attrgetter("turn")
SHUT: Final = 1 << 60  # more than any place holds
WHOLE: Final = 1000
"""Thousandths in one place."""


def thousandths(count: float) -> int:
    """A count of places, not below 0, in whole thousandths: rounded as Python's `round` does it, at a fraction of the cost."""
    exact = count * WHOLE
    whole = int(exact)
    beyond = exact - whole
    return whole + 1 if beyond > 0.5 or (beyond == 0.5 and whole % 2) else whole


class Line:
    """Those who wait for a place and are held by the same rule, in turn."""

    __slots__ = ("group", "waiting")

    def __init__(self, group: str, first: Request) -> None:
        self.group = group
        self.waiting = [first]


class Queue:
    """Who waits for a place: one line for each group. There are few groups, so that a line is soon found."""

    __slots__ = ("lines",)

    def __init__(self) -> None:
        self.lines: list[Line] = []  # none is empty

    def __bool__(self) -> bool:
        return bool(self.lines)

    def __len__(self) -> int:
        return sum([len(line.waiting) for line in self.lines])

    def __iter__(self) -> Iterator[Request]:
        return iter(sorted((request for line in self.lines for request in line.waiting), key=IN_TURN))

    def add(self, request: Request) -> None:
        """Stand in line."""
        group = request.group
        for line in self.lines:
            if line.group == group:
                if line.waiting[-1].turn <= request.turn:
                    line.waiting.append(request)
                else:
                    insort(line.waiting, request, key=IN_TURN)
                return
        self.lines.append(Line(group, request))

    def remove(self, request: Request) -> None:
        """Step out of the line."""
        group = request.group
        for line in self.lines:
            if line.group == group:
                if len(line.waiting) > 1:
                    line.waiting.remove(request)
                else:
                    self.lines.remove(line)
                return

    def heads(self) -> list[Request]:
        """The first of every line, in turn."""
        heads = [line.waiting[0] for line in self.lines]
        if len(heads) > 1:
            heads.sort(key=IN_TURN)
        return heads


class Moves:
    """How often anybody has come to or left some places: while it is the same, who is there is the same."""

    __slots__ = ("count",)

    def __init__(self) -> None:
        self.count = 0


class Place:
    """One kind of counted place, such as the racks, or the shelves of one room."""

    __slots__ = ("_closed", "holds", "index", "moves", "name", "queue", "room", "used")

    def __init__(self, name: str, index: int, holds: int, moves: Moves | None = None) -> None:
        self.name = name
        self.moves = moves or Moves()
        self.index = index  # position in the farm's list of places; further on is served first
        self.holds = holds
        self.used = 0
        self.room = holds  # free places, in thousandths; below zero while the place is closed
        self.queue = Queue()
        self._closed = False

    @property
    def closed(self) -> bool:
        """Whether the place takes nothing in."""
        return self._closed

    @closed.setter
    def closed(self, closed: bool) -> None:
        self._closed = closed
        self.room = self.holds - self.used - (SHUT if closed else 0)

    def resize(self, holds: int) -> None:
        """It has another size from now on."""
        self.room += holds - self.holds
        self.holds = holds

    def __repr__(self) -> str:
        return f"<{self.name}: {self.used / 1000:g} of {self.holds / 1000:g} used, {len(self.queue)} waiting>"


class Need:
    """`amount` thousandths in one of `places`, held under the name `purpose`."""

    __slots__ = ("amount", "places", "purpose")

    def __init__(self, purpose: str, places: tuple[Place, ...], amount: int) -> None:
        self.purpose = purpose
        self.places = places
        self.amount = amount


class Gate:
    """A rule that may hold a lot back."""

    def __init__(self, rule: Callable[[float], float]) -> None:
        self._rule = rule

    def opens(self, now: float) -> float:
        """From when on the lot may go [h]; never: it is not asked again until somebody says so."""
        return self._rule(now)


class Stay:
    """A lot's hold on a place, from `came` until it leaves; `ready` is when it had no more to do there."""

    __slots__ = ("amount", "asked", "came", "place", "ready")

    def __init__(self, place: Place, amount: int, asked: float, came: float) -> None:
        self.place = place
        self.amount = amount
        self.asked = asked
        self.came = came
        self.ready = NAN


class Request(Wait):
    """A lot's wish for places. It happens when the places are granted, or when the wish is given up."""

    __slots__ = ("asked", "gate", "group", "is_simple", "least", "lot", "needs", "opens", "turn")

    def __init__(self, lot: Traveller, needs: tuple[Need, ...], asked: float, gate: Gate | None, group: str) -> None:
        self.then = None
        self.follower = None
        self.group = group
        self.lot = lot
        self.needs = needs
        self.is_simple = len(needs) == 1 and len(needs[0].places) == 1  # one place, no choice
        self.least = least_of(needs)
        self.asked = asked
        self.gate = gate
        self.opens = -NEVER  # the hour that the rule has named [h]
        self.turn = lot.turn(asked)


def least_of(needs: tuple[Need, ...]) -> int:
    """The least that is needed of any place [thousandths]."""
    least = needs[0].amount
    for need in needs:
        if need.amount < least:
            least = need.amount
    return least
