"""How much a farm carries: levels across, one panel a target, its figure with interval beside the bound."""

from __future__ import annotations

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from farmsim.report import targets
from farmsim.report.ceiling import blocks
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
from farmsim.report.words import shortened, tidy
from farmsim.study.ceiling_answers import Ceiling
from farmsim.study.targets import Kept, Target

PANEL = 1.45  # inches a target
MARKS = {"kept": ("o", BLUE), "broken": ("s", VERMILION), "not sure": ("|", QUIET)}
CAPTION = (
    "Mark: average over runs at a level. Line: where it surely lies. Round: surely kept; square: surely broken; upright: "
    "cannot be told by so many runs. Heavy line: the bound, shaded on the side that breaks it. Grey band: where the limit "
    "lies; thin upright line: the farm as it is."
)


def draw(found: Ceiling) -> Figure:
    """All targets below one another, over the same levels."""
    height = 1.9 + PANEL * len(found.targets)
    with matplotlib.rc_context(STYLE):
        figure = sheet(9.2, height)
        title(figure, _title(found), _below(found))
        top = height - 0.85
        for at, target in enumerate(found.targets):
            bottom = top - PANEL + 0.45
            axes = figure.add_axes((0.12, bottom / height, 0.84, (PANEL - 0.45) / height))
            _panel(axes, found, target, at == len(found.targets) - 1)
            top -= PANEL
        below = (bottom - 0.42) / height
        figure.text(0.54, below, "blocks started a week, all lines together", ha="center", va="bottom", fontsize=9)
        caption(figure, CAPTION)
    return figure


def _title(found: Ceiling) -> str:
    name = drawable(shortened(tidy(found.farm), 40))
    if found.guess is None or found.low is None:
        return f"{name}: how each level that was tried keeps the targets"
    return f"{name} keeps all targets up to about {blocks(found.guess)}"


def _below(found: Ceiling) -> str:
    ends = [
        *([f"surely kept at {found.low:,}"] if found.low is not None else []),
        *([f"surely broken at {found.high:,}"] if found.high is not None else []),
    ]
    grow = "orders grow along" if found.grow else "orders stay as they are"
    return "; ".join([*ends, f"{found.now:,} are started now", grow])


def _panel(axes: Axes, found: Ceiling, target: Target, is_last: bool) -> None:
    factor = 100.0 if target.figure.unit == "share" else 1.0
    told = [(level.blocks, kept) for level in found.levels for kept in level.kept if kept.target == target]
    axes.set_title(targets.told(target), loc="left", fontsize=10, fontweight="bold", pad=4)
    if found.low is not None and found.high is not None:
        axes.axvspan(found.low, found.high, color=FAINT, linewidth=0, zorder=0)
    axes.axvline(found.now, color=QUIET, linewidth=0.8, zorder=1)
    bound = factor * target.bound
    ends = [_ends(kept, target) for _, kept in told]
    low, high = min(*(lowest for lowest, _ in ends), bound), max(*(highest for _, highest in ends), bound)
    room = 0.12 * (high - low) or 1.0
    low, high = low - room, high + room
    wrong = (low, bound) if target.side == "at least" else (bound, high)
    axes.axhspan(*wrong, color=VERMILION, alpha=0.08, linewidth=0, zorder=0)
    axes.axhline(bound, color=INK, linewidth=1.6, zorder=2)
    for (level, kept), between in zip(told, ends, strict=True):
        mark, colour = MARKS[kept.verdict]
        axes.vlines(level, *between, color=colour, linewidth=1.6, zorder=3)
        axes.plot(level, factor * kept.mean, mark, color=colour, markersize=6, markeredgewidth=1.6, zorder=4)
    axes.set_ylim(low, high)
    axes.yaxis.set_major_locator(MaxNLocator(3))
    axes.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    axes.xaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.yaxis.set_major_formatter(StrMethodFormatter("{x:,g}"))
    _across(axes, found)
    plain(axes, "bottom", "left")
    axes.tick_params(labelsize=8.5, labelbottom=is_last)


def _ends(kept: Kept, target: Target) -> tuple[float, float]:
    """Between what the figure surely lies, as it is drawn: no share is less than none or more than all."""
    low, high = kept.mean - kept.give, kept.mean + kept.give
    if target.figure.unit == "share":
        return 100.0 * max(0.0, low), 100.0 * min(1.0, high)
    return low, high


def _across(axes: Axes, found: Ceiling) -> None:
    """Levels that were looked at, with a little room to either side."""
    first, last = found.levels[0].blocks, found.levels[-1].blocks
    room = 0.04 * (last - first) or 1.0
    axes.set_xlim(min(first, found.now) - room, max(last, found.now) + room)
