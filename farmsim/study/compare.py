"""One farm beside others on common luck: what a change brings, and how surely.

Run for run both farms have the same luck, so what differs between them is the change (paired comparison). An interval is
Student's t over the runs' differences; all intervals of one comparison hold together (Bonferroni: the risk is shared out over
them), however many changes and measures stand side by side. What each strain earns is a table of its own, whose intervals
hold together among themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.study import bounds, digest, earns, frames
from farmsim.study.answers import Settled
from farmsim.study.changes import weeks_before
from farmsim.study.headlines import HEADLINES, JUDGED, Headline, by_run, each_run
from farmsim.study.precision import SURE, half_width, half_width_apart, runs_needed
from farmsim.study.trials import Brief, NotComparable, Trials
from farmsim.study.until import Figure, Stopped, Until, Watched, seek

FEWEST_RUNS = 2
TOO_FEW = "too few runs"  # said instead of an interval wider than anything that can be


@dataclass(frozen=True)
class Difference:
    """What one change does to one headline figure [unit of the headline].

    base, change: average of each farm over all runs
    mean: average of the differences, change less base; give: how far off it may be, None when nothing ever differed
    needed: about how many runs would tell a difference as large as the one seen; None where it was told, or never will be
    give_apart: how far off it might be by the same runs without common luck; None where that is not worked out
    """

    name: str
    unit: str
    base: float
    change: float
    mean: float
    give: float | None
    needed: int | None
    give_apart: float | None = None

    @property
    def low(self) -> float:
        """At least so much, surely."""
        return self.mean - (self.give or 0.0)

    @property
    def high(self) -> float:
        """At most so much, surely."""
        return self.mean + (self.give or 0.0)

    @property
    def says_nothing(self) -> bool:
        """Whether nothing was found and the interval reaches beyond what a difference of shares can be at all."""
        return self.unit == "share" and self.verdict == "no difference found" and (self.low < -1.0 or self.high > 1.0)

    @property
    def lies(self) -> dict[str, object]:
        """Where it surely lies and why that is not told, for a table: low and high are None where it says nothing."""
        low, high, note = (None, None, TOO_FEW) if self.says_nothing else (self.low, self.high, "")
        return {"low": low, "high": high, "verdict": self.verdict, "note": note}

    @property
    def verdict(self) -> str:
        """Whether it is "more", "less", "no difference found", or "the same" in every single run."""
        if self.give is None:
            return "the same"
        if self.low > 0:
            return "more"
        return "less" if self.high < 0 else "no difference found"


@dataclass(frozen=True)
class EarnedBeside:
    """What a strain earns without a change and with it, each figure of `earns.SAID` that all runs of both farms have."""

    strain: str
    differences: tuple[Difference, ...]

    @property
    def rows(self) -> list[dict[str, object]]:
        """As rows of a table."""
        return [{"strain": self.strain, **_row(line)} for line in self.differences]

    @property
    def as_plain(self) -> dict[str, object]:
        """As JSON holds it."""
        return {"strain": self.strain, "figures": [_row(line) for line in self.differences]}


@dataclass(frozen=True)
class Comparison:
    """One change beside the base: from which week on the two are compared, and what differs.

    earned: strain by strain, empty without prices; None when the two farms' last dated changes are of different weeks, since
    when a strain's figures are told
    apart: after which week those of the base and of the change are told, where that is why they are not put side by side
    """

    change: str
    weeks: int
    since: int
    differences: tuple[Difference, ...]
    earned: tuple[EarnedBeside, ...] | None = ()
    apart: tuple[int, int] | None = None


@dataclass(frozen=True)
class Compared:
    """All changes beside one base.

    sure: all intervals together hold so surely [1]
    weekly: the weeks of every farm and run, the base first
    settled: whether each farm, the base first, was in full swing in the weeks that are compared
    stopped: how the number of runs was found, where a precision was asked for
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
    settled: Mapping[str, Settled] = field(default_factory=dict)
    stopped: Stopped | None = None

    @property
    def table(self) -> pd.DataFrame:
        """Every figure of every change: both averages, the difference, where it surely lies, and the verdict."""
        rows = [{"change": one.change, **_row(line)} for one in self.comparisons for line in one.differences]
        return pd.DataFrame(rows)

    @property
    def earned_table(self) -> pd.DataFrame:
        """What each strain earns, as `table`; without a row where no farm has prices."""
        rows = [
            {"change": one.change, **row} for one in self.comparisons for each in one.earned or () for row in each.rows
        ]
        return pd.DataFrame(rows)

    @property
    def as_plain(self) -> dict[str, object]:
        """Everything but the weeks, as JSON holds it."""
        told = {one.change: _plain(one) for one in self.comparisons}
        about = {"base": self.base, "start": self.start, "runs": self.runs, "seed": self.seed, "lead_in": self.lead_in}
        settled = {name or self.base: one.verdict for name, one in self.settled.items()}
        until = {} if self.stopped is None else {"until": self.stopped.as_plain}
        return {**about, "sure": self.sure, "settled": settled, **until, "changes": told}


