"""Spread of the headline figures: every run a dot, one strip a figure, its average marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from farmsim.report.figures.paper import BLUE, FAINT, QUIET, STYLE, VERMILION, caption, plain, sheet, title
from farmsim.report.words import about, plural, shortened
from farmsim.study.answers import FEWEST, Study

COLUMNS = 60  # dots nearer than this part of the strip are stacked, not overprinted

ALIKE = "the farm, the plan and the promises are the same, the luck is not"
ALONE = "one run has no spread, make more of them"


@dataclass(frozen=True)
class Strip:
    """One headline figure: its name, its unit as shown, every run's value, their average and the outer ones."""

    name: str
    unit: str
    runs: tuple[float, ...]
    low: float
    mean: float
    high: float


def draw(study: Study, strips: Sequence[Strip]) -> Figure:
    """One strip below the other."""
    height = 1.35 + 0.92 * len(strips)
    with matplotlib.rc_context(STYLE):
        figure = sheet(8.6, height)
        below = f"{plural(study.runs, 'run')} of {plural(study.weeks, 'week')}: " + (ALIKE if study.runs > 1 else ALONE)
        title(figure, f"{shortened(study.farm, 40)}: how much whole runs differ", below)
        for place, strip in enumerate(strips):
            bottom = (0.55 + 0.92 * (len(strips) - 1 - place) + 0.34) / height
            _strip(figure.add_axes((0.34, bottom, 0.62, 0.42 / height)), strip)
        bar = f"where 8 runs in 10 lie, as judged from {study.runs}" if study.runs >= FEWEST else "from end to end"
        told = f"Dot: one run. Tall mark: the average of all. Grey bar: {bar}.\nEach strip has its own scale."
        caption(figure, told)
    return figure


def _strip(axes: Axes, strip: Strip) -> None:
    low, high = _edges(strip.runs)
    axes.barh(0.5, strip.high - strip.low, left=strip.low, height=1.0, color=FAINT, alpha=0.75)
    axes.plot(
        strip.runs,
        _stacked(strip.runs, low, high),
        "o",
        color=BLUE,
        markersize=4.2,
        markeredgecolor="white",
        markeredgewidth=0.5,
        clip_on=False,
    )
    axes.vlines(strip.mean, -0.12, 1.12, color=VERMILION, linewidth=2.2, clip_on=False)
    axes.set_xlim(low, high)
    axes.set_ylim(-0.05, 1.05)
    axes.set_yticks([])
    ticks = [tick for tick in MaxNLocator(4, steps=[1, 2, 5, 10]).tick_values(low, high) if low <= tick <= high]
    if min(strip.runs) == max(strip.runs):
        ticks = [strip.mean]
    digits = max(0, -math.floor(math.log10(ticks[1] - ticks[0]) + 1e-9)) if len(ticks) > 1 else 0
    axes.set_xticks(ticks, [f"{tick:,.{digits}f}" for tick in ticks])
    axes.tick_params(axis="x", labelsize=8.5, length=3)
    plain(axes, "bottom")
    axes.text(-0.03, 0.66, strip.name, transform=axes.transAxes, ha="right", va="center", fontsize=10.5)
    middle = f"{about(strip.mean)} {strip.unit}"
    axes.text(-0.03, 0.1, middle, transform=axes.transAxes, ha="right", va="center", fontsize=9, color=QUIET)


def _edges(runs: Sequence[float]) -> tuple[float, float]:
    low, high = min(runs), max(runs)
    margin = 0.06 * (high - low) or max(abs(high) * 0.05, 0.5)
    return low - margin, high + margin


def _stacked(runs: Sequence[float], low: float, high: float) -> list[float]:
    """Heights of the dots: those that would overprint go by turns above and below the middle line."""
    seen: dict[int, int] = {}
    places = [round((value - low) / (high - low) * COLUMNS) for value in runs]
    tallest = max(places.count(place) for place in set(places))
    step = min(0.2, 0.9 / max(1, tallest - 1))
    up = []
    for place in places:
        turn = seen.get(place, 0)
        up.append(0.5 + step * ((turn + 1) // 2) * (-1 if turn % 2 else 1))
        seen[place] = turn + 1
    return up
