"""Rules about what holds for each person of a crew: overtime by the week, pay, going home, new people, parts of the day."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.averages import days_worked
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import MAY_GO, PAID, Crew, hour_in
from farmsim.scenario.staffing import is_owner

Path = tuple[str | int, ...]
OWNER = f'paid = "{PAID[1]}"'


def parts_of_the_day_lie_in_a_shift(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Other duties begin after the begin of some shift and before its end, one hour after the other."""
    shifts = [crew.hours[day] for day in days_worked(crew)]
    for at, (earlier, later) in enumerate(pairwise(crew.by_hour), 1):
        if any(hour_in(later.from_, shift) <= hour_in(earlier.from_, shift) for shift in shifts):
            clock, before = units.show_clock(later.from_), units.show_clock(earlier.from_)
            found, mend = f"{clock} stands behind {before}", "Put the earlier hour of the shift first, each once."
            yield Fault((*path, "by_hour", at, "from"), found, "needs hours that follow one another", mend)
    for at, part in enumerate(crew.by_hour):
        hours = (part.from_, part.from_ + units.HOURS_A_DAY)
        if not any(shift.start < hour < shift.end for shift in shifts for hour in hours):
            found, mend = f"{units.show_clock(part.from_)} lies in no shift", "Move it into a shift, or leave it out."
            yield Fault((*path, "by_hour", at, "from"), found, "needs an hour within a shift", mend)


def every_part_of_the_day_has_duties(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """A part of the day in which a crew has nothing to do is no part of its shift."""
    for at, part in enumerate(crew.by_hour):
        if not part.duties:
            mend = "Name what they do from then on, or end the shift at this hour."
            yield Fault((*path, "by_hour", at, "duties"), "is an empty list", "needs at least one duty", mend)
    if not crew.duties:
        mend = 'Write it like ["pick", "pack"], or take the crew out.'
        yield Fault((*path, "duties"), "is an empty list", "needs at least one duty", mend)


def weekly_overtime_is_overtime(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """A limit by the week has a say only where there is overtime by the day."""
    if crew.overtime.at_most_a_week is not None and not crew.overtime.at_most:
        mend = 'Add at_most = "2 h a day", or leave it out.'
        found = "is given, but there is no overtime on any day"
        yield Fault((*path, "overtime", "at_most_a_week"), found, "needs overtime by the day", mend)


def owners_are_not_paid_by_the_hour(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Owner and family have hours of their own; what is agreed with those who are paid by the hour is not for them."""
    if not is_owner(crew):
        if crew.at_most_hours is not None:
            found, mend = f"is given for people paid {crew.paid}", f"Write {OWNER}, or make their shifts shorter."
            yield Fault((*path, "at_most_hours"), found, f"needs {OWNER}", mend)
        return
    terms = {
        ("wage",): crew.wage is not None,
        ("shortest_shift",): crew.shortest_shift > 0,
        ("overtime", "after"): crew.overtime.after is not None,
    }
    for where in [where for where, is_given in terms.items() if is_given]:
        mend = f'Leave it out, or write paid = "{PAID[0]}".'
        yield Fault((*path, *where), f"is given for people paid {crew.paid}", "needs people paid by the hour", mend)


def somebody_may_go(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Who stays is asked only where people may go home, and somebody must be left to go."""
    if crew.may_go == MAY_GO[0]:
        if "stay" in crew.given:
            found, mend = "is given, but nobody goes home early", f'Write may_go = "{MAY_GO[1]}", or leave it out.'
            yield Fault((*path, "stay"), found, f'needs may_go = "{MAY_GO[1]}"', mend)
    elif crew.stay >= crew.people:
        found, mend = f"{crew.stay} of {crew.people} stay: nobody may go", f'Let fewer stay, or write "{MAY_GO[0]}".'
        yield Fault((*path, "stay"), found, "needs fewer than there are people", mend)


def leavers_are_replaced(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """How long a place is empty is asked only where somebody leaves."""
    if "replaced_after" in crew.given and not crew.leaves:
        found, mend = "is given, but nobody leaves", 'Add leaves = "30 % a year", or leave it out.'
        yield Fault((*path, "replaced_after"), found, "needs leavers", mend)


def new_hands_do_not_get_slower(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Whoever is new learns: no week is slower than the one before."""
    for earlier, later in pairwise(crew.new_hands.pace if crew.new_hands is not None else ()):
        if later < earlier:
            found = f"falls from {units.show(earlier, 'fraction')} to {units.show(later, 'fraction')}"
            allowed, mend = "needs a pace that does not fall from week to week", "Put the slowest week first."
            yield Fault((*path, "new_hands", "pace"), found, allowed, mend)
            return


def the_shortest_shift_is_a_shift(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """What whoever comes is paid at least is no longer than what anybody ever works."""
    longest = max((crew.hours[day].end - crew.hours[day].start for day in days_worked(crew)), default=0.0)
    if 0.0 < longest < crew.shortest_shift:
        found = f"is {units.show(crew.shortest_shift, 'h')}, the longest shift {units.show(longest, 'h')}"
        mend = "Make it shorter, or make the shifts longer."
        yield Fault((*path, "shortest_shift"), found, "needs no more than the longest shift", mend)


CREW_RULES = (
    parts_of_the_day_lie_in_a_shift,
    every_part_of_the_day_has_duties,
    weekly_overtime_is_overtime,
    owners_are_not_paid_by_the_hour,
    somebody_may_go,
    leavers_are_replaced,
    new_hands_do_not_get_slower,
    the_shortest_shift_is_a_shift,
)
