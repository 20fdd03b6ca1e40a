"""What each strain brings and what is bought for it, beside the blocks, shelves, racks and hours it takes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from farmsim.money.ledger import Moved
from farmsim.money.materials import OF_BLOCKS, SPENT_SOLD
from farmsim.money.takings import Sales
from farmsim.record.measures import blocks
from farmsim.record.measures.cuts import added, by_strain, measured
from farmsim.record.measures.strains import rack_weeks, shelf_weeks, strain_hours
from farmsim.record.measures.summary import Table
from farmsim.record.tables import Figures, Record


def table(record: Record, goods: Moved) -> Table:
    """One row for each strain, of the record's measured time [currency, kg, blocks, block weeks, h].

    goods: what was sold and used up
    """
    strains = len(record.names.strains)
    paid = dict.fromkeys((*OF_BLOCKS, "packaging", "block boxes", "disposal", SPENT_SOLD), np.zeros(strains))
    for what, flow in goods.used:
        paid[what] = paid[what] + by_strain(record, flow)
    hours = sum((each.by_strain for each in strain_hours(record)), start=np.zeros(strains))
    return {
        "strain": list(record.names.strains),
        "mushrooms": _sum(record, goods.fresh, "money"),
        "blocks": _sum(record, goods.blocks, "money"),
        "spent_blocks": paid[SPENT_SOLD],
        "block_materials": sum((paid[what] for what in OF_BLOCKS), start=np.zeros(strains)),
        "packaging": paid["packaging"],
        "block_boxes": paid["block boxes"],
        "disposal": paid["disposal"],
        "kg_sold": _sum(record, goods.fresh, "goods"),
        "blocks_in": by_strain(record, blocks.blocks_made(record)) + by_strain(record, blocks.blocks_bought(record)),
        "blocks_away": by_strain(record, blocks.blocks_sold(record))
        + by_strain(record, blocks.blocks_sold_cheap(record)),
        blocks.blocks_fruited.name: by_strain(record, blocks.blocks_fruited(record)),
        shelf_weeks.name: shelf_weeks(record),
        rack_weeks.name: rack_weeks(record),
        "hours": hours,
    }


def _sum(record: Record, sales: Sequence[Sales], name: str) -> Figures:
    """Money or goods of all customers, strain by strain."""
    found = np.zeros(len(record.names.strains))
    for each in sales:
        kept = measured(record, each.when)
        found += added(each.strain[kept], getattr(each, name)[kept], len(found))
    return found
