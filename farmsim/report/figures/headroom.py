"""How full every place and crew is in a usual and in a bad week, without the expansion and with it."""

from __future__ import annotations

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    ORANGE,
    STYLE,
    caption,
    drawable,
    narrowed,
    plain,
    sheet,
    title,
)
from farmsim.report.words import shortened, tidy
from farmsim.study.pack_answers import Level, Pack

WIDTH, ROW, HEAD, FOOT = 9.2, 0.31, 0.85, 0.95  # inches
LETTERS = 24
LEFT = 0.24  # of the width: where the scale begins
MOST = 40  # places and crews drawn; all are in the table
CAPTION = (
    "Each line reaches from a usual week (round) to a bad one (upright; one week in ten takes more). Above, thin and open: "
    "without the expansion. Below, thick and full: with it. At 100 % nothing is left."
)


def draw(pack: Pack) -> Figure:
    """A row for each place and crew."""
    every = pack.headroom[:MOST]
    height = HEAD + FOOT + ROW * len(every)
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        name = drawable(shortened(tidy(pack.base_name), 40))
        more = f", the first {MOST} of {len(pack.headroom)}" if len(pack.headroom) > MOST else ""
        title(
            figure,
            f"{name}: how full a usual and a bad week are",
            f"share that is taken, in the weeks of year {pack.years}{more}",
        )
        axes = figure.add_axes((LEFT, FOOT / height, 0.96 - LEFT, ROW * len(every) / height))
        for at, one in enumerate(every):
            axes.axhline(-at - 0.5, color=FAINT, linewidth=0.5, zorder=0)
            _line(axes, -at + 0.17, one.before, ORANGE, is_with=False)
            _line(axes, -at - 0.17, one.after, BLUE, is_with=True)
        axes.set_yticks(
            [-at for at in range(len(every))],
            [drawable(shortened(tidy(one.name), LETTERS)) for one in every],
            fontsize=8.5,
        )
        axes.tick_params(axis="y", length=0)
        for label in axes.get_yticklabels():
            narrowed(label, WIDTH * LEFT - 0.25)
        axes.set_ylim(0.5 - len(every), 0.5)
        levels = [level for one in every for level in (one.before, one.after) if level is not None]
        axes.set_xlim(0, max([1.05, *(1.03 * level.bad for level in levels)]))
        axes.axvline(1.0, color=INK, linewidth=1.0, linestyle="--", zorder=0)
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{100 * value:.0f} %"))
        plain(axes, "bottom")
        caption(figure, CAPTION)
    return figure


def _line(axes: Axes, at: float, level: Level | None, colour: str, is_with: bool) -> None:
    if level is None:
        return
    width, ground = (2.4, colour) if is_with else (1.0, "white")
    axes.plot([level.usual, level.bad], [at, at], color=colour, linewidth=width, solid_capstyle="butt")
    axes.plot(level.usual, at, "o", color=colour, markerfacecolor=ground, markersize=4.5, clip_on=False)
    axes.plot(level.bad, at, "|", color=colour, markersize=8, markeredgewidth=1.6, clip_on=False)
