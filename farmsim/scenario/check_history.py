"""Rules about the farm's own monthly totals."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from datetime import timedelta

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.part import NotKnown

MOST_WEEKS = 520  # that a run can have


def something_is_given(farm: Farm) -> Iterator[Fault]:
    """Without a single total there is nothing to compare."""
    if farm.history is not None and not farm.history.totals:
        mend = "Add one, such as picked = { lb = [6800, ...] }, or leave [history] out."
        yield Fault(("history",), "gives no totals", "needs at least one of the five", mend)


def an_empty_farm_has_no_months_before_its_start(farm: Farm) -> Iterator[Fault]:
    """A farm that begins empty has picked nothing before it began."""
    history = farm.history
    if history is not None and farm.farm.begin == "empty" and history.from_ < farm.farm.start:
        found = f"begins with {history.from_:%Y-%m}, the farm begins empty on {farm.farm.start}"
        mend = 'Begin with a later month, or let the farm begin in "full swing".'
        yield Fault(("history", "from"), found, "needs months after the farm's first day", mend)


def the_months_can_be_reached(farm: Farm) -> Iterator[Fault]:
    """The farm is run from its start to the last of the months, if they are not before the start."""
    history = farm.history
    if history is not None and history.end > farm.farm.start + timedelta(weeks=MOST_WEEKS):
        found = f"ends with {history.months[-1]}, the farm starts on {farm.farm.start}"
        allowed = f"needs months within {MOST_WEEKS} weeks of the start"
        yield Fault(("history", "from"), found, allowed, "Move the start of the farm nearer to these months.")


RULES = (something_is_given, an_empty_farm_has_no_months_before_its_start, the_months_can_be_reached)


def checks(farm: Farm) -> Iterator[Iterable[Fault]]:
    """The faults of every rule; a rule that needs a figure which could not be read says nothing."""
    for rule in RULES:
        with suppress(NotKnown):
            yield list(rule(farm))
