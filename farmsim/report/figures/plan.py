"""A plan of the starts on one sheet: what is started on which weekday, and on which weekdays it ripens and leaves."""

from __future__ import annotations

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    QUIET,
    SKY,
    STYLE,
    caption,
    drawable,
    plain,
    sheet,
    title,
)
from farmsim.report.words import DAYS, Weights, count, plural, shortened, tidy
from farmsim.scenario.values import DAYS as NAMES
from farmsim.study.plan_answers import Planned, Started

ROW = 0.32  # inches a line
BARS = 2.1  # inches
TOP, GAP, FOOT = 1.15, 0.4, 1.2
CAPTION = (
    "Above: blocks started on each weekday by the plan; darker is more. Below: mushrooms of an average week by the weekday on "
    "which they ripen (by arithmetic, first and later flushes, waiting for a shelf left out) and by the weekday for which they "
    "are promised or to be brought to stalls."
)


def draw(planned: Planned) -> Figure:
    """The starts over the week, and below them ripe against delivered."""
    tall = ROW * len(planned.lines)
    height = TOP + tall + GAP + BARS + FOOT
    with matplotlib.rc_context(STYLE):
        figure = sheet(9.2, height)
        name = drawable(shortened(tidy(planned.name), 36))
        title(figure, f"{name}: what to start, and when it ripens and leaves", _below(planned))
        _starts(figure.add_axes((0.19, (height - TOP - tall) / height, 0.60, tall / height)), planned)
        _week(figure.add_axes((0.19, FOOT / height, 0.60, BARS / height)), planned)
        caption(figure, CAPTION)
    return figure


def _below(planned: Planned) -> str:
    now, then = (sum(getattr(line, name) for line in planned.lines) for name in ("before", "blocks"))
    return f"{plural(then, 'block')} a week, now {count(now)}; {plural(planned.runs, 'run')} of {plural(planned.weeks, 'week')}"


def _starts(axes: Axes, planned: Planned) -> None:
    most = max((each for line in planned.lines for each in line.by_day), default=1) or 1
    for at, line in enumerate(reversed(planned.lines)):
        axes.axhline(at - 0.5, color=FAINT, linewidth=0.5, zorder=0)
        for where, each in enumerate(line.by_day):
            if not each:
                continue
            axes.barh(at, 0.92, left=where - 0.46, height=0.74, color=SKY, alpha=0.2 + 0.65 * each / most, linewidth=0)
            axes.text(where, at, count(each), ha="center", va="center", fontsize=9, color=INK)
        axes.text(6.75, at, _change(line), ha="left", va="center", fontsize=9, color=INK)
    axes.text(6.75, len(planned.lines) - 0.42, "a week (now)", ha="left", va="bottom", fontsize=8.5, color=QUIET)
    names = [drawable(shortened(tidy(line.line), 22)) for line in reversed(planned.lines)]
    axes.set_yticks(range(len(names)), names)
    axes.set_xticks(range(7), DAYS)
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    axes.set_xlim(-0.5, 6.5)
    axes.set_ylim(-0.5, len(planned.lines) - 0.5)
    plain(axes)


def _change(line: Started) -> str:
    return count(line.blocks) if line.blocks == line.before else f"{count(line.blocks)} ({count(line.before)})"


def _week(axes: Axes, planned: Planned) -> None:
    weights = Weights(planned.compared.system)
    ripe, leaves = ([weights.figure(kg) for kg in each] for each in (planned.picks, planned.deliveries))
    axes.bar([at - 0.2 for at in range(7)], ripe, 0.38, color=SKY, label="ripens")
    axes.bar([at + 0.2 for at in range(7)], leaves, 0.38, color=BLUE, label="promised, or to be brought to stalls")
    top = max((*ripe, *leaves, 1e-9))
    picked = planned.picking_days
    axes.set_xticks(
        range(7), [f"{day}\nno picking" if name not in picked else day for day, name in zip(DAYS, NAMES, strict=True)]
    )
    axes.set_xlim(-0.5, 6.5)
    axes.set_ylim(0, 1.28 * top)
    unit = f"{weights.unit} a week"
    axes.text(0.0, 1.03, unit, transform=axes.transAxes, ha="right", va="bottom", fontsize=8.5, color=QUIET)
    axes.tick_params(axis="x", length=0)
    axes.legend(loc="upper left", ncols=2, frameon=False, fontsize=8.5, borderaxespad=0.1)
    plain(axes, "left", "bottom")
