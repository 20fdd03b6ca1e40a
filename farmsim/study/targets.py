"""What has to be kept: figures of a run that must be at least, or at most, so much, and whether a farm surely keeps them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from farmsim import units
from farmsim.errors import FarmsimError, QuantityFault
from farmsim.scenario.fields import PLACEHOLDER
from farmsim.study.headlines import (
    BLOCKS_DELIVERED,
    BLOCKS_LOST,
    DELIVERED,
    OVERTIME,
    OVERTIME_SHARE,
    PAID,
    THROWN_OUT,
    WHOLE_ORDERS,
    Headline,
)
from farmsim.study.precision import DUST, SURE, are_too_few_alike, known

Side = Literal["at least", "at most"]
Verdict = Literal["kept", "broken", "not sure"]
INSIDE = {"share": "fraction", "h/week": "h/week"}  # in what a bound is written, by the unit of its figure
SHORTER = {"share": (), "h/week": ("h",)}  # a week is meant when it is not said
NUMBER = re.compile(r"[-+]?[\d.]")


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


SHARE_OF_HOURS = "overtime share"
FIGURES: Mapping[str, tuple[Headline, Side]] = {
    "delivered": (DELIVERED, "at least"),
    "whole orders": (WHOLE_ORDERS, "at least"),
    "blocks delivered": (BLOCKS_DELIVERED, "at least"),
    "thrown out": (THROWN_OUT, "at most"),
    "blocks lost": (BLOCKS_LOST, "at most"),
    "overtime": (OVERTIME, "at most"),
    SHARE_OF_HOURS: (OVERTIME_SHARE, "at most"),
    "paid hours": (PAID, "at most"),
}
"""What a target may be about, and on which side of its bound it has to stay."""


USUAL = (
    Target("delivered", DELIVERED, "at least", 0.95),
    Target("blocks delivered", BLOCKS_DELIVERED, "at least", 0.95),
    Target("thrown out", THROWN_OUT, "at most", 0.10),
    Target("blocks lost", BLOCKS_LOST, "at most", 0.10),
    Target(SHARE_OF_HOURS, OVERTIME_SHARE, "at most", 0.05),
)
USUAL_SOURCE = PLACEHOLDER
"""What has to be kept where a question needs targets and none are given, and where these bounds come from."""
SERVICE = tuple(each for each in USUAL if each.name in ("delivered", "blocks delivered"))
"""Of these, what customers were promised: all that is kept by a plan of the starts and by a search for crews."""


def read(text: str) -> Target:
    """A target as it is typed: "delivered 95 %", "overtime 10 h" (a week), "thrown out 8 %" (of what is picked).

    Goes wrong when it names no such figure or no bound: NoTarget.
    """
    said, typed = _taken_apart(text)
    if said not in FIGURES:
        near = get_close_matches(said, FIGURES, n=1, cutoff=0.5)
        mend = f' Did you mean "{near[0]}"?' if near else ""
        raise NoTarget(
            f'"{text}" is no target; write one of {", ".join(FIGURES)} and a bound, such as "delivered 95 %".{mend}'
        )
    figure, side = FIGURES[said]
    if not typed:
        example = "95 %" if side == "at least" else ("8 %" if figure.unit == "share" else "10 h")
        raise NoTarget(f'"{text}" is no target: it has no bound. Write it like "{said} {example}"')
    try:
        bound = units.parse(typed, INSIDE[figure.unit], also=SHORTER[figure.unit])
    except QuantityFault as fault:
        share = f' For a share of all paid hours write "{SHARE_OF_HOURS} {typed}"' if _is_share(said, typed) else ""
        raise NoTarget(f'"{text}" is no target: the bound {fault}{share}') from None
    if bound < 0 or (figure.unit == "share" and bound > 1):
        allowed = "0 % to 100 %" if figure.unit == "share" else "0 h or more"
        raise NoTarget(f'"{text}" is no target: the bound needs {allowed}')
    return Target(said, figure, side, bound)


def _is_share(said: str, typed: str) -> bool:
    """Whether hours of overtime were bounded by a share."""
    return said == "overtime" and typed.rstrip().endswith("%")


def _taken_apart(text: str) -> tuple[str, str]:
    """The name, in small letters, and the bound as it is typed; what cannot be a number belongs to the name."""
    words = " ".join(text.replace("=", " ").split())
    longest = sorted(FIGURES, key=len, reverse=True)
    name = next((each for each in longest if f"{words} ".casefold().startswith(f"{each} ")), "")
    if name:
        return name, words[len(name) :].strip()
    at = NUMBER.search(words)
    cut = len(words) if at is None else at.start()
    return words[:cut].strip().casefold(), words[cut:]


def read_all(texts: Sequence[str]) -> tuple[Target, ...]:
    """Several targets as they are typed, in their order.

    Goes wrong when one cannot be understood, or two are about the same figure: NoTarget.
    """
    found: dict[str, Target] = {}
    for text in texts:
        target = read(text)
        if target.name in found:
            raise NoTarget(f'"{text}" is a second target for {target.name}; give each figure one bound')
        found[target.name] = target
    return tuple(found.values())


@dataclass(frozen=True)
class Kept:
    """How a farm stands to one target: its figure over all runs, how far off that may be, and the verdict.

    too_few_alike: nothing is sure only because most runs show the very same figure and are too few to say that others are rare
    """

    target: Target
    mean: float
    give: float
    verdict: Verdict
    too_few_alike: bool = False


def judge(target: Target, one_a_run: Sequence[float], sure: float = SURE, by_spread: bool = False) -> Kept:
    """Whether a target is surely kept, surely broken, or cannot be told by these runs.

    one_a_run: its figure, one value a run; two runs or more
    sure: how sure the verdict is [1]; one-sided, by Student's t over runs; where most runs are alike, from
        `precision.ALIKE_RUNS` runs on
    by_spread: give the verdict by Student's t all the same, of a search that has still to prove what it tells
    """
    found = known(one_a_run, 2 * sure - 1)
    give, short = found.give or 0.0, target.short(found.value)
    verdict: Verdict = "kept" if short + give <= DUST else ("broken" if short - give > DUST else "not sure")
    too_few = verdict != "not sure" and are_too_few_alike(one_a_run)
    return Kept(target, found.value, give, "not sure" if too_few and not by_spread else verdict, too_few)
