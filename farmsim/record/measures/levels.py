"""How many blocks there are, and how many mushrooms that have not gone yet."""

from __future__ import annotations

import numpy as np

from farmsim.record.measures import blocks, harvest
from farmsim.record.measures.cuts import added
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import Figures, Record

PER = "end of week, end of month"


@measure(
    name="blocks_inside",
    unit="blocks",
    meaning="blocks on the farm, from being made or delivered until sold, thrown out or cleared",
    denominator="none",
    per=PER,
)
def blocks_inside(record: Record) -> Flow:
    return _with_opening(record, "inside", "blocks", blocks.change(record))


@measure(
    name="stock_kg",
    unit="kg",
    meaning="firsts and seconds picked and not yet sold or thrown out, packed or not",
    denominator="none",
    per=PER,
)
def stock_kg(record: Record) -> Flow:
    return _with_opening(record, "left_over", "kg", harvest.change(record))


MEASURES = (blocks_inside, stock_kg)


def level_at_ends(flow: Flow, edges: Figures) -> Figures:
    """What a flow has added up to at each edge but the first."""
    order = np.argsort(flow.when, kind="stable")
    so_far = np.append(0.0, np.cumsum(flow.amount[order]))
    return so_far[np.searchsorted(flow.when[order], edges[1:], side="left")]


def before_start(record: Record, flow: Flow) -> Figures:
    """What a flow had added up to when the measured time began, strain by strain."""
    count = len(record.names.strains)
    if flow.strain is None:
        return np.zeros(count)
    early = flow.when < record.start
    return added(flow.strain[early], flow.amount[early], count)


def written(record: Record, table: str, amount: str, when: float) -> Figures | None:
    """What was written down as being there at one moment, strain by strain; None if nothing was."""
    rows = np.flatnonzero(record.figures(table, "when") == when)
    if not len(rows):
        return None
    strain, found = record.numbers(table, "strain")[rows], record.figures(table, amount)[rows]
    return added(strain, found, len(record.names.strains))


def at_start(record: Record, table: str, amount: str, change: Flow) -> Figures:
    """What was there at the start: as written down then, else what had come and not gone."""
    found = written(record, table, amount, record.start)
    return before_start(record, change) if found is None else found


def _with_opening(record: Record, table: str, amount: str, change: Flow) -> Flow:
    """A change from the start on, with what was there at the start put before it."""
    later = change.when >= record.start
    opening = at_start(record, table, amount, change).sum()
    return Flow(np.append(-np.inf, change.when[later]), np.append(opening, change.amount[later]))
