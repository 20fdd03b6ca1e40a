"""What was lost, by cause."""

from __future__ import annotations

import numpy as np

from farmsim.record.measures import blocks, customers, harvest, promises
from farmsim.record.measures.cuts import total
from farmsim.record.tables import Figures, Record


def by_cause(record: Record) -> dict[str, list[str] | Figures]:
    """Blocks and kg lost in the measured time; what was promised and never delivered stands last."""
    rows: tuple[tuple[str, float, float], ...] = (
        ("contaminated", total(record, blocks.blocks_lost_contaminated(record)), 0.0),
        ("too old", total(record, blocks.blocks_lost_too_old(record)), 0.0),
        ("culls", 0.0, total(record, harvest.culls_kg(record))),
        ("past date", 0.0, total(record, harvest.past_date_kg(record))),
        ("lost at the stall", 0.0, total(record, customers.stall_lost_kg(record))),
        ("short", total(record, promises.blocks_short(record)), total(record, promises.short_kg(record))),
    )
    return {
        "cause": [cause for cause, _, _ in rows],
        "blocks": np.array([lost for _, lost, _ in rows]),
        "kg": np.array([kg for _, _, kg in rows]),
    }
