"""What the study of a farm's books hands on: plain numbers in the farm's currency, nothing to be computed any more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from farmsim.study.answers import Total


@dataclass(frozen=True)
class YearTold:
    """One year of the books over all runs.

    first, last: its days; is_whole: whether it is twelve months
    lines: every column of books_years.csv: averages add up, `low` is the poor year (1 in 10) where more is better
    not_told: ratios that at least one run does not have, because there is nothing to divide by
    """

    number: int
    first: str
    last: str
    is_whole: bool
    lines: Mapping[str, Total]
    not_told: tuple[str, ...]


@dataclass(frozen=True)
class Lowest:
    """When cash is lowest, what is owed on the credit line taken off, over the whole time of the books.

    cash: lowest evening of each run; month: the month in which it fell in most runs, "2027-03", and in how many
    drew: runs that drew on the line; not_covered: runs in which neither cash nor the line covered everything
    most_drawn: the most owed on the line in any run; most_missing: the most that nothing covered in any run
    """

    cash: Total
    month: str
    in_month: int
    drew: int
    most_drawn: float
    not_covered: int
    most_missing: float


@dataclass(frozen=True)
class LoanTold:
    """One loan: its terms, and what is owed the evening before the start.

    amount: what it is or was on its first day; every: how often it is paid; kind: "level" or "equal principal"
    payment: its next payment with principal, the usual one; of a loan in equal parts of principal only the next, as interest
    and so later payments grow smaller; 0 when none is to come
    interest_only: how many payments at first are of interest only; balloon: what is paid at once with the last one
    as_over: years over which payments are reckoned, when the last one, with all that is left, comes sooner; None when it does
    not; last: the last payment, on last_day
    """

    name: str
    amount: float
    owed: float
    rate: float
    years: float
    every: str
    first_day: str
    is_new: bool
    kind: str
    payment: float
    terms: str
    interest_only: int = 0
    balloon: float = 0.0
    as_over: float | None = None
    last: float = 0.0
    last_day: str = ""


@dataclass(frozen=True)
class Earns:
    """What one strain earns: takings less what is bought for it, over runs; None where there is none of it.

    a block's materials are borne by the blocks that are fruited or sold, those that are lost among them
    """

    strain: str
    a_year: Total
    block_fruited: Total | None
    block_sold: Total | None
    shelf_week: Total | None
    rack_week: Total | None
    hour: Total | None


@dataclass(frozen=True)
class BreakEven:
    """The first whole year: where capacity to repay just covers the payments, all else as it is.

    price: average price of mushrooms now and at break-even [currency/kg]; yield_: kg sold of a block fruited, now and then
    """

    price: float
    price_then: float
    yield_: float
    yield_then: float


@dataclass(frozen=True)
class Kept:
    """The books of a farm over many runs.

    opening: the balance sheet of the evening before the start; limit, keeps: of the credit line, None without one
    weakest: the year whose term debt coverage is lowest in a usual run; None where there is nothing to cover
    months: averages by calendar month, with the lowest cash of a poor run (1 in 10)
    years_table, loans_table, strains_table: the same for a bookkeeper; runs_years, runs_months: every run
    """

    farm: str
    system: str
    currency: str
    start: str
    runs: int
    seed: int
    lead_in: int
    years: tuple[YearTold, ...]
    opening: Mapping[str, float]
    lowest: Lowest
    limit: float | None
    keeps: float | None
    loans: tuple[LoanTold, ...]
    weakest: int | None
    earns: tuple[Earns, ...]
    break_even: BreakEven | None
    gaps: tuple[str, ...]
    months: pd.DataFrame
    years_table: pd.DataFrame
    loans_table: pd.DataFrame
    strains_table: pd.DataFrame
    runs_years: pd.DataFrame
    runs_months: pd.DataFrame
    sources: tuple[tuple[str, str], ...]
