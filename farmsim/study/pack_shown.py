"""Sums that the lender's pack shows, from what its study found: added by firmness, a loan by year, tables for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields, is_dataclass
from typing import TYPE_CHECKING

import pandas as pd

from farmsim.scenario.buyer import FIRM
from farmsim.study.answers import Total
from farmsim.study.books_answers import Kept
from farmsim.study.pack_answers import Buyer, Level, Pack

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

FIRMNESS = (*FIRM, "outlet")
"""From what is surest to what is not."""
LEAST = 0.05  # kg or blocks a week: less is no change


@dataclass(frozen=True)
class Added:
    """What customers who are equally firm buy more of with the expansion than without [unit a week]."""

    firm: str
    unit: str
    a_week: float


@dataclass(frozen=True)
class LoanYear:
    """A loan in one year of the books: what is paid, and what is owed at its end [currency]."""

    loan: str
    year: int
    interest: float
    principal: float
    paid: float
    left: float


def added(buyers: Sequence[Buyer]) -> tuple[Added, ...]:
    """What is bought more, the surest first; who buys as much as before is left out."""
    found = []
    for unit in ("kg", "blocks"):
        for firm in FIRMNESS:
            more = sum(each.a_week - each.before_a_week for each in buyers if (each.firm, each.unit) == (firm, unit))
            if abs(more) >= LEAST:
                found.append(Added(firm, unit, more))
    return tuple(found)


def loan_years(kept: Kept) -> tuple[LoanYear, ...]:
    """Every loan in every year of the books in which something is due; owed is what stands after the year's last payment."""
    found = []
    for loan in kept.loans:
        rows = kept.loans_table[kept.loans_table["loan"] == loan.name]
        for year in kept.years:
            due = rows[(rows["due"] >= year.first) & (rows["due"] <= year.last)]
            if len(due):
                interest, principal, paid = (float(due[name].sum()) for name in ("interest", "principal", "paid"))
                left = float(due["left"].iloc[-1])
                found.append(LoanYear(loan.name, year.number, interest, principal, paid, left))
    return tuple(found)


def tables(pack: Pack) -> dict[str, pd.DataFrame]:
    """Everything in the pack as tables, by the name of their files."""
    return {
        "years": pack.expanded.years_table,
        "years_without": pack.base.years_table,
        "months": pack.expanded.months,
        "loans": pack.expanded.loans_table,
        "beside": _beside(pack),
        "buyers": pd.DataFrame([asdict(each) for each in pack.buyers]),
        "stress": _stress(pack),
        "headroom": _headroom(pack),
        "time_line": pd.DataFrame([asdict(each) for each in pack.steps], columns=["day", "what"]),
        "weeks_and_people": _grown(pack),
        "matters": pd.DataFrame([asdict(each) for each in pack.matter]),
        "assumptions": pack.assumptions,
    }


def _beside(pack: Pack) -> pd.DataFrame:
    rows = [
        (each.year, each.line, each.base, each.difference.value, each.difference.give, each.expanded)
        for each in pack.beside
    ]
    return pd.DataFrame(rows, columns=["year", "line", "without", "difference", "give", "with"])


def _stress(pack: Pack) -> pd.DataFrame:
    """A row for the plan over the same runs, for each blow, and for those only hoped for never coming."""
    rows = []
    for each in (one for one in (pack.planned, *pack.stress, pack.hoped) if one is not None):
        row: dict[str, object] = {"blow": each.told, "year": each.year, "runs": each.runs, "simulated": each.simulated}
        for name, value in (
            ("term_debt_coverage", each.coverage),
            ("simple_debt_service_coverage", each.simple),
            ("margin", each.margin),
            ("lowest_cash", each.lowest),
        ):
            row |= _ends(name, value)
        for name, planned in (
            ("term_debt_coverage", each.planned_coverage),
            ("simple_debt_service_coverage", each.planned_simple),
        ):
            row[f"{name}_planned_usual"] = None if planned is None else planned.usual
        for at, value in enumerate(each.by_year, 1):
            row[f"term_debt_coverage_year_{at}_usual"] = None if value is None else value.usual
        row |= {"short_in": each.short_in, "line_most": each.line_most}
        rows.append({**row, "missing": each.missing, "missing_in": each.missing_in})
    return pd.DataFrame(rows)


def _ends(name: str, value: Total | None) -> dict[str, object]:
    if value is None:
        return {f"{name}_usual": None, f"{name}_low_1_in_10": None}
    return {f"{name}_usual": value.usual, f"{name}_low_1_in_10": value.low}


def _headroom(pack: Pack) -> pd.DataFrame:
    rows = []
    for each in pack.headroom:
        row: dict[str, object] = {"name": each.name, "kind": each.kind, "unit": each.unit}
        rows.append({**row, **_level("before", each.before), **_level("after", each.after)})
    return pd.DataFrame(rows)


def _level(name: str, level: Level | None) -> dict[str, object]:
    told = {} if level is None else asdict(level)
    return {f"{name}_{key}": told.get(key) for key in ("capacity", "usual", "bad", "waiting")}


def _grown(pack: Pack) -> pd.DataFrame:
    rows = []
    for each in pack.grown:
        rows += [(each.year, name, f"{unit} a week", base, more) for name, unit, base, more in each.lines]
        rows += [(each.year, crew, "people in its last week", base, more) for crew, base, more in each.people]
    return pd.DataFrame(rows, columns=["year", "what", "unit", "without", "with"])


def plain(pack: Pack) -> dict[str, object]:
    """Everything the pack tells but its two sets of books and its assumptions, as JSON holds it."""
    names = (
        "purpose", "system", "currency", "start", "years", "weeks", "runs", "stress_runs", "seed", "lead_in", "told_year",
        "counts", "cautions", "marks", "tight_before", "tight_after", "tight_weeks", "warnings", "of_matter",
        "why_none_matters", "lives_on_draw",
    )  # fmt: skip
    parts = ("asked", "worth", "history", "hoped", "planned")
    lists = (
        "beside", "alone", "grown", "buyers", "stress", "steps", "hired", "arrivals", "headroom", "past", "matter",
        "unmoved", "met", "over_asked",
    )  # fmt: skip
    found: dict[str, object] = {name: _held(getattr(pack, name)) for name in names}
    found |= {name: _part(getattr(pack, name)) for name in parts}
    return found | {name: [_part(each) for each in getattr(pack, name)] for name in lists}


def _part(each: DataclassInstance | None) -> object:
    return None if each is None else _held(dict(_fields(each)))


def _fields(each: DataclassInstance) -> Iterator[tuple[str, object]]:
    for one in fields(each):
        yield one.name, getattr(each, one.name)


def _held(value: object) -> object:
    """A value as JSON holds it; of a total its average and where eight in ten lie, the runs themselves left out."""
    if isinstance(value, Total):
        told = {"low_1_in_10": value.low, "usual": value.usual, "high_1_in_10": value.high}
        return {"average": value.mean.value, "give": value.mean.give, **told}
    if is_dataclass(value) and not isinstance(value, type):
        return {name: _held(inner) for name, inner in _fields(value)}
    if isinstance(value, Mapping):
        return {str(name): _held(inner) for name, inner in value.items()}
    if isinstance(value, tuple | list):
        return [_held(inner) for inner in value]
    return None if isinstance(value, float) and value != value else value