def compare(base: Farm, changes: Mapping[str, Farm], runs: int | Until = 20, brief: Brief | None = None) -> Compared:
    """Simulate a farm and its changes on the same luck and put them side by side.

    changes: farms by name, each with the base's start
    runs: how many of each farm [runs], or until what is known of all changes
    brief: luck, length, workers, store
    Goes wrong when a farm begins on another day: NotComparable; when a number is out of bounds: NotAllowed.
    """
    brief = brief or Brief()
    if not isinstance(runs, Until):
        runs = bounds.whole("runs", runs, FEWEST_RUNS, bounds.MOST_RUNS)
    for name, farm in changes.items():
        if farm == base:
            raise NotComparable(f"{name} is the same farm as {base.farm.name}: there is nothing to compare")
    farms = {BASE: base, **changes}
    with Trials(base, brief) as trials:
        since = {name: max(weeks_before(each, trials.weeks) for each in (base, farm)) for name, farm in farms.items()}
        found, stopped = _runs(farms, since, runs, trials, brief.where.hands)
    lines, told_since = (
        lines_told(found.values()),
        {name: weeks_before(each, trials.weeks) for name, each in farms.items()},
    )
    strains = strains_beside(found, {name: trials.weeks - each for name, each in told_since.items()})
    compared = []
    for name in changes:
        differences = _differences(found[BASE], found[name], since[name], lines, len(changes))
        earned = strains[name] if told_since[name] == told_since[BASE] or not strains[name] else None
        apart = (told_since[BASE], told_since[name]) if earned is None else None
        compared.append(Comparison(name, trials.weeks - since[name], since[name], differences, earned, apart))
    weekly, about, start = _weekly(found), base.farm, base.farm.start.isoformat()
    return Compared(about.name, about.units, about.currency, start, len(found[BASE]), brief.seed, trials.lead_in, SURE,
                    tuple(compared), weekly, _settled(farms, since, weekly, trials.lead_in), stopped)  # fmt: skip


Found = Mapping[str, Sequence[RunTables]]
"""The runs of every farm by its name, the base first."""


def _runs(
    farms: Mapping[str, Farm], since: Mapping[str, int], runs: int | Until, trials: Trials, hands: int
) -> tuple[Found, Stopped | None]:
    """All runs that are used of every farm, and how their number was found if it had to be."""
    found: dict[str, list[RunTables]] = {name: [] for name in farms}

    def take(numbers: range, about: int) -> Watched:
        trials.expect(about * len(farms))
        for kept, more in zip(found.values(), trials.by_farm(list(farms.values()), numbers), strict=True):
            kept.extend(more)
        return _watched(found, since)

    if not isinstance(runs, Until):
        take(range(runs), runs)
        return found, None
    at_once = hands // math.gcd(
        hands, len(farms)
    )  # a number of these keeps all hands at work, for it has a run of each farm
    stopped = seek(runs, at_once, take)
    return {name: each[: stopped.runs] for name, each in found.items()}, stopped


def _watched(found: Found, since: Mapping[str, int]) -> Watched:
    """What the changes do to the figures that are judged, each beside the base's, and how many intervals are told."""
    figures = []
    for name in list(found)[1:]:
        for line in JUDGED:
            ours, theirs = (each_run(line, found[farm], since[name]) for farm in (BASE, name))
            pairs = tuple(
                None if before is None or after is None else after - before
                for before, after in zip(ours, theirs, strict=True)
            )
            figures.append(Figure(line.name, line.unit, pairs, None if line.whole else ours, name))
    told = np.count_nonzero(_are_told(found.values()), axis=0) * (len(found) - 1)
    return Watched(tuple(figures), tuple(int(count) for count in told))


def _settled(
    farms: Mapping[str, Farm], since: Mapping[str, int], weekly: pd.DataFrame, lead_in: int
) -> dict[str, Settled]:
    """Whether each farm was in full swing in the weeks that are compared."""
    judged = {}
    for name, farm in farms.items():
        rows = weekly[(weekly["farm"] == name) & (weekly["week"] > since[name])]
        judged[name] = replace(digest.settled(farm, rows, since[name]), lead_in=lead_in)
    return judged


