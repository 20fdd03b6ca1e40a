"""What has to be kept: figures of a run that must be at least, or at most, so much, and whether a farm surely keeps them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from farmsim import units
from farmsim.errors import FarmsimError, QuantityFault
from farmsim.study.headlines import (
    BLOCKS_DELIVERED,
    BLOCKS_LOST,
    DELIVERED,
    OVERTIME,
    PAID,
    THROWN_OUT,
    WHOLE_ORDERS,
    Headline,
)
from farmsim.study.precision import SURE, known

Side = Literal["at least", "at most"]
Verdict = Literal["kept", "broken", "not sure"]
INSIDE = {"share": "share", "h/week": "h"}  # how a bound is written, by the unit of its figure


class NoTarget(FarmsimError, ValueError):
    """A target that cannot be understood."""

    exit_code = 2


@dataclass(frozen=True)
class Target:
    """A figure and the bound that it must keep [unit of the figure].

    name: as it is asked for and told
    """

    name: str
    figure: Headline
    side: Side
    bound: float

    def short(self, value: float) -> float:
        """By how much a value misses the bound; less than 0 when it keeps it [unit of the figure]."""
        return self.bound - value if self.side == "at least" else value - self.bound


FIGURES: Mapping[str, tuple[Headline, Side]] = {
    "delivered": (DELIVERED, "at least"),
    "whole orders": (WHOLE_ORDERS, "at least"),
    "blocks delivered": (BLOCKS_DELIVERED, "at least"),
    "thrown out": (THROWN_OUT, "at most"),
    "blocks lost": (BLOCKS_LOST, "at most"),
    "overtime": (OVERTIME, "at most"),
    "paid hours": (PAID, "at most"),
}
"""What a target may be about, and on which side of its bound it has to stay."""


def read(text: str) -> Target:
    """A target as it is typed: "delivered 95 %", "overtime 10 h" (a week), "thrown out 8 %" (of what is picked).

    Goes wrong when it names no such figure or no bound: NoTarget.
    """
    words = " ".join(text.replace("=", " ").split())
    name = next((each for each in sorted(FIGURES, key=len, reverse=True) if words.startswith(f"{each} ")), None)
    if name is None:
        said = words.rstrip("0123456789.,% h")
        near = get_close_matches(said, FIGURES, n=1, cutoff=0.5)
        mend = f' Did you mean "{near[0]}"?' if near else ""
        raise NoTarget(
            f'"{text}" is no target; write one of {", ".join(FIGURES)} and a bound, such as "delivered 95 %".{mend}'
        )
    figure, side = FIGURES[name]
    try:
        bound = units.parse(words.removeprefix(name).strip(), INSIDE[figure.unit])
    except QuantityFault as fault:
        raise NoTarget(f'"{text}" is no target: the bound {fault}') from None
    if bound < 0 or (figure.unit == "share" and bound > 1):
        raise NoTarget(
            f'"{text}" is no target: the bound needs {"0 % to 100 %" if figure.unit == "share" else "0 or more"}'
        )
    return Target(name, figure, side, bound)


@dataclass(frozen=True)
class Kept:
    """How a farm stands to one target: its figure over all runs, how far off that may be, and the verdict."""

    target: Target
    mean: float
    give: float
    verdict: Verdict


def judge(target: Target, one_a_run: Sequence[float], sure: float = SURE) -> Kept:
    """Whether a target is surely kept, surely broken, or cannot be told by these runs.

    one_a_run: its figure, one value a run; two runs or more
    sure: how sure the verdict is [1]; one-sided, by Student's t over runs
    """
    found = known(one_a_run, 2 * sure - 1)
    give, short = found.give or 0.0, target.short(found.value)
    verdict: Verdict = "kept" if short + give <= 0 else ("broken" if short - give > 0 else "not sure")
    return Kept(target, found.value, give, verdict)
