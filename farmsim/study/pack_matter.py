"""Which guesses move net operating income most, in the farm as it will be once it has grown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from farmsim.scenario.doubt import Left, doubts
from farmsim.scenario.figure_at import Figures
from farmsim.study.pack_answers import Matters, Unmoved
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
    """How the question is put, and the farm with its guesses.

    plan: None when the farm has no guess that could be moved; left: those that it has then
    """

    plan: Plan | None
    brief: Brief
    left: tuple[Left, ...] = ()


def asked(change: Path, brief: Brief, effort: int = EFFORT, most: int = MOST_DOUBTS) -> Asked:
    """Put the question to the farm that a change set leaves behind.

    effort: about how many runs [runs]; most: figures that are moved at most
    """
    book, of_year = Figures(change, at_last=True), replace(brief, weeks=WEEKS)
    found, left = doubts(book)
    if not found:
        return Asked(None, of_year, tuple(left))
    return Asked(plan(book, most=most, runs=effort, brief=of_year, is_timed=False), of_year)


class Found(NamedTuple):
    """What came of it.

    matter: guesses that surely move it, the largest first; of_matter: how many there are, those that are not told too
    why_none: in words why none is told; failed: whether that is no finding; unmoved: guesses that could not be moved
    """

    matter: tuple[Matters, ...] = ()
    of_matter: int = 0
    why_none: str = ""
    failed: bool = False
    unmoved: tuple[Unmoved, ...] = ()


def matter(question: Asked) -> Found:
    """The guesses that surely move it, and how many were left as they are."""
    plan = question.plan
    if plan is None:
        return Found(
            why_none="No figure of the farm is a guess that could be moved.",
            failed=True,
            unmoved=_unmoved(question.left),
        )
    unmoved = _unmoved(plan.left)
    try:
        sensed = sensitivity(plan, (MONEY,), question.brief)
    except NothingToSense as nothing:
        why = f"Which guesses matter most could not be found: {nothing}."
        return Found(why_none=why, failed=True, unmoved=unmoved)
    found = _largest(sensed.found)
    many = len(plan.doubts)
    guesses = "The one guess that was moved does not" if many == 1 else f"None of the {many} guesses that were moved"
    none = f"{guesses} surely {'move' if many == 1 else 'moves'} net operating income." if not found else ""
    return Found(tuple(_matters(mover) for mover in found[:MOST]), len(found), none, unmoved=unmoved)


def _unmoved(left: Sequence[Left]) -> tuple[Unmoved, ...]:
    return tuple(Unmoved(each.name, each.meaning, each.why) for each in left)


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
