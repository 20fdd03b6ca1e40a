"""The rules that tie figures together, one function each; all faults are gathered before any is raised."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.part import NotKnown


def start_is_a_monday(farm: Farm) -> Iterator[Fault]:
    """Weeks are counted from Monday."""
    if farm.farm.start.weekday():
        day = farm.farm.start.strftime("%A")
        yield Fault(
            ("farm", "start"), f"is {farm.farm.start}, a {day}", "needs a Monday", "Take the Monday of that week."
        )


RULES = (start_is_a_monday,)


def faults(farm: Farm) -> list[Fault]:
    """Every broken rule of a farm; a rule that needs a figure which could not be read says nothing."""
    found: list[Fault] = []
    for rule in RULES:
        with suppress(NotKnown):
            found.extend(rule(farm))
    return found
