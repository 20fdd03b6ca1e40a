"""The figures of a run on which a decision rests, each told as one number a run: compared, judged by targets, searched for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from farmsim.record.measures import RunTables
from farmsim.record.tables import Figures


@dataclass(frozen=True)
class Headline:
    """A figure of a run: from its weeks, on average, or as a share of another.

    parts: measures of a week that are added up; whole: those they are a share of
    table: where they stand, "weekly" or "money"
    """

    name: str
    unit: str
    parts: tuple[str, ...]
    whole: tuple[str, ...] = ()
    table: str = "weekly"


PICKED = Headline("picked", "kg/week", ("picked_kg",))
SOLD = Headline("sold to orders", "kg/week", ("sold_kg",))
DELIVERED = Headline("delivered of promised", "share", ("delivered_kg",), ("promised_kg",))
WHOLE_ORDERS = Headline("whole orders of all", "share", ("orders_complete",), ("orders",))
BLOCKS_SOLD = Headline("blocks sold", "blocks/week", ("blocks_sold",))
BLOCKS_FRUITED = Headline("blocks fruited", "blocks/week", ("blocks_fruited",))
PAID = Headline("paid hours", "h/week", ("paid_h",))
OVERTIME = Headline("overtime", "h/week", ("overtime_h",))
AT_STALLS = Headline("sold at stalls", "kg/week", ("stall_kg",))
TO_OUTLET = Headline("to the outlet", "kg/week", ("outlet_kg",))
PAST_DATE = Headline("past date in the cooler", "kg/week", ("past_date_kg",))
OPERATING = Headline("net operating income", "currency/week", ("operating",), table="money")
LEFT = Headline("left for all else", "currency/week", ("left",), table="money")
HEADLINES = (
    PICKED,
    SOLD,
    AT_STALLS,
    TO_OUTLET,
    PAST_DATE,
    DELIVERED,
    WHOLE_ORDERS,
    BLOCKS_SOLD,
    BLOCKS_FRUITED,
    Headline("blocks lost", "blocks/week", ("blocks_lost_contaminated", "blocks_lost_too_old")),
    PAID,
    OVERTIME,
    Headline("owner's and family hours", "h/week", ("owner_h",)),
    Headline("taken in", "currency/week", ("taken",), table="money"),
    Headline("wages, power and fuel", "currency/week", ("wages", "energy"), table="money"),
    LEFT,
    OPERATING,
)
"""What is compared, in the order in which it is told."""
JUDGED = (PICKED, SOLD, DELIVERED, BLOCKS_SOLD, PAID)
"""What has to be known as well as is asked for before the runs are enough, where the farm has it."""

ALL_SOLD = Headline("sold", "kg/week", ("sold_kg", "stall_kg", "outlet_kg", "to_dry_kg"))
BLOCKS_DELIVERED = Headline("blocks delivered of promised", "share", ("blocks_delivered",), ("blocks_promised",))
THROWN_OUT = Headline("thrown out of picked", "share", ("culls_kg", "past_date_kg"), ("picked_kg",))
OVERTIME_SHARE = Headline("overtime of paid hours", "share", ("overtime_h",), ("paid_h",))
BLOCKS_LOST = Headline(
    "blocks lost of all", "share", ("blocks_lost_contaminated", "blocks_lost_too_old"), ("blocks_made", "blocks_bought")
)


def of_run(line: Headline, tables: RunTables, before: int = 0) -> float | None:
    """The figure of one run, over the weeks after `before`; None when the farm does not know it, or as a share of nothing.

    tables: the run's "weekly", and its "money" if it has any
    """
    table = tables.get(line.table)
    if table is None or not set(line.parts) <= table.keys():
        return None
    told = np.asarray(table["week"], dtype=float) > before
    whole = _sum(table, line.whole, told) if line.whole else float(np.count_nonzero(told))
    return _sum(table, line.parts, told) / whole if whole > 0 else None


def each_run(line: Headline, runs: Sequence[RunTables], before: int = 0) -> tuple[float | None, ...]:
    """The figure of every run, in their order; None where a run does not know it."""
    return tuple(of_run(line, tables, before) for tables in runs)


def by_run(line: Headline, runs: Sequence[RunTables], before: int = 0) -> list[float] | None:
    """The figure of every run, in their order; None unless every run has it."""
    found = each_run(line, runs, before)
    known = [value for value in found if value is not None]
    return known if len(known) == len(found) and known else None


def money_judged(runs: Sequence[RunTables]) -> Headline:
    """The money by which farms are judged: less all that is paid, where every run has it; else what is left for all else.

    runs: of all farms that are put side by side, so that they are judged by one figure
    """
    return OPERATING if by_run(OPERATING, runs) is not None else LEFT


def _sum(table: Mapping[str, list[str] | Figures], names: Sequence[str], told: np.ndarray) -> float:
    return float(sum(np.asarray(table[name], dtype=float)[told].sum() for name in names))
