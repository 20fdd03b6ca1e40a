"""What was promised and what was delivered, customer by customer, and where most of what was missing was missing."""

from __future__ import annotations

import pandas as pd

from farmsim.study.answers import Gap, Promise

DUST = 1e-6  # kg or blocks; less than that is a rounding in a sum, and nothing that anybody lacked
COLUMNS = ["promised", "delivered", "orders", "orders_complete", "lines", "lines_complete"]


def promises(customers: pd.DataFrame, runs: int, weeks: int) -> tuple[Promise, ...]:
    """Every customer's promises, a week on average: those for mushrooms first, then in the order of the farm's file.

    customers: the "customers" table of all runs
    """
    found = []
    for unit in ("kg", "blocks"):
        of_unit = customers[customers["unit"] == unit]
        sums = of_unit.groupby("customer", sort=False)[COLUMNS].sum() / (runs * weeks)
        found += [Promise(str(name), unit, *(float(row[each]) for each in COLUMNS)) for name, row in sums.iterrows()]
    return tuple(found)


def gap(rounds: pd.DataFrame, unit: str) -> Gap | None:
    """The customer, strain and weekday to which most of the shortfall belongs; None if nothing was short."""
    short = rounds["short"].sum() if len(rounds) else 0.0
    if not short > DUST:
        return None
    by_round = rounds.groupby(["customer", "strain", "weekday"], sort=False)["short"].sum()
    worst = by_round.idxmax()
    assert isinstance(worst, tuple)
    customer, strain, weekday = (str(part) for part in worst)
    return Gap(customer, strain, weekday, unit, float(by_round.max() / short))
