"""How the number of runs was found when a precision was asked for, in a sentence or two of HOW SURE."""

from __future__ import annotations

import math

from farmsim.report.words import listed, plural, shortened, tidy
from farmsim.study.until import Reached, Stopped

NAMED = 6  # figures that are told one by one when not all are known well enough


def of_run(stopped: Stopped) -> str:
    """How many runs of one farm it took, and how well every figure is known."""
    asked, runs = _percent(stopped.until.within), plural(stopped.runs, "run")
    if not stopped.figures:
        return f"Asked for figures known to {asked} %, but there is nothing of any to judge by: {runs}."
    if stopped.is_enough:
        return (
            f"Ran until all these averages were known to {asked} % or better, 95 in 100 sure of them together, which took "
            f"{runs}: {listed([_known(one) for one in stopped.figures])}."
        )
    reached = [_known(one) for one in stopped.figures if one.is_near]
    rest = f"; well enough: {listed(reached)}" if reached else ""
    return (
        f"Not as sure as asked for: {runs}, the most allowed, do not make all averages known to {asked} % (95 in 100 sure of "
        f"them together). Missed: {_missed(stopped)}{rest}. Allow more with --runs; those that are done are kept."
    )


def of_changes(stopped: Stopped) -> str:
    """How many runs of every farm it took, and what is known least."""
    asked, runs = _percent(stopped.until.within), f"{plural(stopped.runs, 'run')} of each farm"
    if not stopped.figures:
        return f"Asked for changes known to {asked} %, but there is nothing of any to judge by: {runs}."
    names = listed(list(dict.fromkeys(one.name for one in stopped.figures)))
    whole = f"{asked} % of the base's figure (shares to {_points(asked)})"
    if stopped.is_enough:
        least = max(stopped.figures, key=lambda one: one.part)
        several = f" by {_change(least)}" if len({one.change for one in stopped.figures}) > 1 else ""
        return (
            f"Ran until what each change does to {names} was known to {whole}, which took {runs}; known least is "
            f"{_known(least)}{several}."
        )
    return (
        f"Not as sure as asked for: {runs}, the most allowed, do not tell what each change does to {names} to {whole}. "
        f"Missed: {_missed(stopped)}. Allow more with --runs; those that are done are kept."
    )


def _missed(stopped: Stopped) -> str:
    """The figures that are not known well enough, worst first."""
    missed = sorted((one for one in stopped.figures if not one.is_near), key=lambda one: -one.part)
    told = [f"{_known(one)} ({_needs(one)})" for one in missed[:NAMED]]
    more = [f"{len(missed) - NAMED} more"] if len(missed) > NAMED else []
    return listed([*told, *more])


def _needs(one: Reached) -> str:
    runs = f"about {one.needed:,} runs would do" if one.needed else "more runs than anybody makes"
    return f"{_change(one)}, {runs}" if one.change else runs


def _change(one: Reached) -> str:
    return shortened(tidy(one.change), 30)


def _known(one: Reached) -> str:
    if one.part == 0:
        return f"{one.name} the same in every run"
    size = upward(one.part * 100)
    return f"{one.name} +-{_points(size) if one.unit == 'share' else f'{size} %'}"


def _points(size: str) -> str:
    return f"{size} {'point' if size == '1' else 'points'}"


def upward(value: float) -> str:
    """A figure to two of its digits, never rounded down: what is not known so well must not seem so. 0.012, 2.1, 15."""
    if value <= 0:
        return "0"
    digits = 1 - math.floor(math.log10(value))
    return f"{math.ceil(value * 10**digits - 1e-9) / 10**digits:g}"


def _percent(within: float) -> str:
    return f"{within * 100:g}"
