"""People's hours. A stretch of work counts in the week in which the shift it belongs to began, and so do paid hours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from farmsim.record.measures.course import FOREVER, NOTHING, Asks, Course, Holds, States, Steps, course, spans
from farmsim.record.measures.cuts import added, measured
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import HOURS_A_WEEK, Figures, Flags, Numbers, Record, once

PER = "week, month"
OR_A_CREW = "week, month, crew, crew and week"
NOBODY = Holds(NOTHING, NOTHING, NOTHING, NOTHING)


@once
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
    per=OR_A_CREW,
)
def rostered_h(record: Record) -> Flow:
    hours = record.figures("rostered", "people") * record.figures("rostered", "hours")
    return Flow(record.figures("rostered", "when"), hours)


@measure(
    name="worked_h", unit="h", meaning="hours of work on tasks, overtime included", denominator="none", per=OR_A_CREW
)
def worked_h(record: Record) -> Flow:
    return Flow(counted_at(record), record.figures("tasks", "worked"))


@measure(name="overtime_h", unit="h", meaning="hours worked after the shift's end", denominator="none", per=PER)
def overtime_h(record: Record) -> Flow:
    return Flow(counted_at(record), record.figures("tasks", "overtime"))


@measure(
    name="sent_home_h",
    unit="h",
    meaning="rostered hours of people who came and had gone home: nothing waited, or their hours of the week were used up",
    denominator="none",
    per=PER,
)
def sent_home_h(record: Record) -> Flow:
    return Flow(_of_persons(record, "when"), _of_persons(record, "hours") - _of_persons(record, "stayed"))


@measure(
    name="paid_h",
    unit="h",
    meaning="hours paid by the hour: rostered hours of the people present and overtime; of those sent home, the hours "
    "they were there or their shortest shift; none of those who work as owner",
    denominator="none",
    per=PER,
)
def paid_h(record: Record) -> Flow:
    return _together(paid_in_shifts(record).hours, paid_as_overtime(record).hours)


@measure(
    name="overtime_paid_h",
    unit="h",
    meaning="of the hours paid, those paid as overtime: above a crew's hours a week, person by person; where none are "
    "given, those worked after the shift's end",
    denominator="none",
    per=PER,
)
def overtime_paid_h(record: Record) -> Flow:
    return paid_as_overtime(record).hours


@measure(
    name="owner_h",
    unit="h",
    meaning="hours at work of owner and family, not paid by the hour",
    denominator="none",
    per=PER,
)
def owner_h(record: Record) -> Flow:
    return Flow(_of_persons(record, "when"), _of_persons(record, "owned"))


class Paid(NamedTuple):
    """Hours that are paid, with the crew of each amount."""

    hours: Flow
    crew: Numbers


@once
def paid_in_shifts(record: Record) -> Paid:
    """Hours paid, those paid as overtime left out: hours rostered, and what is paid otherwise of persons told one by one."""
    otherwise = _of_persons(record, "paid") - _of_persons(record, "extra") - _of_persons(record, "hours")
    return _with_persons(record, rostered_h(record), "rostered", otherwise)


@once
def paid_as_overtime(record: Record) -> Paid:
    """Hours paid as overtime: those past the shift's end, and what is paid otherwise of persons told one by one."""
    otherwise = _of_persons(record, "extra") - _of_persons(record, "overtime")
    return _with_persons(record, overtime_h(record), "tasks", otherwise)


def _with_persons(record: Record, hours: Flow, table: str, otherwise: Figures) -> Paid:
    crew = [record.numbers(name, "crew") for name in (table, "attended")]
    return Paid(_together(hours, Flow(_of_persons(record, "when"), otherwise)), np.concatenate(crew))


def _of_persons(record: Record, column: str) -> Figures:
    """A column of the shifts that are told person by person."""
    return record.figures("attended", column)


def _together(*flows: Flow) -> Flow:
    return Flow(np.concatenate([flow.when for flow in flows]), np.concatenate([flow.amount for flow in flows]))


class Hours(NamedTuple):
    """A crew's hours of the measured time."""

    rostered: float
    worked: float
    overtime: float
    sent_home: float = 0.0
    paid: float = 0.0
    overtime_paid: float = 0.0


@measure(
    name="use_share",
    unit="share",
    meaning="hours at work on tasks within the shifts",
    denominator="rostered hours of the people present, less those of people who had gone home",
    per="crew",
)
def use_share(hours: Hours) -> float:
    there = hours.rostered - hours.sent_home
    return (hours.worked - hours.overtime) / there if there > 0 else float("nan")


@measure(
    name="all_at_work_share",
    unit="share",
    meaning="all at work, and work waiting: people at work while nobody present is free and a task waits",
    denominator="people present x hours",
    per="crew",
)
def all_at_work_share(seen: States) -> float:
    return seen.waited_for / seen.there if seen.there > 0 else float("nan")


MEASURES = (
    rostered_h,
    worked_h,
    overtime_h,
    sent_home_h,
    paid_h,
    overtime_paid_h,
    owner_h,
    use_share,
    all_at_work_share,
)


def hours_by_crew(record: Record, flows: Mapping[str, Flow]) -> list[Hours]:
    """The hours of every crew: rostered, worked, overtime, of whom was sent home, paid, and of these paid as overtime."""
    of_task, of_shift = record.numbers("tasks", "crew"), record.numbers("rostered", "crew")
    crews = len(record.names.crews)
    columns = [_by(record, flows[rostered_h.name], of_shift, crews)]
    columns += [_by(record, flows[one.name], of_task, crews) for one in (worked_h, overtime_h)]
    columns += [_by(record, flows[sent_home_h.name], record.numbers("attended", "crew"), crews)]
    in_shifts, as_overtime = (_by(record, *paid, crews) for paid in (paid_in_shifts(record), paid_as_overtime(record)))
    columns += [in_shifts + as_overtime, as_overtime]
    return [Hours(*(float(column[crew]) for column in columns)) for crew in range(crews)]


