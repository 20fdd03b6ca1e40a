"""How busy each crew is, weekday by weekday and hour by hour: one small sheet a crew, shaded by the share at work."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from farmsim.report.figures.paper import FAINT, INK, QUIET, STYLE, caption, drawable, plain, sheet, title
from farmsim.report.figures.week_sheet import NAMES, SHADES
from farmsim.report.words import DAYS, plural, shortened, tidy
from farmsim.study.answers import Crew
from farmsim.study.staff_found import Staffed

WIDTH, HEAD, FOOT = 8.4, 1.25, 0.62  # inches
ROW, OVER, UNDER = 0.19, 0.62, 0.32  # a weekday; what stands over and under the days of a crew [inches]
ACROSS = 2  # crews beside one another
LEFT, GAP = 0.48, 0.62  # inches
LETTERS = 58  # of a line over a crew
CAPTION = "Share of those on shift who are at work, overtime left out; white: nobody is there. Days begin at midnight."


def draw(found: Staffed) -> Figure:
    """Every crew of the farm with the crews that were found."""
    return sheets(found.farm, found.meets, found.runs, found.weeks, found.load, found.sizes)


def sheets(farm: str, meets: bool, runs: int, weeks: int, crews: Sequence[Crew], sizes: Sequence[str]) -> Figure:
    """One sheet a crew.

    meets: whether the crews keep what is wanted; runs, weeks: of which this is the average; sizes: each crew in a few words
    """
    each = OVER + 7 * ROW + UNDER
    height = HEAD + each * -(-len(crews) // ACROSS) + FOOT
    hours = _span(crews)
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        what = "the crews found" if meets else "the crews that come closest"
        name = drawable(shortened(tidy(farm), 40))
        title(
            figure, f"{name}: when {what} are at work", f"average of {plural(runs, 'run')} of {plural(weeks, 'week')}"
        )
        _legend(figure, height)
        wide = (WIDTH - LEFT - GAP - 0.2) / ACROSS
        for at, (crew, size) in enumerate(zip(crews, sizes, strict=True)):
            down, across = divmod(at, ACROSS)
            left = LEFT + across * (wide + GAP)
            bottom = height - HEAD - down * each - OVER - 7 * ROW
            axes = figure.add_axes((left / WIDTH, bottom / height, wide / WIDTH, 7 * ROW / height))
            _crew(axes, crew, size, *hours)
        caption(figure, CAPTION)
    return figure


def _span(crews: Sequence[Crew]) -> tuple[int, int]:
    """From which hour of the day until which anybody is there."""
    hours = {hour % 24 for crew in crews for hour, used in enumerate(crew.hours) if used is not None} or {8}
    return min(hours), max(hours) + 1


def _crew(axes: Axes, crew: Crew, size: str, first: int, last: int) -> None:
    axes.set_xlim(first, last)
    axes.set_ylim(7, 0)
    for day in range(7):
        for begin, end, shade in _stretches(crew.hours[24 * day : 24 * (day + 1)]):
            axes.add_patch(Rectangle((begin, day + 0.06), end - begin, 0.88, facecolor=shade, linewidth=0))
    for day in range(8):
        axes.axhline(day, color=FAINT, linewidth=0.5, zorder=0)
    step = next(step for step in (1, 2, 3, 6) if (last - first) / step <= 9)
    ticks = [hour for hour in range(first, last + 1) if hour % step == 0]
    axes.set_xticks(ticks, [f"{hour:02d}" for hour in ticks], fontsize=8)
    axes.set_yticks([day + 0.5 for day in range(7)], DAYS, fontsize=8)
    axes.tick_params(axis="both", length=0, pad=3)
    plain(axes)
    lines = wrap(drawable(size), LETTERS)[:2]
    name = drawable(shortened(tidy(crew.name), 36))
    axes.text(
        0, 1.0 + 0.13 * len(lines) + 0.06, name, transform=axes.transAxes, fontsize=9.5, fontweight="bold", color=INK
    )
    axes.text(0, 1.05, "\n".join(lines), transform=axes.transAxes, fontsize=7.5, color=QUIET, linespacing=1.25)


def _stretches(day: Sequence[float | None]) -> list[tuple[int, int, str]]:
    """Neighbouring hours of one shade as one stretch, so that no seam shows; hours without anybody are left white."""
    found: list[tuple[int, int, str]] = []
    for hour, used in enumerate(day):
        if used is None:
            continue
        shade = next(colour for below, colour in SHADES if min(used, 1.0) < below)
        begin = found.pop()[0] if found and found[-1][1:] == (hour, shade) else hour
        found.append((begin, hour + 1, shade))
    return found


def _legend(figure: Figure, height: float) -> None:
    """Shades in one line under the title."""
    y, step = 1 - 0.90 / height, 0.16
    for place, ((_, colour), name) in enumerate(zip(SHADES, NAMES, strict=True)):
        left = 0.02 + place * step
        figure.add_artist(Rectangle((left, y), 0.025, 0.15 / height, facecolor=colour, edgecolor=FAINT, linewidth=0.5))
        figure.text(left + 0.032, y + 0.075 / height, name, fontsize=9, va="center", color=INK)
