"""The life of a typical lot: one row a strain, its steps one after another in days, and how long a slow lot takes in each."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from farmsim.report.figures.paper import (
    GREEN,
    INK,
    ORANGE,
    PURPLE,
    QUIET,
    SKY,
    STYLE,
    average_of,
    caption,
    plain,
    sheet,
    title,
)
from farmsim.report.words import count, shortened
from farmsim.study.answers import Study
from farmsim.study.strain_answers import Life

WIDTH, ROW, HEAD, FOOT = 8.4, 0.66, 0.72, 1.0  # inches
LABEL, WHOLE = 1.5, 1.1
LEGEND, COLUMNS = 0.24, 3  # inches a line, names in a line
NAME = 17
LEAST = 0.26  # inches that a figure in a step needs
CAPTION = (
    "Broad bar: the usual lot, each step as long as half of the lots need at most, in days. Thin line below: where that step "
    "ends for a slow lot, 9 in 10 are done by then. At the right: from start to cleared, usual and slow. The days of the steps "
    "need not add up to the whole."
)
WORDS = {
    "start to ripe": "colonising and ripening",
    "ripe to called in": "ripe, waiting to be called in",
    "called in to shelved": "on the way: cold, soak, opening",
    "shelved to first pick": "on the shelf, until the first pick",
    "first pick of the last flush to cleared": "last flush, until cleared",
}
CLEARED = "to cleared"
FLUSH = re.compile(r"first pick of flush (\d+) to \d+")


class Look(NamedTuple):
    """How a step is filled: dark and light by turns, so that neighbours differ in grey too."""

    colour: str
    hatch: str = ""
    ink: str = INK


LOOKS = (
    Look("#0b3c6b", ink="white"),
    Look("white", "////"),
    Look(SKY, "...."),
    Look("#cfe8dc"),
    Look(ORANGE),
    Look("#fbe7b8", "\\\\\\\\"),
    Look(GREEN, ink="white"),
    Look("#f3dcea"),
    Look(PURPLE, "xxxx"),
)
LAST = Look("#6f6f6f", ink="white")


def in_words(step: str) -> str:
    """A step of a lot's life as a grower says it."""
    flush = FLUSH.fullmatch(step)
    return f"flush {flush[1]} and the rest after it" if flush else WORDS.get(step, step)


def draw(study: Study, lives: Sequence[Life]) -> Figure:
    """The lives of the lots of all strains."""
    looks = _looks(lives)
    lines = -(-len(looks) // COLUMNS)
    head = HEAD + LEGEND * lines + 0.2
    height = head + ROW * len(lives) + FOOT
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        title(figure, f"{shortened(study.farm, 40)}: the life of a lot", f"days from its start, {average_of(study)}")
        for place, (name, look) in enumerate(looks.items()):
            _legend(figure, height, place, in_words(name), look)
        box = (LABEL / WIDTH, FOOT / height, (WIDTH - LABEL - WHOLE) / WIDTH, ROW * len(lives) / height)
        axes = figure.add_axes(box)
        longest = max(_reach(life) for life in lives)
        axes.set_xlim(0, longest * 1.01)
        axes.set_ylim(len(lives), 0)
        for place, life in enumerate(lives):
            _life(axes, place, life, looks, longest * 1.01 / (WIDTH - LABEL - WHOLE))
        axes.set_yticks([])
        axes.tick_params(axis="x", length=3, labelsize=9)
        axes.grid(axis="x", color="#e4e4e4", linewidth=0.8)
        axes.set_axisbelow(True)
        plain(axes, "bottom")
        caption(figure, CAPTION)
    return figure


def in_turn(lives: Sequence[Life]) -> list[str]:
    """Names of every step there is, in their order; clearing always comes last."""
    longest = sorted(lives, key=lambda life: -len(life.steps))
    names = dict.fromkeys(step.name for life in longest for step in life.steps)
    return sorted(names, key=lambda name: name.endswith(CLEARED))


def _looks(lives: Sequence[Life]) -> dict[str, Look]:
    """Every step there is, in order, with its look; clearing always looks alike."""
    names = in_turn(lives)
    last = [name for name in names if name.endswith(CLEARED)]
    rest = [name for name in names if name not in last]
    return {name: LOOKS[place % len(LOOKS)] for place, name in enumerate(rest)} | dict.fromkeys(last, LAST)


def _legend(figure: Figure, height: float, place: int, name: str, look: Look) -> None:
    left = 0.02 + place % COLUMNS * 0.325
    y = 1 - (HEAD + LEGEND * (place // COLUMNS) + 0.16) / height
    figure.add_artist(Rectangle((left, y), 0.028, 0.15 / height, facecolor=look.colour, hatch=look.hatch or None,
                                edgecolor=QUIET, linewidth=0.6))  # fmt: skip
    figure.text(left + 0.036, y + 0.075 / height, name, fontsize=9, va="center")


def _reach(life: Life) -> float:
    """The furthest day the row of a strain shows."""
    at, furthest = 0.0, 1.0
    for step in life.steps:
        furthest = max(furthest, at + step.slow, at + step.usual)
        at += step.usual
    return furthest


def _life(axes: Axes, top: int, life: Life, looks: dict[str, Look], days_an_inch: float) -> None:
    at = 0.0
    for place, step in enumerate(life.steps):
        look = looks[step.name]
        axes.add_patch(Rectangle((at, top + 0.12), step.usual, 0.40, facecolor=look.colour, hatch=look.hatch or None,
                                 edgecolor=QUIET, linewidth=0.6))  # fmt: skip
        text = count(step.usual) if step.usual < 9.95 else f"{step.usual:.0f}"
        if step.usual / days_an_inch >= LEAST + 0.07 * max(0, len(text) - 2):
            box = None if not look.hatch else {"facecolor": "white", "edgecolor": "none", "pad": 0.8}
            axes.text(
                at + step.usual / 2, top + 0.33, text, ha="center", va="center", fontsize=8.5, color=look.ink, bbox=box
            )
        lane = top + 0.62 + 0.11 * (place % 2)
        if step.slow > step.usual:
            axes.hlines(lane, at, at + step.slow, color=INK, linewidth=0.9)
            axes.vlines(at + step.slow, lane - 0.045, lane + 0.045, color=INK, linewidth=1.6)
        at += step.usual
    axes.text(-0.012, top + 0.33, shortened(life.strain, NAME), ha="right", va="center", fontsize=9.5,
              transform=axes.get_yaxis_transform())  # fmt: skip
    if life.whole is not None:
        text = f"{life.whole.usual:.0f} days\nslow: {life.whole.slow:.0f}"
        axes.text(1.02, top + 0.40, text, ha="left", va="center", fontsize=9, transform=axes.get_yaxis_transform())
