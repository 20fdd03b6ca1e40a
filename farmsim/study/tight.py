"""Where the farm looks tight: places that are full while lots wait, crews that leave work lying when their shift ends.

Use alone misleads, so it decides nothing here. What is seen here is not proof either: what really holds the farm back shows
only when one more of it is tried on the same luck.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import pandas as pd

from farmsim.scenario.values import DAYS
from farmsim.study.answers import OFTEN, Crew, Place, Waits

TIGHT_TIME = 0.10  # of all time full with lots waiting
TIGHT_WAIT = 4.0  # hours a lot that waits waits on average; half a shift is nothing a grower would call tight
FULL_SHIFT = 0.9  # share of a shift's hours at work: the rest is small gaps between tasks
TIGHT_OVERTIME = 0.05  # of the rostered hours
ROOM = "shelf"  # the kind of place that a fruiting room is
WORKED = {"clean bench": "inoculate", "opening benches": "open"}  # kinds of places that stand still without people
Hours = np.ndarray[tuple[int], np.dtype[np.float64]]
Flags = np.ndarray[tuple[int], np.dtype[np.bool_]]


@dataclass(frozen=True)
class Seen:
    """What was seen at every place and crew, the names of what looks tight, the worst first, and its rooms together."""

    places: tuple[Place, ...]
    crews: tuple[Crew, ...]
    tight: tuple[str, ...]
    rooms: Waits


def seen(tables: Mapping[str, pd.DataFrame], weeks: int) -> Seen:
    """What was seen in the tables of all runs.

    weeks: of each run that are told [weeks]
    """
    hours = tables["hours_of_week"]
    of_places = places(tables["places"], tables["duties"], hours, weeks)
    of_crews = crews(tables["crews"], tables["duties"], hours, weeks)
    names = looks_tight(of_places, of_crews)
    return Seen(of_places, of_crews, names, together(names, of_places))


def as_called(of: Seen, names: Mapping[str, str]) -> Seen:
    """The same with new names of places, where beside another farm they are called otherwise."""
    is_place = {one.name for one in of.places}
    return replace(
        of,
        places=tuple(replace(one, name=names.get(one.name, one.name)) for one in of.places),
        tight=tuple(names.get(name, name) if name in is_place else name for name in of.tight),
    )


TABLES = ("places", "duties", "hours_of_week", "crews")
"""Tables of a run that this is seen in."""


def places(table: pd.DataFrame, duties: pd.DataFrame, hours_of_week: pd.DataFrame, weeks: int) -> tuple[Place, ...]:
    """Every place, averaged over runs, in the order of a lot's way."""
    found, means = [], _MeanWeeks(hours_of_week)
    for (name, kind), rows in table.groupby(["place", "kind"], sort=False):
        week, waiting = means.of("place", name)
        found.append(_place(rows, week, waiting, _worked(str(kind), duties, means), weeks))
    return tuple(found)


def _worked(kind: str, duties: pd.DataFrame, means: _MeanWeeks) -> Flags:
    """Hours of the week that count for a kind of place: all, or for benches those with somebody there to work at them."""
    on = np.zeros(168, dtype=bool)
    if kind in WORKED:
        for crew in duties.loc[duties["duty"] == WORKED[kind], "crew"].unique():
            on |= ~np.isnan(means.of("crew", crew)[0])
    return on if on.any() else ~on


def _place(rows: pd.DataFrame, week: Hours, waiting: Hours, on: Flags, weeks: int) -> Place:
    """One place from its row of every run and its mean week; only the hours that count tell whether it is full."""
    mean = {name: float(rows[name].mean()) for name in _figures(rows)}
    waiting = np.where(on, waiting, 0.0)
    busiest, worst = _greatest(week), _greatest(waiting)
    return Place(
        name=str(rows["place"].iloc[0]),
        kind=str(rows["kind"].iloc[0]),
        unit=str(rows["unit"].iloc[0]),
        capacity=None if np.isnan(mean["used_share"]) else mean["capacity"],
        staffed=not on.all(),
        used=mean["used_share"],
        full_waiting=float(waiting[on].mean()),
        full_quiet=mean["full_nothing_waits_share"],
        done_no_place=mean["done_no_place_share"],
        idle=mean["idle_share"],
        waited=mean["waits_n"] / weeks,
        wait=_weighted(rows, "waits_mean_h"),
        long_wait=_weighted(rows, "waits_p90_h"),
        busiest=busiest,
        busiest_used=float(week[busiest]),
        hours=_plain(week),
        bad=tuple(hour for hour in range(len(waiting)) if waiting[hour] >= OFTEN),
        worst=worst,
        worst_share=float(waiting[worst]),
    )


