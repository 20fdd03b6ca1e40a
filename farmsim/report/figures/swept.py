"""A sweep: one figure as a line for each answer, with where it surely lies; two as a table shaded from little to much."""

from __future__ import annotations

import matplotlib
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    STYLE,
    VERMILION,
    caption,
    drawable,
    plain,
    sheet,
    title,
)
from farmsim.report.sweep import shown, spread_of
from farmsim.report.words import listed, plural, shortened, tidy
from farmsim.study.sweep import Axis, Best, Swept

PANEL, GAP = 1.9, 0.55  # inches
CELL, LEAST_CELL, ROW, BELOW = 1.15, 0.62, 0.42, 1.2  # inches
SHADES = ("#f3f7fb", "#9ecae1", "#08519c")  # light to dark, so that they survive grey print
LINES = (
    "Line: average at each value. Upright stroke: where it surely lies if the marked base is as it is (square), all of them "
    "together. Filled: no other value surely brings more. Cross at the foot: not possible."
)
GRID = (
    "Number: average. Darker: more. Framed: no other pair of values surely brings more. Square: the base that all are held "
    "against. Cross: not possible."
)


def draw(swept: Swept) -> Figure:
    """The picture of a sweep."""
    with matplotlib.rc_context(STYLE):
        return _lines(swept) if len(swept.axes) == 1 else _grids(swept)


def _headed(swept: Swept, width: float, height: float) -> Figure:
    figure = sheet(width, height)
    names = listed([axis.name for axis in swept.axes])
    title(figure, drawable(f"{shortened(tidy(swept.farm), 40)}: {shortened(names, 70)}"), _below(swept))
    return figure


def _below(swept: Swept) -> str:
    runs = f"{plural(swept.runs, 'run')} of each on the same luck"
    return runs if len(swept.axes) > 1 else drawable(f"{shortened(spread_of(swept.axes[0]), 60)}; {runs}")


def _title(axes: Axes, best: Best, swept: Swept) -> None:
    """What a panel shows, and whether anything in it surely differs."""
    unit = "%" if best.unit == "share" else shown(best, 1.0, swept).unit
    alike = "" if _differs(best, swept) else ": no difference found"
    axes.set_title(f"{best.name}, {unit}{alike}", loc="left", fontsize=10.5, fontweight="bold", pad=5)


def _differs(best: Best, swept: Swept) -> bool:
    return len(best.unbeaten) < len(swept.possible)


# --- one figure -----------------------------------------------------------------------------------------------------


def _lines(swept: Swept) -> Figure:
    panels = len(swept.best)
    height = 0.85 + panels * (PANEL + GAP) + 0.85
    figure = _headed(swept, 8.6, height)
    top = height - 0.95
    for at, best in enumerate(swept.best):
        axes = figure.add_axes((0.11, (top - PANEL) / height, 0.85, PANEL / height))
        _line(axes, swept, best, at == panels - 1)
        top -= PANEL + GAP
    caption(figure, LINES)
    return figure


def _line(axes: Axes, swept: Swept, best: Best, is_last: bool) -> None:
    (axis,) = swept.axes
    where = axis.numbers or tuple(float(at) for at in range(len(axis.said)))
    lines = [next((line for line in point.differences if line.name == best.name), None) for point in swept.points]
    factor = shown(best, 1.0, swept).factor
    there = swept.possible
    if axis.numbers is not None:
        axes.plot([where[at] for at in there], [best.means[at] * factor for at in there], color=BLUE, linewidth=1.4)
    for at in there:
        line = lines[at]
        if line is not None and line.give is not None:
            low, high = (line.base + end for end in (line.low, line.high))
            axes.vlines(where[at], low * factor, high * factor, color=BLUE, linewidth=1.4)
        fill = BLUE if at in best.unbeaten else "white"
        axes.plot(where[at], best.means[at] * factor, "s" if at == swept.base else "o", color=BLUE, markerfacecolor=fill,
                  markersize=8 if at == swept.base else 7)  # fmt: skip
    for at, point in enumerate(swept.points):
        if point.fault:
            axes.plot(where[at], 0.05, "x", color=VERMILION, transform=axes.get_xaxis_transform(), markersize=7)
    _title(axes, best, swept)
    axes.grid(axis="y", color=FAINT, linewidth=0.5)
    axes.yaxis.set_major_locator(MaxNLocator(4))
    axes.margins(x=0.05, y=0.12)
    plain(axes, "bottom", "left")
    _ticks(axes, swept, where, is_last)


