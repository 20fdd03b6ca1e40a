"""The pictures of a study, drawn and kept in one folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from farmsim.report.figures import flow, growth, harvest, spread, week_sheet
from farmsim.report.figures.paper import drawable, keep
from farmsim.report.words import Weights, respelt, tidy
from farmsim.study.answers import Answers

HEADLINES = (
    ("Mushrooms picked", "picked_kg", "kg", 1.0),
    ("Sold to orders", "sold_kg", "kg", 1.0),
    ("Past date in the cooler", "past_date_kg", "kg", 1.0),
    ("Mushrooms delivered of promised", "delivered_share_kg", "% of {weight}", 100.0),
    ("Blocks delivered of promised", "delivered_share_blocks", "% of blocks", 100.0),
    ("Blocks lost", "blocks_lost", "blocks", 1.0),
    ("Overtime", "overtime_h", "hours", 1.0),
)
YEAR = 52


def draw(answers: Answers, folder: Path) -> None:
    """Draw what there is to show, PNG and SVG each. A farm that did not settle has no spread of whole runs."""
    answers = respelt(answers, lambda text: drawable(tidy(text)))
    keep(harvest.draw(answers.study, answers.months), folder, "harvest")
    keep(flow.draw(answers.study, answers.flow), folder, "blocks")
    keep(week_sheet.draw(answers.study, answers.places, answers.crews), folder, "week")
    if answers.growth is not None:
        keep(growth.draw(answers.study, answers.growth), folder, "growth")
    if answers.settled.verdict != "did not settle":
        keep(spread.draw(answers.study, list(strips(answers))), folder, "spread")


def strips(answers: Answers) -> Iterator[spread.Strip]:
    """The headline figures that this farm has, in the farm's units."""
    weights = Weights(answers.study.system)
    span = "a year" if answers.study.weeks == YEAR else f"in {answers.study.weeks} weeks"
    for name, key, unit, times in HEADLINES:
        total = answers.totals.get(key)
        if total is None or not any(total.runs):
            continue
        heavy = unit == "kg"
        shown = [
            weights.figure(value) if heavy else value * times
            for value in (*total.runs, total.low, total.mean.value, total.high)
        ]
        said = f"{weights.unit} {span}" if heavy else unit.format(weight=weights.unit)
        said += f" {span}" if unit in ("blocks", "hours") else ""
        yield spread.Strip(name, said, tuple(shown[:-3]), *shown[-3:])
