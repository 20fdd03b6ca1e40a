"""What blocks and mushrooms use up: materials, packaging, disposal, each at the price of its strain and its day."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np

from farmsim.money.states import States
from farmsim.record.measures import blocks, harvest
from farmsim.record.measures.declare import Flow
from farmsim.record.tables import Figures, Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import price_of

OF_BLOCKS = ("substrate", "spawn", "bags", "blocks bought")
"""What is paid to have a block at all."""
MATERIALS = (*OF_BLOCKS, "packaging", "block boxes", "disposal")
SPENT_SOLD = "spent blocks"
"""What spent blocks bring, the one line of these that is taken in."""


class Used(NamedTuple):
    """Money for one thing, by moment and strain [currency]."""

    what: str
    flow: Flow


def used(record: Record, states: States) -> Iterator[Used]:
    """Every material that has a price; of one that has none nothing."""
    for what, price, goods in _RULES:
        of_strains = _prices(record, states, price)
        if of_strains is not None:
            yield Used(what, _money(goods(record), of_strains, states))


def _prices(record: Record, states: States, name: str) -> Figures | None:
    """What each strain costs in each state of the farm; None where nothing is given."""

    def said(farm: Farm, strain: str) -> list[float] | None:
        return None if farm.materials is None else [price_of(getattr(farm.materials, name), strain) or 0.0]

    given = (farm.materials for farm in states.farms if farm.materials is not None)
    if not record.names.strains or all(getattr(each, name) is None for each in given):
        return None
    return states.values(record.names.strains, said)[:, :, 0]


def _money(goods: Flow, prices: Figures, states: States) -> Flow:
    assert goods.strain is not None
    price = prices[goods.strain, states.at(goods.when)] * states.drift(goods.when, "materials")
    return Flow(goods.when, goods.amount * price, goods.strain)


def _both(*flows: Flow) -> Flow:
    strains = [flow.strain for flow in flows if flow.strain is not None]
    when, amount = ([getattr(flow, name) for flow in flows] for name in ("when", "amount"))
    return Flow(np.concatenate(when), np.concatenate(amount), np.concatenate(strains))


def _crates(record: Record) -> Flow:
    """Mushrooms packed, in crates of their strain as it is on that day."""

    def size(farm: Farm, strain: str) -> list[float] | None:
        return [farm.strain[strain].crate] if strain in farm.strain else None

    packed, states = harvest.packed_kg(record), States(record)
    assert packed.strain is not None
    sizes = states.values(record.names.strains, size)[packed.strain, states.at(packed.when), 0]
    return Flow(packed.when, packed.amount / sizes, packed.strain)


def _blocks_away(record: Record) -> Flow:
    return _both(blocks.blocks_sold(record), blocks.blocks_sold_cheap(record))


def _blocks_thrown_out(record: Record) -> Flow:
    lost = (blocks.blocks_lost_contaminated(record), blocks.blocks_lost_too_old(record))
    return _both(blocks.blocks_cleared(record), *lost)


Goods = Callable[[Record], Flow]
_RULES: tuple[tuple[str, str, Goods], ...] = (
    ("substrate", "substrate", blocks.blocks_made),
    ("spawn", "spawn", blocks.blocks_made),
    ("bags", "bag", blocks.blocks_made),
    ("blocks bought", "bought", blocks.blocks_bought),
    ("packaging", "packaging", harvest.packed_kg),
    ("packaging", "crate", _crates),
    ("block boxes", "block_box", _blocks_away),
    ("disposal", "spent", _blocks_thrown_out),
    (SPENT_SOLD, "spent_brings", blocks.blocks_cleared),
)
"""What is counted: its line, the name of its price, and what of it there was."""
