"""How well a simulated figure is known: Student's t over runs. Not to be mixed up with how much the farm itself varies."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.special import bdtr, stdtrit

from farmsim.study.answers import Known

__all__ = ["Known", "known", "quantile"]

SURE = 0.95
MOST_NEEDED = 10_000  # runs; more are not worth naming
ALIKE_SHARE = 0.8  # of all runs that must surely be like those there are, where these do not differ: 8 years in 10
ALIKE_RUNS = math.ceil(math.log(1 - SURE) / math.log(ALIKE_SHARE))  # of n runs n are alike: Clopper and Pearson (1934)
DUST = 1e-9  # figures nearer to one another than that are the same: sums are not exact
Figures = Sequence[float] | np.ndarray[tuple[int], np.dtype[np.float64]]


def known(one_a_run: Figures, sure: float = SURE) -> Known:
    """Mean over runs and half the width of its t interval [unit of the figures].

    Valid when the runs are independent; the figures of one run may be as dependent as they like.
    """
    values = np.asarray(one_a_run, dtype=float)
    return Known(float(values.mean()), half_width(values, sure) if len(values) > 1 else None)


def half_width(one_a_run: Figures, sure: float = SURE, runs: int | None = None) -> float:
    """Half the width of the t interval of a mean over runs [unit of the figures].

    runs: what it would be with so many runs that spread like these [runs]; None: with these
    """
    values = np.asarray(one_a_run, dtype=float)
    count = len(values) if runs is None else runs
    spread = float(values.std(ddof=1)) / math.sqrt(count)
    return float(stdtrit(count - 1, (1 + sure) / 2)) * spread


def half_width_apart(base: Figures, change: Figures, sure: float = SURE) -> float:
    """Half the width of the interval of a difference between two means whose runs have nothing to do with each other.

    Welch (1947); what a comparison would know without common luck. Not a number of a single run.
    """
    parts = [np.asarray(values, dtype=float) for values in (base, change)]
    if any(len(values) < 2 for values in parts):
        return float("nan")
    spreads = [float(values.var(ddof=1)) / len(values) for values in parts]
    if not any(spreads):
        return 0.0
    freedom = sum(spreads) ** 2 / sum(
        spread**2 / (len(values) - 1) for spread, values in zip(spreads, parts, strict=True)
    )
    return float(stdtrit(freedom, (1 + sure) / 2)) * math.sqrt(sum(spreads))


def half_widths(one_a_run: Figures, sure: float | np.ndarray[tuple[int], np.dtype[np.float64]] = SURE) -> np.ndarray:
    """`half_width` of the first 1, 2, 3 ... runs, all at once; of a single run it is not a number.

    sure: one for all, or one for each number of runs
    """
    values = np.asarray(one_a_run, dtype=float)
    runs = np.arange(1, len(values) + 1, dtype=float)
    away = values - values[:1]  # from the first, so that large figures that hardly differ lose no digits
    squares = np.maximum(np.cumsum(away**2) - np.cumsum(away) ** 2 / runs, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        found: np.ndarray = stdtrit(runs - 1, (1 + np.asarray(sure)) / 2) * np.sqrt(squares / (runs - 1) / runs)
    return found


def runs_needed(one_a_run: Figures, give: float, sure: float = SURE) -> int | None:
    """How many runs that spread like these it takes until the half width is at most `give`; None: more than anybody makes."""
    low, high = 1, MOST_NEEDED
    if half_width(one_a_run, sure, high) > give:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if half_width(one_a_run, sure, middle) > give else (low, middle)
    return high


def are_too_few_alike(one_a_run: Figures) -> bool:
    """Whether most runs show the very same figure and there are too few of them to say that others are rare.

    All was delivered, there was no overtime: such figures stand at an end of what there can be, and their spread says nothing
    of the run that is otherwise and was not met yet. From `ALIKE_RUNS` runs on that are all alike it is sure (`SURE`, by
    itself) that so are `ALIKE_SHARE` of all runs, whatever the others look like.
    """
    return len(one_a_run) < ALIKE_RUNS and are_alike(one_a_run)


def are_alike(one_a_run: Figures) -> bool:
    """Whether more than half of the runs show the very same figure."""
    values = np.asarray(one_a_run, dtype=float)
    return bool(2 * np.count_nonzero(np.abs(values - np.median(values)) <= DUST) > len(values))


def quantile_ranks(runs: int, share: float, sure: float = SURE) -> tuple[int, int] | None:
    """Between which two runs, lowest first and counted from 1, that value surely lies below which a share of all runs lies.

    Whatever the spread of the figure (order statistics): how many runs fall below the value is binomial. Of all pairs that
    are sure enough it is the closest, of those the surest, and then the lower. None when even the lowest and the highest
    run are not sure enough: for 1 run in 10 with fewer than 29 runs.
    """
    fewer = np.asarray(bdtr(np.arange(runs, dtype=float), runs, share))  # chance that at most 0, 1, 2 ... lie below
    for apart in range(1, runs):
        held = fewer[apart:] - fewer[:-apart]  # element k: between run k + 1 and the one that lies `apart` above it
        best = int(np.argmax(np.round(held, 12)))
        if held[best] >= sure:
            return best + 1, best + 1 + apart
    return None


def between(one_a_run: Figures, share: float, sure: float = SURE) -> tuple[float, float] | None:
    """Between what the value surely lies that so large a share of all runs to come lies below; None: too few runs to tell."""
    ranks = quantile_ranks(len(one_a_run), share, sure)
    if ranks is None:
        return None
    ordered = np.sort(np.asarray(one_a_run, dtype=float))
    return float(ordered[ranks[0] - 1]), float(ordered[ranks[1] - 1])


def of_runs(values: Figures, share: float) -> float:
    """The value that so large a share of all runs to come lies below, judged from one value a run.

    Positions k/(n+1) (Weibull): a straight line between the lowest and the highest would leave out too much, 8 runs in 10
    would hold but 7 of 20.
    """
    return float(np.quantile(np.asarray(values, dtype=float), share, method="weibull"))


def quantile(values: Figures, share: float) -> float:
    """The value that so large a share of all lies below (straight line between neighbours)."""
    return float(np.quantile(np.asarray(values, dtype=float), share))
