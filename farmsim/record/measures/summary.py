"""All the tables of one run, put together from the measures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
from farmsim.record.measures.standing import courses
from farmsim.record.tables import HOURS_A_WEEK, Figures, Record

Table: TypeAlias = dict[str, list[str] | Figures]
"""A table of results: columns by name, texts as lists, figures as arrays."""
RunTables: TypeAlias = dict[str, Table]


def summarise(record: Record) -> RunTables:
    """Every table of results of one run, measured time only."""
    flows = {flow.name: flow(record) for flow in FLOWS}
    daily, spans = _daily(record, flows), days.spans(record)
    of_places, of_crews = courses(record, record.start), crews.crew_courses(record)
    place_weeks = [places.week_of(course, record.start, record.end) for course in of_places.values()]
    crew_weeks = [places.week_of(course, record.start, record.end) for course in of_crews]
    place_limits, crew_limits = _limits(record, of_places, of_crews)
    return {
        "weekly": _weekly(record, daily),
        "months": _months(record, daily),
        "strains": _strains(record, flows, spans),
        "places": _places(record, of_places, place_weeks) | place_limits,
        "hours_of_week": _hours_of_week(record, of_places, crew_weeks, place_weeks),
        "crews": _crews(record, flows, of_crews, crew_weeks) | crew_limits,
        "places_weeks": _places_weeks(record, of_places),
        "crews_weeks": _by_name(record, "crew", record.names.crews) | crews.week_by_week(record, flows),
        "duties": crews.by_duty(record, flows),
        "strain_hours": of_strains.by_duty(record),
        "losses": losses.by_cause(record),
        "customers": promises.by_customer(record),
        "deliveries": promises.by_round(record, "orders", record.names.customers),
        "block_deliveries": promises.by_round(record, "block_orders", record.names.block_customers),
        "firmness": customers.by_firmness(record),
        "stalls": customers.by_stall(record),
        "customers_left": customers.left(record),
        "shorts": rounds.shorts(record),
        "rounds": rounds.by_name(record),
        "days": days.by_strain(record, spans),
        "checks": _checks(record),
    }


class Daily(NamedTuple):
    """Everything day by day: weeks and months are made of whole days."""

    flows: dict[str, Figures]
    levels: dict[str, tuple[float, Figures]]
    """What there was at the start, and the change on each day."""


def _daily(record: Record, flows: Mapping[str, Flow]) -> Daily:
    levels = {one.name: one(record) for one in LEVELS}
    return Daily(
        {name: by_day(record, flow) for name, flow in flows.items()},
        {name: (level.opening, by_day(record, level.change)) for name, level in levels.items()},
    )


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
