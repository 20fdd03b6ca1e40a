"""People's hours. A stretch of work counts in the week in which the shift it belongs to began, and so do paid hours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from farmsim.record.measures.course import FOREVER, Asks, Course, Holds, States, course, spans
from farmsim.record.measures.cuts import added, measured
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import Figures, Numbers, Record

PER = "week, month"
NOTHING = np.empty(0)
NOBODY = Holds(NOTHING, NOTHING, NOTHING, NOTHING)


def counted_at(record: Record) -> Figures:
    """The hour at which each stretch of work counts: the begin of its shift, its own if nobody keeps a rota [h]."""
    shift = record.shift_of_tasks
    begins = np.append(record.figures("rostered", "when"), np.nan)
    return np.where(shift >= 0, begins[shift], record.figures("tasks", "began"))


@measure(
    name="rostered_h",
    unit="h",
    meaning="working hours of the people present, without breaks",
    denominator="none",
    per=PER,
)
def rostered_h(record: Record) -> Flow:
    hours = record.figures("rostered", "people") * record.figures("rostered", "hours")
    return Flow(record.figures("rostered", "when"), hours)


@measure(name="worked_h", unit="h", meaning="hours of work on tasks, overtime included", denominator="none", per=PER)
def worked_h(record: Record) -> Flow:
    return Flow(counted_at(record), record.figures("tasks", "worked"))


@measure(name="overtime_h", unit="h", meaning="hours worked after the shift's end", denominator="none", per=PER)
def overtime_h(record: Record) -> Flow:
    return Flow(counted_at(record), record.figures("tasks", "overtime"))


@measure(
    name="paid_h", unit="h", meaning="rostered hours of the people present and overtime", denominator="none", per=PER
)
def paid_h(record: Record) -> Flow:
    rostered, overtime = rostered_h(record), overtime_h(record)
    return Flow(np.concatenate([rostered.when, overtime.when]), np.concatenate([rostered.amount, overtime.amount]))


class Hours(NamedTuple):
    """A crew's hours of the measured time."""

    rostered: float
    worked: float
    overtime: float


@measure(
    name="use_share",
    unit="share",
    meaning="hours at work on tasks within the shifts",
    denominator="rostered hours of the people present",
    per="crew",
)
def use_share(hours: Hours) -> float:
    return (hours.worked - hours.overtime) / hours.rostered if hours.rostered > 0 else float("nan")


@measure(
    name="all_at_work_share",
    unit="share",
    meaning="all at work, and work waiting: people at work while nobody present is free and a task waits",
    denominator="people present x hours",
    per="crew",
)
def all_at_work_share(seen: States) -> float:
    return seen.waited_for / seen.there if seen.there > 0 else float("nan")


MEASURES = (rostered_h, worked_h, overtime_h, paid_h, use_share, all_at_work_share)


def hours_by_crew(record: Record, flows: Mapping[str, Flow]) -> list[Hours]:
    """The hours of every crew, from the flows of hours rostered, worked and overtime."""
    of_task, of_shift = record.numbers("tasks", "crew"), record.numbers("rostered", "crew")
    crews = len(record.names.crews)
    columns = [_by(record, flows[rostered_h.name], of_shift, crews)]
    columns += [_by(record, flows[one.name], of_task, crews) for one in (worked_h, overtime_h)]
    return [Hours(*(float(column[crew]) for column in columns)) for crew in range(crews)]


def by_duty(record: Record, flows: Mapping[str, Flow]) -> dict[str, list[str] | Figures]:
    """Hours by crew and duty, those that were done."""
    duties = len(record.names.duties)
    pair = record.numbers("tasks", "crew") * duties + record.numbers("tasks", "duty")
    worked, overtime = (
        _by(record, flows[one.name], pair, duties * len(record.names.crews)) for one in (worked_h, overtime_h)
    )
    done = np.flatnonzero(worked > 0)
    return {
        "crew": [record.names.crews[at] for at in done // max(1, duties)],
        "duty": [record.names.duties[at] for at in done % max(1, duties)],
        "hours": worked[done],
        "overtime_h": overtime[done],
    }


def most_present(record: Record, crew: int) -> float:
    """The greatest number of people present in one shift of the measured time."""
    kept = measured(record, record.figures("rostered", "when")) & (record.numbers("rostered", "crew") == crew)
    return float(record.figures("rostered", "people")[kept].max(initial=0.0))


def crew_courses(record: Record) -> list[Course]:
    """The course of every crew within its shifts: people present, at work, and tasks waiting. Overtime is left out."""
    shift = record.shift_of_tasks
    ended = record.figures("tasks", "ended") - record.figures("tasks", "overtime")
    when, hours = record.figures("rostered", "when"), record.figures("rostered", "hours")
    # The journal says how long people work, not how long their break is: they are there until the last of their tasks.
    gone = when + hours
    np.maximum.at(gone, shift[shift >= 0], ended[shift >= 0])
    of_task, of_shift = record.numbers("tasks", "crew"), record.numbers("rostered", "crew")
    people, began, asked = (
        record.figures("rostered", "people"),
        record.figures("tasks", "began"),
        record.figures("tasks", "asked"),
    )
    found = []
    for crew in range(len(record.names.crews)):
        tasks = np.flatnonzero((of_task == crew) & (ended > record.start))
        shifts = np.flatnonzero((of_shift == crew) & (gone > record.start))
        one = np.ones(len(tasks))
        holds = Holds(began[tasks], np.full(len(tasks), FOREVER), ended[tasks], one)
        there = spans(when[shifts], gone[shifts], people[shifts])
        late = began[tasks] > asked[tasks]
        asks = Asks(asked[tasks][late], began[tasks][late], one[late])
        found.append(course(holds, NOBODY, there, asks))
    return found


def _by(record: Record, flow: Flow, group: Numbers, count: int) -> Figures:
    kept = measured(record, flow.when)
    return added(group[kept], flow.amount[kept], count)
