"""The tables of money of one run: by week, by month, by customer, by strain, and its books. A farm without prices has none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from farmsim.money import books, by_strain, statements
from farmsim.money.ledger import FIXED, ON_TOP, PAID, TAKEN, Line, ledger, moved
from farmsim.money.materials import MATERIALS, SPENT_SOLD
from farmsim.record.measures.cuts import Periods, months, weeks
from farmsim.record.measures.summary import RunTables, Table
from farmsim.record.tables import Figures, Numbers, Record
from farmsim.scenario.prices import has_books, is_told
from farmsim.units import HOURS_A_DAY, cents_of

SHIFTS, OVERTIME, ENERGY = PAID
OTHER_COSTS = (*MATERIALS, *ON_TOP, FIXED)


def summarise(record: Record, since: float | None = None) -> RunTables:
    """Every table of money; none of a farm on which nobody pays a stated price.

    since: begin of what the table by customer is of [h]; left out: all of the measured time
    """
    if record.farm is None or not is_told(record.farm):
        return {}
    goods = moved(record)
    lines, per = ledger(record, goods), cents_of(record.farm.farm.currency)
    by_week, by_month = weeks(record), months(record)
    first = 0 if since is None else int((since - record.start) / HOURS_A_DAY)
    begin = record.start if since is None else since
    found = {
        "money": {"week": np.arange(1.0, len(by_week.first) + 1), **_columns(lines, by_week, per)},
        "money_months": {"month": by_month.labels, "days": by_month.days, **_columns(lines, by_month, per)},
        "money_customers": _customers(lines, first, per),
        "money_strains": by_strain.table(replace(record, start=begin), goods),
    }
    return found | _books(record, lines)


def _books(record: Record, lines: Sequence[Line]) -> RunTables:
    """The books of a run by month and by year; none of a farm that gives nothing of what belongs in them."""
    assert record.farm is not None
    if not any(has_books(farm) for farm in (record.farm, *(state for _, state in record.farm.changes))):
        return {}
    kept, per = books.books(record, lines), cents_of(record.farm.farm.currency)
    return {
        "books_opening": statements.opening(kept),
        "books_months": statements.months(kept),
        "books_years": statements.years(kept),
        "books_customers": _customers_by_year(lines, statements.by_year(kept), per),
    }


def _columns(lines: Sequence[Line], periods: Periods, per: int) -> Table:
    """What is taken in and paid in each period, and what is left; of a farm with books what the rest costs too [currency]."""
    cents = {what: _summed(lines, what, periods) for what in (*TAKEN, *PAID)}
    taken = sum((cents[what] for what in TAKEN), start=np.zeros(len(periods.first), np.int64))
    wages = cents[SHIFTS] + cents[OVERTIME]
    found = {
        **{what: cents[what] for what in TAKEN},
        "taken": taken,
        "wages": wages,
        "overtime_wages": cents[OVERTIME],
        "energy": cents[ENERGY],
        "left": taken - wages - cents[ENERGY],
    }
    spent = sum((_summed(lines, what, periods) for what in OTHER_COSTS), start=np.zeros(len(periods.first), np.int64))
    if any(line.what in OTHER_COSTS for line in lines):
        brought = taken + _summed(lines, SPENT_SOLD, periods)
        found |= {"other_costs": spent, "operating": brought - wages - cents[ENERGY] - spent}
    return {name: amount / per for name, amount in found.items()}


def _summed(lines: Sequence[Line], what: str, periods: Periods) -> Numbers:
    sums = np.zeros(len(periods.first), np.int64)
    for line in lines:
        if line.what == what:
            sums += np.add.reduceat(line.cents, periods.first)
    return sums


def _customers(lines: Sequence[Line], first: int, per: int) -> Table:
    """One row for each customer: what was brought to it at a price and without, and what it paid."""
    sold = [line for line in lines if line.what in TAKEN]

    def since(name: str) -> Figures:
        return np.array([getattr(line, name)[first:].sum() for line in sold], dtype=float)

    return {
        "customer": [line.who for line in sold],
        "unit": [line.unit for line in sold],
        "priced": since("priced"),
        "not_priced": since("not_priced"),
        "brought": since("cents") / per,
    }


def _customers_by_year(lines: Sequence[Line], cut: statements.Cut, per: int) -> Table:
    """One row for each customer and year of the books: what was brought to it, and what it pays for that."""
    sold = [line for line in lines if line.what in TAKEN]
    years = [(number, *days) for number, days in enumerate(zip(*cut, strict=True), 1)]

    def in_years(of: Callable[[Line], Figures | Numbers]) -> Figures:
        return np.array([of(line)[begin:end].sum() for _, begin, end in years for line in sold], dtype=float)

    return {
        "year": np.array([float(number) for number, *_ in years for _ in sold]),
        "customer": [line.who for _ in years for line in sold],
        "unit": [line.unit for _ in years for line in sold],
        "goods": in_years(lambda line: line.priced + line.not_priced),
        "paid": in_years(lambda line: line.cents) / per,
    }
