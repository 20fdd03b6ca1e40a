"""The same totals from a record of farmsim, under the names the twin gives them."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from farmsim.record.columns import WHATS, WHYS
from farmsim.record.tables import Record

BLOCKS = {"opened": "fruited"}
KG = {"outlet": "to the outlet"}


def totals(record: Record) -> dict[str, float]:
    """Blocks by what happened, kg by what became of them, hours by duty; measured weeks only."""
    found: defaultdict[str, float] = defaultdict(float)
    for number, what in enumerate(WHATS):
        found[f"blocks {BLOCKS.get(what, what)}"] = _sum(record, "blocks", "blocks", "when", "what", number)
    for grade in ("firsts", "seconds", "culls"):
        found[f"kg picked {grade}"] = _sum(record, "picks", grade, "when")
    found["kg packed"] = _sum(record, "packs", "kg", "when")
    for number, why in enumerate(WHYS):
        found[f"kg {KG.get(why, why)}"] = _sum(record, "stock_out", "kg", "when", "why", number)
    found["kg promised"] = _sum(record, "orders", "promised", "due")
    found["blocks promised"] = _sum(record, "block_orders", "promised", "due")
    for number, duty in enumerate(record.names.duties):
        found[f"hours {duty}"] = _sum(record, "tasks", "worked", "ended", "duty", number)
    found["hours overtime"] = _sum(record, "tasks", "overtime", "ended")
    return dict(found)


def _sum(record: Record, table: str, column: str, when: str, sort: str = "", number: int = 0) -> float:
    kept = record.figures(table, when) >= record.start
    if sort:
        kept &= record.numbers(table, sort) == number
    return float(np.sum(record.figures(table, column)[kept]))


def differences(
    ours: dict[str, float], theirs: dict[str, float], within: float = 1e-6
) -> dict[str, tuple[float, float]]:
    """Totals that differ by more than `within`: name -> (ours, theirs)."""
    names = {*ours, *theirs}
    pairs = {name: (ours.get(name, 0.0), theirs.get(name, 0.0)) for name in sorted(names)}
    return {name: pair for name, pair in pairs.items() if abs(pair[0] - pair[1]) > within}
