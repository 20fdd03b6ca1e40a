"""How well a simulated figure is known: Student's t over runs. Not to be mixed up with how much the farm itself varies."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.special import stdtrit

from farmsim.study.answers import Known

__all__ = ["Known", "known", "quantile"]

SURE = 0.95
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


def of_runs(values: Figures, share: float) -> float:
    """The value that so large a share of all runs to come lies below, judged from one value a run.

    Positions k/(n+1) (Weibull): a straight line between the lowest and the highest would leave out too much, 8 runs in 10
    would hold but 7 of 20.
    """
    return float(np.quantile(np.asarray(values, dtype=float), share, method="weibull"))


def quantile(values: Figures, share: float) -> float:
    """The value that so large a share of all lies below (straight line between neighbours)."""
    return float(np.quantile(np.asarray(values, dtype=float), share))