def _ticks(axes: Axes, swept: Swept, where: tuple[float, ...], is_last: bool) -> None:
    """As many of the values under the axis as there is room for."""
    (axis,) = swept.axes
    step = max(1, -(-sum(len(said) + 2 for said in axis.said) // 90))
    kept = range(0, len(where), step)
    axes.set_xticks([where[at] for at in kept], [drawable(shortened(axis.said[at], 20)) for at in kept])
    axes.tick_params(labelsize=8.5, labelbottom=is_last)
    if is_last:
        axes.set_xlabel(_named(axis), fontsize=9)


# --- two figures ----------------------------------------------------------------------------------------------------


def _grids(swept: Swept) -> Figure:
    down, across = swept.axes
    cell = max(LEAST_CELL, min(CELL, 7.0 / len(across.said)))
    tall = ROW * len(down.said)
    width = max(7.5, 1.9 + cell * len(across.said))
    height = 0.85 + len(swept.best) * (tall + BELOW) + 0.75
    figure = _headed(swept, width, height)
    top = height - 1.15
    for best in swept.best:
        box = (1.5 / width, (top - tall) / height, cell * len(across.said) / width, tall / height)
        _grid(figure.add_axes(box), swept, best, cell * len(across.said))
        top -= tall + BELOW
    caption(figure, GRID)
    return figure


def _grid(axes: Axes, swept: Swept, best: Best, width: float) -> None:
    down, across = swept.axes
    means = [best.means[at] for at in swept.possible]
    low, high = min(means), max(means)
    shades = LinearSegmentedColormap.from_list("shades", SHADES)
    for at, point in enumerate(swept.points):
        y, x = point.at
        share = 0.0 if high <= low or point.fault else (best.means[at] - low) / (high - low)
        colour = "white" if point.fault else shades(0.85 * share)
        is_best = at in best.unbeaten and _differs(best, swept)
        axes.add_patch(Rectangle((x - 0.5, y - 0.5), 1, 1, facecolor=colour, edgecolor="white", linewidth=1))
        if is_best:
            axes.add_patch(Rectangle((x - 0.45, y - 0.42), 0.9, 0.84, fill=False, edgecolor=INK, linewidth=1.3))
        if point.fault:
            axes.plot(x, y, "x", color=VERMILION, markersize=7)
            continue
        ink = "white" if share > 0.6 else INK
        size = 9.0 if len(across.said) <= 8 else 7.0
        axes.text(x, y, shown(best, best.means[at], swept).base, ha="center", va="center", fontsize=size, color=ink)
        if at == swept.base:
            axes.plot(x - 0.38, y, "s", color=ink, markersize=3)
    _title(axes, best, swept)
    axes.set_xlim(-0.5, len(across.said) - 0.5)
    axes.set_ylim(len(down.said) - 0.5, -0.5)
    step = max(1, -(-max(len(said) for said in across.said) * len(across.said) // int(12 * width)))
    axes.set_xticks(range(0, len(across.said), step), [drawable(shortened(said, 12)) for said in across.said[::step]])
    axes.set_yticks(range(len(down.said)), [drawable(shortened(said, 12)) for said in down.said])
    axes.tick_params(length=0, labelsize=8.5)
    axes.set_xlabel("\n".join((f"across: {_named(across)}", f"down: {_named(down)}")), fontsize=9, loc="left")
    plain(axes)


def _named(axis: Axis) -> str:
    return drawable(shortened(f"{axis.name}, {axis.unit}" if axis.unit else axis.name, 60))
