"""The books of a farm over many runs: a usual and a poor year, lowest cash, payments of debts, what each strain earns."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

import pandas as pd

from farmsim.errors import FarmsimError
from farmsim.money.books import opening_equity
from farmsim.money.loan import later, schedule
from farmsim.record.measures import RunTables
from farmsim.scenario import prices
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import Loan
from farmsim.scenario.say import Say
from farmsim.study import bounds, frames
from farmsim.study.books_answers import BreakEven, Kept, LoanTold, Lowest, YearTold
from farmsim.study.books_given import gaps, sources
from farmsim.study.changes import weeks_before
from farmsim.study.earns import earns, strains_table
from farmsim.study.precision import of_runs
from farmsim.study.trials import Brief, Case, Trials
from farmsim.study.weeks import THIN, total
from farmsim.units import cents_of

TABLES = ("books_opening", "books_months", "books_years", "money_strains")
MOST_YEARS = 9  # that a run of the most weeks holds whole
TEXTS = ("lowest_cash_day", "month")
COVERAGE = "term_debt_coverage"
CENT = 0.01
DAYS_A_WEEK, MONTHS_A_YEAR = 7, 12
WEEKS_TOLD_AS_YEAR = 52


class NoBooks(FarmsimError, ValueError):
    """The books of a farm cannot be kept; says what is missing."""

    exit_code = 2


def weeks_of(farm: Farm, years: int) -> int:
    """Weeks of a run in which so many whole years lie."""
    first = farm.farm.start
    return math.ceil((later(first, MONTHS_A_YEAR * years, first.day) - first).days / DAYS_A_WEEK)


def years_of(farm: Farm) -> int:
    """The years nearest to the farm's own weeks, at least one."""
    return min(MOST_YEARS, max(1, round(farm.farm.weeks / WEEKS_TOLD_AS_YEAR)))


def keep(farm: Farm, runs: int, brief: Brief) -> Kept:
    """Keep the books of a farm over so many runs.

    brief: its weeks say how long; years that lie in them whole are told, or all of them when there is none
    Goes wrong when something that is sold has no price: NoBooks names it.
    """
    runs = bounds.whole("runs", runs, 2, bounds.MOST_RUNS)
    can_be_kept(farm)
    with Trials(farm, brief) as trials:
        trials.expect(runs)
        found = trials.take([Case(farm, number) for number in range(runs)], TABLES)
        told = trials.weeks - weeks_before(farm, trials.weeks)
        return kept(farm, found, brief.seed, trials.lead_in, told)


def can_be_kept(farm: Farm) -> None:
    """Every state of the farm has a price for all that is sold, and something is given of its books.

    Goes wrong when not: NoBooks says what is missing.
    """
    for state in (farm, *(state for _, state in farm.changes)):
        none = list(prices.not_priced(state))
        if none:
            raise NoBooks(
                f"no price is given for {', '.join(none)}: the books would count it as given away. "
                'Add price to each, such as price = "$9/lb", or "$0/lb" for a gift.'
            )
    stated = None if farm.balance is None else farm.balance.equity
    if stated is not None and abs(stated - (found := opening_equity(farm))) >= 0.5 * CENT:
        say = Say(farm.farm.units, farm.farm.currency)
        told, worked_out = say.money(stated), say.money(found)
        raise NoBooks(
            f"[balance] equity is {told}, but what is owned less what is owed comes to {worked_out} at the start: change "
            "what is wrong in [balance], [[capital]], [[loan]] or [credit_line], or leave equity out"
        )
    if not any(prices.has_books(state) for state in (farm, *(state for _, state in farm.changes))):
        raise NoBooks(
            f"{farm.farm.name} gives nothing for its books: no costs besides wages and energy, no loans, no balance sheet. "
            'Add at least [balance] with cash = "$12,000"; scenarios/four-rooms-books.toml shows everything there is.'
        )


def kept(farm: Farm, runs: Sequence[RunTables], seed: int, lead_in: int, told: int) -> Kept:
    """The books over runs that are there already, with the tables of `TABLES` at least.

    seed, lead_in: with which they were made [weeks]; told: weeks of which strains are told, those since the last dated
    change [weeks]
    """
    tables, about = frames.frames([{name: run[name] for name in TABLES} for run in runs]), farm.farm
    years = tuple(_years(tables["books_years"], about.start))
    months = _months(tables["books_months"])
    loans = _schedules(farm)
    earned = earns(tables["money_strains"], told)
    opening = tables["books_opening"].drop(columns="run").iloc[0]
    line = farm.credit_line
    return Kept(
        farm=about.name,
        system=about.units,
        currency=about.currency,
        start=about.start.isoformat(),
        runs=len(runs),
        seed=seed,
        lead_in=lead_in,
        years=years,
        opening={str(name): float(value) for name, value in opening.items()},
        lowest=_lowest(tables["books_years"], tables["books_months"]),
        limit=None if line is None else line.limit,
        keeps=None if line is None else line.keeps,
        loans=tuple(loan_told(loan, about.start, cents_of(about.currency)) for loan in farm.loan),
        weakest=_weakest(years),
        earns=tuple(sorted(earned, key=lambda each: -each.a_year.mean.value)),
        break_even=_break_even(years[0]),
        gaps=tuple(gaps(farm)),
        months=months,
        years_table=_years_table(years),
        loans_table=loans,
        strains_table=strains_table(earned),
        runs_years=tables["books_years"],
        runs_months=tables["books_months"],
        sources=tuple(sources(farm)),
    )


