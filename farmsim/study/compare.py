"""One farm beside others on common luck: what a change brings, and how surely.

Run for run both farms have the same luck, so what differs between them is the change (paired comparison). An interval is
Student's t over the runs' differences; all intervals of one comparison hold together (Bonferroni: the risk is shared out over
them), however many changes and measures stand side by side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.study import bounds, frames
from farmsim.study.changes import weeks_before
from farmsim.study.headlines import HEADLINES, Headline, by_run
from farmsim.study.precision import SURE, half_width
from farmsim.study.trials import Brief, NotComparable, Trials

MOST_NEEDED = 10_000  # runs; more are not worth naming
FEWEST_RUNS = 2


@dataclass(frozen=True)
class Difference:
    """What one change does to one headline figure [unit of the headline].

    base, change: average of each farm over all runs
    mean: average of the differences, change less base; give: how far off it may be, None when nothing ever differed
    needed: about how many runs would tell a difference as large as the one seen; None where it was told, or never will be
    """

    name: str
    unit: str
    base: float
    change: float
    mean: float
    give: float | None
    needed: int | None

    @property
    def low(self) -> float:
        """At least so much, surely."""
        return self.mean - (self.give or 0.0)

    @property
    def high(self) -> float:
        """At most so much, surely."""
        return self.mean + (self.give or 0.0)

    @property
    def verdict(self) -> str:
        """Whether it is "more", "less", "no difference found", or "the same" in every single run."""
        if self.give is None:
            return "the same"
        if self.low > 0:
            return "more"
        return "less" if self.high < 0 else "no difference found"


@dataclass(frozen=True)
class Comparison:
    """One change beside the base: from which week on the two are compared, and what differs."""

    change: str
    weeks: int
    since: int
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class Compared:
    """All changes beside one base.

    sure: all intervals together hold so surely [1]
    weekly: the weeks of every farm and run, the base first
    """

    base: str
    system: str
    currency: str
    start: str
    runs: int
    seed: int
    lead_in: int
    sure: float
    comparisons: tuple[Comparison, ...]
    weekly: pd.DataFrame

    @property
    def table(self) -> pd.DataFrame:
        """Every figure of every change: both averages, the difference, where it surely lies, and the verdict."""
        rows = [{"change": one.change, **_row(line)} for one in self.comparisons for line in one.differences]
        return pd.DataFrame(rows)

    @property
    def as_plain(self) -> dict[str, object]:
        """Everything but the weeks, as JSON holds it."""
        told = {
            one.change: {
                "weeks": one.weeks,
                "from_week": one.since + 1,
                "figures": [_row(line) for line in one.differences],
            }
            for one in self.comparisons
        }
        about = {"base": self.base, "start": self.start, "runs": self.runs, "seed": self.seed, "lead_in": self.lead_in}
        return {**about, "sure": self.sure, "changes": told}


def compare(base: Farm, changes: Mapping[str, Farm], runs: int = 20, brief: Brief | None = None) -> Compared:
    """Simulate a farm and its changes on the same luck and put them side by side.

    changes: farms by name, each with the base's start
    runs: how many of each farm [runs]
    brief: luck, length, workers, store
    Goes wrong when a farm begins on another day: NotComparable; when a number is out of bounds: NotAllowed.
    """
    runs, brief = bounds.whole("runs", runs, FEWEST_RUNS, bounds.MOST_RUNS), brief or Brief()
    for name, farm in changes.items():
        if farm == base:
            raise NotComparable(f"{name} is the same farm as {base.farm.name}: there is nothing to compare")
    farms = {BASE: base, **changes}
    with Trials(base, brief) as trials:
        trials.expect(runs * len(farms))
        found = dict(zip(farms, trials.by_farm(list(farms.values()), range(runs)), strict=True))
    lines = [line for line in HEADLINES if _is_told(line, found.values())]
    compared = []
    for name, farm in changes.items():
        before = max(weeks_before(base, trials.weeks), weeks_before(farm, trials.weeks))
        differences = _differences(found[BASE], found[name], before, lines, len(changes))
        compared.append(Comparison(name, trials.weeks - before, before, differences))
    about, start = base.farm, base.farm.start.isoformat()
    return Compared(about.name, about.units, about.currency, start, runs, brief.seed, trials.lead_in, SURE,
                    tuple(compared), _weekly(found))  # fmt: skip


def _row(line: Difference) -> dict[str, object]:
    return {
        "figure": line.name,
        "unit": line.unit,
        "base": line.base,
        "changed": line.change,
        "difference": line.mean,
        "low": line.low,
        "high": line.high,
        "verdict": line.verdict,
        "runs_needed": line.needed,
    }


BASE = ""
"""Name of the base among the farms."""


def _weekly(found: Mapping[str, Sequence[RunTables]]) -> pd.DataFrame:
    """The weeks of every farm and run under one another, the money of each week beside its other figures."""
    parts = []
    for name, runs in found.items():
        weeks = frames.frames([{"weekly": frames.with_money(tables)} for tables in runs])["weekly"]
        parts.append(weeks.assign(farm=name))
    return pd.concat(parts, ignore_index=True)


def _is_told(line: Headline, farms: Iterable[Sequence[RunTables]]) -> bool:
    """Whether every farm knows the figure, and any farm has something of it: money of two farms, or of none."""
    tables = [each.get(line.table, {}) for runs in farms for each in runs]
    knows = all(set(line.parts) <= table.keys() for table in tables)
    return knows and any(bool(np.any(np.asarray(table[part]))) for table in tables for part in line.parts)


def _differences(
    base: Sequence[RunTables], change: Sequence[RunTables], before: int, lines: Sequence[Headline], changes: int
) -> tuple[Difference, ...]:
    """What differs between two farms over the weeks after `before`; a share of nothing is left out.

    lines: what is compared; the risk is shared out over all of them, and over all changes
    """
    told = len(lines) * changes
    pairs = [(line, by_run(line, base, before), by_run(line, change, before)) for line in lines]
    return tuple(
        difference(line, ours, theirs, told) for line, ours, theirs in pairs if ours is not None and theirs is not None
    )


def difference(line: Headline, base: Sequence[float], change: Sequence[float], told: int = 1) -> Difference:
    """What a change does to one figure, from one value a run of each farm; run for run the luck is the same.

    told: intervals that are to hold together with the certainty of one
    """
    pairs = [after - before for before, after in zip(base, change, strict=True)]
    mean = math.fsum(pairs) / len(pairs)
    averages = math.fsum(base) / len(base), math.fsum(change) / len(change)
    if not any(pairs):
        return Difference(line.name, line.unit, *averages, 0.0, None, None)
    sure = 1 - (1 - SURE) / told
    give = half_width(pairs, sure)
    needed = _needed(pairs, mean, sure) if abs(mean) <= give else None
    return Difference(line.name, line.unit, *averages, mean, give, needed)


def _needed(pairs: Sequence[float], mean: float, sure: float) -> int | None:
    """About how many runs it takes to tell a difference as large as this one; None when more than anybody makes."""
    low, high = len(pairs), MOST_NEEDED
    if half_width(pairs, sure, high) >= abs(mean):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if half_width(pairs, sure, middle) >= abs(mean) else (low, middle)
    return high
