"""What must come to nothing: blocks, mushrooms and deliveries added up from both ends."""

from __future__ import annotations

from typing import NamedTuple

from farmsim.record.measures import blocks, customers, harvest, promises
from farmsim.record.measures.cuts import by_strain
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.measures.levels import at_start, written
from farmsim.record.tables import Figures, Record


class Residual(NamedTuple):
    """One sum that must be nothing, strain by strain."""

    check: str
    unit: str
    strain: str
    left: float
    moved: float
    """What the sum is made of, to judge rounding by."""


@measure(
    name="blocks_residual",
    unit="blocks",
    meaning="inside at the start + made + bought - contaminated - too old - sold - sold cheap - cleared - inside at the end; "
    "must be 0",
    denominator="none",
    per="strain",
)
def blocks_residual(record: Record) -> Figures:
    return _residual(record, "inside", "blocks", blocks.change(record))


@measure(
    name="mushrooms_residual",
    unit="kg",
    meaning="not yet gone at the start + firsts and seconds picked - sold - outlet - sold or lost at stalls - laid out to "
    "dry - past date - not yet gone at the end; must be 0",
    denominator="none",
    per="strain",
)
def mushrooms_residual(record: Record) -> Figures:
    return _residual(record, "left_over", "kg", harvest.change(record))


@measure(
    name="delivered_residual",
    unit="kg",
    meaning="left the stock to fill orders + delivered of another strain instead - given instead of another strain "
    "- delivered to orders; must be 0",
    denominator="none",
    per="strain",
)
def delivered_residual(record: Record) -> Figures:
    sold, delivered = harvest.sold_kg(record), promises.delivered_kg(record)
    return by_strain(record, sold) + by_strain(record, customers.instead(record)) - by_strain(record, delivered)


@measure(
    name="blocks_delivered_residual",
    unit="blocks",
    meaning="blocks sold - blocks delivered to block orders; must be 0",
    denominator="none",
    per="strain",
)
def blocks_delivered_residual(record: Record) -> Figures:
    return by_strain(record, blocks.blocks_sold(record)) - by_strain(record, promises.blocks_delivered(record))


MEASURES = (blocks_residual, mushrooms_residual, delivered_residual, blocks_delivered_residual)


def residuals(record: Record) -> list[Residual]:
    """Every check of every strain."""
    moved = {
        "blocks": by_strain(record, blocks.blocks_made(record)) + by_strain(record, blocks.blocks_bought(record)),
        "kg": by_strain(record, harvest.picked_kg(record)),
    }
    return [
        Residual(check.name, check.unit, strain, float(left), float(amount))
        for check in MEASURES
        for strain, left, amount in zip(record.names.strains, check(record), moved[check.unit], strict=True)
    ]


def _residual(record: Record, table: str, amount: str, change: Flow) -> Figures:
    """What was there at the start and came, without what went and what is there at the end."""
    end = written(record, table, amount, record.end)
    expected = at_start(record, table, amount, change) + by_strain(record, change)
    return expected if end is None else expected - end
