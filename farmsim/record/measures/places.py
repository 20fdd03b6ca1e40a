"""Places: how full they were, what waited for them, and what only kept them because it had nowhere to go.

The shares are shares of place-hours (places there are x hours). Used places are split into: full, and lots waiting;
full, nothing waits; done, but no place to go; and the rest, in use with room left. What is not used is promised
or idle.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from farmsim.record.measures.course import Course, States, by_week, hour_of_week
from farmsim.record.measures.cuts import measured, quantile
from farmsim.record.measures.declare import measure
from farmsim.record.measures.promises import DAYS
from farmsim.record.measures.standing import came_late, to_shelf
from farmsim.record.tables import HOURS_A_WEEK, Figures, Numbers, Record, once

PER = "place"
OR_A_WEEK = "place, place and week"
OF = "places there are x hours of the measured time"


def _share(hours: float, seen: States) -> float:
    return hours / seen.there if seen.there > 0 else float("nan")


@measure(
    name="used_share",
    unit="share",
    meaning="places with a lot in them, whatever it does there",
    denominator=OF,
    per=OR_A_WEEK,
)
def used_share(seen: States) -> float:
    return _share(seen.used, seen)


@measure(
    name="full_lots_waiting_share",
    unit="share",
    meaning="full, and lots waiting: places in use while the lot that has waited longest does not fit into the rest",
    denominator=OF,
    per=PER,
)
def full_lots_waiting_share(seen: States) -> float:
    return _share(seen.waited_for, seen)


@measure(
    name="full_nothing_waits_share",
    unit="share",
    meaning="full, nothing waits: places in use while one more lot of the usual size (the median) would not fit, "
    "and none waits for want of room",
    denominator=OF,
    per=PER,
)
def full_nothing_waits_share(seen: States) -> float:
    return _share(seen.full, seen)


@measure(
    name="room_left_share",
    unit="share",
    meaning="in use, room left: places in use while one more lot would fit",
    denominator=OF,
    per=PER,
)
def room_left_share(seen: States) -> float:
    return _share(seen.used - seen.stuck - seen.waited_for - seen.full, seen)


@measure(
    name="done_no_place_share",
    unit="share",
    meaning="done, but no place to go: places kept by lots that have no more to do there",
    denominator=OF,
    per=PER,
)
def done_no_place_share(seen: States) -> float:
    return _share(seen.stuck, seen)


@measure(
    name="booked_share",
    unit="share",
    meaning="promised: shelf places kept free for lots on their way",
    denominator=OF,
    per=PER,
)
def booked_share(seen: States) -> float:
    return _share(seen.booked, seen)


@measure(name="idle_share", unit="share", meaning="idle: places neither used nor promised", denominator=OF, per=PER)
def idle_share(seen: States) -> float:
    return _share(seen.idle, seen)


@measure(
    name="hours_waiting_share",
    unit="share",
    meaning="hours in which it was full and lots waited, however many places it has",
    denominator="hours of the measured time",
    per=OR_A_WEEK,
)
def hours_waiting_share(seen: States) -> float:
    return seen.time_waited_for / seen.time if seen.time > 0 else float("nan")


@measure(
    name="used_mean",
    unit="places",
    meaning="places used on average: all stays together, cut at the ends of the measured time, by its length",
    denominator="hours of the measured time",
    per=PER,
)
def used_mean(seen: States) -> float:
    return seen.used / 1000.0 / seen.time if seen.time > 0 else float("nan")


@measure(
    name="capacity",
    unit="places",
    meaning="places there are, on average",
    denominator="hours of the measured time",
    per=OR_A_WEEK,
)
def capacity(seen: States) -> float:
    return seen.there / 1000.0 / seen.time if seen.time > 0 else float("nan")


SHARES = (
    used_share,
    full_lots_waiting_share,
    full_nothing_waits_share,
    room_left_share,
    done_no_place_share,
    booked_share,
    idle_share,
    hours_waiting_share,
)


@measure(name="waits_n", unit="lots", meaning="lots that did not come at once", denominator="none", per=PER)
def waits_n(waited: Figures) -> float:
    return float(len(waited))


@measure(
    name="waits_mean_h",
    unit="h",
    meaning="from asking for a place to coming in, mean of those that did not come at once",
    denominator="lots that did not come at once",
    per=PER,
)
def waits_mean_h(waited: Figures) -> float:
    return float(waited.mean()) if len(waited) else float("nan")


@measure(
    name="waits_p90_h",
    unit="h",
    meaning="9 of 10 that did not come at once waited less",
    denominator="lots that did not come at once",
    per=PER,
)
def waits_p90_h(waited: Figures) -> float:
    return quantile(waited, 0.9)


SIZES = (capacity, used_mean)
WAITS = (waits_n, waits_mean_h, waits_p90_h)
MEASURES = (*SIZES, *SHARES, *WAITS)


def waited_at(record: Record) -> dict[int, Figures]:
    """Hours that those who came late had waited, place by place; waiting to book a shelf is waiting for the shelf."""
    place, came, waited = _waited(record)
    kept = np.flatnonzero(measured(record, came))
    numbers = range(len(record.names.places))
    edges = np.searchsorted(place[kept], np.arange(len(numbers) + 1))
    return {number: waited[kept[edges[number] : edges[number + 1]]] for number in numbers}


@once
def _waited(record: Record) -> tuple[Numbers, Figures, Figures]:
    """Place, when they came and hours waited of all who came late, place by place."""
    asked, came = record.figures("stays", "asked"), record.figures("stays", "came")
    place, late = to_shelf(record)[record.numbers("stays", "place")], came_late(record)
    late = late[np.argsort(place[late].astype(np.int16), kind="stable")]
    return place[late], came[late], (came - asked)[late]


class Week(NamedTuple):
    """A place hour by hour of the week, Monday 00:00 first."""

    used: Figures
    """Share of its places that were used."""
    waited_for: Figures
    """Share of the hour in which it was full and lots waited."""
    stuck: Figures
    """Share of its places kept by lots that were done, but had no place to go."""


def week_of(course: Course, start: float, end: float) -> Week:
    """The mean week of a place in the measured time; shares are not known of a place that is never short."""
    mean = hour_of_week(course, start, end)
    there = np.full(HOURS_A_WEEK, np.nan) if course.never_short else mean(course.there)
    there = np.where(there > 0.0, there, np.nan)  # a place given up on a date, while lots are still in it
    with np.errstate(divide="ignore", invalid="ignore"):
        return Week(mean(course.used) / there, mean(course.waited_for.astype(float)), mean(course.stuck) / there)


class Weekly(NamedTuple):
    """A place week by week of the measured time, each as the measure of its name."""

    capacity: Figures
    used_share: Figures
    hours_waiting_share: Figures


def week_by_week(course: Course, start: float, end: float) -> Weekly:
    """Every week of a place; neither size nor share is known of a place that is never short, nor a share of no places."""
    mean = by_week(course, start, end)
    used, there = mean(course.used), mean(course.there)
    there = np.full(len(there), np.nan) if course.never_short else there
    shares = np.divide(used, there, out=np.full(len(there), np.nan), where=there > 0)
    return Weekly(there / 1000.0, shares, mean(course.waited_for.astype(float)))


def hour_name(hour: int) -> str:
    """An hour of the week as it is said: "Thu 15:00"."""
    return f"{DAYS[hour // 24].capitalize()} {hour % 24:02d}:00"


def busiest(used: Figures) -> tuple[str, float]:
    """The hour of the week with most places used, the first of equals, and how many; nothing if there is none."""
    if np.isnan(used).all():
        return "", float("nan")
    hour = int(np.nanargmax(used))
    return hour_name(hour), float(used[hour])
