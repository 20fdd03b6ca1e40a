"""What happens when: a mark a day on a scale of time, and beside it, line by line, what happens on that day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import matplotlib
from matplotlib.axes import Axes
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

WIDTH, LINE, BETWEEN, HEAD, FOOT = 10.0, 0.16, 0.07, 0.85, 0.9  # inches; a line of text, and more between two days
LEFT, ACROSS = 0.03, 0.34  # of the width: where the scale begins, and how wide it is
DATED = 0.9  # inches that a date takes
LETTERS = 76  # of what a step is
MOST = 60  # lines, so that letters can be read on one page; what is left out is counted, and stands in the table
MOST_TICKS = 6
MARGIN = 14  # days at either side
CAPTION = (
    "A mark for each day on which something happens, with what it is. Upright broken line: the new part takes its first "
    "blocks."
)


def draw(pack: Pack) -> Figure:
    """All days, the first at the top."""
    days = by_day(pack)
    opens = date.fromisoformat(pack.asked.opens) if pack.asked.opens else None
    every = [*days, *([opens] if opens else [])]
    first, last = min(every), max(every)
    span = max((last - first).days, 60)
    tall = sum(LINE * len(told) + BETWEEN for told in days.values())
    height = HEAD + FOOT + tall
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        title(figure, f"{drawable(shortened(tidy(pack.asked.purpose), 40))}: what happens when", _below(pack))
        axes = figure.add_axes((LEFT, FOOT / height, ACROSS, tall / height))
        top = 0.0
        for when, told in days.items():
            _day(axes, (when - first).days, top, when, told)
            top -= LINE * len(told) + BETWEEN
        if opens is not None:
            axes.axvline((opens - first).days, color=VERMILION, linewidth=1.3, linestyle="--", zorder=0)
        axes.set_xlim(-MARGIN, span + MARGIN)
        axes.set_ylim(-tall, 0.0)
        axes.set_yticks([])
        ticks, labels = _months(first, span)
        axes.set_xticks(ticks, labels, fontsize=8)
        axes.tick_params(colors=QUIET, labelcolor=INK)
        plain(axes, "bottom")
        caption(figure, CAPTION)
    return figure


def by_day(pack: Pack) -> dict[date, list[str]]:
    """What happens on each day, a line a step; of days with much of it less, when there would be too many lines."""
    found: dict[date, list[str]] = {}
    for step in pack.steps:
        found.setdefault(date.fromisoformat(step.day), []).append(drawable(_within(tidy(step.what))))
    fullest = max(map(len, found.values()), default=0)
    most = next(
        (each for each in range(fullest, 1, -1) if sum(min(each, len(told)) for told in found.values()) <= MOST), 1
    )
    return {when: _at_most(told, most) for when, told in found.items()}


def _at_most(told: Sequence[str], most: int) -> list[str]:
    """The first lines, the last of them for how many more there are."""
    if len(told) <= most:
        return list(told)
    if most == 1:
        return [plural(len(told), "step")]
    return [*told[: most - 1], f"and {len(told) - most + 1} more"]


def _day(axes: Axes, x: float, top: float, when: date, told: Sequence[str]) -> None:
    """One day: its mark and its date beside its first line; above it a fine line from the day before."""
    aside = axes.get_yaxis_transform()
    axes.plot(
        [0, (0.98 - LEFT) / ACROSS], [top, top], color=FAINT, linewidth=0.5, zorder=0, transform=aside, clip_on=False
    )
    axes.plot(x, top - (BETWEEN + LINE) / 2, "o", color=BLUE, markersize=5)
    room = WIDTH * (1 - LEFT - ACROSS) - 0.4
    for at, line in enumerate((day(when)[4:], *told)):
        y = top - BETWEEN / 2 - LINE * (max(at - 1, 0) + 0.5)
        words = axes.text(
            1.02 + (DATED / (WIDTH * ACROSS) if at else 0.0),
            y,
            line,
            transform=aside,
            va="center",
            fontsize=8.2,
            color=INK,
        )
        narrowed(words, room - DATED if at else DATED - 0.05)


def _within(told: str) -> str:
    """A step that fits on its line: what is too long ends early, for a figure in its middle must stay whole."""
    return told if len(told) <= LETTERS else f"{told[: LETTERS - 3].rsplit(' ', 1)[0].rstrip(',:')} ..."


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
