"""Averages of a year as they are printed: whole units of money, rounded from the sum down so that every column adds up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from farmsim.report.pack.said import added_up
from farmsim.study.books_answers import Kept, YearTold

Printed = dict[str, float]
Sum = tuple[str, tuple[tuple[str, int], ...]]
"""A line, and the lines that add up to it, each with its sign."""

INCOME: tuple[Sum, ...] = (
    ("net_farm_income", (("operating_income", 1), ("depreciation", -1), ("interest", -1))),
    ("operating_income", (("sales", 1), ("materials", -1), ("people", -1), ("energy", -1), ("fixed_costs", -1))),
    ("sales", (("mushrooms", 1), ("blocks", 1), ("spent_blocks", 1))),
)
FLOWS = (
    ("received", 1), ("paid_costs", -1), ("paid_interest", -1), ("paid_principal", -1), ("paid_taxes", -1),
    ("owner_draw", -1), ("bought", -1), ("borrowed", 1), ("owner_brought", 1), ("line_taken_up", 1),
    ("line_paid_back", -1),
)  # fmt: skip
OWNED = tuple((name, 1) for name in ("cash", "receivables", "stocks", "equipment", "land"))
OWED = tuple(
    (name, 1)
    for name in (
        "payables", "line_owed", "overdrawn", "interest_owed", "loans_within_a_year", "loans_later", "other_debts",
    )
)  # fmt: skip


def income(year: YearTold) -> Printed:
    """The income statement of a year."""
    exact = {name: line.mean.value for name, line in year.lines.items()}
    printed = {"net_farm_income": float(round(exact["net_farm_income"]))}
    for total, parts in INCOME:
        _down(printed, exact, total, parts)
    return printed


def cash(kept: Kept) -> list[Printed]:
    """Cash of every year; at the end less what neither cash nor the credit line covers, and so it begins the next."""
    found, before = [], float(round(kept.opening["cash"] - kept.opening["overdrawn"]))
    for year in kept.years:
        exact = {name: line.mean.value for name, line in year.lines.items()}
        end = float(round(exact["end_cash"] - exact["end_overdrawn"]))
        flow = added_up([sign * exact[name] for name, sign in FLOWS], end - before)
        printed = {name: sign * value for (name, sign), value in zip(FLOWS, flow, strict=True)}
        found.append({"begin": before, **printed, "end": end})
        before = end
    return found


def balance(exact: Mapping[str, float]) -> Printed:
    """What is owned and owed on one evening, by the names of the opening balance sheet."""
    assets, equity = float(round(exact["assets"])), float(round(exact["equity"]))
    printed = {"assets": assets, "equity": equity, "debts": assets - equity}
    printed["cash"] = float(round(exact["cash"]))  # as the cash flow ends with it
    rest = added_up([exact[name] for name, _ in OWNED[1:]], assets - printed["cash"])
    printed.update({name: value + 0.0 for (name, _), value in zip(OWNED[1:], rest, strict=True)})
    _down(printed, exact, "debts", OWED)
    return printed


def at_end(year: YearTold) -> dict[str, float]:
    """The balance sheet at the end of a year, by the names of the opening one; 0 for what has no line."""
    ends = {name.removeprefix("end_"): line.mean.value for name, line in year.lines.items() if name.startswith("end_")}
    return {**{name: 0.0 for name, _ in (*OWNED, *OWED)}, **ends}


def _down(printed: Printed, exact: Mapping[str, float], total: str, parts: Sequence[tuple[str, int]]) -> None:
    """Round the parts of a total that is rounded already."""
    rounded = added_up([sign * exact[name] for name, sign in parts], printed[total])
    printed.update({name: sign * value + 0.0 for (name, sign), value in zip(parts, rounded, strict=True)})


def anything(columns: Iterable[Printed], name: str) -> bool:
    """Whether a line is anything in any column."""
    return any(each[name] for each in columns)