# --- years and months -------------------------------------------------------------------------------------------------


def _years(table: pd.DataFrame, start: date) -> Iterator[YearTold]:
    day = start
    for number, rows in table.groupby("year"):
        numbers = rows.drop(columns=["run", "year", "whole", *(name for name in TEXTS if name in rows)])
        known = {str(name): total(numbers[name]) for name in numbers if not numbers[name].isna().any()}
        last = day + timedelta(days=int(rows["days"].iloc[0]) - 1)
        not_told = tuple(str(name) for name in numbers if str(name) not in known)
        yield YearTold(
            int(str(number)), day.isoformat(), last.isoformat(), bool(rows["whole"].iloc[0]), known, not_told
        )
        day = last + timedelta(days=1)


def _years_table(years: Sequence[YearTold]) -> pd.DataFrame:
    """Every line of every year: the average, a usual year, and where eight in ten lie."""
    rows = [
        [year.number, year.first, year.last, name, line.mean.value, line.mean.give, line.low, line.usual, line.high]
        for year in years
        for name, line in year.lines.items()
    ]
    columns = ["year", "first_day", "last_day", "line", "average", "give", "low_1_in_10", "usual", "high_1_in_10"]
    return pd.DataFrame(rows, columns=columns)


def _months(table: pd.DataFrame) -> pd.DataFrame:
    """Averages by month, which add up, with the lowest cash of a usual and of a poor run."""
    kept = table.drop(columns=["run", *(name for name in TEXTS if name in table and name != "month")])
    found = kept.groupby("month", sort=False).mean().reset_index()
    for name, share in (("lowest_cash_usual", 0.5), ("lowest_cash_poor", THIN), ("lowest_cash_good", 1.0 - THIN)):
        of_months = table.groupby("month", sort=False)["lowest_cash"]
        found[name] = [of_runs(runs.to_numpy(), share) for _, runs in of_months]
    return found


def _lowest(years: pd.DataFrame, months: pd.DataFrame) -> Lowest:
    """Over the whole time of the books, run by run."""
    at = years.groupby("run")["lowest_cash"].idxmin()
    rows = years.loc[at]
    month, often = Counter(str(day)[:7] for day in rows["lowest_cash_day"]).most_common(1)[0]
    by_run = months.groupby("run")
    drew, missing = by_run["line_most"].max(), by_run["not_covered"].max()
    return Lowest(
        cash=total(rows["lowest_cash"]),
        month=month,
        in_month=often,
        drew=int((drew > 0).sum()),
        most_drawn=float(months["line_most"].max()),
        not_covered=int((missing > 0).sum()),
        most_missing=float(missing.max()),
    )


def _weakest(years: Sequence[YearTold]) -> int | None:
    """The year in which debts are covered worst."""
    covered = {each.number: each.lines[COVERAGE].usual for each in years if each.is_whole and COVERAGE in each.lines}
    return min(covered, key=lambda number: covered[number]) if covered else None


def _break_even(year: YearTold) -> BreakEven | None:
    """Where the average run of a year just covers its payments; None of less than a year, or without mushrooms."""
    mean = {name: line.mean.value for name, line in year.lines.items()}
    kg, fruited, mushrooms = mean["kg_sold"], mean["blocks_fruited"], mean["mushrooms"]
    if not year.is_whole or kg <= 0 or fruited <= 0 or mushrooms - mean["packaging"] <= 0:
        return None
    margin, price, yield_ = mean["capital_debt_repayment_margin"], mushrooms / kg, kg / fruited
    return BreakEven(
        price, price * (1.0 - margin / mushrooms), yield_, yield_ * (1.0 - margin / (mushrooms - mean["packaging"]))
    )


# --- loans ------------------------------------------------------------------------------------------------------------


def loan_told(loan: Loan, start: date, per: int) -> LoanTold:
    """A loan as it is told, what is owed on it the evening before the start; per: cents of the currency."""
    payments = schedule(loan, per)
    before = [each for each in payments if each.due < start]
    is_new = loan.from_ >= start
    owed = 0.0 if is_new else before[-1].left / per if before else loan.amount
    payment = next((each.whole for each in payments[loan.interest_only :] if each.due >= start), 0) / per
    told = ", ".join(
        each for each in (loan.terms_from or "", "" if loan.terms_of is None else f"{loan.terms_of}") if each
    )
    return LoanTold(
        loan.name, loan.amount, owed, loan.rate, loan.years, loan.every, loan.from_.isoformat(), is_new, loan.kind, payment,
        told, loan.interest_only, loan.balloon, loan.as_over, payments[-1].whole / per, payments[-1].due.isoformat(),
    )  # fmt: skip


def _schedules(farm: Farm) -> pd.DataFrame:
    """Every payment of every loan from the start on, long after the time of the books too."""
    per = cents_of(farm.farm.currency)
    rows = [
        [
            loan.name,
            number,
            each.due.isoformat(),
            each.interest / per,
            each.principal / per,
            each.whole / per,
            each.left / per,
        ]
        for loan in farm.loan
        for number, each in enumerate(schedule(loan, per), 1)
        if each.due >= farm.farm.start
    ]
    return pd.DataFrame(rows, columns=["loan", "payment", "due", "interest", "principal", "paid", "left"])
