"""Which guesses move net operating income most, in the farm as it will be once it has grown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from farmsim.scenario.doubt import doubts
from farmsim.scenario.figure_at import Figures
from farmsim.study.pack_answers import Matters
from farmsim.study.sensitivity import MONEY, NothingToSense, sensitivity
from farmsim.study.sensitivity_answers import Mover
from farmsim.study.sensitivity_plan import MOST_DOUBTS, Plan, plan
from farmsim.study.trials import Brief

WEEKS = 52  # of the farm as it will be, a whole year of its months
EFFORT = (
    250  # runs in all, enough to screen them: a number, not a time, so that the answer is the same on every machine
)
MOST = 8  # that are told


class Asked(NamedTuple):
    """How the question is put, and the farm with its guesses; plan: None when the farm has no guess."""

    plan: Plan | None
    brief: Brief


def asked(change: Path, brief: Brief, effort: int = EFFORT, most: int = MOST_DOUBTS) -> Asked:
    """Put the question to the farm that a change set leaves behind.

    effort: about how many runs [runs]; most: figures that are moved at most
    """
    book, of_year = Figures(change, at_last=True), replace(brief, weeks=WEEKS)
    if not doubts(book)[0]:
        return Asked(None, of_year)
    return Asked(plan(book, most=most, runs=effort, brief=of_year, is_timed=False), of_year)


def matter(question: Asked) -> tuple[tuple[Matters, ...], str]:
    """The guesses that surely move it, the largest first; and in words why there are none, if that is not a finding."""
    if question.plan is None:
        return (), "No figure of the farm is a guess that could be moved."
    try:
        found = sensitivity(question.plan, (MONEY,), question.brief)
    except NothingToSense as nothing:
        return (), f"Which guesses matter most could not be found: {nothing}."
    return tuple(_matters(mover) for mover in _largest(found.found)[:MOST]), ""


def _largest(movers: Sequence[Mover]) -> list[Mover]:
    return sorted(movers, key=lambda mover: -mover.effects[0].size)


def _matters(mover: Mover) -> Matters:
    """A mover as it is told: by its sign, or by its size where it does not always move the same way."""
    effect = mover.effects[0]
    is_both = effect.kind == "both ways"
    moves, give = (effect.size, effect.size_give) if is_both else (effect.mean, effect.give)
    return Matters(
        mover.name, mover.meaning, mover.now, mover.low, mover.high, mover.source, moves, give or 0.0, mover.is_guess
    )
