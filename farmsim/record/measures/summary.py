"""All the tables of one run, put together from the measures."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple, TypeAlias

import numpy as np

from farmsim.record.measures import crews, customers, days, limits, losses, places, promises, rounds
from farmsim.record.measures import strains as of_strains
from farmsim.record.measures.course import Course, states
from farmsim.record.measures.cuts import Periods, at_ends, by_day, by_strain, months, summed, weeks
from farmsim.record.measures.declare import Flow
from farmsim.record.measures.levels import MEASURES as LEVELS
from farmsim.record.measures.places import Week
from farmsim.record.measures.registry import FLOWS
from farmsim.record.measures.residuals import residuals
from farmsim.record.measures.standing import courses_measured
from farmsim.record.tables import HOURS_A_WEEK, Figures, Record, once

Table: TypeAlias = dict[str, list[str] | Figures]
"""A table of results: columns by name, texts as lists, figures as arrays."""
RunTables: TypeAlias = dict[str, Table]


def summarise(record: Record, only: Collection[str] | None = None) -> RunTables:
    """Tables of results of one run, measured time only.

    only: names of those that are wanted, which take less work than all of them; None for all
    """
    run = _Run(record)
    return {name: table(run) for name, table in TABLES.items() if only is None or name in only}


class _Run:
    """A run's record and what several of its tables are made of, each worked out when the first of them asks."""

    def __init__(self, record: Record) -> None:
        self.record = record

    @cached_property
    def flows(self) -> dict[str, Flow]:
        return _flows(self.record)

    @cached_property
    def daily(self) -> Daily:
        return _daily(self.record, self.flows)

    @cached_property
    def spans(self) -> Sequence[days.Span]:
        return days.spans(self.record)

    @cached_property
    def of_places(self) -> Mapping[int, Course]:
        return courses_measured(self.record)

    @cached_property
    def of_crews(self) -> Sequence[Course]:
        return crews.crew_courses(self.record)

    @cached_property
    def place_weeks(self) -> list[Week]:
        return [places.week_of(course, self.record.start, self.record.end) for course in self.of_places.values()]

    @cached_property
    def crew_weeks(self) -> list[Week]:
        return [places.week_of(course, self.record.start, self.record.end) for course in self.of_crews]

    @cached_property
    def limits(self) -> tuple[Table, Table]:
        return _limits(self.record, self.of_places, self.of_crews)


@once
def _flows(record: Record) -> dict[str, Flow]:
    return {flow.name: flow(record) for flow in FLOWS}


class Daily(NamedTuple):
    """Everything day by day: weeks and months are made of whole days."""

    flows: dict[str, Figures]
    levels: dict[str, tuple[float, Figures]]
    """What there was at the start, and the change on each day."""


def _daily(record: Record, flows: Mapping[str, Flow]) -> Daily:
    levels = {one.name: one(record) for one in LEVELS}
    daily = Daily(
        {name: by_day(record, flow) for name, flow in flows.items()},
        {name: (level.opening, by_day(record, level.change)) for name, level in levels.items()},
    )
    record.cut.days.clear()  # all moments were put into their days here, and nobody asks for it again
    return daily


def _by_period(daily: Daily, periods: Periods) -> Table:
    sums: Table = {name: summed(amounts, periods) for name, amounts in daily.flows.items()}
    return sums | {name: at_ends(opening, change, periods) for name, (opening, change) in daily.levels.items()}


def _weekly(record: Record, daily: Daily) -> Table:
    """One row for each measured week; the first is week 1."""
    periods = weeks(record)
    return {"week": np.arange(1.0, len(periods.first) + 1), **_by_period(daily, periods)}


def _months(record: Record, daily: Daily) -> Table:
    """One row for each calendar month, with how many of its days lie in the measured time."""
    periods = months(record)
    return {"month": periods.labels, "days": periods.days, **_by_period(daily, periods)}


def _strains(record: Record, flows: Mapping[str, Flow], spans: Sequence[days.Span]) -> Table:
    """One row for each strain: all that passed in the measured time, and the days from start to first pick."""
    sums: Table = {name: by_strain(record, flow) for name, flow in flows.items() if flow.strain is not None}
    first_pick = next(span for span in spans if span.name == days.TO_FIRST_PICK)
    taken = [days.days_of(record, first_pick, number) for number in range(len(record.names.strains))]
    until_picked: Table = {f"first_pick_{one.name}": np.array([one(each) for each in taken]) for one in days.MEASURES}
    shelf_weeks: Table = {of_strains.shelf_weeks.name: of_strains.shelf_weeks(record)}
    return {"strain": list(record.names.strains), **sums, **shelf_weeks, **until_picked}


def _places(record: Record, of_places: Mapping[int, Course], weeks: Sequence[Week]) -> Table:
    """One row for each place; shelf places promised to lots on their way are in the row of their room."""
    named = [record.names.places[number] for number in of_places]
    seen = [states(course, record.start, record.end) for course in of_places.values()]
    waited = places.waited_at(record)
    busiest = [places.busiest(week.used) for week in weeks]
    return {
        "place": [name for name, _, _ in named],
        "kind": [kind for _, kind, _ in named],
        "unit": [unit for _, _, unit in named],
        **{one.name: np.array([one(each) for each in seen]) for one in (*places.SIZES, *places.SHARES)},
        "busiest_hour": [hour for hour, _ in busiest],
        "busiest_used_share": np.array([share for _, share in busiest]),
        **{one.name: np.array([one(waited[number]) for number in of_places]) for one in places.WAITS},
    }


