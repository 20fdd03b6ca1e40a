"""What moves the answer: the guesses of a farm over their ranges, which of them matter, and so what to measure first.

Three parts: a screening of all guesses together (`effects`), each starting point on luck of its own; for the few that surely
matter the farm itself with each at its low and its high end (differences by pairs of runs), on luck that had no say in which
they are; and, where the time allows, how much of the spread goes back to each. What is not surely more than nothing is not
ranked.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from farmsim.errors import FarmsimError, RunStuck, ScenarioFault
from farmsim.record.measures import RunTables
from farmsim.scenario.doubt import Doubt
from farmsim.scenario.farm import Farm
from farmsim.scenario.figure_at import Figures
from farmsim.study.changes import weeks_before
from farmsim.study.compare import difference
from farmsim.study.effects import (
    FEWEST_ROWS,
    FEWEST_STARTS,
    Design,
    Effect,
    crossed,
    effects,
    screening,
    shares,
    without,
)
from farmsim.study.headlines import BLOCKS_SOLD, DELIVERED, PICKED, SOLD, Headline, by_run, money_judged
from farmsim.study.precision import SURE
from farmsim.study.sensitivity_answers import Asked, End, Mover, Sensed
from farmsim.study.sensitivity_plan import Plan
from farmsim.study.trials import Brief, Case, Trials

MONEY = "left"
"""Name of the money by which farms are judged: what is left after all that is paid, as far as the farm gives it."""
GOODS: Mapping[str, Headline] = {
    "sold": SOLD,
    "picked": PICKED,
    "delivered": DELIVERED,
    "blocks": BLOCKS_SOLD,
}
"""Other answers that can be looked at, by the names by which they are asked for."""
LuckOf = Callable[[int], range]
"""The numbers of the runs of a block of a design."""
USUAL = 2  # of those the farm knows, so many unless others are asked for


class NothingToSense(FarmsimError, ValueError):
    """A question about guesses that cannot be answered."""

    exit_code = 2


def sensitivity(plan: Plan, answers: Sequence[str] = (), brief: Brief | None = None) -> Sensed:
    """Move every guess of the plan over its range and see what it does to the answers.

    answers: by name, `MONEY` and those of `GOODS`; none: the first two that the farm knows
    brief: luck, length, workers, store; as the plan was made with
    Goes wrong when too few places of the screening are possible: NothingToSense.
    """
    brief = brief or Brief()
    with Trials(plan.book.farm, brief) as trials:
        trials.expect(plan.runs)
        field = _Field(plan.book, plan.doubts, trials)
        mine = field.runs(plan.book.farm, plan.ends_numbers)
        lines = _lines(mine, answers, field.before)
        movers, dropped = _screened(field, plan, lines, brief.seed)
        few = [at for at, mover in enumerate(movers) if mover.is_found][: plan.few]
        movers = [
            _at_its_ends(field, plan, lines, mine, mover, len(few)) if at in few else mover
            for at, mover in enumerate(movers)
        ]
        shared = few[: plan.shared]
        rows, rows_dropped = plan.rows_for(len(shared), plan.left_after(len(few))), 0
        if rows:
            movers, rows, rows_dropped = _with_shares(field, plan, lines, movers, shared, rows, brief.seed)
        weeks, lead_in = trials.weeks, trials.lead_in
    about = plan.book.farm.farm
    asked = tuple(Asked(line.name, line.unit, float(np.mean(by_run(line, mine, field.before) or []))) for line in lines)
    least = plan.least_rows_runs(len(shared))
    return Sensed(about.name, about.units, about.currency, about.start.isoformat(), brief.seed, weeks - field.before,
                  field.before, lead_in, SURE, asked, tuple(movers), plan.left, plan.starts - dropped, plan.lucks, dropped,
                  plan.ends_lucks, rows, least, plan.budget, rows_dropped)  # fmt: skip


def _lines(mine: Sequence[RunTables], answers: Sequence[str], before: int) -> list[Headline]:
    """The answers that are looked at, as far as the farm has anything of them."""
    lines = {MONEY: money_judged(mine), **GOODS}
    known = {name: line for name, line in lines.items() if any(by_run(line, mine, before) or [])}
    missing = [name for name in answers if name not in known]
    if missing or not known:
        what = (
            f"the farm has nothing of {missing[0]}"
            if missing
            else "the farm sells nothing, so there is no answer to move"
        )
        raise NothingToSense(f"{what}; it has {', '.join(known) or 'none of ' + ', '.join(lines)}")
    return [known[name] for name in answers or list(known)[:USUAL]]


def own_luck(lucks: int) -> LuckOf:
    """Other luck for each starting point.

    Student's t is taken over starting points: what one stretch of luck does to a figure would be in all of them alike, and pass
    for what the figure does.
    """
    return lambda block: range(block * lucks, (block + 1) * lucks)


def common_luck(lucks: int) -> LuckOf:
    """The same luck all over a design: what luck does is then not taken for a part of the spread."""
    return lambda block: range(lucks)


class _Field:
    """The farm with its doubts anywhere in their ranges, and the runs of it."""

    def __init__(self, book: Figures, doubts: Sequence[Doubt], trials: Trials) -> None:
        self._book, self._doubts, self._trials = book, doubts, trials
        self.before = weeks_before(book.farm, trials.weeks)

    def runs(self, farm: Farm, numbers: range) -> list[RunTables]:
        """The runs of a farm with these numbers."""
        return self._trials.take([Case(farm, number) for number in numbers])

    def at_an_end(self, doubt: int, share: float, numbers: range) -> list[RunTables] | str:
        """The runs of the farm with one doubt at an end, or why they cannot go on."""
        try:
            return self.runs(self.farm([share], [doubt]), numbers)
        except RunStuck as stuck:
            return stuck.message

    def farm(self, place: Sequence[float], which: Sequence[int]) -> Farm:
        """The farm with some of its doubts at a place, the others as they are.

        Goes wrong when its rules forbid it: ScenarioFault.
        """
        return self._book.farm_with(
            [value for at, share in zip(which, place, strict=True) for value in self._doubts[at].values(share)]
        )

    def doubt(self, name: str) -> int:
        """Which of the doubts has a name."""
        return next(at for at, doubt in enumerate(self._doubts) if doubt.name == name)

    def over(
        self, design: Design, which: Sequence[int], lines: Sequence[Headline], lucks: int, luck_of: LuckOf
    ) -> tuple[Design, dict[Headline, list[list[float]]], int]:
        """The answers all over a design, luck by luck, without the blocks that are not possible; and how many those are.

        luck_of: the numbers of the runs of each block, so many as `lucks`
        """
        answers: dict[Headline, list[list[float]]] = {line: [[] for _ in range(lucks)] for line in lines}
        bad = []
        for block in range(design.blocks):
            places = design.places[block * design.block : (block + 1) * design.block]
            found = self._block([[float(share) for share in place] for place in places], which, lines, luck_of(block))
            if found is None:
                bad.append(block)
                continue
            for line, values in found.items():
                for luck in range(lucks):
                    answers[line][luck] += values[luck]
        return without(design, bad), answers, len(bad)

    def _block(
        self, places: Sequence[Sequence[float]], which: Sequence[int], lines: Sequence[Headline], numbers: range
    ) -> dict[Headline, list[list[float]]] | None:
        """The answers at the places of one block; None when one of them is not possible."""
        try:
            farms = [self.farm(place, which) for place in places]
            runs = self._trials.by_farm(farms, numbers)
        except (ScenarioFault, RunStuck):
            return None
        by_line = {line: [by_run(line, each, self.before) for each in runs] for line in lines}
        if any(values is None for found in by_line.values() for values in found):
            return None
        return {
            line: [[values[luck] for values in found if values] for luck in range(len(numbers))]
            for line, found in by_line.items()
        }


def _screened(field: _Field, plan: Plan, lines: Sequence[Headline], seed: int) -> tuple[list[Mover], int]:
    """What every doubt does, all moved together; those that matter first, most before all."""
    everything = range(len(plan.doubts))
    tried = screening(len(plan.doubts), plan.starts, seed)
    design, answers, dropped = field.over(tried, everything, lines, plan.lucks, own_luck(plan.lucks))
    if design.blocks < FEWEST_STARTS:
        raise NothingToSense(
            f"of {plan.starts} starting points {dropped} lead to farms that are not possible, and {FEWEST_STARTS} are needed; "
            "give narrower ranges with --figure"
        )
    told = len(plan.doubts) * len(lines)
    found = [effects(design, answers[line], told, seed) for line in lines]
    scale = [abs(float(np.mean(answers[line]))) or 1.0 for line in lines]
    movers = [_mover(doubt, tuple(each[at] for each in found)) for at, doubt in enumerate(plan.doubts)]

    def weight(mover: Mover) -> float:
        return max(
            (one.size / much for one, much in zip(mover.effects, scale, strict=True) if one.is_found), default=0.0
        )

    return sorted(movers, key=lambda mover: -weight(mover)), dropped


def _mover(doubt: Doubt, found: tuple[Effect, ...]) -> Mover:
    return Mover(doubt.name, doubt.meaning, len(doubt.moves), doubt.low, doubt.high, doubt.now, doubt.source, doubt.is_guess,
                 found)  # fmt: skip


def _at_its_ends(
    field: _Field, plan: Plan, lines: Sequence[Headline], mine: Sequence[RunTables], mover: Mover, few: int
) -> Mover:
    """The farm as it is but for one doubt at its low and at its high end, by pairs of runs.

    An end at which runs cannot go on, or know no such figure, is left out with the reason; the other stands.
    """
    at = field.doubt(mover.name)
    runs = [field.at_an_end(at, share, plan.ends_numbers) for share in (0.0, 1.0)]
    told = 2 * len(lines) * few
    ends = []
    for line in lines:
        base = by_run(line, mine, field.before) or []
        low, high = (_end(line, base, each, field.before, told) for each in runs)
        ends.append((low, high))
    return replace(mover, ends=tuple(ends))


def _end(line: Headline, base: Sequence[float], runs: list[RunTables] | str, before: int, told: int) -> End:
    """What the runs at an end do to one answer, or why that cannot be told."""
    if isinstance(runs, str):
        return runs
    values = by_run(line, runs, before)
    return f"not every run has a figure for {line.name}" if values is None else difference(line, base, values, told)


def _with_shares(
    field: _Field,
    plan: Plan,
    lines: Sequence[Headline],
    movers: list[Mover],
    shared: Sequence[int],
    rows: int,
    seed: int,
) -> tuple[list[Mover], int, int]:
    """How much of each answer's spread goes back to the few that matter, the others as they are.

    Also the rows behind that, and those of which a farm is not possible. When too few are left, nobody has a share: 0 rows.
    """
    which = [field.doubt(movers[at].name) for at in shared]
    design, answers, dropped = field.over(
        crossed(len(which), rows, seed), which, lines, plan.lucks, common_luck(plan.lucks)
    )
    if design.blocks < FEWEST_ROWS:
        return movers, 0, dropped
    told = 2 * len(which) * len(lines)
    found = [
        shares(design, [math.fsum(luck) / len(luck) for luck in zip(*answers[line], strict=True)], told, seed)
        for line in lines
    ]
    with_them = list(movers)
    for place, at in enumerate(shared):
        with_them[at] = replace(movers[at], shares=tuple(each[place] for each in found))
    return with_them, design.blocks, dropped