def week_by_week(record: Record, flows: Mapping[str, Flow]) -> dict[str, Figures]:
    """Hours of work and rostered hours of every crew in every week of the measured time, crew by crew."""
    of_task, of_shift = record.numbers("tasks", "crew"), record.numbers("rostered", "crew")
    return {
        one.name: _by_week(record, flows[one.name], crew) for one, crew in ((worked_h, of_task), (rostered_h, of_shift))
    }


def _by_week(record: Record, flow: Flow, crew: Numbers) -> Figures:
    kept = measured(record, flow.when)
    week = ((flow.when[kept] - record.start) // HOURS_A_WEEK).astype(np.int64)
    return added(crew[kept] * record.weeks + week, flow.amount[kept], len(record.names.crews) * record.weeks)


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
    return [_crew_course(each, record.start, record.end) for each in _at_work(record)]


class AtWork(NamedTuple):
    """All tasks of a crew, its shifts, and who went home early."""

    began: Figures
    ended: Figures
    asked: Figures
    when: Figures
    gone: Figures
    people: Figures
    early: Steps


@once
def _at_work(record: Record) -> list[AtWork]:
    """Every crew in all the run's time."""
    shift = record.shift_of_tasks
    began, asked = record.figures("tasks", "began"), record.figures("tasks", "asked")
    ended = record.figures("tasks", "ended") - record.figures("tasks", "overtime")
    when, people = record.figures("rostered", "when"), record.figures("rostered", "people")
    # The journal says how long people work, not how long their break is: they are there until the last of their tasks.
    gone = when + record.figures("rostered", "hours")
    np.maximum.at(gone, shift[shift >= 0], ended[shift >= 0])
    early = _gone_early(record, gone)
    of_task, of_shift, of_early = (record.numbers(name, "crew") for name in ("tasks", "rostered", "attended"))
    found = []
    for crew in range(len(record.names.crews)):
        tasks, shifts = np.flatnonzero(of_task == crew), np.flatnonzero(of_shift == crew)
        left = _missing(early, of_early == crew)
        found.append(AtWork(began[tasks], ended[tasks], asked[tasks], when[shifts], gone[shifts], people[shifts], left))
    return found


def _crew_course(crew: AtWork, start: float, end: float) -> Course:
    """The course of one crew, right between two moments."""
    tasks = np.flatnonzero((crew.ended > start) & (crew.asked <= end))
    shifts = np.flatnonzero((crew.gone > start) & (crew.when <= end))
    began, asked, one = crew.began[tasks], crew.asked[tasks], np.ones(len(tasks))
    holds = Holds(began, np.full(len(tasks), FOREVER), crew.ended[tasks], one)
    there = spans(crew.when[shifts], crew.gone[shifts], crew.people[shifts])
    there = Steps(*(np.concatenate(both) for both in zip(there, crew.early, strict=True)))
    late = began > asked
    return course(holds, NOBODY, there, Asks(asked[late], began[late], one[late]))


class Early(NamedTuple):
    """Those who went home before the others of their shift; nobody else."""

    gone: Figures
    others: Figures
    """When the others go [h]."""


def _gone_early(record: Record, gone: Figures) -> Early:
    """For each shift told person by person: when the person went, and when the others did.

    gone: when the last of each shift went [h]
    """
    shift = shift_of_persons(record)
    left = np.where(_of_persons(record, "stayed") < _of_persons(record, "hours"), _of_persons(record, "gone"), np.inf)
    return Early(np.minimum(left, gone[shift]), gone[shift])


def _missing(early: Early, kept: Flags) -> Steps:
    """Those who had gone, as steps of people present."""
    kept = kept & (early.gone < early.others)
    return spans(early.gone[kept], early.others[kept], -np.ones(int(kept.sum())))


@once
def shift_of_persons(record: Record) -> Numbers:
    """Row in "rostered" of each shift that is told person by person."""
    told = _of_persons(record, "when").tolist()
    if not told:
        return np.empty(0, dtype=np.int64)
    crew, when = record.numbers("rostered", "crew").tolist(), record.figures("rostered", "when").tolist()
    row = {pair: at for at, pair in enumerate(zip(crew, when, strict=True))}
    pairs = zip(record.numbers("attended", "crew").tolist(), told, strict=True)
    return np.array([row[pair] for pair in pairs], dtype=np.int64)


@once
def person_shift_of_tasks(record: Record) -> Numbers:
    """Row in "attended" of the person's shift each stretch of work belongs to; -1: not told person by person."""
    tasks, told = record.shift_of_tasks, shift_of_persons(record)
    if not len(told):
        return np.full(len(tasks), -1)
    person, worker = record.numbers("attended", "person"), record.numbers("tasks", "person")
    people = 1 + max(int(person.max()), int(worker.max(initial=0)))
    names, workers = told * people + person, tasks * people + worker
    order = np.argsort(names)
    at = np.minimum(np.searchsorted(names[order], workers), len(names) - 1)
    return np.where((tasks >= 0) & (names[order][at] == workers), order[at], -1)


def _by(record: Record, flow: Flow, group: Numbers, count: int) -> Figures:
    kept = measured(record, flow.when)
    return added(group[kept], flow.amount[kept], count)
