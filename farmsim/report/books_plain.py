"""The books of a farm for other programs, as JSON holds them."""

from __future__ import annotations

import math
from dataclasses import asdict

from farmsim.study.answers import Total
from farmsim.study.books_answers import Earns, Kept, YearTold


def plain(kept: Kept) -> dict[str, object]:
    """Everything the screen tells, as plain numbers in the farm's currency."""
    return {
        "farm": kept.farm,
        "currency": kept.currency,
        "start": kept.start,
        "runs": kept.runs,
        "seed": kept.seed,
        "lead_in": kept.lead_in,
        "years": [_year(year) for year in kept.years],
        "opening": {name: _known(value) for name, value in kept.opening.items()},
        "lowest_cash": {**_total(kept.lowest.cash), "month": kept.lowest.month, "runs_in_month": kept.lowest.in_month},
        "credit_line": {
            "limit": kept.limit,
            "runs_that_drew": kept.lowest.drew,
            "most_drawn": kept.lowest.most_drawn,
        },
        "not_covered": {"runs": kept.lowest.not_covered, "most": kept.lowest.most_missing},
        "loans": [asdict(loan) for loan in kept.loans],
        "weakest_year": kept.weakest,
        "break_even": None if kept.break_even is None else asdict(kept.break_even),
        "strains": {each.strain: _earns(each) for each in kept.earns},
        "not_in_it": list(kept.gaps),
        "sources": dict(kept.sources),
    }


def _year(year: YearTold) -> dict[str, object]:
    lines = {name: _total(line) for name, line in year.lines.items()}
    return {"year": year.number, "first": year.first, "last": year.last, "whole": year.is_whole, "lines": lines}


def _total(total: Total) -> dict[str, float | None]:
    mean = total.mean
    return {
        "average": mean.value,
        "give": mean.give,
        "low_1_in_10": total.low,
        "usual": total.usual,
        "high_1_in_10": total.high,
    }


def _earns(each: Earns) -> dict[str, object]:
    names = ("a_year", "block_fruited", "block_sold", "shelf_week", "rack_week", "hour")
    return {name: None if (one := getattr(each, name)) is None else _total(one) for name in names}


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
