"""Rules about the year: months and days on which the farm stands still."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.part import NotKnown
from farmsim.scenario.values import MONTHS


def shut_days_end_after_they_begin(farm: Farm) -> Iterator[Fault]:
    """The last day does not come before the first."""
    for at, shut in enumerate(farm.shut):
        if shut.end < shut.first:
            found = f"ends on {shut.end}, begins on {shut.first}"
            yield Fault(
                ("shut", at, "last"), found, "needs a last day that does not come before the first", "Swap the two."
            )


def something_stops(farm: Farm) -> Iterator[Fault]:
    """Days on which nothing stops are days like any other."""
    for at, shut in enumerate(farm.shut):
        if not shut.stops:
            mend = 'Write it like ["deliveries", "work"], or leave it out: then everything stops.'
            yield Fault(("shut", at, "stops"), "is empty", "needs what does not take place", mend)


def a_room_does_not_rest_all_year(farm: Farm) -> Iterator[Fault]:
    """A room that takes nothing in is no room."""
    for at, room in enumerate(farm.room):
        if len(room.rests) == len(MONTHS):
            found = f"{room.name} rests in every month"
            yield Fault(
                ("room", at, "rests"), found, "needs a month in which it takes lots in", "Remove the room instead."
            )


RULES = (shut_days_end_after_they_begin, something_stops, a_room_does_not_rest_all_year)


def checks(farm: Farm) -> Iterator[Iterable[Fault]]:
    """The faults of every rule; a rule that needs a figure which could not be read says nothing."""
    for rule in RULES:
        with suppress(NotKnown):
            yield list(rule(farm))
