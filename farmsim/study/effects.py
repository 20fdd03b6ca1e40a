"""What moves an answer: where to try a farm when many figures are in doubt, and what the answers then say.

Screening after Morris (1991): from some starting points one figure after the other takes one large step; each step gives one
effect of that figure. Shares after Saltelli and others (2010): how much of the spread that all doubts together make in an
answer goes back to one of them. Designs, mean sizes and shares are SALib's; what may be ranked is judged here.

Places are numbers from 0 (low) to 1 (high), one a figure. All places reached from one starting point are run on the same luck,
each starting point on luck of its own: only then do starting points differ by all that is not sure. All places of a design for
shares are run on the same luck.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from farmsim.study.precision import SURE, half_width

Places = NDArray[np.float64]
Kind = Literal["more", "less", "both ways", "no effect found"]
LEVELS = 4  # values that a figure takes in a screening; many levels and few starts miss what bends
FEWEST_STARTS = 4
FEWEST_ROWS = 32
RESAMPLES = 1000  # draws behind the interval of a share


@dataclass(frozen=True)
class Design:
    """Where a farm is tried.

    places: one row a farm, one column a figure
    block: rows that belong together: one cannot be judged without the others
    """

    places: Places
    block: int

    @property
    def blocks(self) -> int:
        """How many such stretches there are."""
        return len(self.places) // self.block

    @property
    def figures(self) -> int:
        """How many figures are moved."""
        return int(self.places.shape[1])


@dataclass(frozen=True)
class Effect:
    """What one figure does to one answer over its whole range, the others standing anywhere in theirs [unit of the answer].

    mean: average of the effects, with its sign; give: how far off it may be
    size: average of their sizes; size_give: how far off that may be
    kind: which way it surely moves the answer; "both ways" where it moves it, but not always the same way
    """

    mean: float
    give: float
    size: float
    size_give: float
    kind: Kind

    @property
    def is_found(self) -> bool:
        """Whether it surely moves the answer at all."""
        return self.kind != "no effect found"

    def says_nothing(self, unit: str) -> bool:
        """Whether nothing was found and its interval reaches beyond what an effect on a share can be at all."""
        return unit == "share" and not self.is_found and abs(self.mean) + self.give > 1.0


@dataclass(frozen=True)
class Share:
    """How much of an answer's spread goes back to one figure [1].

    alone: to it by itself; total: with everything it does together with others; give: how far off each may be
    """

    alone: float
    alone_give: float
    total: float
    total_give: float

    @property
    def is_found(self) -> bool:
        """Whether it surely has any share."""
        return self.total - self.total_give > 0

    @property
    def is_alone_found(self) -> bool:
        """Whether it surely has any share by itself."""
        return self.alone - self.alone_give > 0


def screening(figures: int, starts: int, seed: int, levels: int = LEVELS) -> Design:
    """Starting points, and from each one step a figure.

    figures: how many there are; starts: how many starting points
    levels: how many values each figure takes, an even number
    """
    from SALib.sample import morris  # late: loads much, and only this question needs it

    return Design(morris.sample(_problem(figures), starts, num_levels=levels, seed=seed), figures + 1)


def crossed(figures: int, rows: int, seed: int) -> Design:
    """Rows spread evenly over all ranges, each with one figure after the other taken from a second such row.

    rows: how many, a power of 2
    """
    from SALib.sample import sobol

    return Design(sobol.sample(_problem(figures), rows, calc_second_order=False, seed=seed), figures + 2)


def _problem(figures: int) -> dict[str, object]:
    return {"num_vars": figures, "names": [str(at) for at in range(figures)], "bounds": [[0.0, 1.0]] * figures}


def effects(
    design: Design, answers: Sequence[Sequence[float]], told: int, seed: int, levels: int = LEVELS
) -> list[Effect]:
    """The effect of every figure on one answer.

    answers: at every place of the design, once for each stretch of luck of its starting point, two at least
    told: intervals that are to hold together
    An effect is found when its mean is surely not 0, or when it comes out alike on two stretches of luck too often for chance:
    luck alone gives every step some size, but not the same on other luck. Sure only when no two starts share their luck.
    """
    from SALib.analyze import morris

    lucks = np.asarray(answers, dtype=float)
    whole = lucks.mean(axis=0)
    halves = [half.mean(axis=0) for half in np.array_split(lucks, 2)]
    steps, first, second = (_steps(design, values) for values in (whole, *halves))
    sure = 1 - (1 - SURE) / (2 * told)  # each figure has two ways of being found
    sizes = morris.analyze(_problem(design.figures), design.places, whole, num_resamples=RESAMPLES, num_levels=levels,
                           conf_level=1 - (1 - SURE) / told, seed=seed + 1)  # fmt: skip
    return [
        _effect(
            steps[:, at],
            first[:, at] * second[:, at],
            float(sizes["mu_star"][at]),
            float(sizes["mu_star_conf"][at]),
            sure,
        )
        for at in range(design.figures)
    ]


def _effect(steps: Places, alike: Places, size: float, size_give: float, sure: float) -> Effect:
    mean, give = float(steps.mean()), half_width(steps, sure)
    kind: Kind = "no effect found"
    if abs(mean) > give:
        kind = "more" if mean > 0 else "less"
    elif float(alike.mean()) > half_width(alike, sure):
        kind = "both ways"
    return Effect(mean, give, size, size_give, kind)


def _steps(design: Design, values: Places) -> Places:
    """The effect of every step, over the whole range: one row a starting point, one column a figure."""
    found = np.empty((design.blocks, design.figures))
    for start in range(design.blocks):
        rows = slice(start * design.block, (start + 1) * design.block)
        moved, gained = np.diff(design.places[rows], axis=0), np.diff(values[rows])
        which = np.abs(moved).argmax(axis=1)
        found[start, which] = gained / moved[np.arange(len(which)), which]
    return found


def shares(design: Design, answer: Sequence[float], told: int, seed: int) -> list[Share]:
    """How much of an answer's spread goes back to each figure.

    answer: at every place of the design, the average over luck
    told: intervals that are to hold together
    """
    from SALib.analyze import sobol

    values = np.asarray(answer, dtype=float)
    if float(np.ptp(values)) == 0.0:
        return [Share(0.0, 0.0, 0.0, 0.0)] * design.figures
    found = sobol.analyze(_problem(design.figures), values, calc_second_order=False, num_resamples=RESAMPLES,
                          conf_level=1 - (1 - SURE) / told, seed=seed + 1)  # fmt: skip
    columns = (found[name] for name in ("S1", "S1_conf", "ST", "ST_conf"))
    return [Share(*(float(each) for each in one)) for one in zip(*columns, strict=True)]


def without(design: Design, blocks: Sequence[int]) -> Design:
    """The design without some of its blocks, of which a farm was not possible."""
    kept = [at for at in range(len(design.places)) if at // design.block not in blocks]
    return Design(design.places[kept], design.block)
