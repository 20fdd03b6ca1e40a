"""People read back as plain sentences: who works when, at what, and on which terms."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim import units
from farmsim.scenario import averages
from farmsim.scenario.people import MAY_GO, Chore, Crew, PerWeek
from farmsim.scenario.say import Say, days_said, joined
from farmsim.scenario.staffing import filled_share, is_called_last, is_owner, pace_share


def crew_sentence(crew: Crew, say: Say) -> str:
    people = f"{crew.people} {'person' if crew.people == 1 else 'people'}"
    working = averages.days_worked(crew)
    when = (
        f"{crew.days.days} days a week each, days off in turn" if isinstance(crew.days, PerWeek) else days_said(working)
    )
    rest = f", {say.amount(crew.break_, 'h')} of it break" if crew.break_ else ""
    rest += f" at {say.clock(crew.break_at)}" if crew.break_ and crew.break_at is not None else ""
    shifts = say.shifts({day: crew.hours[day] for day in working})
    text = f"{crew.name}: {people}, {when}, {shifts}{rest}. First {', then '.join(crew.duties)}."
    for part in crew.by_hour:
        text += f" From {say.clock(part.from_)} on first {', then '.join(part.duties)}."
    return text + "".join(_terms(crew, say))


def _terms(crew: Crew, say: Say) -> Iterator[str]:
    if crew.fits:
        yield f" Begin only if it fits before the end of the shift: {joined(list(crew.fits))}."
    if crew.wage is not None:
        yield f" {say.amount(crew.wage, 'currency/h')} each."
    if crew.absence:
        yield f" {say.amount(crew.absence, 'fraction')} of their days are missed."
    yield from _overtime(crew, say)
    yield from _pay(crew, say)
    yield from _going_home(crew)
    yield from _new_people(crew, say)


def _overtime(crew: Crew, say: Say) -> Iterator[str]:
    overtime = crew.overtime
    if overtime.at_most:
        week = overtime.at_most_a_week
        by_week = f" and {say.amount(week, 'h/week')} each" if week is not None else ""
        yield f" Overtime of at most {say.amount(overtime.at_most, 'h/day')}{by_week} to finish what is in hand."
    if overtime.after is not None:
        yield f" What is more than {say.amount(overtime.after, 'h/week')} each is paid as overtime."


def _pay(crew: Crew, say: Say) -> Iterator[str]:
    if crew.shortest_shift:
        yield f" Whoever comes is paid at least {say.amount(crew.shortest_shift, 'h')}."
    if is_owner(crew):
        most = f", at most {say.amount(crew.at_most_hours, 'h/week')} each" if crew.at_most_hours is not None else ""
        yield f" Their hours at work are the owner's: counted apart and not paid{most}."
    if is_called_last(crew):
        yield " They are called last: only for work that nobody of another crew is free to begin."


def _going_home(crew: Crew) -> Iterator[str]:
    if crew.may_go == MAY_GO[0]:
        return
    stay = f"{crew.stay} of them {'stays' if crew.stay == 1 else 'stay'} to the end" if crew.stay else "nobody stays on"
    yield f" They go home when nothing waits; {stay} for what comes up later in the day."


def _new_people(crew: Crew, say: Say) -> Iterator[str]:
    if crew.new_hands is not None:
        paces = [say.amount(pace, "fraction") for pace in crew.new_hands.pace]
        weeks = "week" if len(paces) == 1 else f"{len(paces)} weeks"
        yield f" New people work at {joined(paces)} of the pace in their first {weeks}."
    if crew.leaves:
        weeks = say.amount(crew.replaced_after, "weeks")
        there = units.number(crew.people * filled_share(crew), 3)
        text = f" {say.amount(crew.leaves, 'fraction/year')} leave and are replaced after {weeks}: {there} are there"
        text += " on average"
        if pace_share(crew) < 1:
            as_many = units.number(crew.people * filled_share(crew) * pace_share(crew), 3)
            text += f", who do as much as {as_many} who know the work"
        yield f"{text}."


def chore_sentence(chore: Chore, say: Say) -> str:
    whose = "one person" if chore.people == 1 else f"{chore.people} people, each"
    begin = f", from {say.clock(chore.begin)} on" if chore.begin else ""
    return f"{chore.name}: {say.amount(chore.takes, 'h')} of {whose} on {days_said(chore.days)}{begin}."
