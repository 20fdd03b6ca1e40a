"""One farm beside others on common luck: what a change brings, and how surely.

Run for run both farms have the same luck, so what differs between them is the change (paired comparison). An interval is
Student's t over the runs' differences; all intervals of one comparison hold together (Bonferroni: the risk is shared out over
them), however many changes and measures stand side by side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from farmsim.errors import FarmsimError
from farmsim.model.run import lead_in
from farmsim.record.measures import RunTables, Table
from farmsim.scenario.farm import Farm
from farmsim.study import bounds, frames, pool
from farmsim.study.changes import weeks_before
from farmsim.study.job import one_run
from farmsim.study.precision import SURE, half_width

Progress = Callable[[int, int], None]
MOST_NEEDED = 10_000  # runs; more are not worth naming
FEWEST_RUNS = 2


@dataclass(frozen=True)
class Headline:
    """A figure of a run that is compared: from its weeks, on average, or as a share of another."""

    name: str
    unit: str
    parts: tuple[str, ...]
    whole: tuple[str, ...] = ()


HEADLINES = (
    Headline("picked", "kg/week", ("picked_kg",)),
    Headline("sold to orders", "kg/week", ("sold_kg",)),
    Headline("sold at stalls", "kg/week", ("stall_kg",)),
    Headline("to the outlet", "kg/week", ("outlet_kg",)),
    Headline("past date in the cooler", "kg/week", ("past_date_kg",)),
    Headline("delivered of promised", "share", ("delivered_kg",), ("promised_kg",)),
    Headline("whole orders of all", "share", ("orders_complete",), ("orders",)),
    Headline("blocks sold", "blocks/week", ("blocks_sold",)),
    Headline("blocks fruited", "blocks/week", ("blocks_fruited",)),
    Headline("blocks lost", "blocks/week", ("blocks_lost_contaminated", "blocks_lost_too_old")),
    Headline("paid hours", "h/week", ("paid_h",)),
    Headline("overtime", "h/week", ("overtime_h",)),
    Headline("owner's and family hours", "h/week", ("owner_h",)),
    Headline("taken in", "currency/week", ("taken",)),
    Headline("wages, power and fuel", "currency/week", ("wages", "energy")),
    Headline("left for all else", "currency/week", ("left",)),
)
MONEY = ("taken", "wages", "energy", "left")
"""Columns of the money table that are compared, where there are prices."""


class NotComparable(FarmsimError, ValueError):
    """Two farms cannot be put side by side."""

    exit_code = 2


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


def compare(
    base: Farm,
    changes: Mapping[str, Farm],
    runs: int = 20,
    seed: int = 1,
    weeks: int | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> Compared:
    """Simulate a farm and its changes on the same luck and put them side by side.

    changes: farms by name, each with the base's start
    runs: how many of each farm [runs]; weeks: measured length [weeks], None takes the base's own
    workers: processes [count]; None takes one for each processor, 1 stays in this one
    progress: told (runs done, runs in all)
    Goes wrong when a farm begins on another day: NotComparable; when a number is out of bounds: NotAllowed.
    """
    runs, seed = (
        bounds.whole("runs", runs, FEWEST_RUNS, bounds.MOST_RUNS),
        bounds.whole("seed", seed, 0, bounds.MOST_SEED),
    )
    length = base.farm.weeks if weeks is None else bounds.whole("weeks", weeks, 1, bounds.MOST_WEEKS)
    hands = pool.usable() if workers is None else bounds.whole("workers", workers, 1, bounds.MOST_WORKERS)
    farms = _alike(base, changes)
    found = _simulated(list(farms.values()), runs, seed, length, hands, progress)
    weekly = pd.concat([frames.frames([{"weekly": each} for each in of_farm])["weekly"].assign(farm=name)
                        for name, of_farm in zip(farms, found, strict=True)], ignore_index=True)  # fmt: skip
    lines = [line for line in HEADLINES if _is_told(line, weekly)]
    compared = [
        _comparison(name, weekly, max(weeks_before(base, length), weeks_before(farm, length)), lines, len(changes))
        for name, farm in list(farms.items())[1:]
    ]
    about = base.farm
    start = about.start.isoformat()
    filled = lead_in(base)
    return Compared(about.name, about.units, about.currency, start, runs, seed, filled, SURE, tuple(compared), weekly)


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


def _alike(base: Farm, changes: Mapping[str, Farm]) -> dict[str, Farm]:
    """All farms with the base's lead-in, the base first."""
    for name, farm in changes.items():
        if farm.farm.start != base.farm.start:
            raise NotComparable(
                f"{name} begins on {farm.farm.start}, {base.farm.name} on {base.farm.start}: farms can only be compared "
                "over the same weeks. Give both the same start"
            )
        if farm.farm.begin != base.farm.begin:
            raise NotComparable(
                f'{name} begins "{farm.farm.begin}", {base.farm.name} "{base.farm.begin}". Begin both alike'
            )
        if farm == base:
            raise NotComparable(f"{name} is the same farm as {base.farm.name}: there is nothing to compare")
    weeks = lead_in(base)
    return {name: farm.but(farm=farm.farm.but(lead_in=weeks)) for name, farm in {BASE: base, **changes}.items()}


