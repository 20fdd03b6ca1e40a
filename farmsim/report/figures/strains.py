"""What each strain takes: saleable weight for a week of a block on a shelf, weeks a block stands there, hours of work."""

from __future__ import annotations

from collections.abc import Sequence

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from farmsim.report.figures.lot_life import Look
from farmsim.report.figures.paper import BLUE, INK, ORANGE, QUIET, SKY, STYLE, average_of, caption, plain, sheet, title
from farmsim.report.words import Weights, count, fine, shortened
from farmsim.study.answers import Study
from farmsim.study.strain_answers import Takes

WIDTH, ROW, HEAD, FOOT = 8.4, 0.42, 1.0, 1.15  # inches
LABEL = 1.5
LEGEND, COLUMNS = 0.24, 5  # inches a line, names in a line
NAME = 17
HUNDRED = 100.0
LOOKS = (
    Look("#0b3c6b"),
    Look(SKY, "...."),
    Look("#dcdcdc", "////"),
    Look(BLUE),
    Look("#f6d58f"),
    Look(ORANGE),
    Look("white", "xxxx"),
    Look("#7a7a7a"),
    Look("#eaf1f8", "...."),
)
CAPTION = (
    "Saleable: firsts and seconds. No prices are in this picture. A lot's work is its strain's; a round of picking or packing "
    "goes to the strain that came out of it; mixing is shared by blocks made, inspection by weeks on racks. Of the work on "
    "blocks (mix, inoculate, inspect) what falls to blocks sold is left out."
)


def draw(study: Study, takes: Sequence[Takes]) -> Figure:
    """The strains that were fruited and picked."""
    weights = Weights(study.system)
    shown = [one for one in takes if one.kg_a_shelf_week is not None and one.hours_a_kg is not None]
    looks = _looks(shown)
    head = HEAD + LEGEND * (-(-len(looks) // COLUMNS)) + 0.34
    height = head + ROW * len(shown) + FOOT
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        title(figure, f"{shortened(study.farm, 40)}: what a strain takes for what it brings", average_of(study))
        for place, (duty, look) in enumerate(looks.items()):
            _legend(figure, height, place, duty, look)
        boxes = ((LABEL, 1.75), (LABEL + 2.05, 1.45), (LABEL + 3.8, 2.5))
        panels = [
            figure.add_axes((left / WIDTH, FOOT / height, width / WIDTH, ROW * len(shown) / height))
            for left, width in boxes
        ]
        heading = f"{weights.unit} saleable a block,\neach week on the shelf"
        _bars(panels[0], [weights.figure(one.kg_a_shelf_week or 0.0) for one in shown], heading)
        _bars(panels[1], [one.shelf_weeks_a_block or 0.0 for one in shown], "weeks a block is\non the shelf")
        _hours(panels[2], shown, looks, weights)
        for place, one in enumerate(shown):
            panels[0].text(-0.04, place + 0.5, shortened(one.strain, NAME), ha="right", va="center", fontsize=9.5,
                           transform=panels[0].get_yaxis_transform())  # fmt: skip
        caption(figure, CAPTION)
    return figure


def _looks(takes: Sequence[Takes]) -> dict[str, Look]:
    """Every kind of work there is, in the order of the farm's work, with its look."""
    duties = dict.fromkeys(work.duty for one in sorted(takes, key=lambda one: -len(one.work)) for work in one.work)
    return {duty: LOOKS[place % len(LOOKS)] for place, duty in enumerate(duties)}


def _legend(figure: Figure, height: float, place: int, name: str, look: Look) -> None:
    left = 0.02 + place % COLUMNS * 0.19
    y = 1 - (0.90 + LEGEND * (place // COLUMNS)) / height
    figure.add_artist(Rectangle((left, y), 0.028, 0.15 / height, facecolor=look.colour, hatch=look.hatch or None,
                                edgecolor=QUIET, linewidth=0.6))  # fmt: skip
    figure.text(left + 0.036, y + 0.075 / height, name, fontsize=9, va="center")


def _frame(axes: Axes, rows: int, most: float, heading: str) -> None:
    axes.set_xlim(0, most * 1.28 or 1.0)
    axes.set_ylim(rows, 0)
    axes.set_yticks([])
    axes.set_xticks([])
    plain(axes, "left")
    axes.text(0.0, -0.12, heading, ha="left", va="bottom", fontsize=9, linespacing=1.2)


def _bars(axes: Axes, values: Sequence[float], heading: str) -> None:
    most = max(values, default=1.0)
    _frame(axes, len(values), most, heading)
    for place, value in enumerate(values):
        axes.add_patch(Rectangle((0, place + 0.2), value, 0.6, facecolor=BLUE, linewidth=0))
        axes.text(value + most * 0.03, place + 0.5, fine(value), ha="left", va="center", fontsize=9)


def _hours(axes: Axes, takes: Sequence[Takes], looks: dict[str, Look], weights: Weights) -> None:
    totals = [weights.each(one.hours_a_kg or 0.0) * HUNDRED for one in takes]
    most = max(totals, default=1.0)
    _frame(axes, len(takes), most, f"hours of work for\n100 {weights.unit} saleable")
    for place, one in enumerate(takes):
        at = 0.0
        for work in one.work:
            long, look = weights.each(work.a_kg or 0.0) * HUNDRED, looks[work.duty]
            axes.add_patch(Rectangle((at, place + 0.2), long, 0.6, facecolor=look.colour, hatch=look.hatch or None,
                                     edgecolor=INK, linewidth=0.4))  # fmt: skip
            at += long
        axes.text(at + most * 0.03, place + 0.5, count(totals[place]), ha="left", va="center", fontsize=9)
