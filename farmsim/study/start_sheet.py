"""The start sheet: what is started on which day of the next weeks, and when it should be in the cold, soaked, open, picked.

Days are counted from a lot's start, as runs of this very farm saw them: half of the lots are sooner, 1 in 10 is as early or as
late as told. What needs people is put on the next day on which somebody is there for it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import pandas as pd

from farmsim.model.plan import Slot, week_of
from farmsim.record.measures import RunTables
from farmsim.record.measures.days import TO_FIRST_PICK
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import Start
from farmsim.scenario.values import DAYS, MONTHS
from farmsim.study import frames
from farmsim.study.weekdays import days_with
from farmsim.units import HOURS_A_DAY

STEPS = ("ripe", "cold shock", "soak", "open", "first pick")
"""What is told of a group of lots after its start, in order."""
NEEDS = {"soak": "soak", "open": "open", "first pick": "pick"}
"""Steps that need people, and the duty they must have."""
EARLY, USUAL, LATE = 0.1, 0.5, 0.9
DUST = 1e-6  # days: means of whole days are not exact
POINTS = 200  # of a time, equally likely


@dataclass(frozen=True)
class When:
    """A step in days: half of the lots are there by `usual`, 1 in 10 by `early`, 9 in 10 by `late`."""

    step: str
    early: datetime.date
    usual: datetime.date
    late: datetime.date


@dataclass(frozen=True)
class Group:
    """Lots of one line that are started on one day: in one sterilizer load or more, or brought in one delivery.

    lots: sizes of its carts [blocks]; first, last: their names, as `farmsim follow` knows them; loads: sterilizer loads
    steps: what follows, in order; a step that its strain does not take, or that no run saw, is left out
    """

    line: str
    strain: str
    made: str
    week: int
    day: datetime.date
    lots: tuple[int, ...]
    loads: int
    first: str
    last: str
    steps: tuple[When, ...]

    @property
    def blocks(self) -> int:
        """All together."""
        return sum(self.lots)


Days = Mapping[str, Mapping[str, tuple[float, float, float]]]
"""By strain and step: days from the start, early, usual and late."""


def start_sheet(farm: Farm, runs: Sequence[RunTables], weeks: int) -> tuple[Group, ...]:
    """All groups of lots of the first weeks, day by day.

    runs: the "days" tables of runs of this farm; weeks: how many, from the farm's start
    """
    days = days_from_start(farm, runs)
    groups = [group for week in range(weeks) for line in farm.start for group in of_week(farm, line, week, days)]
    order = {line.name: at for at, line in enumerate(farm.start)}
    return tuple(sorted(groups, key=lambda group: (group.day, order[group.line])))


def table(groups: Sequence[Group]) -> pd.DataFrame:
    """The sheet as a table, one row a group; what is left out is empty."""
    rows = []
    for group in groups:
        row: dict[str, object] = {
            "week": group.week,
            "start": group.day.isoformat(),
            "weekday": DAYS[group.day.weekday()],
            "line": group.line,
            "strain": group.strain,
            "made": group.made,
            "blocks": group.blocks,
            "lots": " + ".join(str(size) for size in group.lots),
            "loads": group.loads,
            "first_lot": group.first,
            "last_lot": group.last,
        }
        told = {when.step: when for when in group.steps}
        for step in STEPS:
            for which in ("early", "usual", "late"):
                name = f"{step.replace(' ', '_')}_{which}"
                row[name] = getattr(told[step], which).isoformat() if step in told else ""
        rows.append(row)
    return pd.DataFrame(rows)


def of_week(farm: Farm, line: Start, week: int, days: Days) -> Iterator[Group]:
    """The groups of lots of a line in one week, counted from 0; none where nothing is started."""
    load = None if line.made == "bought" or farm.sterilizer is None else int(farm.sterilizer.load)
    slots = week_of(line, int(farm.farm.lot), load)
    monday = farm.farm.start + datetime.timedelta(weeks=week)
    for weekday, found in groupby(slots, key=lambda slot: slot.weekday):
        day = monday + datetime.timedelta(days=weekday)
        if MONTHS[day.month - 1] in line.months and not stands_still(farm, day):
            yield _group(farm, line, week, day, monday, list(found), days)


def stands_still(farm: Farm, day: datetime.date) -> bool:
    """Whether nothing is started on a day."""
    return any(shut.first <= day <= shut.end and "starts" in shut.stops for shut in farm.shut)


def _group(
    farm: Farm, line: Start, week: int, day: datetime.date, monday: datetime.date, slots: Sequence[Slot], days: Days
) -> Group:
    first, last = (f"{line.name}/{monday.isoformat()}/{slots[at].position:02d}" for at in (0, -1))
    begun = (
        line.arrives / HOURS_A_DAY if line.made == "bought" else 0.0
    )  # lots that are made here count from midnight on
    steps = tuple(
        When(step, *(_day(farm, day, begun + after, NEEDS.get(step)) for after in of_step))
        for step, of_step in days.get(line.strain, {}).items()
    )
    loads = 0 if line.made == "bought" else len({slot.load for slot in slots})
    return Group(line.name, line.strain, line.made, week + 1, day, tuple(slot.blocks for slot in slots), loads,
                 first, last, steps)  # fmt: skip


def _day(farm: Farm, start: datetime.date, after: float, duty: str | None) -> datetime.date:
    """So many days after the midnight of a start; the next on which somebody has the duty, if it needs one."""
    found = start + datetime.timedelta(days=int(after + DUST))
    there = () if duty is None else days_with(farm, duty)
    while there and DAYS[found.weekday()] not in there:
        found += datetime.timedelta(days=1)
    return found


# --- days from the start --------------------------------------------------------------------------------------------


def days_from_start(farm: Farm, runs: Sequence[RunTables]) -> Days:
    """Days from the start to each step, strain by strain, as runs saw them.

    Ripe and the first pick are seen as such. When a lot is called in and opened is put together from the days until it is
    ripe, those it waits and those of cold and soak, as if they had nothing to do with one another.
    """
    every = frames.frames([{"days": tables["days"]} for tables in runs])["days"]
    found: dict[str, dict[str, tuple[float, float, float]]] = {}
    for strain, rows in every.groupby("strain", sort=False):
        spans = {str(name): _three(group) for name, group in rows.groupby("span", sort=False)}
        found[str(strain)] = dict(_steps(farm, str(strain), spans))
    return found


def _three(rows: pd.DataFrame) -> tuple[float, float, float]:
    """Early, usual and late, each run counting by the lots it saw."""
    lots = rows["n"].sum()
    early, usual, late = (float((rows[column] * rows["n"]).sum() / lots) for column in ("p10", "p50", "p90"))
    return early, usual, late


def _steps(
    farm: Farm, name: str, spans: Mapping[str, tuple[float, float, float]]
) -> Iterator[tuple[str, tuple[float, float, float]]]:
    strain, ripe = farm.strain[name], spans.get("start to ripe")
    if ripe is None:
        return
    yield "ripe", ripe
    waits, shelved, picked = (spans.get(s) for s in ("ripe to called in", "called in to shelved", TO_FIRST_PICK))
    if waits is None or shelved is None:
        return
    called = _together(ripe, waits)
    shock = (
        strain.cold_shock.usual / HOURS_A_DAY if "cold shock" in strain.steps and strain.cold_shock is not None else 0.0
    )
    if "cold shock" in strain.steps:
        yield "cold shock", called
    if "soak" in strain.steps:
        yield "soak", (called[0] + shock, called[1] + shock, called[2] + shock)
    yield "open", _together(called, shelved)
    if picked is not None:
        yield "first pick", picked


def _together(one: tuple[float, float, float], other: tuple[float, float, float]) -> tuple[float, float, float]:
    """Early, usual and late of a sum of two times that have nothing to do with one another."""
    sums = np.add.outer(_points(one), _points(other)).ravel()
    early, usual, late = np.quantile(sums, (EARLY, USUAL, LATE))
    return float(early), float(usual), float(late)


def _points(three: tuple[float, float, float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Equally likely values of a time, straight lines drawn through three of its points and as far beyond again."""
    early, usual, late = three
    ends = max(0.0, 2 * early - usual), 2 * late - usual
    at = (np.arange(POINTS) + 0.5) / POINTS
    return np.interp(at, (0.0, EARLY, USUAL, LATE, 1.0), (ends[0], early, usual, late, ends[1]))
