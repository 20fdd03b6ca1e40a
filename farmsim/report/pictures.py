"""The pictures of a study, drawn and kept in one folder."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure

from farmsim.report import seen
from farmsim.report.figures import flow, growth, harvest, lot_life, spread, strains, week_sheet, year_strip
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


@dataclass(frozen=True)
class Picture:
    """A picture that was kept: the name of its files, what kind it is, its heading, and what is to be seen in it."""

    name: str
    kind: str
    heading: str
    sees: str

    @property
    def instead(self) -> str:
        """What is said in its place to those who do not see it."""
        return f"{self.kind}: {self.heading}. {self.sees}"


def draw(answers: Answers, folder: Path) -> tuple[Picture, ...]:
    """Draw what there is to show, PNG and SVG each, and say what was drawn."""
    answers = respelt(answers, lambda text: drawable(tidy(text)))
    drawn = []
    for picture, figure in _pictures(answers):
        keep(figure, folder, picture.name)
        drawn.append(picture)
    return tuple(drawn)


def _pictures(answers: Answers) -> Iterator[tuple[Picture, Figure]]:
    """Every picture of which there is something to show. A farm that did not settle has no level figures."""
    study, level = answers.study, answers.settled.verdict != "did not settle"
    sheet = week_sheet.draw(study, answers.places, answers.crews)
    yield Picture("week", "Chart by hour of the week", "The week, hour by hour", seen.week(answers)), sheet
    if any(one.fat for one in answers.months):
        bars = harvest.draw(study, answers.months)
        yield Picture("harvest", "Bars by month", "Mushrooms picked, month by month", seen.harvest(answers)), bars
    if not answers.year.is_plain:
        strip = year_strip.draw(study, answers.year)
        yield Picture("year", "Strip of twelve months", "The year", seen.year(answers.year)), strip
    yield (
        Picture("blocks", "Flow chart", "Where the blocks go", seen.blocks(answers.flow)),
        flow.draw(study, answers.flow),
    )
    if answers.growth is not None:
        weeks = growth.draw(study, answers.growth)
        yield Picture("growth", "Lines by week", "How the farm grows, week by week", seen.growth(answers.growth)), weeks
    if any(life.steps for life in answers.lives):
        lives = lot_life.draw(study, answers.lives)
        yield Picture("lots", "Bars in days", "The life of a lot, strain by strain", seen.lots(answers.lives)), lives
    if level and any(one.kg_a_shelf_week and one.hours_a_kg for one in answers.takes):
        told = seen.strains(answers.takes, Weights(study.system))
        yield (
            Picture("strains", "Bars", "What a strain takes for what it brings", told),
            strains.draw(study, answers.takes),
        )
    if level and (rows := list(strips(answers))):
        yield Picture("spread", "Dots", "How much whole runs differ", seen.spread(answers)), spread.draw(study, rows)


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