def _crews(record: Record, flows: Mapping[str, Flow], of_crews: Sequence[Course], weeks: Sequence[Week]) -> Table:
    """One row for each crew."""
    hours = crews.hours_by_crew(record, flows)
    seen = [states(course, record.start, record.end) for course in of_crews]
    busiest = [places.busiest(week.used) for week in weeks]
    return {
        "crew": list(record.names.crews),
        "most_present": np.array([crews.most_present(record, number) for number in range(len(hours))]),
        "rostered_h": np.array([each.rostered for each in hours]),
        "worked_h": np.array([each.worked for each in hours]),
        "overtime_h": np.array([each.overtime for each in hours]),
        "paid_h": np.array([each.paid for each in hours]),
        "overtime_paid_h": np.array([each.overtime_paid for each in hours]),
        "use_share": np.array([crews.use_share(each) for each in hours]),
        "all_at_work_share": np.array([crews.all_at_work_share(each) for each in seen]),
        "busiest_hour": [hour for hour, _ in busiest],
        "busiest_used_share": np.array([share for _, share in busiest]),
    }


def _places_weeks(record: Record, of_places: Mapping[int, Course]) -> Table:
    """One row for each place and week."""
    seen = [places.week_by_week(course, record.start, record.end) for course in of_places.values()]
    columns = zip(places.Weekly._fields, zip(*seen, strict=True), strict=True) if seen else ()
    told: Table = {name: np.empty(0) for name in places.Weekly._fields}
    told |= {name: np.concatenate(values) for name, values in columns}
    return _by_name(record, "place", [record.names.places[number][0] for number in of_places]) | told


def _by_name(record: Record, what: str, names: Sequence[str]) -> Table:
    """Names and weeks of a table with a row for each of both, the weeks of one name under one another."""
    numbers = np.arange(1.0, record.weeks + 1)
    return {what: [name for name in names for _ in numbers], "week": np.tile(numbers, len(names))}


def _limits(record: Record, of_places: Mapping[int, Course], of_crews: Sequence[Course]) -> tuple[Table, Table]:
    """How long each place and each crew was active and held the others up; they are looked at together."""
    active = [limits.of_place(course, record.start, record.end) for course in of_places.values()]
    active += [limits.of_crew(course, record.start, record.end) for course in of_crews]
    seen = limits.evidence(active, record.start, record.end)
    every = {one.name: np.array([one(each) for each in seen]) for one in limits.MEASURES}
    count = len(of_places)
    return {name: found[:count] for name, found in every.items()}, {
        name: found[count:] for name, found in every.items()
    }


def _hours_of_week(
    record: Record, of_places: Mapping[int, Course], of_crews: Sequence[Week], weeks: Sequence[Week]
) -> Table:
    """168 rows for each place and each crew, hour 0 is Monday 00:00."""
    names = [record.names.places[number][0] for number in of_places] + list(record.names.crews)
    every = [*weeks, *of_crews]
    what = ["place"] * len(weeks) + ["crew"] * len(of_crews)
    return {
        "what": [one for one in what for _ in range(HOURS_A_WEEK)],
        "name": [one for one in names for _ in range(HOURS_A_WEEK)],
        "hour": np.tile(np.arange(float(HOURS_A_WEEK)), len(every)),
        "used": np.concatenate([week.used for week in every] or [np.empty(0)]),
        "full_waiting": np.concatenate([week.waited_for for week in every] or [np.empty(0)]),
        "done_no_place": np.concatenate([week.stuck for week in every] or [np.empty(0)]),
    }


def _checks(record: Record) -> Table:
    """One row for each sum that must come to nothing, strain by strain."""
    found = residuals(record)
    return {
        "check": [each.check for each in found],
        "unit": [each.unit for each in found],
        "strain": [each.strain for each in found],
        "residual": np.array([each.left for each in found]),
    }


TABLES: Mapping[str, Callable[[_Run], Table]] = {
    "weekly": lambda run: _weekly(run.record, run.daily),
    "months": lambda run: _months(run.record, run.daily),
    "strains": lambda run: _strains(run.record, run.flows, run.spans),
    "places": lambda run: _places(run.record, run.of_places, run.place_weeks) | run.limits[0],
    "hours_of_week": lambda run: _hours_of_week(run.record, run.of_places, run.crew_weeks, run.place_weeks),
    "crews": lambda run: _crews(run.record, run.flows, run.of_crews, run.crew_weeks) | run.limits[1],
    "places_weeks": lambda run: _places_weeks(run.record, run.of_places),
    "crews_weeks": lambda run: (
        _by_name(run.record, "crew", run.record.names.crews) | crews.week_by_week(run.record, run.flows)
    ),
    "duties": lambda run: crews.by_duty(run.record, run.flows),
    "strain_hours": lambda run: of_strains.by_duty(run.record),
    "losses": lambda run: losses.by_cause(run.record),
    "customers": lambda run: promises.by_customer(run.record),
    "deliveries": lambda run: promises.by_round(run.record, "orders", run.record.names.customers),
    "block_deliveries": lambda run: promises.by_round(run.record, "block_orders", run.record.names.block_customers),
    "firmness": lambda run: customers.by_firmness(run.record),
    "stalls": lambda run: customers.by_stall(run.record),
    "customers_left": lambda run: customers.left(run.record),
    "shorts": lambda run: rounds.shorts(run.record),
    "rounds": lambda run: rounds.by_name(run.record),
    "days": lambda run: days.by_strain(run.record, run.spans),
    "checks": lambda run: _checks(run.record),
}
"""How each table of a run is made, in the order in which they are written."""
