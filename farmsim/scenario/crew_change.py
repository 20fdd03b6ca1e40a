"""What differs between the crews of two farms: in words, and as a change set that makes the one of the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from farmsim import units
from farmsim.scenario import write_figure as write
from farmsim.scenario.averages import days_worked
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.say import Say, days_said, joined
from farmsim.scenario.values import DAYS, Shift


def differences(before: Farm, after: Farm) -> list[str]:
    """What is different about the crews, one phrase each: "pickers 2 people instead of 3"; none when nothing is."""
    say = Say(before.farm.units, before.farm.currency)
    pairs = zip(before.crew, after.crew, strict=True)
    return [phrase for old, new in pairs for phrase in _of_crew(old, new, say)]


def _of_crew(old: Crew, new: Crew, say: Say) -> Iterator[str]:
    name = old.name
    if new.people != old.people:
        yield f"{name} {new.people} {'person' if new.people == 1 else 'people'} instead of {old.people}"
    if new.days != old.days:
        yield f"{name} {_days(new, old)} instead of {_days(old, new)}"
    yield from (f"{name} {phrase}" for phrase in _shifts(old, new, say))
    if new.overtime.at_most != old.overtime.at_most:
        most = [say.amount(crew.overtime.at_most, "h/day") if crew.overtime.at_most else "none" for crew in (new, old)]
        yield (
            f"{name} overtime of at most {most[0]} instead of {most[1]}"
            if new.overtime.at_most
            else f"{name} no overtime"
        )
    more, fewer = ([duty for duty in a.duties if duty not in b.duties] for a, b in ((new, old), (old, new)))
    if more:
        yield f"{name} also {joined(more)}, when their own work is done"
    if fewer:
        yield f"{name} no longer {joined(fewer)}"


def _days(crew: Crew, beside: Crew | None = None) -> str:
    """Days worked; which days those in turn are is left out beside a crew that is there on the same."""
    if isinstance(crew.days, PerWeek):
        is_said = beside is not None and days_worked(beside) == days_worked(crew)
        return f"{crew.days.days} days a week in turn{'' if is_said else f' ({days_said(days_worked(crew))})'}"
    return days_said(list(crew.days))


def _shifts(old: Crew, new: Crew, say: Say) -> Iterator[str]:
    by = {
        round(60 * (_length(new.hours[day]) - _length(shift))) for day, shift in old.hours.items() if day in new.hours
    }
    by -= {0}
    if len(by) == 1:
        minutes = by.pop()
        yield f"shifts {say.amount(abs(minutes) / 60, 'h')} {'longer' if minutes > 0 else 'shorter'}"
    elif by:
        yield f"shifts {say.shifts({day: new.hours[day] for day in days_worked(new)})}"


def _length(shift: Shift) -> float:
    return shift.end - shift.start


def crew_sizes(farm: Farm) -> list[str]:
    """Each crew in a few words: "3 people, Mon to Fri, 06:00 to 13:30"."""
    say = Say(farm.farm.units, farm.farm.currency)
    return [_size(crew, say) for crew in farm.crew]


def _size(crew: Crew, say: Say) -> str:
    people = f"{crew.people} {'person' if crew.people == 1 else 'people'}"
    return f"{people}, {_days(crew)}, {say.shifts({day: crew.hours[day] for day in days_worked(crew)})}"


# --- as a change set ----------------------------------------------------------------------------------


def change_set(before: Farm, after: Farm, based_on: str, name: str) -> str:
    """The text of a change set that makes the crews of one farm those of another; the farms differ in nothing else.

    based_on: the first farm's file, as it is found from where the change set will stand
    """
    lines = [f"based_on = {write.text(based_on)}", f"name     = {write.text(name)}"]
    for old, new in zip(before.crew, after.crew, strict=True):
        figures = dict(_figures(old, new))
        if figures:
            wide = max(map(len, figures))
            lines += ["", f"[change.crew.{write.text(new.name)}]"]
            lines += [f"{key:<{wide}} = {value}" for key, value in figures.items()]
    return "\n".join(lines) + "\n"


def _figures(old: Crew, new: Crew) -> Iterator[tuple[str, str]]:
    if new.people != old.people:
        yield "people", str(new.people)
    if new.days != old.days:
        days = new.days
        yield "days", write.text(f"{days.days} a week, rotating") if isinstance(days, PerWeek) else write.days(days)
    changed = {day: shift for day, shift in new.hours.items() if old.hours.get(day) != shift}
    if changed:
        yield "hours", write.table(_hours(changed))
    for key in ("duties", "fits"):
        if getattr(new, key) != getattr(old, key):
            yield key, f"[{', '.join(map(write.text, getattr(new, key)))}]"
    if new.overtime.at_most != old.overtime.at_most:
        yield "overtime", write.table({"at_most": write.text(units.show(new.overtime.at_most, "h/day"))})


def _hours(shifts: Mapping[str, Shift]) -> dict[str, str]:
    """Shifts by day, days in a row with like shifts as one: { mon-fri = "06:00-13:00" }."""
    found: dict[str, str] = {}
    run: list[str] = []
    for day in (*DAYS, ""):
        if run and (day not in shifts or shifts[day] != shifts[run[-1]]):
            first = shifts[run[0]]
            key = run[0] if len(run) == 1 else f"{run[0]}-{run[-1]}"
            found[key] = write.text(f"{units.show_clock(first.start)}-{units.show_clock(first.end)}")
            run = []
        if day in shifts:
            run.append(day)
    return found