def _simulated(
    farms: Sequence[Farm], runs: int, seed: int, weeks: int, workers: int, progress: Progress | None
) -> list[list[Table]]:
    """The weekly table of every run, by farm. Runs of one number follow one another, so that a stopped study has pairs."""
    count, done = len(farms) * runs, [0]

    def landed(number: int) -> None:
        done[0] += 1
        if progress is not None:
            progress(done[0], count)

    found = pool.gather(partial(_one, tuple(farms), seed, weeks), range(count), workers, landed)
    return [found[at :: len(farms)] for at in range(len(farms))]


def _one(farms: tuple[Farm, ...], seed: int, weeks: int, number: int) -> Table:
    run, farm = divmod(number, len(farms))
    tables = one_run(farms[farm], seed, weeks, run)
    return {**tables["weekly"], **_money(tables)}


def _money(tables: RunTables) -> Table:
    """What each week took and paid, beside its other figures; before a dated change it is not told, and not a number."""
    if "money" not in tables:
        return {}
    money, weeks = tables["money"], np.asarray(tables["weekly"]["week"])
    at = np.searchsorted(weeks, np.asarray(money["week"]))
    found: dict[str, Any] = {name: np.full(len(weeks), np.nan) for name in MONEY}
    for name in MONEY:
        found[name][at] = money[name]
    return found


def _is_told(line: Headline, weekly: pd.DataFrame) -> bool:
    """Whether every farm knows the figure, and any farm has something of it: money of two farms, or of none."""
    parts = list(line.parts)
    if not set(parts) <= set(weekly.columns):
        return False
    known = weekly[parts].notna().all(axis=1).groupby(weekly["farm"]).any()
    return bool(known.all()) and bool(weekly[parts].fillna(0.0).to_numpy().any())


def _comparison(name: str, weekly: pd.DataFrame, before: int, lines: Sequence[Headline], changes: int) -> Comparison:
    """The change called `name` beside the base, over the weeks after `before`.

    lines: what is compared; the risk is shared out over all of them, and over all changes
    """
    kept = weekly[weekly["week"] > before]
    base, change = (_by_run(kept[kept["farm"] == farm], lines) for farm in (BASE, name))
    told = len(lines) * changes
    differences = tuple(
        difference(line, base[line.name], change[line.name], told) for line in lines if line.name in base
    )
    return Comparison(name, int(kept["week"].nunique()), before, differences)


def _by_run(weekly: pd.DataFrame, lines: Sequence[Headline]) -> dict[str, list[float]]:
    """Every headline figure of every run, in run order; a share of nothing is left out."""
    weeks, sums = weekly.groupby("run")["week"].nunique(), weekly.groupby("run").sum(numeric_only=True)
    found = {}
    for line in lines:
        whole = sums[list(line.whole)].sum(axis=1) if line.whole else weeks
        if bool((whole > 0).all()):
            found[line.name] = [float(value) for value in sums[list(line.parts)].sum(axis=1) / whole]
    return found


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
