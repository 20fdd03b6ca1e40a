"""The paper the pictures are drawn on: colours that the colour-blind and a grey printer tell apart, same bytes each time.

Colours: Okabe and Ito (2008), Color Universal Design. Shades of use run from light to dark, so they survive grey print.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from io import StringIO
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font

from farmsim.report.words import day, plural

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Text

    from farmsim.study.answers import Study

LETTERS = 12.5  # of small print that surely fit on an inch
FONT, WEIGHTS = "DejaVu Sans", ("normal", "bold")
STAND_IN = "\u25a1"  # an empty square, for a letter that the font does not have
TITLE = 13.0  # size of a title [points]
INK, QUIET, FAINT = "#1a1a1a", "#5f5f5f", "#d0d0d0"
BLUE, SKY, GREEN, ORANGE, VERMILION, PURPLE = "#0072B2", "#56B4E9", "#009E73", "#E69F00", "#D55E00", "#CC79A7"
STYLE: Any = {
    "font.family": FONT,
    "font.size": 10,
    "text.color": INK,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "hatch.linewidth": 0.8,
    "text.parse_math": False,
    "svg.hashsalt": "farmsim",
    "svg.fonttype": "path",
    "path.simplify": True,
}


def sheet(width: float, height: float) -> Figure:
    """An empty sheet [inches].

    Its canvas is what a text is measured on. Without one of its own every text would be given another, as large as the sheet,
    and keep it.
    """
    with matplotlib.rc_context(STYLE):
        figure = Figure(figsize=(width, height), dpi=150, facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def average_of(study: Study) -> str:
    """What an average is the average of: all weeks, or those since the farm's last change."""
    change = study.last_change
    since = f" from {day(date.fromisoformat(change.day))}" if change else ""
    return f"average of {plural(study.runs, 'run')} of {plural(study.told, 'week')}{since}"


def drawable(text: str) -> str:
    """A text with an empty square for every letter that the font does not have."""
    return "".join(letter if ord(letter) in _letters() else STAND_IN for letter in text)


@cache
def _letters() -> frozenset[int]:
    """Letters that the font has in every weight that is used."""
    fonts = [get_font(findfont(FontProperties(family=FONT, weight=weight))) for weight in WEIGHTS]
    return frozenset.intersection(*(frozenset(font.get_charmap()) for font in fonts))


def plain(axes: Axes, *sides: str) -> None:
    """Leave only the named sides of the frame."""
    for side, line in axes.spines.items():
        line.set_visible(side in sides)


def title(figure: Figure, text: str, below: str = "") -> None:
    """The picture's one sentence, top left and smaller when it is long, and a quieter line below it."""
    width, height = figure.get_size_inches()
    sentence = figure.text(
        0.02, 1 - 0.14 / height, text, ha="left", va="top", fontsize=TITLE, fontweight="bold", color=INK
    )
    taken = sentence.get_window_extent().width / figure.dpi
    sentence.set_fontsize(TITLE * min(1.0, 0.92 * width / max(taken, 0.1)))
    figure.text(0.02, 1 - 0.44 / height, below, ha="left", va="top", fontsize=9.5, color=QUIET)


def narrowed(words: Text, inches: float) -> None:
    """Make a text smaller, if it must be, so that it is no wider than that; its figure is known to it already."""
    figure = words.get_figure(root=True)
    if figure is not None:
        taken = words.get_window_extent().width / figure.dpi
        words.set_fontsize(float(words.get_fontsize()) * min(1.0, inches / max(taken, 0.01)))


def caption(figure: Figure, text: str) -> None:
    """What the marks mean, at the foot."""
    width, height = figure.get_size_inches()
    lines = wrap(text, int(width * LETTERS))
    figure.text(0.02, 0.12 / height, "\n".join(lines), ha="left", va="bottom", fontsize=9, color=QUIET, linespacing=1.4)


def keep(figure: Figure, folder: Path, name: str) -> None:
    """Write the picture as PNG and SVG, without date or program in it."""
    with matplotlib.rc_context(STYLE):
        figure.savefig(folder / f"{name}.png", metadata={"Software": None})
    (folder / f"{name}.svg").write_text(as_svg(figure), encoding="utf-8", newline="\n")


def as_svg(figure: Figure, is_clear: bool = False) -> str:
    """The picture as SVG, its letters as outlines, without date or program in it.

    is_clear: without a ground of its own, so that what stands across a page goes on behind it
    """
    made = StringIO()
    with matplotlib.rc_context(STYLE):
        figure.savefig(made, format="svg", metadata={"Date": None, "Creator": None}, transparent=is_clear)
    return made.getvalue()


def font_files() -> tuple[Path, ...]:
    """The files of the font the pictures are written in: what `drawable` leaves can be set with them."""
    return tuple(Path(findfont(FontProperties(family=FONT, weight=weight))) for weight in WEIGHTS)
