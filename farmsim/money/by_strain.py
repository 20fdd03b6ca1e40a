"""What each strain brings and what is bought for it, beside the blocks, shelves, racks and hours it takes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from farmsim.money.materials import OF_BLOCKS, SPENT_SOLD, used
from farmsim.money.states import States
from farmsim.money.takings import Sales, block_sales, fresh_sales
from farmsim.record.measures import blocks
from farmsim.record.measures.cuts import added, by_strain, measured
from farmsim.record.measures.strains import rack_weeks, shelf_weeks, strain_hours
from farmsim.record.measures.summary import Table
from farmsim.record.tables import Figures, Record


def table(record: Record) -> Table:
    """One row for each strain, of the record's measured time [currency, kg, blocks, block weeks, h]."""
    states, strains = States(record), len(record.names.strains)
    fresh, sold = fresh_sales(record, states), block_sales(record, states)
    paid = dict.fromkeys((*OF_BLOCKS, "packaging", "block boxes", "disposal", SPENT_SOLD), np.zeros(strains))
    for what, flow in used(record, states):
        paid[what] = paid[what] + by_strain(record, flow)
    hours = sum((each.by_strain for each in strain_hours(record)), start=np.zeros(strains))
    return {
        "strain": list(record.names.strains),
        "mushrooms": _sum(record, fresh, "money"),
        "blocks": _sum(record, sold, "money"),
        "spent_blocks": paid[SPENT_SOLD],
        "block_materials": sum((paid[what] for what in OF_BLOCKS), start=np.zeros(strains)),
        "packaging": paid["packaging"],
        "block_boxes": paid["block boxes"],
        "disposal": paid["disposal"],
        "kg_sold": _sum(record, fresh, "goods"),
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
