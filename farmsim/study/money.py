"""Money over all runs: the week and the year as for every other measure, and what each customer brings."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from farmsim.scenario import prices
from farmsim.scenario.farm import Farm
from farmsim.study import weeks
from farmsim.study.answers import Study
from farmsim.study.money_answers import Money, Paid
from farmsim.study.precision import known

TABLE, CUSTOMERS = "money", "money_customers"


def money(state: Farm, study: Study, tables: Mapping[str, pd.DataFrame]) -> Money | None:
    """What is taken in and paid; None of a farm without prices.

    state: the farm as it is in the weeks that are told
    """
    if TABLE not in tables:
        return None
    weekly = tables[TABLE]
    sums = weekly.drop(columns="week").groupby("run").sum()
    return Money(
        currency=study.currency,
        weeks=weeks.weeks(weekly[weekly["week"] > study.before]),
        totals={str(name): weeks.total(sums[name]) for name in sums.columns},
        customers=tuple(_customers(tables[CUSTOMERS], study)),
        no_price=tuple(prices.not_priced(state)),
        no_wage=tuple(prices.not_paid(state)),
        has_energy=state.energy is not None,
    )


def _customers(table: pd.DataFrame, study: Study) -> list[Paid]:
    """What each customer brings a week, who brings most first."""
    found = []
    for (customer, unit), rows in table.groupby(["customer", "unit"], sort=False):
        priced, not_priced = (float(rows[name].mean()) / study.told for name in ("priced", "not_priced"))
        brought = known(rows["brought"].to_numpy() / study.told)
        found.append(Paid(str(customer), str(unit), priced, not_priced, brought))
    return sorted(found, key=lambda paid: -paid.brought.value)
