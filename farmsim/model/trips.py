"""Rounds on their days: who goes along, what the van still has room for, and since when it waits.

A trip is one going of a round. It is made when the first order for it is set and forgotten when it has left, or will
not leave any more. Orders of customers on no round have no trip: they leave at their hour, or are fetched.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import ceil, floor
from typing import Final, NamedTuple

from farmsim.model.calendar import DAY, FOREVER, Shift, ticks
from farmsim.model.crew import Crew
from farmsim.model.desk import Desk
from farmsim.model.lot import Traveller
from farmsim.model.rota import WEEKDAYS
from farmsim.scenario.delivery import Round, Van
from farmsim.scenario.farm import Farm
from farmsim.scenario.round_plan import leaves

LEAST: Final = 1e-9  # of a crate or a kg: less than this is rounding


Serve = Callable[["Trip | None"], None]
"""Serves an order: with the trip it goes on, or with none."""


class Member(NamedTuple):
    """Somebody who goes along: who, since when, and in which shift."""

    crew: Crew
    person: int
    since: float
    shift: Shift


class Trip:
    """One going of a round.

    due: when it should leave [h]
    goes: whether it goes, or may still go
    """

    __slots__ = ("after", "behind", "crates", "due", "goes", "kg", "left", "members", "most_crates", "most_kg", "name", "round",
                 "serve", "size", "traveller")  # fmt: skip

    def __init__(self, name: str, due: float, number: int) -> None:
        self.name = name
        self.due = due
        self.traveller = Traveller(f"round/{name}/{due:g}", due, number)
        self.round: Round | None = None  # its figures, once its people are called
        self.serve: list[Serve] = []  # the orders that wait for it
        self.after: list[Callable[[], None]] = []  # what follows when it is back, or is called off
        self.members: list[Member] = []
        self.goes = True
        self.left: float | None = None
        self.crates = self.kg = self.behind = 0.0
        self.most_crates = self.most_kg = FOREVER

    def goes_with(self, van: Van | None) -> None:
        """The van gives it so much room."""
        if van is not None:
            self.most_crates = FOREVER if van.holds is None else van.holds
            self.most_kg = FOREVER if van.carries is None else van.carries

    def room(self, crate: float) -> float:
        """How much of a strain there is still room for, in whole crates of `crate` kg [kg]."""
        if not self.goes:
            return 0.0
        crates = self.most_crates - self.crates
        by_crates = FOREVER if crates == FOREVER else floor(crates + LEAST) * crate
        return max(0.0, min(by_crates, self.most_kg - self.kg))

    def load(self, kg: float, crate: float) -> None:
        """Put `kg` of a strain in the van; a begun crate takes the room of a whole one."""
        self.crates += ceil(kg / crate - LEAST)
        self.kg += kg

    @property
    def hours(self) -> float:
        """How long it takes [h]."""
        return 0.0 if self.round is None else ticks(self.round.takes)

    @property
    def used(self) -> float:
        """Share of the van's room that is taken, by crates or by weight, whichever is more [1]; not known without limits."""
        limits = ((self.crates, self.most_crates), (self.kg, self.most_kg))
        return max((had / most for had, most in limits if most < FOREVER), default=float("nan"))


class Trips:
    """The trips that are to come or wait to leave."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.coming: dict[tuple[str, int], Trip] = {}  # by round and day
        self.wanting: list[Trip] = []  # those that have their van and lack people
        self.under_way: list[Trip] = []  # those whose people were called, until they are back
        self.set_off: Callable[[Trip], None] = lambda trip: None  # what is done with a new trip; the stage's own
        self._of: dict[str, Round] = {}
        self._farm: Farm | None = None
        self._hour: dict[
            tuple[str, int], float
        ] = {}  # by round and day of the week: when it leaves, once looked up [h]
        self._next_number: Callable[[], int] = lambda: -1

    def begin(self, next_number: Callable[[], int], set_off: Callable[[Trip], None]) -> None:
        """Where trips get their numbers, and what is done with each when it is made."""
        self._next_number, self.set_off = next_number, set_off

    def plan(self, farm: Farm) -> None:
        """From now on rounds are like this."""
        self._of = {name: round_ for round_ in farm.round for name in round_.customers}
        self._hour = {}
        self._farm = farm

    def hour(self, customer: str, due: float) -> float:
        """When an order leaves that is due at `due`: with its round, or at its own hour [h]."""
        round_ = self._of.get(customer)
        if round_ is None or self._farm is None:
            return due
        day = int(due // DAY)
        key = (round_.name, day % 7)
        if key not in self._hour:
            self._hour[key] = leaves(self._farm, round_, WEEKDAYS[day % 7])
        return ticks(day * DAY + self._hour[key])

    def leave(self, customer: str, due: float, serve: Serve, has_any: bool = True) -> None:
        """What leaves for a customer goes with its round, which goes if it has anything to bring; or at its own hour."""
        trip = self.of(customer, due) if has_any else None
        if trip is None:
            self._desk.at(due, partial(serve, None))
        else:
            trip.serve.append(serve)

    def of(self, customer: str, due: float) -> Trip | None:
        """The trip on which a customer's order goes that is due at `due`; none when it is on no round."""
        round_ = self._of.get(customer)
        if round_ is None:
            return None
        key = (round_.name, int(due // DAY))
        trip = self.coming.get(key)
        if trip is None:
            trip = self.coming[key] = Trip(round_.name, self.hour(customer, due), self._next_number())
            self.set_off(trip)
        return trip
