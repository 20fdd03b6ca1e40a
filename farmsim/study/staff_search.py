"""The search behind `staff.py`: what is tried in which round, and what a round says about what to try next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from farmsim.record.measures import RunTables
from farmsim.scenario.crew_change import differences
from farmsim.scenario.crew_choices import ADDITIONS, CUTS, Choice, all_choices, chosen, usual_pay
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew
from farmsim.study import frames, tight
from farmsim.study.answers import Crew as Load
from farmsim.study.headlines import by_run
from farmsim.study.pay import Pay
from farmsim.study.precision import SURE, half_width
from farmsim.study.selection import Outcome, Seen, Terms, select
from farmsim.study.staff_effort import AT_ONCE, BLOCK, FIRST, Effort
from farmsim.study.staff_found import Ended, Lost, Tried
from farmsim.study.targets import SERVICE, NoTarget, Target
from farmsim.study.trials import Case, Trials

TOGETHER = 3  # of these, how many are what was good before, taken together
SLACK_HOURS, LEAST_SLACK = 0.01, 0.5  # slack of a target in hours: a share of its bound, and at least so much [h/week]
LOOKED_AT, TOLD = ("weekly", "crews"), ("weekly", "crews", "duties", "hours_of_week")


@dataclass(frozen=True)
class Tryout:
    """A farm that is tried: it differs in its crews, and the choices that made it of the best so far."""

    farm: Farm
    choices: tuple[Choice, ...] = ()


@dataclass
class Search:
    """The state of a search.

    best: the best crews so far; is_sure: whether they were found to keep all targets; seems: whether they seem to
    good: choices that seemed to keep all targets beside the best, and are not made yet
    out: crews that surely missed a target
    """

    now: Farm
    trials: Trials
    effort: Effort
    pay: Pay
    best: Farm = field(init=False)
    targets: tuple[Target, ...] = ()
    slacks: tuple[float, ...] = ()
    zone: float = 0.0
    use: dict[str, dict[str, float]] = field(default_factory=dict)
    busiest: list[str] = field(default_factory=list)
    is_sure: bool = False
    seems: bool = False
    is_complete: bool = True
    made: int = 0
    good: list[Choice] = field(default_factory=list)
    bad: set[Choice] = field(default_factory=set)
    out: list[tuple[Crew, ...]] = field(default_factory=list)
    tried: list[Tried] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.best = self.now

    # --- looking ------------------------------------------------------------------------------------------------

    def look(self, targets: Sequence[Target]) -> None:
        """Look at the farm's own crews: what can be judged, what they cost, who is busy when."""
        self._expect(0)
        found = self.trials.take([Case(self.now, number) for number in range(FIRST)], TOLD)
        self.targets = tuple(_judged(targets, found, self.now.farm.name))
        self.slacks = tuple(self._slack(target) for target in self.targets)
        self.zone = self.effort.zone * float(
            np.mean([self.pay.of_run(self.now, each, self.trials.weeks) for each in found])
        )
        load = load_of(found, self.trials.weeks)
        self.use = {crew.name: tight.by_day(crew.hours) for crew in load}
        self.busiest = [crew.name for crew in sorted(load, key=lambda crew: -crew.full_waiting)]
        seen = [self._seen(self.now, each) for each in found]
        self.seems = all(np.mean([run.margins[at] for run in seen]) >= 0 for at in range(len(self.targets)))

    def _slack(self, target: Target) -> float:
        return self.effort.slack if target.figure.unit == "share" else max(LEAST_SLACK, SLACK_HOURS * target.bound)

    def _expect(self, made: int) -> None:
        """Tell the bar about how many runs are to come."""
        first = FIRST if made == 0 else 0
        self.trials.expect(first + (self.effort.rounds - made) * AT_ONCE * FIRST + 2 * self.effort.runs)

    def _seen(self, farm: Farm, tables: RunTables) -> Seen:
        margins = (of_run(target, tables) for target in self.targets)
        kept = tuple(-target.short(value) for target, value in zip(self.targets, margins, strict=True))
        return Seen(self.pay.of_run(farm, tables, self.trials.weeks), kept)

    # --- searching ----------------------------------------------------------------------------------------------

    def go(self) -> Ended:
        """Round after round until nothing is left to try."""
        while self.made < self.effort.rounds:
            crews = [Tryout(self.best), *(self._cheaper() if self.seems else self._dearer())]
            if len(crews) == 1 and (self.is_sure or self.made > 0):
                return "nothing cheaper" if self.is_sure else "nothing dearer left"
            self._expect(self.made)
            self.made += 1
            self._judge(crews, self._race(crews))
        return "rounds used up"

    def _race(self, crews: Sequence[Tryout]) -> Outcome:
        first = self.made * BLOCK

        def draw(which: Sequence[int], numbers: range) -> list[list[Seen]]:
            cases = [Case(crews[at].farm, first + number) for number in numbers for at in which]
            found = self.trials.take(cases, LOOKED_AT)
            seen = [self._seen(case.farm, tables) for case, tables in zip(cases, found, strict=True)]
            return [seen[at :: len(which)] for at in range(len(which))]

        risk = (1 - SURE) / self.effort.rounds
        terms = Terms(risk, self.zone, self.slacks, FIRST, self.effort.most)
        return select(len(crews), draw, terms, frozenset({0} if self.is_sure else ()))

    def _judge(self, crews: Sequence[Tryout], outcome: Outcome) -> None:
        """What a round says about the best so far, and about what to try next."""
        self.is_complete &= outcome.is_complete
        self._write_down(crews, outcome)
        for at, each in enumerate(crews[1:], 1):
            seems = all(margins.mean() >= 0 for margins in outcome.margins[at])
            if outcome.fates[at] == "misses":
                self.out.append(each.farm.crew)
            if at == outcome.chosen or (len(each.choices) == 1 and not seems):
                self.good = [choice for choice in self.good if choice not in each.choices]
            if len(each.choices) == 1 and not seems:
                self.bad |= {*each.choices}
            elif len(each.choices) == 1 and at != outcome.chosen and each.choices[0] not in self.good:
                self.good += each.choices
        was_searching_up = not self.seems
        if outcome.chosen is not None:
            self.best, self.is_sure, self.seems = crews[outcome.chosen].farm, True, True
        elif not self.is_sure:
            closest = min(range(len(crews)), key=lambda at: self._short(outcome, at))
            self.best, self.seems = crews[closest].farm, False
        if was_searching_up or not self.seems:  # what was learnt going one way says nothing about the other
            self.good, self.bad = [], set()

    def _short(self, outcome: Outcome, at: int) -> float:
        """By how much the worst kept target is missed, in slacks."""
        return max(-float(m.mean()) / slack for m, slack in zip(outcome.margins[at], self.slacks, strict=True))

    # --- what to try --------------------------------------------------------------------------------------------

    def _cheaper(self) -> list[Tryout]:
        """Cheaper crews: what was good before taken together, then one step of one crew each."""
        found = list[Tryout]()
        for choices in (self.good, self.good[:2], self.good[1:3]):
            if len(choices) > 1 and len(found) < TOGETHER:
                self._offer(found, self._all(choices))
        names = sorted((crew.name for crew in self.best.crew), key=lambda name: -self._saves(name))
        ladder = [choice for choice in all_choices(self.best, CUTS, names) if choice not in self.bad]
        for choice in [*self.good, *ladder]:
            self._offer(found, Tryout(other, (choice,)) if (other := chosen(self.best, choice, self.use)) else None)
        return found

    def _all(self, choices: Sequence[Choice]) -> Tryout | None:
        """The best with all choices made, those that cannot be made beside the others left out."""
        farm = self.best
        for choice in choices:
            farm = chosen(farm, choice, self.use) or farm
        return Tryout(farm, tuple(choices))

    def _saves(self, name: str) -> float:
        other = chosen(self.best, Choice(name, CUTS[0]), self.use)
        return usual_pay(self.best) - usual_pay(other) if other is not None else 0.0

    def _dearer(self) -> list[Tryout]:
        """More people and hours: one more of everybody, then one step of one crew each, the busiest crews first."""
        everybody, ladder = self.best, all_choices(self.best, ADDITIONS, self.busiest)
        for choice in all_choices(self.best, ADDITIONS[:1], self.busiest):
            everybody = chosen(everybody, choice, self.use) or everybody
        found = list[Tryout]()
        self._offer(found, Tryout(everybody))
        for choice in ladder:
            other = chosen(self.best, choice, self.use)
            self._offer(found, Tryout(other, (choice,)) if other is not None else None)
        return found

    def _offer(self, found: list[Tryout], crews: Tryout | None) -> None:
        """Take crews among those to be tried, if there is room, they are not known, and not dearer where cheaper are wanted."""
        if crews is None or len(found) >= AT_ONCE - 1:
            return
        if self.seems and usual_pay(crews.farm) > usual_pay(self.best) + 1e-9:
            return
        known = [self.best.crew, *self.out, *(each.farm.crew for each in found)]
        if crews.farm.crew not in known:
            found.append(crews)

    # --- writing down -------------------------------------------------------------------------------------------

    def _write_down(self, crews: Sequence[Tryout], outcome: Outcome) -> None:
        for at, each in enumerate(crews):
            figures = tuple(
                target.bound + float(margin.mean()) * (1 if target.side == "at least" else -1)
                for target, margin in zip(self.targets, outcome.margins[at], strict=True)
            )
            changes, beside = (tuple(differences(farm, each.farm)) for farm in (self.now, crews[0].farm))
            cost = outcome.cost[at]
            lost = self._lost(outcome, at)
            fate = outcome.fates[at]
            self.tried.append(Tried(self.made, changes, beside, len(cost), float(cost.mean()), figures, fate, lost))

    def _lost(self, outcome: Outcome, at: int) -> Lost | None:
        """Why crews lost: dearer than the winner, or a target missed."""
        fate, winner = outcome.fates[at], outcome.chosen
        if fate == "chosen":
            return None
        if fate == "dearer" and winner is not None:
            both = min(len(outcome.cost[at]), len(outcome.cost[winner]))
            more = outcome.cost[at][:both] - outcome.cost[winner][:both]
            return Lost(None, float(more.mean()), self._surely(more))
        margins = outcome.margins[at]
        worst = max(range(len(self.targets)), key=lambda target: -float(margins[target].mean()) / self.slacks[target])
        return Lost(self.targets[worst], -float(margins[worst].mean()), self._surely(-margins[worst]))

    def _surely(self, values: np.ndarray) -> float | None:
        """At least how much of it there surely is; None when nothing is sure.

        By the first runs alone: how many more are made depends on what they show, and a t interval of them all would hold too
        seldom. The target and the winner are picked by the same runs, so the risk is shared by all that might be told of
        crews: each target, and each of the others as winner (Bonferroni).
        """
        told = self.effort.rounds * AT_ONCE * (len(self.targets) + AT_ONCE - 1)
        first = values[:FIRST]
        low = min(float(first.mean()) - half_width(first, 1 - 2 * (1 - SURE) / told), float(values.mean()))
        return low if low > 0 else None


# --- targets ------------------------------------------------------------------------------------------------------


def _judged(targets: Sequence[Target], found: Sequence[RunTables], name: str) -> list[Target]:
    """The targets that the farm has figures for; one that was asked for must have one."""
    wanted = list(targets or SERVICE)
    known = [target for target in wanted if by_run(target.figure, found) is not None]
    missing = [target.name for target in wanted if target not in known]
    if targets and missing:
        raise NoTarget(f'"{missing[0]}" cannot be judged: {name} has nothing of which that would be a share')
    if not known:
        raise NoTarget(f'{name} promises nobody anything; name a target that it has, such as --target "thrown out 8 %"')
    return known


def of_run(target: Target, tables: RunTables) -> float:
    """The figure of one run; where there is nothing of which it would be a share, the target is kept to the letter."""
    value = by_run(target.figure, [tables])
    return target.bound if value is None else value[0]


def load_of(found: Sequence[RunTables], weeks: int) -> tuple[Load, ...]:
    """How busy each crew is, on average of some runs; their tables are those of `TOLD`."""
    tables = frames.frames([{name: each[name] for name in TOLD} for each in found])
    return tight.crews(tables["crews"], tables["duties"], tables["hours_of_week"], weeks)
