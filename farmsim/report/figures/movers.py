"""What moves the answer: one panel an answer, one line a figure, from where to where it surely moves it."""

from __future__ import annotations

from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    QUIET,
    STYLE,
    VERMILION,
    caption,
    drawable,
    plain,
    sheet,
    title,
)
from farmsim.report.sensitivity import words
from farmsim.report.words import plural, shortened, tidy
from farmsim.study.sensitivity_answers import Asked, Sensed

ROW = 0.32  # inches a line
LINE = 58  # letters of a line of a name
NAMES, GAP, RIGHT = 3.9, 0.35, 0.3  # inches left of the panels, between them, right of them
MARKS = {"more": ("o", BLUE), "less": ("s", VERMILION), "both ways": ("D", INK), "no effect found": ("|", QUIET)}
CAPTION = (
    "Mark: what the figure does to the answer from its low to its high end, on average over all others. Line: where that "
    "surely lies, all together. Round: more; square: less; diamond: now more, now less; upright and grey: no effect found, "
    "not ranked."
)
SQUEEZED = 3.0  # what is hardly known at all reaches no further than so many times the largest effect found


def draw(sensed: Sensed) -> Figure:
    """All figures below one another, the one that moves most at the top."""
    rows, panels = len(sensed.movers), len(sensed.answers)
    width = 11.0
    height = 1.85 + ROW * rows + 0.9
    with matplotlib.rc_context(STYLE):
        figure = sheet(width, height)
        found = plural(len(sensed.found), "figure")
        title(figure, drawable(f"{shortened(tidy(sensed.farm), 40)}: what moves the answer"), _below(sensed, found))
        each = (width - NAMES - RIGHT - GAP * (panels - 1)) / panels
        for at, asked in enumerate(sensed.answers):
            box = ((NAMES + at * (each + GAP)) / width, 1.45 / height, each / width, ROW * rows / height)
            _panel(figure.add_axes(box), sensed, at, asked, at == 0)
        caption(figure, CAPTION)
    return figure


def _below(sensed: Sensed, found: str) -> str:
    ran = f"{plural(sensed.starts, 'starting point')}, {plural(sensed.lucks, 'run')} of each farm"
    return f"surely moved by {found} of {len(sensed.movers)}; {ran}"


def _panel(axes: Axes, sensed: Sensed, at: int, asked: Asked, is_first: bool) -> None:
    factor = words(asked, sensed, 0.0).factor
    effects = [mover.effects[at] for mover in sensed.movers]
    reach = _reach(sensed, at) * factor
    axes.axvline(0, color=INK, linewidth=0.8)
    for place, effect in enumerate(reversed(effects)):
        mark, colour = MARKS[effect.kind]
        axes.axhline(place, color=FAINT, linewidth=0.5, zorder=0)
        low, high = (effect.mean - effect.give) * factor, (effect.mean + effect.give) * factor
        axes.hlines(place, max(low, -reach), min(high, reach), color=colour, linewidth=2)
        for end, arrow, goes_on in ((-reach, "<", low < -reach), (reach, ">", high > reach)):
            if goes_on:
                axes.plot(end, place, arrow, color=colour, markersize=5, clip_on=False)
        if abs(effect.mean * factor) <= reach:
            axes.plot(effect.mean * factor, place, mark, color=colour, markersize=6, markeredgewidth=1.6)
    names = [_name(tidy(mover.meaning)) for mover in reversed(sensed.movers)]
    axes.set_yticks(range(len(names)), names if is_first else [""] * len(names))
    axes.set_ylim(-0.6, len(names) - 0.4)
    axes.set_xlim(-reach, reach)
    axes.tick_params(axis="y", length=0, labelsize=8)
    axes.tick_params(axis="x", labelsize=8.5)
    axes.xaxis.set_major_locator(MaxNLocator(4, symmetric=True))
    axes.set_xlabel(words(asked, sensed, 0.0).unit, fontsize=9)
    axes.set_title(asked.name, loc="left", fontsize=10.5, fontweight="bold", pad=5)
    plain(axes, "bottom")


def _name(meaning: str) -> str:
    """What a figure means, on two lines when it is long."""
    lines = wrap(drawable(shortened(meaning, 2 * LINE - 8)), LINE)
    return "\n".join(lines)


def _reach(sensed: Sensed, at: int) -> float:
    """How far the scale goes to either side: as far as what was found, or else as what was seen."""
    effects = [mover.effects[at] for mover in sensed.movers]
    found = [abs(effect.mean) + effect.give for effect in effects if effect.is_found]
    seen = max((abs(effect.mean) + effect.give for effect in effects), default=0.0)
    most = min(seen, SQUEEZED * max(found)) if found else seen
    return 1.08 * most or 1.0
