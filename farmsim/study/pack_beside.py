"""What the expansion brings: every money line of the two farms' books side by side, what it earns alone, what it is worth."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from farmsim.money.worth import internal_rate, net_present_value, payback_years
from farmsim.record.measures.page_books import YEARS
from farmsim.scenario.capital import Capital
from farmsim.scenario.farm import Farm
from farmsim.study.answers import Known, Total
from farmsim.study.pack_answers import Beside, Worth
from farmsim.study.pack_sides import Side
from farmsim.study.precision import known
from farmsim.study.weeks import total
from farmsim.units import cents_of

MONEY_LINES = tuple(name for name, unit, _ in YEARS if unit == "currency")
CAPACITY, PAYMENTS = "capital_debt_repayment_capacity", "payments"


def beside(base: Side, expanded: Side) -> Iterator[Beside]:
    """Every money line of every year; averages in whole cents, so that the first two add up to the third.

    The difference of two rounded averages is told, and how far off the average difference of the pairs of runs may be.
    """
    per = cents_of(base.kept.currency)
    for year in base.kept.years:
        rows = base.rows_of(year.number), expanded.rows_of(year.number)
        for line in MONEY_LINES:
            before, after = (each[line].to_numpy(float) for each in rows)
            now, then = (round(float(each.mean()) * per) for each in (before, after))
            give = known(after - before).give
            yield Beside(year.number, line, now / per, Known((then - now) / per, give), then / per)


def alone(base: Side, expanded: Side) -> Iterator[Total | None]:
    """By year, capacity that the expansion adds for each unit of payments it adds, run by run; None where it adds none."""
    for year in base.kept.years:
        added = {
            line: expanded.by_run(line, year.number) - base.by_run(line, year.number) for line in (CAPACITY, PAYMENTS)
        }
        paid = added[PAYMENTS]
        yield total((added[CAPACITY] / paid).tolist()) if (paid > 0.5 / cents_of(base.kept.currency)).all() else None


def new_items(base: Farm, expanded: Farm) -> tuple[Capital, ...]:
    """What is bought for the expansion: capital items the farm has not, or not so, without it.

    What was bought before the start is owned already: nobody pays for it any more.
    """
    start = expanded.farm.start
    return tuple(item for item in expanded.capital if item not in base.capital and item.bought >= start)


def worth(base: Side, expanded: Side, discount: float | None) -> Worth:
    """What the expansion is worth to the owner, before debt payments.

    Today it costs what is bought more than without it, with contingency; each year brings the average difference of
    net operating income less that of taxes, the last also what the two farms' equipment differs by in the books at its end.
    That is worth something to the owner but no money, so nothing is paid back with it.
    discount: what the owner wants money to earn in a year [1]; None: no present value
    """
    flows = [-sum(_gain(base, expanded, "bought", year.number) for year in base.kept.years)]
    for year in base.kept.years:
        gains = [_gain(base, expanded, line, year.number) for line in ("operating_income", "paid_taxes")]
        flows.append(gains[0] - gains[1])
    book_value, brought = _gain(base, expanded, "end_equipment", base.kept.years[-1].number), list(flows)
    flows[-1] += book_value
    value = None if discount is None else net_present_value(discount, flows)
    spends = flows[0] < 0
    return Worth(
        discount,
        tuple(flow + 0.0 for flow in flows),
        value,
        internal_rate(flows) if spends else None,
        payback_years(brought) if spends else None,
        book_value,
    )


def _gain(base: Side, expanded: Side, line: str, year: int) -> float:
    """How much more a line of a year is on average with the expansion [unit of the line]."""
    return float(np.mean(expanded.by_run(line, year) - base.by_run(line, year)))
