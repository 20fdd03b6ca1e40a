"""How many blocks there are, and how many mushrooms that have not gone yet."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from farmsim.record.measures import blocks, harvest
from farmsim.record.measures.cuts import added
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import Figures, Record

PER = "end of week, end of month"


class Level(NamedTuple):
    """What there was at the start, and how it changed."""

    opening: float
    change: Flow


@measure(
    name="blocks_inside",
    unit="blocks",
    meaning="blocks on the farm, from being made or delivered until sold, thrown out or cleared",
    denominator="none",
    per=PER,
)
def blocks_inside(record: Record) -> Level:
    change = blocks.change(record)
    return Level(float(at_start(record, "inside", "blocks", change).sum()), change)


@measure(
    name="stock_kg",
    unit="kg",
    meaning="firsts and seconds picked and not yet sold or thrown out, packed or not",
    denominator="none",
    per=PER,
)
def stock_kg(record: Record) -> Level:
    change = harvest.change(record)
    return Level(float(at_start(record, "left_over", "kg", change).sum()), change)


MEASURES = (blocks_inside, stock_kg)


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
