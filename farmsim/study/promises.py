"""What was promised and what was delivered, customer by customer, and where most of what was missing was missing."""

from __future__ import annotations

import pandas as pd

from farmsim.study.answers import Gap, Promise


def promises(rounds: pd.DataFrame, unit: str, weeks: int) -> tuple[Promise, ...]:
    """Every customer's promises, a week on average, in the order of the farm's file.

    rounds: the "deliveries" or "block_deliveries" of all runs; unit: kg or blocks
    """
    if rounds.empty:
        return ()
    over = weeks * rounds["run"].nunique()
    sums = rounds.groupby("customer", sort=False)[["promised", "delivered", "orders", "complete"]].sum() / over
    return tuple(
        Promise(str(name), unit, *(float(row[column]) for column in ("promised", "delivered", "orders", "complete")))
        for name, row in sums.iterrows()
    )


def gap(rounds: pd.DataFrame, unit: str) -> Gap | None:
    """The customer, strain and weekday to which most of the shortfall belongs; None if nothing was short."""
    short = rounds["short"].sum() if len(rounds) else 0.0
    if not short > 0:
        return None
    by_round = rounds.groupby(["customer", "strain", "weekday"], sort=False)["short"].sum()
    worst = by_round.idxmax()
    assert isinstance(worst, tuple)
    customer, strain, weekday = (str(part) for part in worst)
    return Gap(customer, strain, weekday, unit, float(by_round.max() / short))
