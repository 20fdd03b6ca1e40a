"""What happens when: a mark a step on a scale of time, each on a line of its own with what it is beside it."""

from __future__ import annotations

from datetime import date

import matplotlib
from matplotlib.figure import Figure

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    QUIET,
    STYLE,
    VERMILION,
    caption,
    drawable,
    narrowed,
    plain,
    sheet,
    title,
)
from farmsim.report.words import MONTHS, day, plural, shortened, tidy
from farmsim.study.pack_answers import Pack

WIDTH, ROW, HEAD, FOOT = 10.0, 0.27, 0.95, 1.0  # inches
LEFT, ACROSS = 0.03, 0.40  # of the width: where the scale begins, and how wide it is
LETTERS = 62  # of what a step is
MOST_TICKS = 7
MARGIN = 14  # days at either side
CAPTION = "A mark for each step, in the order of their days. Upright broken line: the new part takes its first blocks."


def draw(pack: Pack) -> Figure:
    """All steps, the first at the top."""
    days = [date.fromisoformat(step.day) for step in pack.steps]
    opens = date.fromisoformat(pack.asked.opens) if pack.asked.opens else None
    first = min([*days, *([opens] if opens else [])])
    last = max([*days, *([opens] if opens else [])])
    span = max((last - first).days, 60)
    height = HEAD + FOOT + ROW * len(days)
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        title(figure, f"{drawable(shortened(tidy(pack.asked.purpose), 40))}: what happens when", _below(pack))
        axes = figure.add_axes((LEFT, FOOT / height, ACROSS, ROW * len(days) / height))
        for at, (when, step) in enumerate(zip(days, pack.steps, strict=True)):
            x = (when - first).days
            axes.axhline(-at, color=FAINT, linewidth=0.5, zorder=0)
            axes.plot(x, -at, "o", color=BLUE, markersize=5)
            told = f"{day(when)[4:]}   {drawable(_within(tidy(step.what)))}"
            words = axes.text(
                1.02, -at, told, transform=axes.get_yaxis_transform(), va="center", fontsize=8.2, color=INK
            )
            narrowed(words, WIDTH * (1 - LEFT - ACROSS) - 0.2)
        if opens is not None:
            axes.axvline((opens - first).days, color=VERMILION, linewidth=1.3, linestyle="--", zorder=0)
        axes.set_xlim(-MARGIN, span + MARGIN)
        axes.set_ylim(0.6 - len(days), 0.6)
        axes.set_yticks([])
        ticks, labels = _months(first, span)
        axes.set_xticks(ticks, labels, fontsize=8)
        axes.tick_params(colors=QUIET, labelcolor=INK)
        plain(axes, "bottom")
        caption(figure, CAPTION)
    return figure


def _within(told: str) -> str:
    """A step that fits on its line: what is too long ends early, for a figure in its middle must stay whole."""
    return told if len(told) <= LETTERS else f"{told[: LETTERS - 3].rsplit(' ', 1)[0]} ..."


def _below(pack: Pack) -> str:
    return f"{plural(len(pack.steps), 'step')}, {plural(pack.years, 'year')} from {day(date.fromisoformat(pack.start))}"


def _months(first: date, span: int) -> tuple[list[int], list[str]]:
    """First days of months, few enough to be read; the year below each."""
    found: list[tuple[int, str]] = []
    year, month = first.year, first.month
    while True:
        at = (date(year, month, 1) - first).days
        if at > span + MARGIN:
            break
        if at >= -MARGIN:
            found.append((at, f"{MONTHS[month - 1]}\n{year}"))
        year, month = (year, month + 1) if month < len(MONTHS) else (year + 1, 1)
    step = max(1, -(-len(found) // MOST_TICKS))
    return [at for at, _ in found[::step]], [label for _, label in found[::step]]
