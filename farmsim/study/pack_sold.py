"""Who buys with the expansion, and how the farm grows in pounds, blocks, hours and people, year by year."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.study.books_answers import YearTold
from farmsim.study.headlines import (
    ALL_SOLD,
    BLOCKS_DELIVERED,
    BLOCKS_FRUITED,
    BLOCKS_SOLD,
    DELIVERED,
    OVERTIME,
    PAID,
    PICKED,
    Headline,
    by_run,
)
from farmsim.study.pack_answers import Buyer, Grown
from farmsim.study.pack_sides import DAYS_A_WEEK, Side, customers, states
from farmsim.units import HOURS_A_WEEK

OUTLET = "outlet"
LINES = (
    PICKED,
    ALL_SOLD,
    Headline("blocks made", "blocks/week", ("blocks_made",)),
    Headline("blocks bought in", "blocks/week", ("blocks_bought",)),
    BLOCKS_FRUITED,
    BLOCKS_SOLD,
    DELIVERED,
    BLOCKS_DELIVERED,
    PAID,
    OVERTIME,
    Headline("owner's and family hours", "h/week", ("owner_h",)),
)
"""What is told of each year, as averages a week."""
Who = tuple[str, str]
"""A customer: its name, and what it buys, "kg" of mushrooms or "blocks"."""
Bought = Mapping[Who, tuple[float, float]]
"""By customer: goods a week [kg or blocks] and what it pays in the year [currency]."""


def bought(side: Side, year: YearTold) -> Bought:
    """What each customer buys in a year, on average of the runs."""
    table = side.tables["books_customers"]
    weeks = year.lines["days"].mean.value / DAYS_A_WEEK
    means = table[table["year"] == year.number].groupby(["customer", "unit"], sort=False)[["goods", "paid"]].mean()
    return {
        (str(name), str(unit)): (float(row["goods"]) / weeks, float(row["paid"])) for (name, unit), row in _rows(means)
    }


def _rows(table: pd.DataFrame) -> Iterator[tuple[Who, pd.Series[float]]]:
    for key, row in table.iterrows():
        assert isinstance(key, tuple)
        yield key, row


def buyers(base: Side, expanded: Side) -> Iterator[Buyer]:
    """Everybody who buys in the last year of the books, without the expansion or with it; who pays most comes first."""
    year = expanded.kept.years[-1]
    before, after = bought(base, base.kept.years[-1]), bought(expanded, year)
    sales = year.lines["sales"].mean.value
    end = expanded.weeks_of(year)[-1] * HOURS_A_WEEK
    for who, (goods, paid) in sorted(after.items(), key=lambda each: -each[1][1]):
        had = before.get(who, (0.0, 0.0))[0]
        since, customer = _known(expanded.farm, who, end)
        if customer is None or (not goods and not had and who not in customers(_last(expanded.farm, end))):
            continue
        day = "" if not since else (expanded.farm.farm.start + timedelta(hours=since)).isoformat()
        is_new = not any(who in customers(state) for _, state in states(base.farm))
        share = paid / sales if sales > 0 else 0.0
        yield Buyer(who[0], customer.kind, _firm(customer), is_new, who[1], goods, had, paid, share, day)


def _known(farm: Farm, who: Who, end: float) -> tuple[float, Customer | BlockCustomer | None]:
    """Since when somebody buys [h], and on which terms last; None of somebody who comes only after the end."""
    found = [(since, customers(state)[who]) for since, state in states(farm) if since < end and who in customers(state)]
    return (found[0][0], found[-1][1]) if found else (0.0, None)


def _last(farm: Farm, end: float) -> Farm:
    """The state that is in force just before an hour [h]."""
    return [state for since, state in states(farm) if since < end][-1]


def _firm(customer: Customer | BlockCustomer) -> str:
    """How firm it is that somebody buys."""
    return OUTLET if customer.kind == OUTLET else customer.firm


# --- year by year -----------------------------------------------------------------------------------------------------


def grown(base: Side, expanded: Side) -> Iterator[Grown]:
    """Each year in pounds, blocks, hours and people, without the expansion and with it; what neither has is left out."""
    for year in expanded.kept.years:
        weeks = expanded.weeks_of(year)
        cuts = [[_cut(run, weeks) for run in each.runs] for each in (base, expanded)]
        found = [(line, _mean(line, cuts[0]), _mean(line, cuts[1])) for line in LINES]
        lines = tuple(
            (line.name, line.unit.removesuffix("/week"), before or 0.0, after or 0.0)
            for line, before, after in found
            if before or after
        )
        yield Grown(year.number, lines, tuple(_people(base.farm, expanded.farm, weeks[-1] * HOURS_A_WEEK)))


def _mean(line: Headline, runs: Sequence[RunTables]) -> float | None:
    """A figure on average of the runs; None unless every run has it."""
    values = by_run(line, runs)
    return None if values is None else float(np.mean(values))


def _cut(run: RunTables, weeks: range) -> RunTables:
    """The weekly table of a run with some of its weeks only."""
    table = run["weekly"]
    kept = np.isin(np.asarray(table["week"], dtype=float), np.arange(weeks.start, weeks.stop, dtype=float))
    return {
        "weekly": {name: np.asarray(values)[kept] for name, values in table.items() if not isinstance(values, list)}
    }


def _people(base: Farm, expanded: Farm, end: float) -> Iterator[tuple[str, float, float]]:
    """How many people each crew has just before an hour, without the expansion and with it."""
    before, after = ({crew.name: float(crew.people) for crew in _last(farm, end).crew} for farm in (base, expanded))
    for name in dict.fromkeys((*after, *before)):
        yield name, before.get(name, 0.0), after.get(name, 0.0)
