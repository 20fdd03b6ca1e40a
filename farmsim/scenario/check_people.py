"""Rules about crews: shifts and breaks that can be worked, and somebody for every duty."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario import check_terms
from farmsim.scenario.averages import days_worked
from farmsim.scenario.check_rounds import is_packed_to_order
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed
from farmsim.scenario.part import NotKnown
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.staffing import duty_hours_of
from farmsim.scenario.values import DAYS
from farmsim.units import HOURS_A_DAY, HOURS_A_WEEK

Path = tuple[str | int, ...]


def working_days_have_shifts(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Every day a crew works has its hours."""
    if isinstance(crew.days, PerWeek):
        if crew.days.days > len(crew.hours):
            found = f"{crew.days.days} days a week, but shifts on {len(crew.hours)}"
            yield Fault((*path, "days"), found, "needs a shift for each of them", "Give hours for more days.")
        return
    for day in crew.days:
        if day not in crew.hours:
            mend = f'Add {day} = "06:00-14:00" to hours, or leave {day} out of days.'
            yield Fault((*path, "days"), f"works on {day} without a shift", "needs hours for each of its days", mend)


def breaks_fit_their_shift(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """A break is shorter than the shift and lies within it."""
    for day in days_worked(crew):
        shift = crew.hours[day]
        length = shift.end - shift.start
        if crew.break_ >= length:
            found = f"a break of {units.show(crew.break_, 'h')} in a shift of {units.show(length, 'h')} on {day}"
            yield Fault((*path, "break"), found, "needs a break shorter than the shift", "Make it shorter.")
            return
        if crew.break_ and crew.break_at is not None and not _holds(shift.start, shift.end, crew.break_at, crew.break_):
            found = f"a break at {units.show_clock(crew.break_at)} lies outside the shift on {day}"
            mend = "Move it, or leave break_at out for the middle of the shift."
            yield Fault((*path, "break_at"), found, "needs a break within every shift", mend)
            return


def _holds(start: float, end: float, at: float, length: float) -> bool:
    return any(start <= at + day and at + day + length <= end for day in (0.0, HOURS_A_DAY))


def shifts_do_not_overlap(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """A night shift ends before the next day's begins."""
    for at, day in enumerate(DAYS):
        after = DAYS[(at + 1) % 7]
        if day in crew.hours and after in crew.hours and crew.hours[day].end - HOURS_A_DAY > crew.hours[after].start:
            found = f"the shift of {day} ends after that of {after} has begun"
            yield Fault(
                (*path, "hours"), found, "needs one shift after the other", "End it sooner, or begin the next later."
            )
            return


def duties_that_must_fit_are_duties(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Only a duty of the crew can be begun by it at all."""
    for at, duty in enumerate(crew.fits):
        if duty not in crew.all_duties:
            mend = f'Add "{duty}" to duties, or leave it out of fits.'
            yield Fault((*path, "fits", at), f'"{duty}" is not one of its duties', "needs duties of this crew", mend)


def overtime_leaves_a_night(farm: Farm, crew: Crew, path: Path) -> Iterator[Fault]:
    """Shift and overtime together leave the day an end."""
    longest = max((shift.end - shift.start for shift in crew.hours.values()), default=0.0)
    if longest + crew.overtime.at_most > HOURS_A_DAY:
        found = f"shift and overtime come to {units.show(longest + crew.overtime.at_most, 'h')} a day"
        yield Fault((*path, "overtime", "at_most"), found, "needs at most 24 h a day", "Allow less overtime.")


def somebody_does(farm: Farm, duty: str, why: str) -> Iterator[Fault]:
    """What the farm has to do is the duty of some crew that ever comes."""
    crews = [crew for crew in farm.crew if duty in crew.all_duties]
    if not any(duty_hours_of(crew, day, duty) for crew in crews for day in days_worked(crew)):
        mend = f'Add "{duty}" to the duties of a crew.' if farm.crew else "Add a [[crew]] with this duty."
        yield Fault(("crew",), f'nobody does "{duty}"', f"needs a crew for it: {why}", mend, misses=("crew",))


def _wanted(farm: Farm) -> Iterator[tuple[str, str]]:
    """Each duty somebody must do, and what for."""
    if any(line.made == "here" for line in farm.start):
        if farm.mix is not None:
            yield "mix", "blocks are mixed and bagged here"
        yield "inoculate", "blocks are inoculated here"
    if farm.incubation.inspect is not None:
        yield "inspect", "the racks are inspected"
    started = [farm.strain[line.strain] for line in farm.start if line.strain in farm.strain]
    if any("soak" in strain.steps or strain.flushes.soak_again for strain in started):
        yield "soak", "blocks are soaked"
    if started:
        yield from (("open", "blocks are opened"), ("pick", "mushrooms are picked"))
        yield from (("pack", "mushrooms are packed"), ("clear", "spent blocks are cleared"))
    emptied = [room.name for room in farm.room if isinstance(room.clean, RoomEmptied)]
    if emptied:
        yield "clean", f"{listed(emptied)} is cleaned when empty"
    boxed = [customer.name for customer in farm.block_customer if customer.boxing is not None]
    if boxed:
        yield "box", f"blocks for {listed(boxed)} are boxed"
    outlets = [each for each in farm.customer if each.kind == "outlet"]  # drying elsewhere is a fault of its own
    dried = [each.name for each in outlets if each.dries is not None and each.dries.pace is not None]
    if dried:
        yield "dry", f"{listed(dried)} has mushrooms laid out to dry"
    forms = [customer.name for customer in farm.customer if is_packed_to_order(customer)]
    if forms:
        yield "pack orders", f"the orders of {listed(forms)} are packed in a form of their own"
    if farm.round:
        yield "deliver", f"{listed([each.name for each in farm.round])} is driven"
    if farm.chore:
        yield "chores", f"{listed([chore.name for chore in farm.chore])} is to be done"


def a_soak_can_end_in_the_morning(farm: Farm) -> Iterator[Fault]:
    """Tanks are filled in a shift only if the next morning's shift begins within the soak's most."""
    shifts = sorted(
        (DAYS.index(day) * HOURS_A_DAY + begin, DAYS.index(day) * HOURS_A_DAY + end)
        for crew in farm.crew
        for day in days_worked(crew)
        for begin, end in duty_hours_of(crew, day, "soak")
    )
    for name in {line.strain: None for line in farm.start if line.strain in farm.strain}:
        soak = farm.strain[name].soak
        if soak is None or not shifts or soak.least > soak.most:
            continue
        if not any(_ends_in_time(begin, shifts, soak.least, soak.most) for begin in shifts):
            found = f"no tank that is filled in a shift can be emptied within {units.show(soak.most, 'h')}"
            mend = "Allow a longer soak, or give somebody with the duty a shift the morning after."
            yield Fault(("strain", name, "soak", "most"), found, "needs a shift to empty it in", mend)


def _ends_in_time(filled: tuple[float, float], shifts: list[tuple[float, float]], least: float, most: float) -> bool:
    """Whether some moment of a shift is followed by working time between least and most later."""
    week = [(start + turn, end + turn) for turn in (0.0, HOURS_A_WEEK) for start, end in shifts]
    return any(start <= filled[1] + most and end >= filled[0] + least for start, end in week)


CREW_RULES = (
    working_days_have_shifts,
    breaks_fit_their_shift,
    shifts_do_not_overlap,
    duties_that_must_fit_are_duties,
    overtime_leaves_a_night,
    *check_terms.CREW_RULES,
)


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about people, asked of every crew."""
    with suppress(NotKnown):
        for at, crew in enumerate(farm.crew):
            yield from (rule(farm, crew, ("crew", at)) for rule in CREW_RULES)
    with suppress(NotKnown):
        yield from (somebody_does(farm, duty, why) for duty, why in list(_wanted(farm)))
    yield a_soak_can_end_in_the_morning(farm)
