"""What a row of yearly sums is worth: net present value, internal rate of return, years until it is paid back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise


def net_present_value(rate: float, sums: Sequence[float]) -> float:
    """Worth today of sums a year apart, the first of them today [the unit of the sums]; rate: of a year [1]."""
    import numpy_financial as npf

    return float(npf.npv(rate, list(sums)))


def internal_rate(sums: Sequence[float]) -> float | None:
    """The yearly rate at which the sums are worth nothing today [1]; None where there is none, or nothing is spent."""
    import numpy_financial as npf

    if not any(each > 0 for each in sums) or not any(each < 0 for each in sums):
        return None
    found = float(npf.irr(list(sums)))
    return found if math.isfinite(found) else None


def payback_years(sums: Sequence[float]) -> float | None:
    """Years until what was spent has come back, evenly within a year; None when it never does.

    sums: what is spent today, then what each year brings
    """
    so_far = list(accumulate(sums))
    for year, (before, after) in enumerate(pairwise(so_far)):
        if before < 0 <= after:
            return year - before / (after - before)
    return 0.0 if so_far and so_far[0] >= 0 else None
