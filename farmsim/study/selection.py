"""The cheapest of a few candidates that keeps its targets, chosen by runs on common luck with a stated risk.

What is known of a candidate are a cost and, for each target, a margin (by how much it is kept; less than 0: missed), one of
each a run. Run for run all candidates have the same luck.

The procedure, written out here because no library has it as it is needed (targets and cost together, on common luck):

1. `first` runs of every candidate give the variances: of each margin, and of the difference of cost of each pair. What is
   plain by then is told at once: a target is *missed* when Student's t, at half the risk of one statement, puts the mean
   margin surely below its slack, and *kept* when it puts it surely above 0.
2. Then run by run, at the other half of that risk for targets. A target is *kept* or *missed* when the sum of (margin -
   slack / 2) leaves a triangle that narrows with the runs: half its height is max(0, h2 * variance / (2 z) - z r / 2) with
   z = slack / 2 after r runs. A pair is told apart when the sum of its differences of cost leaves the like triangle with
   z = zone. (The triangle of Fabian, as Kim and Nelson use it for selection, ACM TOMACS 11(3), 2001; for targets as in
   Andradottir and Kim, Naval Research Logistics 57(5), 2010.)
3. A candidate that misses a target is out. One that is dearer than another is out once that other keeps all its targets;
   until then it sleeps and gets no runs, and wakes when that other is out. Runs go on until one is left. A candidate of which
   `most` runs do not tell whether it keeps its targets is given up, and told to be not sure.

h2 = (first - 1) * ((2 a)^(-2 / (first - 1)) - 1), where a is the risk of one statement. With k candidates and m targets, the
answer can be wrong in k - 1 + m ways (Bonferroni): each other candidate wrongly kept or wrongly taken for cheaper, each target
of the best wrongly missed; so a = risk / (k - 1 + m).

The guarantee, for figures of runs that are independent and nearly normal, is with 1 - risk: nothing is chosen that misses a
target at all; and if some candidate keeps every target by at least its slack, then the cheapest of those is chosen, or one not
dearer than it by `zone` or more, provided that the costs of the others differ from the cheapest by at least `zone` (a chain of
near ties is not covered by the proof). Where most runs of a candidate show the very same margin (nothing is ever missing), the
spread says nothing of the rare run that is otherwise. Its target is then told from `precision.ALIKE_RUNS` runs on; what is sure
where all of them are the same is that most of all runs are like them (`precision.are_too_few_alike`), and no more; where some
differ the spread is that of all runs so far, which the proof does not cover. Costs are not held to that: most of them are hours
by the roster, which are the same by rule. Where `most` runs ended it first, the second half does not hold, and `is_complete` is
False.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from scipy.special import stdtrit

from farmsim.record.tables import Figures
from farmsim.study.precision import are_alike, are_too_few_alike

STEP = 5  # runs worked out at once after that
Fate = Literal["chosen", "dearer", "misses", "not sure"]


@dataclass(frozen=True)
class Seen:
    """What one run of a candidate showed: its cost, and by how much each target is kept."""

    cost: float
    margins: tuple[float, ...]


Draw = Callable[[Sequence[int], range], list[list[Seen]]]
"""Given candidates and run numbers: for each of the candidates, what each of the runs showed."""


@dataclass(frozen=True)
class Terms:
    """What is promised.

    risk: chance that the answer is wrong, at most [1]
    zone: difference of cost that does not matter [cost]
    slacks: for each target, how much more than kept it must be to be surely found [margin]
    first, most: runs of a candidate, at least and at most [runs]
    """

    risk: float
    zone: float
    slacks: tuple[float, ...]
    first: int
    most: int


@dataclass(frozen=True)
class Outcome:
    """What became of each candidate.

    chosen: which, None when none surely keeps all targets
    fates: of each; runs: made of each [runs]
    cost, margins: what its runs showed, one value a run; the second by target
    is_complete: False when the most runs were made before everything was told apart
    """

    chosen: int | None
    fates: tuple[Fate, ...]
    cost: tuple[Figures, ...]
    margins: tuple[tuple[Figures, ...], ...]
    is_complete: bool


def height(risk: float, first: int) -> float:
    """h2 of one statement with such a risk, variances estimated from `first` runs."""
    return float((first - 1) * ((2 * risk) ** (-2 / (first - 1)) - 1))


def select(count: int, draw: Draw, terms: Terms, sure: frozenset[int] = frozenset()) -> Outcome:
    """Choose among so many candidates.

    sure: those whose targets are known to be kept already; only their cost is looked at
    """
    race = _Race(count, terms, sure)
    race.add(range(count), draw(range(count), range(terms.first)))
    race.begin()
    while race.go_on() and (next_runs := race.next_runs()):
        for numbers, which in next_runs.items():
            race.add(which, draw(which, numbers))
        race.look()
    return race.outcome()


@dataclass
class _Race:
    """Candidates in the running."""

    count: int
    terms: Terms
    sure: frozenset[int]
    seen: list[list[Seen]] = field(default_factory=list)
    kept: dict[tuple[int, int], bool] = field(default_factory=dict)  # by candidate and target, once it is told
    cheaper: dict[tuple[int, int], int] = field(default_factory=dict)  # by pair, the cheaper of it once it is told
    looked_at: dict[tuple[int, int, str], int] = field(
        default_factory=dict
    )  # runs of a target, or pair, that were judged
    beaten: dict[int, int] = field(default_factory=dict)  # those out because another is cheaper, and which
    missed: set[int] = field(default_factory=set)
    given_up: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.seen = [[] for _ in range(self.count)]
        self.targets = range(len(self.terms.slacks))
        risk, first = self.terms.risk / max(1, self.count - 1 + len(self.targets)), self.terms.first
        self.h2, self.h2_target = height(risk, first), height(risk / 2, first)
        self.plain = float(stdtrit(first - 1, 1 - risk / 2)) / first**0.5  # standard deviations of one run

    @property
    def left(self) -> list[int]:
        return [at for at in range(self.count) if at not in self.beaten.keys() | self.missed | self.given_up]

    def add(self, candidates: Sequence[int], found: Sequence[Sequence[Seen]]) -> None:
        for at, runs in zip(candidates, found, strict=True):
            self.seen[at] += runs

    def begin(self) -> None:
        """Estimate the variances and take the first look."""
        first = self.terms.first
        cost = np.array([[seen.cost for seen in runs[:first]] for runs in self.seen])
        self.spread = np.array([[float((a - b).var(ddof=1)) for b in cost] for a in cost])
        self.margin_spread = {
            (at, target): float(np.var([seen.margins[target] for seen in runs[:first]], ddof=1))
            for at, runs in enumerate(self.seen)
            for target in self.targets
        }
        for at in self.sure:
            self.kept.update({(at, target): True for target in self.targets})
        for (at, target), variance in self.margin_spread.items():
            mean = float(np.mean([seen.margins[target] for seen in self.seen[at][:first]]))
            reach = self.plain * variance**0.5
            if are_too_few_alike(self._margins(at, target)):
                continue
            if variance > 0 and mean + reach < self.terms.slacks[target]:
                self.kept.setdefault((at, target), False)
            elif variance > 0 and mean - reach > 0:
                self.kept.setdefault((at, target), True)
        self.look()

    # --- who runs on ----------------------------------------------------------------------------------------------

    def go_on(self) -> bool:
        left = self.left
        return len(left) > 1 or (len(left) == 1 and not self.keeps_all(left[0]))

    def awake(self) -> list[int]:
        """Those left of which none is known to be dearer than another that is left."""
        left = self.left
        asleep = {self._loser(pair) for pair, winner in self.cheaper.items() if winner in left}
        return [at for at in left if at not in asleep]

    def next_runs(self) -> dict[range, list[int]]:
        """For which candidates which runs are to be made next; none when all that are awake have had the most."""
        found: dict[range, list[int]] = {}
        for at in self.awake():
            made = len(self.seen[at])
            if made < self.terms.most:
                found.setdefault(range(made, min(self.terms.most, made + STEP)), []).append(at)
        return found

    # --- what can be told -----------------------------------------------------------------------------------------

    def look(self) -> None:
        """Judge what there is; whoever wakes because another is out is judged by the runs it has."""
        before = -1
        while before != len(self.left):
            before = len(self.left)
            self._look_at_targets()
            self._look_at_pairs()

    def _look_at_targets(self) -> None:
        for at in self.left:
            for target in self.targets:
                if (at, target) not in self.kept:
                    self._look_at_target(at, target)
        self.missed |= {at for (at, _), is_kept in self.kept.items() if not is_kept}
        for at in self.awake():
            if len(self.seen[at]) >= self.terms.most and not self.keeps_all(at):
                self.given_up.add(at)

    def _look_at_target(self, at: int, target: int) -> None:
        margins = self._margins(at, target)
        slack, spread = self.terms.slacks[target], self.margin_spread[at, target]
        if are_too_few_alike(margins):
            return
        if len(set(margins)) == 1:
            self.kept[at, target] = margins[0] >= 0.0
            return
        if are_alike(margins[: self.terms.first]):  # their spread says nothing of what came after them
            spread = float(np.var(margins, ddof=1))
        above = [margin - slack / 2 for margin in margins]
        runs = self._first_out(above, self.h2_target * spread, slack / 2, (at, target, "target"))
        if runs:
            self.kept[at, target] = sum(margins[:runs]) - runs * slack / 2 > 0

    def _margins(self, at: int, target: int) -> list[float]:
        return [seen.margins[target] for seen in self.seen[at]]

    def _look_at_pairs(self) -> None:
        left = self.left
        for place, one in enumerate(left):
            for other in left[place + 1 :]:
                if (one, other) not in self.cheaper:
                    self._look_at_pair(one, other)
        for pair, winner in self.cheaper.items():
            loser = self._loser(pair)
            still = self.left  # asked anew each time, so that no circle puts all of them out
            if winner in still and loser in still and self.keeps_all(winner):
                self.beaten[loser] = winner

    def _look_at_pair(self, one: int, other: int) -> None:
        less = [a.cost - b.cost for a, b in zip(self.seen[one], self.seen[other], strict=False)]
        runs = self._first_out(less, self.h2 * float(self.spread[one, other]), self.terms.zone, (one, other, "pair"))
        if runs:
            self.cheaper[one, other] = one if sum(less[:runs]) <= 0 else other

    def _first_out(self, values: Sequence[float], wide: float, zone: float, what: tuple[int, int, str]) -> int:
        """After how many runs the sum of the values first left its triangle; 0 when it has not."""
        judged = self.looked_at.get(what, self.terms.first - 1)
        total = sum(values[:judged])
        for runs in range(judged + 1, len(values) + 1):
            total += values[runs - 1]
            if abs(total) >= _reach(wide, zone, runs):
                return runs
        self.looked_at[what] = len(values)
        return 0

    def _loser(self, pair: tuple[int, int]) -> int:
        return pair[1] if self.cheaper[pair] == pair[0] else pair[0]

    def keeps_all(self, at: int) -> bool:
        return all(self.kept.get((at, target), False) for target in self.targets)

    # --- the end --------------------------------------------------------------------------------------------------

    def outcome(self) -> Outcome:
        cost = tuple(np.array([seen.cost for seen in runs]) for runs in self.seen)
        able = [at for at in self.left if self.keeps_all(at)]
        best = min(able, key=lambda at: float(cost[at].mean()), default=None)
        margins = tuple(
            tuple(np.array([seen.margins[at] for seen in runs]) for at in self.targets) for runs in self.seen
        )
        fates = tuple(self._fate(at, best) for at in range(self.count))
        return Outcome(best, fates, cost, margins, not self.given_up and not self.go_on())

    def _fate(self, at: int, best: int | None) -> Fate:
        if at == best:
            return "chosen"
        if at in self.missed:
            return "misses"
        return "not sure" if at in self.given_up or best is None else "dearer"


def _reach(wide: float, zone: float, runs: int) -> float:
    """Half the height of the triangle after so many runs; wide: h2 times the variance."""
    return max(0.0, wide / (2 * zone) - zone * runs / 2)
