"""Adding up so that a run writes down the same whichever Python it runs on, and as machine code."""

from __future__ import annotations

from collections.abc import Iterable


def total(amounts: Iterable[float]) -> float:
    """Fractions added up one after the other, each sum rounded, in their own unit; 0.0 of none.

    Python's own `sum` does this up to 3.11; from 3.12 on it makes up for what rounding loses. For whole numbers both agree.
    """
    found = 0.0
    for amount in amounts:
        found += amount
    return found