def _plain(one: Comparison) -> dict[str, object]:
    """A comparison as JSON holds it; what strains earn only where it is told."""
    earned = [each.as_plain for each in one.earned or ()]
    figures = [_row(line) for line in one.differences]
    told = {"weeks": one.weeks, "from_week": one.since + 1, "figures": figures}
    if one.apart is not None:
        weeks = dict(zip(("base_from_week", "changed_from_week"), (each + 1 for each in one.apart), strict=True))
        return told | {"earned_by_strain": None, "earned_not_told": {"why": "weeks differ", **weeks}}
    return told | ({"earned_by_strain": earned} if earned else {})


def _row(line: Difference) -> dict[str, object]:
    return {
        "figure": line.name,
        "unit": line.unit,
        "base": line.base,
        "changed": line.change,
        "difference": line.mean,
        **line.lies,
        "runs_needed": line.needed,
        "give_without_common_luck": None if line.says_nothing else line.give_apart,
    }


BASE = ""
"""Name of the base among the farms."""


def _weekly(found: Found) -> pd.DataFrame:
    """The weeks of every farm and run under one another, the money of each week beside its other figures."""
    parts = []
    for name, runs in found.items():
        weeks = frames.frames([{"weekly": frames.with_money(tables)} for tables in runs])["weekly"]
        parts.append(weeks.assign(farm=name))
    return pd.concat(parts, ignore_index=True)


def lines_told(farms: Iterable[Sequence[RunTables]]) -> list[Headline]:
    """The figures that every farm knows and any farm has something of: money of two farms, or of none."""
    return [line for line, told in zip(HEADLINES, _are_told(farms)[:, -1], strict=True) if told]


def _are_told(farms: Iterable[Sequence[RunTables]]) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Which figures are told, one row each, by the first so many runs, one column a number of runs.

    Those that every farm knows and any farm has something of: money of two farms, or of none.
    """
    together = list(zip(*farms, strict=True))  # the runs of one number
    told = []
    for line in HEADLINES:
        tables = [[each.get(line.table, {}) for each in runs] for runs in together]
        knows = [all(set(line.parts) <= table.keys() for table in runs) for runs in tables]
        some = [any(_has(line, table) for table in runs) for runs in tables]
        told.append(np.logical_and.accumulate(knows) & np.logical_or.accumulate(some))
    return np.array(told)


def _has(line: Headline, table: Mapping[str, Any]) -> bool:
    return any(bool(np.any(np.asarray(table[part]))) for part in line.parts if part in table)


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


Pair = tuple[Headline, list[float], list[float]]
"""A figure with its values of both farms, one a run."""


def strains_beside(found: Found, weeks: Mapping[str, int], looks: int = 1) -> dict[str, tuple[EarnedBeside, ...]]:
    """What each strain earns beside the base, change by change; the risk is shared out over all that is told of strains.

    found: of the base as many runs as of any other, or more; without prices nothing is told
    weeks: of which each farm's figures are [weeks]; looks: at how many numbers of runs it may be told
    """
    if any(earns.TABLE not in tables for runs in found.values() for tables in runs):
        return dict.fromkeys(found, ())
    of = {
        name: earns.by_run(
            frames.frames([{earns.TABLE: tables[earns.TABLE]} for tables in runs])[earns.TABLE], weeks[name]
        )
        for name, runs in found.items()
    }
    changes = [name for name in found if name != BASE]
    pairs = {
        name: {
            strain: _pairs(of[BASE].get(strain), of[name].get(strain), len(found[name]))
            for strain in of[BASE] | of[name]
        }
        for name in changes
    }
    told = looks * sum(len(lines) for strains in pairs.values() for lines in strains.values())
    return {
        name: tuple(
            EarnedBeside(strain, tuple(difference(*pair, told) for pair in lines))
            for strain, lines in strains.items()
            if lines
        )
        for name, strains in pairs.items()
    }


def _pairs(base: earns.ByRun | None, change: earns.ByRun | None, runs: int) -> list[Pair]:
    """The figures of a strain that every run of both farms has; a farm without the strain earns nothing with it in a year.

    runs: of these the first so many [runs]
    """
    pairs = []
    for name, (said, unit) in earns.SAID.items():
        ours, theirs = (None if each is None else getattr(each, name) for each in (base, change))
        if name == "a_year":
            ours, theirs = (
                np.zeros_like(of) if each is None else each for each, of in ((ours, theirs), (theirs, ours))
            )
        ours, theirs = (None if each is None else each[:runs] for each in (ours, theirs))
        if ours is None or theirs is None or np.isnan(ours).any() or np.isnan(theirs).any():
            continue
        if ours.any() or theirs.any():
            pairs.append((Headline(said, unit, ()), ours.tolist(), theirs.tolist()))
    return pairs


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
    needed = runs_needed(pairs, abs(mean), sure) if abs(mean) <= give else None
    return Difference(line.name, line.unit, *averages, mean, give, needed, half_width_apart(base, change, sure))
