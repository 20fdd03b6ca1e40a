"""Targets and how a farm stands to them, in words."""

from __future__ import annotations

import math

from farmsim.report.words import count, listed
from farmsim.study.targets import USUAL_SOURCE, Kept, Target

PERCENT = 100.0


def bound(target: Target) -> str:
    """The bound with its unit: 95 %, 10 h a week."""
    return f"{count(target.bound * _factor(target))} {_unit(target)}"


def value(target: Target, figure: float) -> str:
    """A figure of the kind that the target bounds, never rounded onto or over the bound that it misses or keeps: 94.9 %."""
    shown, limit = figure * _factor(target), target.bound * _factor(target)
    if math.isclose(shown, limit, abs_tol=1e-7):
        return f"{count(limit)} {_unit(target)}"
    texts = (count(shown), *(f"{shown:,.{digits}f}" for digits in (1, 2, 3)))
    text = next((each for each in texts if _is_beside(each, shown, limit)), texts[-1])
    return f"{text} {_unit(target)}"


def _is_beside(text: str, shown: float, limit: float) -> bool:
    """Whether a rounded figure lies on the same side of the bound as the figure itself."""
    rounded = float(text.replace(",", ""))
    return rounded < limit if shown < limit else rounded > limit


def told(target: Target) -> str:
    """A target as a rule: delivered at least 95 %."""
    return f"{target.name} {target.side} {bound(target)}"


def instead(kept: Kept) -> str:
    """A figure beside its bound: whole orders 88 % instead of 95 %; thrown out 11 % instead of 10 % at most."""
    most = " at most" if kept.target.side == "at most" else ""
    return f"{kept.target.name} {value(kept.target, kept.mean)} instead of {bound(kept.target)}{most}"


def rules(targets: tuple[Target, ...], are_usual: bool) -> str:
    """All targets as one sentence, and where they come from when nobody gave them."""
    source = f" ({USUAL_SOURCE}: give your own with --target)" if are_usual else ""
    return f"{listed([told(each) for each in targets])}{source}"


def _factor(target: Target) -> float:
    return PERCENT if target.figure.unit == "share" else 1.0


def _unit(target: Target) -> str:
    return "%" if target.figure.unit == "share" else "h a week"
