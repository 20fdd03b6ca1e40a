"""The list of all measures, topic by topic, and the page that explains them."""

from __future__ import annotations

from farmsim.record.measures import blocks, crews, days, harvest, levels, places, promises, residuals
from farmsim.record.measures.declare import Declared, Flow, Measure
from farmsim.record.tables import Record

FLOWS: tuple[Measure[Record, Flow], ...] = (
    *blocks.MEASURES,
    *harvest.MEASURES,
    *promises.MEASURES,
    crews.worked_h,
    crews.rostered_h,
    crews.overtime_h,
    crews.paid_h,
)
"""Measures that can be summed by week, month and strain, in the order of their columns."""

TOPICS: tuple[tuple[str, tuple[Declared, ...]], ...] = (
    ("Blocks", (*blocks.MEASURES, levels.blocks_inside)),
    ("Mushrooms", (*harvest.MEASURES, levels.stock_kg)),
    ("Promises", promises.MEASURES),
    ("People", crews.MEASURES),
    ("Places", places.MEASURES),
    ("Days of a lot", days.MEASURES),
    ("Checks", residuals.MEASURES),
)
MEASURES: tuple[Declared, ...] = tuple(one for _, topic in TOPICS for one in topic)

_HEAD = """# Measures

Every figure in the tables of a run, as it is worked out. Only the measured time counts: the lead-in, in which the farm
fills up, is left out, and what lies across its ends is cut there. A share is a fraction of 1. This page is made from
the declarations in `farmsim/record/measures`.
"""


def measure_page() -> str:
    """The list of measures as a Markdown page."""
    parts = [_HEAD]
    for topic, measures in TOPICS:
        parts.append(f"\n## {topic}\n\n| measure | unit | meaning | out of | one for each |\n|---|---|---|---|---|\n")
        parts += [
            f"| `{one.name}` | {one.unit} | {one.meaning} | {one.denominator} | {one.per} |\n" for one in measures
        ]
    return "".join(parts)
