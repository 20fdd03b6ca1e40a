"""Blocks: made, bought, sold, placed on shelves, lost and cleared away; and how many there are."""

from __future__ import annotations

import numpy as np

from farmsim.record.columns import WHATS
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import Record, once

INTO = ("made", "bought")
OUT_OF = ("contaminated", "too old", "sold", "sold cheap", "cleared")
PER = "week, month, strain"


@once
def happened(record: Record, what: str) -> Flow:
    """Blocks to which one thing happened."""
    kept = np.flatnonzero(record.numbers("blocks", "what") == WHATS.index(what))
    return Flow(
        record.figures("blocks", "when")[kept],
        record.figures("blocks", "blocks")[kept],
        record.numbers("blocks", "strain")[kept],
    )


def change(record: Record) -> Flow:
    """Blocks that come to the farm, and with a minus those that leave it; to be opened changes nothing."""
    sign = np.array([float(what in INTO) - float(what in OUT_OF) for what in WHATS])
    amount = record.figures("blocks", "blocks") * sign[record.numbers("blocks", "what")]
    return Flow(record.figures("blocks", "when"), amount, record.numbers("blocks", "strain"))


@measure(name="blocks_made", unit="blocks", meaning="blocks made here", denominator="none", per=PER)
def blocks_made(record: Record) -> Flow:
    return happened(record, "made")


@measure(name="blocks_bought", unit="blocks", meaning="blocks delivered by a supplier", denominator="none", per=PER)
def blocks_bought(record: Record) -> Flow:
    return happened(record, "bought")


@measure(name="blocks_sold", unit="blocks", meaning="blocks sold ready to fruit", denominator="none", per=PER)
def blocks_sold(record: Record) -> Flow:
    return happened(record, "sold")


@measure(
    name="blocks_sold_cheap",
    unit="blocks",
    meaning="surplus blocks sold to an outlet, promised to nobody",
    denominator="none",
    per=PER,
)
def blocks_sold_cheap(record: Record) -> Flow:
    return happened(record, "sold cheap")


@measure(
    name="blocks_fruited",
    unit="blocks",
    meaning="blocks placed on a fruiting shelf for their first flush",
    denominator="none",
    per=PER,
)
def blocks_fruited(record: Record) -> Flow:
    return happened(record, "opened")


@measure(
    name="blocks_lost_contaminated",
    unit="blocks",
    meaning="blocks thrown out because they were contaminated, when they are found",
    denominator="none",
    per=PER,
)
def blocks_lost_contaminated(record: Record) -> Flow:
    return happened(record, "contaminated")


@measure(
    name="blocks_lost_too_old",
    unit="blocks",
    meaning="blocks thrown out because they were overripe before they had a place",
    denominator="none",
    per=PER,
)
def blocks_lost_too_old(record: Record) -> Flow:
    return happened(record, "too old")


@measure(
    name="blocks_cleared", unit="blocks", meaning="spent blocks taken off the shelves", denominator="none", per=PER
)
def blocks_cleared(record: Record) -> Flow:
    return happened(record, "cleared")


MEASURES = (
    blocks_made,
    blocks_bought,
    blocks_sold,
    blocks_sold_cheap,
    blocks_fruited,
    blocks_lost_contaminated,
    blocks_lost_too_old,
    blocks_cleared,
)
