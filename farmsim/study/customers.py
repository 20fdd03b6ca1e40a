"""Stalls, customers who have left, and promises by how firm they are: over all runs, a week on average."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from farmsim.record.measures.customers import FIRM
from farmsim.study.answers import Week
from farmsim.study.customer_answers import Firmness, Left, RoundKept, Stall, WhyShort

SUMS = ["brought", "asked", "sold", "came_back", "lost"]


def stalls(table: pd.DataFrame, runs: int, weeks: int) -> tuple[Stall, ...]:
    """Every stall, strain by strain.

    table: the "stalls" table of all runs
    """
    found = []
    for key, rows in table.groupby(["stall", "strain"], sort=False):
        assert isinstance(key, tuple)
        brought, asked, sold, came_back, lost = (float(rows[name].sum()) / (runs * weeks) for name in SUMS)
        there, days = float(rows["days_there"].sum()), float(rows["market_days"].sum())
        sold_out = float(rows["sold_out_days"].sum()) / there if there else 0.0
        found.append(Stall(str(key[0]), str(key[1]), brought, asked, sold, came_back, lost, sold_out, 1 - there / days))
    return tuple(found)


def left(table: pd.DataFrame) -> tuple[Left, ...]:
    """Every customer who left in some run; those who left in most runs first.

    table: the "customers_left" table of all runs
    """
    found = [
        Left(str(name), len(rows), int(rows["week"].median()), float(rows["a_week"].mean()))
        for name, rows in table.groupby("customer", sort=False)
    ]
    return tuple(sorted(found, key=lambda one: -one.runs))


def firmness(table: pd.DataFrame, runs: int, weeks: int) -> tuple[Firmness, ...]:
    """Promised and delivered by how firm the customers are, the firmest first.

    table: the "firmness" table of all runs
    """
    sums = table.groupby("firm", sort=False)[["promised", "delivered"]].sum() / (runs * weeks)
    rows = [Firmness(str(firm), float(row["promised"]), float(row["delivered"])) for firm, row in sums.iterrows()]
    return tuple(sorted(rows, key=lambda one: FIRM.index(one.firm)))


def rounds(table: pd.DataFrame) -> tuple[RoundKept, ...]:
    """Every round, all runs together.

    table: the "rounds" table of all runs
    """
    found = []
    for name, rows in table.groupby("round", sort=False):
        sums = {each: float(rows[f"rounds_{each}"].sum()) for each in ("due", "on_time", "late", "not_gone", "empty")}
        used = rows["van_used_share"].mean()
        found.append(RoundKept(str(name), **sums, van_used=None if pd.isna(used) else float(used)))
    return tuple(found)


def why_short(weeks: Mapping[str, Week]) -> WhyShort:
    """Why orders for mushrooms were short."""
    reasons = (weeks[f"short_{why}_kg"].mean.value for why in ("not_there", "not_packed", "no_room", "not_gone"))
    return WhyShort(*reasons)
