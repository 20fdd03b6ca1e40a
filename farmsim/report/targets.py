"""Targets and how a farm stands to them, in words."""

from __future__ import annotations

import math

from farmsim.report.words import count, listed
from farmsim.study.precision import ALIKE_RUNS
from farmsim.study.targets import USUAL_SOURCE, Kept, Target

PERCENT = 100.0
ALIKE = f"the same in most runs, which says little of the others before there are {ALIKE_RUNS} (--runs)"


def bound(target: Target) -> str:
    """The bound with its unit: 95 %, 10 h a week."""
    return f"{count(target.bound * _factor(target))} {_unit(target)}"


def value(target: Target, figure: float, digits: int = 0) -> str:
    """A figure of the kind that the target bounds, never rounded onto or over the bound that it misses or keeps: 94.9 %.

    digits: after the point that are shown in any case, for columns of figures
    """
    shown, limit = figure * _factor(target), target.bound * _factor(target)
    if math.isclose(shown, limit, abs_tol=1e-7):
        return f"{count(limit)} {_unit(target)}"
    rounded = tuple(f"{shown:,.{each}f}" for each in (1, 2, 3) if each >= digits)
    texts = rounded if digits else (count(shown), *rounded)
    text = next((each for each in texts if _is_beside(each, shown, limit)), texts[-1])
    return f"{text} {_unit(target)}"


def _is_beside(text: str, shown: float, limit: float) -> bool:
    """Whether a rounded figure lies on the same side of the bound as the figure itself."""
    rounded = float(text.replace(",", ""))
    return rounded < limit if shown < limit else rounded > limit


def told(target: Target) -> str:
    """A target as a rule: delivered at least 95 %."""
    return f"{target.name} {target.side} {bound(target)}"


def instead(kept: Kept, between: str = " ") -> str:
    """A figure beside its bound: whole orders 88 % instead of 95 %; thrown out 11 % instead of 10 % at most.

    between: what stands between its name and the figure
    """
    most = " at most" if kept.target.side == "at most" else ""
    return f"{kept.target.name}{between}{value(kept.target, kept.mean)} instead of {bound(kept.target)}{most}"


def beside_bound(kept: Kept) -> str:
    """A figure with its bound, where it is not said that it is missed: whole orders 86 % (bound 85 %)."""
    return f"{kept.target.name} {value(kept.target, kept.mean)} (bound {bound(kept.target)})"


def rules(targets: tuple[Target, ...], are_usual: bool) -> str:
    """All targets as one sentence, and where they come from when nobody gave them."""
    source = f" ({USUAL_SOURCE}: give your own with --target)" if are_usual else ""
    return f"{listed([told(each) for each in targets])}{source}"


def short_bound(target: Target) -> str:
    """The bound as it stands above a column: 95 %, 10 h."""
    return bound(target).removesuffix(" a week")


def _factor(target: Target) -> float:
    return PERCENT if target.figure.unit == "share" else 1.0


def _unit(target: Target) -> str:
    return "%" if target.figure.unit == "share" else "h a week"
