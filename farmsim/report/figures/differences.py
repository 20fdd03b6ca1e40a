"""What changes bring: one panel a change, one line a figure, the interval in percent of the base."""

from __future__ import annotations

from collections.abc import Sequence

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from farmsim.report.compare import Shown
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
from farmsim.report.words import plural, shortened, tidy
from farmsim.study.compare import Compared, Difference

ROW = 0.30  # inches a line
LEAST_REACH = 2.0  # percent of the base that the scale holds at least, to either side
MARKS = {"more": ("o", BLUE), "less": ("s", VERMILION), "no difference found": ("|", QUIET), "the same": ("x", QUIET)}
CAPTION = (
    "Mark: the difference seen, in percent of the base. Line: where it surely lies; an arrow head: it reaches further. "
    "Round: more; square: less; upright: no difference found; cross: the same in every run. Figures that are nothing in the "
    "base are left out."
)


def draw(compared: Compared) -> Figure:
    """All changes below one another, on one scale."""
    panels = [(one.change, [line for line in one.differences if line.base]) for one in compared.comparisons]
    lines = sum(len(shown) + 2 for _, shown in panels)
    height = 1.6 + ROW * lines
    with matplotlib.rc_context(STYLE):
        figure = sheet(9.2, height)
        name = drawable(shortened(tidy(compared.base), 40))
        title(figure, f"{name}: what {plural(len(panels), 'change')} would bring", _below(compared))
        reach = 1.15 * max((_farthest(line) for _, shown in panels for line in shown), default=LEAST_REACH)
        top = height - 0.75
        for at, (change, shown) in enumerate(panels):
            tall = ROW * len(shown)
            bottom = top - ROW - tall
            axes = figure.add_axes((0.30, bottom / height, 0.44, tall / height))
            _panel(axes, drawable(shortened(tidy(change), 60)), shown, reach, compared, at == len(panels) - 1)
            top = bottom - ROW
        caption(figure, CAPTION)
    return figure


def _below(compared: Compared) -> str:
    sure = f"all intervals hold together {100 * compared.sure:.0f} times in 100"
    return f"{plural(compared.runs, 'run')} of each farm on the same luck; {sure}"


def _percent(value: float, line: Difference) -> float:
    return 100 * value / line.base


def _farthest(line: Difference) -> float:
    """How far the scale has to reach for a line; one that is hardly known at all does not squeeze the others."""
    if line.verdict not in ("more", "less"):
        return LEAST_REACH
    return max(LEAST_REACH, abs(_percent(line.low, line)), abs(_percent(line.high, line)))


def _panel(
    axes: Axes, change: str, shown: Sequence[Difference], reach: float, compared: Compared, is_last: bool
) -> None:
    axes.set_title(change, loc="left", fontsize=10.5, fontweight="bold", pad=4, x=-0.636)
    axes.axvline(0, color=INK, linewidth=0.8)
    for at, line in enumerate(reversed(shown)):
        mark, colour = MARKS[line.verdict]
        axes.axhline(at, color=FAINT, linewidth=0.5, zorder=0)
        low, high = _percent(line.low, line), _percent(line.high, line)
        axes.hlines(at, max(low, -reach), min(high, reach), color=colour, linewidth=2)
        for end, arrow, goes_on in ((-reach, "<", low < -reach), (reach, ">", high > reach)):
            if goes_on:
                axes.plot(end, at, arrow, color=colour, markersize=6, clip_on=False)
        axes.plot(_percent(line.mean, line), at, mark, color=colour, markersize=6, markeredgewidth=1.6)
        words = Shown(line, compared)
        axes.text(1.03, at, f"{words.difference} {words.unit}".replace("+-", "\u00b1") if line.give is not None else "the same",
                  transform=axes.get_yaxis_transform(), va="center", fontsize=8.5, color=INK)  # fmt: skip
    axes.set_yticks(range(len(shown)), [line.name for line in reversed(shown)])
    axes.set_ylim(-0.6, len(shown) - 0.4)
    axes.set_xlim(-reach, reach)
    axes.tick_params(axis="y", length=0)
    plain(axes, "bottom")
    axes.tick_params(axis="x", labelbottom=is_last, labelsize=8.5)
    if is_last:
        axes.set_xlabel("% of the base", fontsize=9)
