"""The list of all measures, topic by topic, in the order of their columns."""

from __future__ import annotations

from farmsim.record.measures import (
    blocks,
    crews,
    customers,
    days,
    harvest,
    levels,
    limits,
    places,
    promises,
    residuals,
    rounds,
    strains,
)
from farmsim.record.measures.declare import Declared, Flow, Measure
from farmsim.record.tables import Record

FLOWS: tuple[Measure[Record, Flow], ...] = (
    *blocks.MEASURES,
    *harvest.MEASURES,
    *promises.MEASURES,
    *customers.MEASURES,
    *rounds.SHORTS,
    *rounds.MEASURES,
    crews.worked_h,
    crews.rostered_h,
    crews.overtime_h,
    crews.sent_home_h,
    crews.paid_h,
    crews.overtime_paid_h,
    crews.owner_h,
)
"""Measures that can be summed by week, month and strain, in the order of their columns."""

TOPICS: tuple[tuple[str, tuple[Declared, ...]], ...] = (
    ("Blocks", (*blocks.MEASURES, levels.blocks_inside)),
    ("Mushrooms", (*harvest.MEASURES, levels.stock_kg)),
    ("Promises", (*promises.MEASURES, *rounds.SHORTS)),
    ("Rounds", rounds.MEASURES),
    ("Customers", customers.MEASURES),
    ("People", crews.MEASURES),
    ("Places", places.MEASURES),
    ("What holds the others up", limits.MEASURES),
    ("What a strain takes", strains.MEASURES),
    ("Days of a lot", days.MEASURES),
    ("Checks", residuals.MEASURES),
)
MEASURES: tuple[Declared, ...] = tuple(one for _, topic in TOPICS for one in topic)
