"""The year strip: twelve months across, a row for each thing that differs by month, and the days of standstill."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from farmsim.report.figures.paper import BLUE, FAINT, INK, QUIET, SKY, STYLE, plain, sheet, title
from farmsim.report.words import MONTHS, factor, shortened, standstill
from farmsim.study.answers import Study
from farmsim.study.year import Factors, Open, Still, Year

WIDTH, HEAD, LINE = 8.4, 1.15, 0.175  # inches
LABEL, MEAN = 1.9, 0.62
TALL, LOW = 0.62, 0.44  # rows of factors, rows of yes and no
LETTERS, NAME = 118, 22
TOLD = 12  # stretches of standstill in the foot
BELOW = "what goes by the calendar; every other figure is the same all year"
MEANT = "Figures are percent of what the farm's file says for every month; bars upward are more, hatched bars downward less."


def draw(study: Study, year: Year) -> Figure:
    """The year of a farm in which something goes by the calendar."""
    foot = _foot(year)
    rows = [TALL] * len(year.factors) + [LOW] * (len(year.lines) + len(year.rooms) + bool(year.still))
    below = 0.3 + LINE * len(foot)
    height = HEAD + sum(rows) + below
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        title(figure, f"{shortened(study.farm, 40)}: the year", BELOW)
        box = (LABEL / WIDTH, below / height, (WIDTH - LABEL - MEAN) / WIDTH, sum(rows) / height)
        axes = figure.add_axes(box)
        _grid(axes, sum(rows), bool(year.factors))
        top = 0.0
        for factors in year.factors:
            _factors(axes, top, factors, max(abs(each - 1) for one in year.factors for each in one.months))
            top += TALL
        for open_ in (*year.lines, *year.rooms):
            _open(axes, top, open_)
            top += LOW
        if year.still:
            _still(axes, top, year.still)
        figure.text(0.02, 0.12 / height, "\n".join(foot), fontsize=9, color=QUIET, va="bottom", linespacing=1.35)
    return figure


def _grid(axes: Axes, high: float, with_mean: bool) -> None:
    axes.set_xlim(0, 12)
    axes.set_ylim(high, 0)
    axes.set_xticks([0.5 + month for month in range(12)], MONTHS, fontsize=10)
    axes.xaxis.tick_top()
    axes.tick_params(axis="both", length=0)
    axes.set_yticks([])
    plain(axes)
    for month in range(13):
        axes.axvline(month, color=FAINT, linewidth=0.8, zorder=0)
    if with_mean:
        axes.text(12.12, -0.06, "year", ha="left", va="bottom", fontsize=8.5, color=QUIET)


def _name(axes: Axes, middle: float, name: str, below: str = "") -> None:
    axes.text(-0.15, middle - (0.06 if below else 0), shortened(name, NAME), ha="right", va="center", fontsize=9.5)
    if below:
        axes.text(-0.15, middle + 0.10, below, ha="right", va="center", fontsize=7.5, color=QUIET)


def _factors(axes: Axes, top: float, one: Factors, most: float) -> None:
    """Twelve bars from the line of 100 %, all rows to one scale."""
    middle = top + 0.36
    axes.hlines(middle, 0, 12, color=QUIET, linewidth=0.8)
    for month, value in enumerate(one.months):
        up = 0.19 * (value - 1) / (most or 1.0)
        less = value < 1
        axes.add_patch(Rectangle((month + 0.14, middle - max(up, 0.0)), 0.72, abs(up), facecolor=SKY if less else BLUE,
                                 hatch="////" if less else None, edgecolor="white", linewidth=0))  # fmt: skip
        colour, weight = (QUIET, "normal") if value == 1 else (INK, "bold")
        axes.text(month + 0.5, top + 0.10, factor(value), ha="center", va="center", fontsize=8.5, color=colour,
                  fontweight=weight)  # fmt: skip
    axes.text(12.12, top + 0.10, factor(one.mean), ha="left", va="center", fontsize=8.5, color=QUIET)
    _name(axes, middle, one.what, "% of usual")


def _open(axes: Axes, top: float, one: Open) -> None:
    """A filled month: it is so; an empty one: it is not."""
    resting = one.does == "rests"
    for month, so in enumerate(one.months):
        if so:
            axes.add_patch(Rectangle((month + 0.06, top + 0.11), 0.88, LOW - 0.22, facecolor="white" if resting else BLUE,
                                     hatch="xxxx" if resting else None, edgecolor=QUIET, linewidth=0.6))  # fmt: skip
        else:
            axes.text(month + 0.5, top + LOW / 2, "-", ha="center", va="center", fontsize=9, color=QUIET)
    _name(axes, top + LOW / 2, one.what, one.does)


def _still(axes: Axes, top: float, still: Sequence[Still]) -> None:
    """Days of standstill at their place in the year."""
    for one in still:
        first, last = date.fromisoformat(one.first), date.fromisoformat(one.last)
        whole = set(one.stops) >= {"starts", "deliveries", "work"}
        for begin, end in _in_years(first, last):
            axes.add_patch(Rectangle((begin, top + 0.09), max(end - begin, 0.05), LOW - 0.18, linewidth=0.6,
                                     facecolor=INK if whole else "white", edgecolor=INK,
                                     hatch=None if whole else "//////"))  # fmt: skip
    _name(axes, top + LOW / 2, "shut days", "dates below")


def _in_years(first: date, last: date) -> list[tuple[float, float]]:
    """Where the days lie in the strip of months; what goes over New Year is in two pieces."""
    if first.year < last.year:
        return [(_at(first), 12.0), (0.0, _at(last) + 1 / 31)]
    return [(_at(first), _at(last) + 1 / 31)]


def _at(when: date) -> float:
    return when.month - 1 + (when.day - 1) / 31


def _foot(year: Year) -> list[str]:
    lines = wrap(MEANT, LETTERS) if year.factors else []
    if year.lines or year.rooms:
        lines += wrap("Filled: the line is started in that month; crossed: the room rests in it.", LETTERS)
    if year.still:
        lines += wrap("Shut days: black, the whole farm stands still; hatched, part of it.", LETTERS)
    for one in year.still[:TOLD]:
        lines += wrap(f"{standstill(one.first, one.last)}, {shortened(one.name, 30)}: {one_line(one.stops)}", LETTERS)
    more = len(year.still) - TOLD
    return [*lines, f"{more} more in the table of the report."] if more > 0 else lines


STOPPED = {"starts": "no blocks started or bought", "deliveries": "no deliveries", "work": "nobody works"}


def one_line(stops: Sequence[str]) -> str:
    """What stops, in words."""
    return ", ".join(STOPPED.get(what, f"no {what}") for what in stops)
