"""What each of several named steps brings over one base, by pairs on common luck, and which of them brings most.

All steps get a few runs; those that surely bring less than another get no more, the others the rest. Any source of figures will
do, one value a run: farms, or small lines with a known answer.

How sure: the whole risk of an answer is cut into as many parts as there are such races in it. Half of a race's part is shared
out over all intervals that it might tell (steps x figures x looks), half over all ways in which the best step could be taken
for less than another (steps less one x looks, to one side). So all intervals hold together, and the best step is among
those that remain, whatever the looks showed. Student's t over the pairs' differences.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from farmsim.study.compare import Difference, difference
from farmsim.study.headlines import Headline
from farmsim.study.precision import SURE, half_width

Values = tuple[float, ...]
Ask = Callable[[Sequence[str], Sequence[int]], Mapping[str, Sequence[float]]]
"""One value a run of each of the named, for the numbers of the runs, which are the same luck for all."""

REMAINS, LESS, SAME, SMALL, APART = "may be the best", "surely less", "the same", "too small", "apart"


@dataclass(frozen=True)
class Rules:
    """How a race is run.

    first, runs: runs of every step, and of those that remain [runs]; two or more
    figures: how many figures of each step are told in all, the judged one among them [count]
    parts: races that share the risk of one answer [count]
    worth: steps that surely bring less than this share of the base are not followed up [share of the base's figure]
    """

    first: int
    runs: int
    figures: int = 1
    parts: int = 1
    worth: float = 0.0

    @property
    def looks(self) -> tuple[int, ...]:
        """After how many runs the steps are looked at."""
        return (self.first, self.runs) if self.runs > self.first else (self.first,)

    def told(self, steps: int) -> int:
        """Among how many intervals the risk of an answer is shared, one of which is told with the certainty of all."""
        return 2 * self.parts * steps * self.figures * len(self.looks)

    def sure_of_less(self, steps: int) -> float:
        """How sure it has to be, to one side, that one step brings less than another."""
        return 1 - (1 - SURE) / (2 * self.parts * max(1, steps - 1) * len(self.looks))


@dataclass(frozen=True)
class Raced:
    """What one step brings, and how it stands.

    values: the judged figure, one a run
    gain: what it brings over the base
    stands: it may be the best; another surely brings more; never differed; surely too small; or it does not compete
    """

    name: str
    values: Values
    gain: Difference
    stands: str


@dataclass(frozen=True)
class Race:
    """All steps, those that may be the best first, each group by what it brings; those apart last.

    told: see Rules.told
    """

    base: Values
    steps: tuple[Raced, ...]
    told: int

    @property
    def best(self) -> Raced | None:
        """The step that surely brings something, and of such steps the most; None when none surely does."""
        sure = [step for step in self.steps if step.stands != APART and step.gain.verdict == "more"]
        return max(sure, key=lambda step: (step.stands == REMAINS, step.gain.mean), default=None)

    @property
    def not_told_apart(self) -> tuple[Raced, ...]:
        """Steps besides the best that may be it."""
        return tuple(step for step in self.steps if step.stands == REMAINS and step is not self.best)


@dataclass
class _Course:
    """A race that is going on."""

    figure: Headline
    rules: Rules
    steps: int
    among: int
    values: dict[str, list[float]] = field(default_factory=dict)
    stands: dict[str, str] = field(default_factory=dict)

    def gain(self, base: str, name: str) -> Difference:
        own = self.values[name]
        return difference(self.figure, self.values[base][: len(own)], own, self.rules.told(self.steps))

    def is_less(self, name: str, others: Sequence[str]) -> bool:
        """Whether one of the others surely brings more."""
        sure = 2 * self.rules.sure_of_less(self.among) - 1
        for other in others:
            pairs = [a - b for a, b in zip(self.values[other], self.values[name], strict=True)]
            if any(pairs) and math.fsum(pairs) / len(pairs) > half_width(pairs, sure):
                return True
        return False

    def look(self, base: str, alive: Sequence[str]) -> list[str]:
        """Those of the steps that remain."""
        gains = {name: self.gain(base, name) for name in alive}
        small = self.rules.worth * abs(math.fsum(self.values[base]) / len(self.values[base]))
        for name in alive:
            if gains[name].give is None:
                self.stands[name] = SAME
            elif self.is_less(name, alive):
                self.stands[name] = LESS
            elif gains[name].high < small:
                self.stands[name] = SMALL
        return [name for name in alive if self.stands[name] == REMAINS]


def race(base: str, steps: Sequence[str], ask: Ask, figure: Headline, rules: Rules, apart: Sequence[str] = ()) -> Race:
    """Ask what each step brings, and drop what surely brings less than another.

    figure: what is judged; more of it is better
    apart: steps that do not compete; they are asked until it is known whether they bring something
    """
    course = _Course(figure, rules, len(steps) + len(apart), len(steps))
    course.stands = dict.fromkeys(steps, REMAINS) | dict.fromkeys(apart, APART)
    alive, open_, done = list(steps), list(apart), 0
    for upto in rules.looks:
        if not alive and not open_:
            break
        for name, values in ask([base, *alive, *open_], range(done, upto)).items():
            course.values.setdefault(name, []).extend(values)
        done = upto
        alive = course.look(base, alive)
        open_ = [name for name in open_ if course.gain(base, name).verdict == "no difference found"]
    return _ranked(base, course, [*steps, *apart])


def _ranked(base: str, course: _Course, names: Sequence[str]) -> Race:
    found = [Raced(name, tuple(course.values[name]), course.gain(base, name), course.stands[name]) for name in names]
    order = {REMAINS: 0, APART: 2}
    found.sort(key=lambda step: (order.get(step.stands, 1), -step.gain.mean))
    return Race(tuple(course.values[base]), tuple(found), course.rules.told(course.steps))
