"""A farm that grows, week by week: what is picked beside what is promised, and the blocks that come in, phase by phase."""

from __future__ import annotations

from datetime import date, timedelta
from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    LETTERS,
    ORANGE,
    QUIET,
    SKY,
    STYLE,
    caption,
    plain,
    sheet,
    title,
)
from farmsim.report.words import MONTHS, Weights, count, plural, shortened
from farmsim.study.answers import FEWEST, Study
from farmsim.study.growth_answers import Course, Growth

WIDTH, TALL = 10.0, 3.9  # inches: the whole picture, and what stands above its caption
FEW, MOST, LABELS = 0.022, 0.96, 9  # shares of the weeks: room for a phase's number, for a date; dates along the foot


def draw(study: Study, growth: Growth) -> Figure:
    """The weeks of a farm that grows."""
    weights, text = Weights(study.system), _caption(study, growth)
    lines = len(wrap(text, int(WIDTH * LETTERS)))
    foot = 0.5 + 0.19 * lines
    height = TALL + foot
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        upper = figure.add_axes((0.085, (foot + 1.4) / height, 0.895, 1.75 / height))
        lower = figure.add_axes((0.085, foot / height, 0.895, 1.15 / height))
        title(figure, f"{shortened(study.farm, 40)}: how it grows, week by week", f"{weights.unit} and blocks a week")
        _picked(upper, growth, weights)
        _blocks(lower, growth)
        for axes in (upper, lower):
            _phases(axes, study, growth, is_numbered=axes is upper)
        _dates(upper, lower, study)
        caption(figure, text)
    return figure


def _caption(study: Study, growth: Growth) -> str:
    spread = (
        "pale band: 1 run in 10 lies below and above it"
        if study.runs >= FEWEST
        else "pale band: the poorest and the best run"
    )
    names = "; ".join(f"{one.number} {shortened(one.name, 60)} ({plural(one.weeks, 'week')})" for one in growth.phases)
    return f"Line: the usual run; {spread}. Upright lines: phases begin. {names}."


def _picked(axes: Axes, growth: Growth, weights: Weights) -> None:
    _band(axes, growth.weeks["picked_kg"], weights.figure(1.0), BLUE, SKY, "picked")
    promised = [weights.figure(kg) for kg in growth.weeks["promised_kg"].usual]
    if any(promised):
        axes.plot(_weeks(promised), promised, color=INK, linewidth=1.2, linestyle=(0, (4, 2)), label="promised")
    axes.set_ylabel(weights.unit)
    _tidy(axes)


def _blocks(axes: Axes, growth: Growth) -> None:
    made, sold = growth.weeks["blocks_in"].usual, growth.weeks["blocks_sold"].usual
    axes.plot(_weeks(made), made, color=BLUE, linewidth=1.6, label="made and bought")
    if any(sold):
        axes.plot(_weeks(sold), sold, color=ORANGE, linewidth=1.6, linestyle=(0, (4, 2)), label="sold ready to fruit")
    axes.set_ylabel("blocks")
    _tidy(axes)


def _band(axes: Axes, course: Course, times: float, line: str, band: str, label: str) -> None:
    low, mid, high = ([times * value for value in values] for values in (course.thin, course.usual, course.fat))
    axes.fill_between(_weeks(mid), low, high, color=band, alpha=0.45, linewidth=0)
    axes.plot(_weeks(mid), mid, color=line, linewidth=1.6, label=label)


def _weeks(values: list[float] | tuple[float, ...]) -> list[float]:
    return [week + 0.5 for week in range(len(values))]


def _tidy(axes: Axes) -> None:
    axes.set_ylim(0, max(1.0, axes.get_ylim()[1]) * 1.2)
    axes.yaxis.set_major_formatter(lambda value, _: count(value))
    axes.yaxis.set_label_coords(-0.075, 0.5)
    axes.tick_params(axis="both", length=0)
    axes.tick_params(axis="y", labelcolor=QUIET)
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 0.98), fontsize=8.5, frameon=False, ncols=2, borderpad=0)
    plain(axes, "bottom")


def _phases(axes: Axes, study: Study, growth: Growth, is_numbered: bool) -> None:
    axes.set_xlim(0, study.weeks)
    for one in growth.phases:
        begin = one.week - 1
        axes.axvline(begin, color=FAINT if begin == 0 else QUIET, linewidth=0.9, zorder=0)
        if is_numbered and one.weeks >= FEW * study.weeks:
            axes.text(begin + 0.006 * study.weeks, 0.97, str(one.number), transform=axes.get_xaxis_transform(),
                      ha="left", va="top", fontsize=10, fontweight="bold", color=INK)  # fmt: skip


def _dates(upper: Axes, lower: Axes, study: Study) -> None:
    """Firsts of months along the foot, as many as can be read."""
    start = date.fromisoformat(study.start)
    firsts = [day for day in (start + timedelta(days=at) for at in range(7 * study.weeks)) if day.day == 1]
    firsts = [day for day in firsts if (day - start).days <= 7 * study.weeks * MOST]
    every = next(step for step in (1, 2, 3, 6, 12, 24) if len(firsts) / step <= LABELS or step == 24)
    shown = [day for day in firsts if (12 * day.year + day.month - 1) % every == 0]
    ticks = [(day - start).days / 7 for day in shown]
    upper.set_xticks(ticks, [""] * len(ticks))
    lower.set_xticks(ticks, [f"{MONTHS[day.month - 1]} {day.year}" for day in shown], fontsize=9)