def crews(table: pd.DataFrame, duties: pd.DataFrame, hours_of_week: pd.DataFrame, weeks: int) -> tuple[Crew, ...]:
    """Every crew, its hours a week averaged over runs, in the order of the farm's file."""
    done = duties.groupby(["crew", "duty"], sort=False)["hours"].sum() / weeks / table["run"].nunique()
    by_crew: dict[str, list[tuple[str, float]]] = {}
    for key, hours in done.items():
        crew, duty = cast(tuple[str, str], key)
        by_crew.setdefault(crew, []).append((duty, float(hours)))
    means = _MeanWeeks(hours_of_week)
    return tuple(
        _crew(rows, *means.of("crew", name), weeks, tuple(by_crew.get(str(name), ())))
        for name, rows in table.groupby("crew", sort=False)
    )


def _crew(rows: pd.DataFrame, week: Hours, waiting: Hours, weeks: int, duties: tuple[tuple[str, float], ...]) -> Crew:
    """One crew from its row of every run and its mean week."""
    mean = {name: float(rows[name].mean()) for name in _figures(rows)}
    bad = left_lying(week, waiting)
    busiest, worst = _greatest(week), max(bad, key=lambda hour: (waiting[hour], -hour), default=0)
    return Crew(
        name=str(rows["crew"].iloc[0]),
        most_present=mean["most_present"],
        rostered=mean["rostered_h"] / weeks,
        worked=mean["worked_h"] / weeks,
        overtime=mean["overtime_h"] / weeks,
        used=mean["use_share"],
        full_waiting=mean["all_at_work_share"],
        busiest=busiest,
        busiest_used=float(week[busiest]),
        hours=_plain(week),
        bad=bad,
        worst=worst,
        worst_share=float(waiting[worst]) if bad else 0.0,
        duties=duties,
    )


def by_day(hours: Sequence[float | None]) -> dict[str, float]:
    """How busy a crew is on each day of the week on which somebody is there, on average of the hours [share at work]."""
    found = {}
    for at, day in enumerate(DAYS):
        there = [used for used in hours[24 * at : 24 * (at + 1)] if used is not None]
        if there:
            found[day] = sum(there) / len(there)
    return found


def left_lying(week: Hours, waiting: Hours) -> tuple[int, ...]:
    """The last hours of shifts that were too short: the crew at work nearly all of the shift, and work left at its end.

    Work that waits in the morning and is done by noon is no trouble, nor is work that comes in just before the end.
    """
    on, bad = ~np.isnan(week), []
    for end in np.flatnonzero(on & ~np.roll(on, -1)):
        shift = _back_from(int(end), on)
        if float(week[shift].mean()) >= FULL_SHIFT:
            bad += _back_from(int(end), on & (waiting >= OFTEN))
    return tuple(sorted(bad))


def _back_from(end: int, on: Flags) -> list[int]:
    """Hours of the week up to `end` that follow one another without a gap; the week is round."""
    hours: list[int] = []
    while on[(end - len(hours)) % len(on)] and len(hours) < len(on):
        hours.append((end - len(hours)) % len(on))
    return hours


def looks_tight(of_places: Sequence[Place], of_crews: Sequence[Crew]) -> tuple[str, ...]:
    """Names of what looks tight, most hours waited first; crews after places."""
    full = [one for one in of_places if one.full_waiting >= TIGHT_TIME and one.wait >= TIGHT_WAIT]
    full.sort(key=lambda one: (-one.waited * one.wait, one.name))
    short = [one for one in of_crews if one.bad or one.overtime >= TIGHT_OVERTIME * one.rostered > 0]
    short.sort(key=lambda one: (-one.worst_share, -one.overtime, one.name))
    return (*(one.name for one in full), *(one.name for one in short))


def together(names: Sequence[str], of_places: Sequence[Place]) -> Waits:
    """The rooms among the named: a lot waits for the first of them that takes it."""
    rooms = [one for one in of_places if one.name in names and one.kind == ROOM]
    lots = sum(one.waited for one in rooms)
    return Waits(lots, sum(one.wait * one.waited for one in rooms) / lots if lots else 0.0)


def _figures(table: pd.DataFrame) -> list[str]:
    return [str(column) for column in table.select_dtypes("number").columns if column != "run"]


class _MeanWeeks:
    """Use and waiting by hour of the week, averaged over runs, of every place and crew; all worked out in one go."""

    def __init__(self, hours_of_week: pd.DataFrame) -> None:
        means = hours_of_week.groupby(["what", "name", "hour"])[["used", "full_waiting"]].mean()
        self._found = dict(iter(means.groupby(level=["what", "name"])))

    def of(self, what: str, name: object) -> tuple[Hours, Hours]:
        """Those of one place or crew, hour by hour."""
        means = self._found[what, name]
        return means["used"].to_numpy(float), means["full_waiting"].fillna(0.0).to_numpy(float)


def _weighted(of_runs: pd.DataFrame, column: str) -> float:
    """Mean over runs, each counting as often as lots waited in it."""
    waited = of_runs["waits_n"].sum()
    return float((of_runs[column].fillna(0.0) * of_runs["waits_n"]).sum() / waited) if waited else 0.0


def _greatest(values: Hours) -> int:
    return 0 if np.isnan(values).all() else int(np.nanargmax(values))


def _plain(values: Hours) -> tuple[float | None, ...]:
    return tuple(_or_none(value) for value in values)


def _or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
