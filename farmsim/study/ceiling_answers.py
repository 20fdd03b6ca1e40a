"""How much a farm carries, as finished numbers."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from farmsim.study import tight
from farmsim.study.targets import Kept, Target, Verdict


@dataclass(frozen=True)
class Range:
    """Levels that are searched, from low to high, in steps [blocks/week].

    fault: why none above can be simulated, or none below; empty when it is only not looked at
    """

    low: int
    high: int
    step: int
    fault_above: str = ""
    fault_below: str = ""

    def nearest(self, now: int) -> int:
        """The level of the range that is nearest to the farm as it is [blocks/week]."""
        return min(max(now, self.low), self.high)

    def levels(self, now: int) -> list[int]:
        """Whole steps within the range, its ends, and the farm as it is."""
        first = -(-self.low // self.step) * self.step
        inside = {now} if self.low <= now <= self.high else set()
        return sorted({self.low, self.high, *range(first, self.high + 1, self.step), *inside})


@dataclass(frozen=True)
class Level:
    """A level that was looked at [blocks/week], with how many runs, and how each target stood.

    left: customers who left for good in the weeks that are told, in a run on average
    """

    blocks: int
    runs: int
    kept: tuple[Kept, ...]
    verdict: Verdict
    leans: bool
    left: float


@dataclass(frozen=True)
class MoreLots:
    """A line that makes more lots, or needs more sterilizer loads, at one level than at another [a week].

    smallest: blocks of its smallest lot at the higher level [blocks]
    """

    line: str
    lots: tuple[int, int]
    loads: tuple[int, int] | None
    smallest: int


@dataclass(frozen=True)
class Why:
    """What fails first, and what was seen there.

    failing: the lowest level that is broken, surely or as far as one can tell; below: the level it is held against
    first: the target that fails first; also: others that are missed there
    seen: places and crews at the failing level; what got worst since the level below stands first
    more: lines that make more lots than at the level below
    """

    failing: int
    below: int | None
    first: Kept
    also: tuple[Kept, ...]
    seen: tight.Seen
    more: tuple[MoreLots, ...]

    @property
    def as_plain(self) -> dict[str, object]:
        """The same as JSON holds it."""
        lots = {one.line: {"lots": list(one.lots), "smallest": one.smallest} for one in self.more}
        return {
            "failing_at": self.failing,
            "beside": self.below,
            "fails_first": self.first.target.name,
            "also": [each.target.name for each in self.also],
            "looks_tight": list(self.seen.tight),
            "more_lots": lots,
        }


@dataclass(frozen=True)
class Ceiling:
    """How much a farm carries.

    weeks: measured length of each run; before: weeks before the last change, which are not told [weeks]
    now: blocks started a week as the farm is; states: how many states of the farm fall into its weeks
    usual: whether nobody gave targets; unknown: usual targets that this farm has no figure for
    grow: whether what customers want grew along
    levels: all that were looked at, the lowest first
    low, high: surely kept and surely broken [blocks/week]; guess: the best guess between them
    why: what fails first above it; None when nothing does
    """

    farm: str
    system: str
    start: str
    weeks: int
    before: int
    lead_in: int
    seed: int
    runs: int
    sure: float
    now: int
    states: int
    targets: tuple[Target, ...]
    usual: bool
    unknown: tuple[str, ...]
    grow: bool
    range: Range
    levels: tuple[Level, ...]
    low: int | None
    high: int | None
    guess: int | None
    why: Why | None

    def at(self, blocks: int) -> Level:
        """A level that was looked at."""
        return next(level for level in self.levels if level.blocks == blocks)

    @property
    def as_it_is(self) -> Level:
        """The first level that was looked at: the farm as it is, or what of the range is nearest to it."""
        return self.at(self.range.nearest(self.now))

    @property
    def breaks_now(self) -> tuple[Kept, ...]:
        """The targets that the farm as it is surely breaks, where that was looked at."""
        level = self.as_it_is
        return tuple(kept for kept in level.kept if kept.verdict == "broken" and level.blocks == self.now)

    @property
    def broken_below(self) -> tuple[Level, ...]:
        """Levels that are surely broken although a higher one is not: there more blocks do help."""
        others = [level.blocks for level in self.levels if level.verdict != "broken"]
        return tuple(
            level for level in self.levels if level.verdict == "broken" and level.blocks < max(others, default=0)
        )

    @property
    def closest(self) -> Level:
        """Of all levels that were looked at, the one at which the target missed most is missed least, in its own measure."""
        return min(self.levels, key=lambda level: (max(how_far(kept) for kept in level.kept), -level.blocks))

    @property
    def table(self) -> pd.DataFrame:
        """Every level and target: the figure, where it surely lies, the bound, and the verdict."""
        return pd.DataFrame([_row(level, kept) for level in self.levels for kept in level.kept])

    @property
    def as_plain(self) -> dict[str, object]:
        """Everything as JSON holds it."""
        about = {"farm": self.farm, "start": self.start, "weeks": self.weeks, "from_week": self.before + 1}
        ran = {"seed": self.seed, "most_runs": self.runs, "lead_in": self.lead_in, "sure": self.sure}
        found = {"blocks_now": self.now, "surely_kept": self.low, "surely_broken": self.high, "about": self.guess}
        targets = [{"target": each.name, "side": each.side, "bound": each.bound} for each in self.targets]
        levels = [_row(level, kept) for level in self.levels for kept in level.kept]
        more = {"orders_grow": self.grow, "targets": targets, "usual_targets": self.usual, "levels": levels}
        return {**about, **ran, **found, "why": None if self.why is None else self.why.as_plain, **more}


def _row(level: Level, kept: Kept) -> dict[str, object]:
    return {
        "blocks": level.blocks,
        "runs": level.runs,
        "target": kept.target.name,
        "figure": kept.mean,
        "low": None if kept.too_few_alike else kept.mean - kept.give,
        "high": None if kept.too_few_alike else kept.mean + kept.give,
        "bound": kept.target.bound,
        "verdict": kept.verdict,
    }


def how_far(kept: Kept) -> float:
    """By how much a bound is missed, as a part of what there is to it [1]; a bound of nothing in its own unit."""
    return kept.target.short(kept.mean) / (kept.target.bound or 1.0)
