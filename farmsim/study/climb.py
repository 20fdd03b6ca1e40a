"""The highest level at which all targets are kept, found by looking at few levels, and between which two it surely lies.

At a level every run gives one value of each figure, and a target is judged by Student's t over these runs. A level is kept
when all its targets surely are, broken when one of them surely is. It is looked at with few runs first, with all of them when
those cannot tell, and stays open when all cannot tell either. What a search may spend is bounded; it then ends with what it
has.

What is promised: no level is called kept that is not, nor broken that is not, with a risk of 1 - SURE over the whole search.
That risk is shared out evenly (Bonferroni) over every verdict there may be: levels, times two (few runs and all), times
targets. So the highest kept level is surely kept, and the lowest broken one above all others surely broken, whatever lies
between and below. That the limit itself lies between them, and nowhere else, holds where more blocks never help a target: this
is taken for granted, and a level that is broken below the two is told. Which level is looked at next depends on what was seen
before, which the sharing out does not prove harmless; a test searches 200 times for a known limit. Where most runs of a level
show the very same figure, Student's t says nothing of the rare run that is otherwise (`precision.are_too_few_alike`): the
search goes by it, but what is told as sure takes `precision.ALIKE_RUNS` runs.

Best guess: between the two neighbouring levels whose means lie on either side of a bound, on a straight line.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from farmsim.study.precision import DUST, SURE
from farmsim.study.targets import Kept, Target, Verdict, judge

Look = Callable[[int, int], Mapping[str, Sequence[float]]]
"""Given a level and a number of runs: one value a run of each target's figure, by the target's name."""

MOST_LEVELS = 14  # that are looked at
MOST_LOOKS = 6  # times the most runs at one level that are spent before the search ends where it is
FIRST_RUNS = 4  # a level is looked at first with one run in so many
FEWEST = 5  # runs of a first look
STRIDES = (1.25, 1.5, 2.0)  # how far away the next level is while no broken (kept) one has been met
NEAR = (1.1, *STRIDES)  # the same while only a sure one is missing
EDGE = 0.2  # share of the way between two levels that is left to either side of a guess
Way = Literal[1, -1]


@dataclass(frozen=True)
class Rung:
    """A level that was looked at: with how many runs, how each target stood, and what that makes of the level."""

    level: int
    runs: int
    kept: tuple[Kept, ...]

    @property
    def verdict(self) -> Verdict:
        """Kept when all targets are; broken when one is."""
        verdicts = {each.verdict for each in self.kept}
        if "broken" in verdicts:
            return "broken"
        return "kept" if verdicts == {"kept"} else "not sure"

    @property
    def leans(self) -> bool:
        """Whether all targets are kept as far as one can tell."""
        return self.verdict == "kept" or (self.verdict == "not sure" and not self.missed)

    @property
    def missed(self) -> tuple[Kept, ...]:
        """Targets whose mean misses the bound."""
        return tuple(each for each in self.kept if each.target.short(each.mean) > 0 and each.verdict != "kept")


@dataclass(frozen=True)
class Climbed:
    """What a search found.

    rungs: every level that was looked at, the lowest first
    low: the highest level that is surely kept; high: the lowest that is surely broken above all that are not
    guess: the best guess of the highest level that keeps all targets; None when all levels lean to one side
    first: the target that is missed first on the way up from there
    """

    rungs: tuple[Rung, ...]
    low: int | None
    high: int | None
    guess: float | None
    first: Target | None

    def at(self, level: int) -> Rung:
        """The rung of a level that was looked at."""
        return next(rung for rung in self.rungs if rung.level == level)


@dataclass
class _Search:
    """A search that is under way; levels are spoken of by their place among all there are."""

    levels: Sequence[int]
    look: Look
    targets: Sequence[Target]
    runs: int
    sure: float
    seen: dict[int, Rung] = field(default_factory=dict)
    proved: set[int] = field(default_factory=set)

    def see(self, at: int) -> Rung:
        """Look at a level, or remember it."""
        if at not in self.seen:
            few = max(FEWEST, self.runs // FIRST_RUNS)
            rung = self._judged(at, min(few, self.runs))
            self.seen[at] = rung if rung.verdict != "not sure" or few >= self.runs else self._judged(at, self.runs)
        return self.seen[at]

    def prove(self, at: int) -> None:
        """Judge a level by all runs if it takes more of them because most are alike; what then is not sure is not."""
        more = any(each.too_few_alike for each in self.seen[at].kept)
        self.seen[at] = self._judged(at, self.runs if more else self.seen[at].runs, proved=True)
        self.proved.add(at)

    def _judged(self, at: int, runs: int, proved: bool = False) -> Rung:
        found = self.look(self.levels[at], runs)
        verdicts = 2 * MOST_LEVELS * len(self.targets)
        sure = 1 - (1 - self.sure) / verdicts
        return Rung(
            self.levels[at], runs, tuple(judge(each, found[each.name], sure, not proved) for each in self.targets)
        )

    @property
    def is_spent(self) -> bool:
        """Whether as many levels were looked at, or as many runs spent, as may be."""
        spent = sum(rung.runs for rung in self.seen.values())
        return len(self.seen) >= MOST_LEVELS or spent >= MOST_LOOKS * self.runs

    @property
    def broken(self) -> int | None:
        """Place of the lowest level that is surely broken, above all that are not."""
        other = max((at for at, rung in self.seen.items() if rung.verdict != "broken"), default=-1)
        return min((at for at in self.seen if at > other), default=None)

    @property
    def kept(self) -> int | None:
        """Place of the highest level that is surely kept."""
        return max((at for at, rung in self.seen.items() if rung.verdict == "kept"), default=None)

    @property
    def turn(self) -> tuple[int, int] | None:
        """Two levels that follow one another in what was looked at, the upper ones leaning to broken as far as may be.

        Between surely kept and surely broken that place where fewest levels lean the other way; None when it is at an end.
        """
        seen = sorted(self.seen)
        first = 0 if self.kept is None else seen.index(self.kept) + 1
        last = len(seen) if self.broken is None else seen.index(self.broken)
        cut = min(range(first, last + 1), key=lambda cut: (self._against(seen, cut), cut))
        return (seen[cut - 1], seen[cut]) if 0 < cut < len(seen) else None

    def _against(self, seen: Sequence[int], cut: int) -> int:
        """Levels that lean the other way when all below a place are taken for kept, all others for broken."""
        return sum(self.seen[at].leans != (place < cut) for place, at in enumerate(seen))


def _prove(search: _Search, start: int) -> None:
    """Prove the levels that are told: the one it began at, and the two ends."""
    search.prove(start)
    while at := {search.kept, search.broken} - search.proved - {None}:
        search.prove(min(place for place in at if place is not None))


def _as_told(found: Climbed) -> Climbed:
    """Nothing is told as sure of a level where few runs are alike: nobody asked it any further."""
    return replace(found, rungs=tuple(
        replace(rung, kept=tuple(replace(each, verdict="not sure") if each.too_few_alike else each for each in rung.kept))
        for rung in found.rungs
    ))  # fmt: skip


def climb(
    levels: Sequence[int], begin: int, look: Look, targets: Sequence[Target], runs: int, sure: float = SURE
) -> Climbed:
    """Search the levels for the highest that keeps all targets.

    levels: all there are, from low to high [blocks/week, or whatever is scaled]; begin: the one to begin at
    runs: the most at one level [runs], two or more; sure: of all verdicts together [1]
    """
    search = _Search(levels, look, targets, runs, sure)
    start = levels.index(begin)
    _bracket(search, start, 1 if search.see(start).leans else -1)
    _narrow(search)
    _reach(search)
    _fence(search)
    _prove(search, start)
    return _as_told(_found(search))


def _bracket(search: _Search, at: int, way: Way) -> None:
    """Go up while levels lean to kept, or down while they lean to broken, in ever longer strides."""
    last = len(search.levels) - 1 if way > 0 else 0
    stride = 0
    while at != last and not search.is_spent and search.see(at).leans == (way > 0):
        at = _stride(search, at, way, STRIDES[min(stride, len(STRIDES) - 1)])
        stride += 1


def _narrow(search: _Search) -> None:
    """Look between the highest level that leans to kept and the next that does not, until they are neighbours.

    Or until neither can be told: what lies between them could be told still less, and runs are better spent further out.
    """
    while not search.is_spent:
        pair = search.turn
        if pair is None or pair[1] - pair[0] <= 1:
            return
        if all(search.seen[at].verdict == "not sure" for at in pair):
            return
        search.see(_between(*pair, _shorts(search.seen[pair[0]]), _shorts(search.seen[pair[1]])))


def _reach(search: _Search) -> None:
    """Go down from the lowest level until one is surely kept, and up from the highest until one is surely broken."""
    stride = 0
    while not search.is_spent and search.kept is None and (at := min(search.seen)) > 0:
        if search.seen[at].verdict == "broken":
            break
        _stride(search, at, -1, NEAR[min(stride, len(NEAR) - 1)])
        stride += 1
    stride = 0
    while not search.is_spent and search.broken is None and (at := max(search.seen)) < len(search.levels) - 1:
        _stride(search, at, 1, NEAR[min(stride, len(NEAR) - 1)])
        stride += 1


def _stride(search: _Search, at: int, way: Way, times: float) -> int:
    """Look at a level so many times as high, or as low, and by one at least; returns its place."""
    place = bisect_left(search.levels, search.levels[at] * times**way)
    place = min(len(search.levels) - 1, max(at + 1, place)) if way > 0 else max(0, min(at - 1, place))
    search.see(place)
    return place


def _fence(search: _Search) -> None:
    """Look where a level may still be surely kept, or surely broken, nearer to the limit than those there are."""
    while not search.is_spent:
        gaps = [gap for gap in (_gap_below(search), _gap_above(search)) if gap is not None and gap[1] - gap[0] > 1]
        if not gaps:
            return
        near, far, way = max(gaps, key=lambda gap: gap[1] - gap[0])
        below, above = (_edges(search.seen[place], way) for place in (near, far))
        search.see(_between(near, far, below, above))


def _gap_below(search: _Search) -> tuple[int, int, Way] | None:
    """Between the highest surely kept level and the open one above it."""
    kept = search.kept
    above = [at for at in search.seen if kept is not None and at > kept]
    return (kept, min(above), -1) if above and kept is not None else None


def _gap_above(search: _Search) -> tuple[int, int, Way] | None:
    """Between the lowest surely broken level and the open one below it."""
    broken = search.broken
    below = [at for at in search.seen if broken is not None and at < broken]
    return (max(below), broken, 1) if below and broken is not None else None


def _shorts(rung: Rung) -> list[float]:
    """By how much each target is missed, less than 0 where it is kept."""
    return [each.target.short(each.mean) for each in rung.kept]


def _edges(rung: Rung, way: Way) -> list[float]:
    """The same at the worse (way -1) or the better end of what is known of each figure."""
    return [each.target.short(each.mean) - way * each.give for each in rung.kept]


def _between(low: int, high: int, below: Sequence[float], above: Sequence[float]) -> int:
    """Where between two levels, seen as straight lines, the first target reaches its bound; not too near to either."""
    ways = [_crossing(first, last) for first, last in zip(below, above, strict=True)]
    share = min((way for way in ways if way is not None), default=0.5)
    place = low + (high - low) * min(1 - EDGE, max(EDGE, share))
    return min(high - 1, max(low + 1, round(place)))


def _crossing(below: float, above: float) -> float | None:
    """At which share of the way a straight line comes from kept (at most 0) to missed; None when it does not."""
    return max(0.0, -below) / (above - min(below, 0.0)) if below <= DUST < above else None


def _found(search: _Search) -> Climbed:
    rungs = tuple(search.seen[at] for at in sorted(search.seen))
    low, high = (None if at is None else search.levels[at] for at in (search.kept, search.broken))
    pair = search.turn
    if pair is None:
        return Climbed(rungs, low, high, None, None)
    under, over = search.seen[pair[0]], search.seen[pair[1]]
    ways = [
        (way, at)
        for at, (first, last) in enumerate(zip(_shorts(under), _shorts(over), strict=True))
        if (way := _crossing(first, last)) is not None
    ]
    if not ways:
        return Climbed(rungs, low, high, None, None)
    share, at = min(ways)
    guess = under.level + share * (over.level - under.level)
    return Climbed(rungs, low, high, guess, over.kept[at].target)
