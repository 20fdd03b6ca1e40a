"""The flow of blocks: where they come from, what they are lost to, where they go. Widths are to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path

from farmsim.report.figures.paper import (
    BLUE,
    GREEN,
    INK,
    ORANGE,
    QUIET,
    SKY,
    STYLE,
    VERMILION,
    average_of,
    caption,
    sheet,
    title,
)
from farmsim.report.words import rounded_to_add_up, share, shortened, to_digits
from farmsim.study.answers import Flow, Study

THICK = 0.012  # width of the bar a flow begins or ends with
ROOM = 0.125  # least distance between two labels, as a part of the height of all blocks
LEAST = 0.0005  # of all blocks: less than that is not drawn
COLUMNS = (0.0, 0.30, 0.60, 0.90)
LOST = "////"
CAPTION = "Widths are to scale. Hatched: lost. The average week, rounded so that the figures add up."


@dataclass(frozen=True)
class Stop:
    """A bar that flows begin or end at; `top` counts upwards, all blocks together are 1 high.

    blocks: as it is; shown: rounded so that what is shown adds up
    """

    name: str
    blocks: float
    shown: str
    column: int
    top: float
    height: float
    colour: str
    hatch: str = ""

    @property
    def middle(self) -> float:
        """Height of the bar's middle."""
        return self.top - self.height / 2


def draw(study: Study, flow: Flow) -> Figure:
    """The blocks of an average week."""
    with matplotlib.rc_context(STYLE):
        figure = sheet(8.8, 5.2)
        axes = figure.add_axes((0.02, 0.09, 0.96, 0.76))
        title(figure, f"{shortened(study.farm, 40)}: where the blocks go", f"blocks a week, {average_of(study)}")
        caption(figure, CAPTION)
        axes.axis("off")
        stops, ribbons = _plan(flow)
        for start, end, upper, lower in ribbons:
            _ribbon(axes, start, end, upper, lower)
        for stop in stops:
            _bar(axes, stop, sum(one.blocks for one in stops if one.column == 0) or 1.0)
        axes.set_xlim(-0.16, 1.16)
        axes.set_ylim(min(stop.top - stop.height for stop in stops) - 0.09, 1.13)
    return figure


Ribbon = tuple[Stop, Stop, float, float]  # from, to, top edge where it begins, top edge where it ends


def _plan(flow: Flow) -> tuple[list[Stop], list[Ribbon]]:
    """Where every bar stands and which ribbons join them."""
    (fruited, sold, bad, old, more, _), digits = rounded_to_add_up(
        [flow.fruited, flow.sold, flow.contaminated, flow.too_old, flow.more_standing]
    )
    (made, bought, _), _ = rounded_to_add_up([flow.made, flow.bought])
    said = partial(to_digits, digits=digits)
    before, fewer = max(0.0, -flow.more_standing), max(0.0, -more)
    whole = flow.made + flow.bought + before or 1.0
    sources = _column(0, whole, 1.0, [
        ("made here", flow.made, said(made), BLUE, ""),
        ("bought in", flow.bought, said(bought), SKY, ""),
        ("stood on racks before", before, said(fewer), QUIET, ""),
    ])  # fmt: skip
    racks = Stop("on the racks", whole, said(made + bought + fewer), 1, 1.0, 1.0, INK)
    ripe_blocks = flow.fruited + flow.sold + flow.too_old
    ripe = Stop("ripe", ripe_blocks, said(fruited + sold + old), 2, 1.0, ripe_blocks / whole, INK)
    leaving = _column(2, whole, ripe.top - ripe.height - 0.10, [
        ("contaminated", flow.contaminated, said(bad), VERMILION, LOST),
        ("more on racks", max(0.0, flow.more_standing), said(max(0.0, more)), QUIET, ""),
    ])  # fmt: skip
    ends = _column(3, whole, 1.0, [
        ("fruited here", flow.fruited, said(fruited), BLUE, ""),
        ("sold ready to fruit", flow.sold, said(sold), GREEN, ""),
        ("too old, thrown out", flow.too_old, said(old), ORANGE, LOST),
    ])  # fmt: skip
    ribbons = [*_into(sources, racks), *_out_of(racks, [ripe, *leaving]), *_out_of(ripe, ends)]
    return [*sources, racks, ripe, *leaving, *ends], ribbons


def _column(column: int, whole: float, top: float, wanted: Sequence[tuple[str, float, str, str, str]]) -> list[Stop]:
    """Bars under one another, those without blocks left out, far enough apart for their labels."""
    stops: list[Stop] = []
    for name, blocks, shown, colour, hatch in wanted:
        height = blocks / whole
        if height < LEAST:
            continue
        if stops:
            last = stops[-1]
            top = min(last.top - last.height - 0.04, last.middle - ROOM + height / 2)
        stops.append(Stop(name, blocks, shown, column, top, height, colour, hatch))
    return stops


def _into(starts: Sequence[Stop], end: Stop) -> list[Ribbon]:
    ribbons, top = [], end.top
    for start in starts:
        ribbons.append((start, end, start.top, top))
        top -= start.height
    return ribbons


def _out_of(start: Stop, ends: Sequence[Stop]) -> list[Ribbon]:
    ribbons, top = [], start.top
    for end in ends:
        ribbons.append((start, end, top, end.top))
        top -= end.height
    return ribbons


def _ribbon(axes: Axes, start: Stop, end: Stop, upper: float, lower: float) -> None:
    """A band as wide as the smaller of its two bars, bending half way."""
    height = min(start.height, end.height)
    left, right = COLUMNS[start.column] + THICK, COLUMNS[end.column]
    half = (left + right) / 2
    there = [(left, upper), (half, upper), (half, lower), (right, lower)]
    back = [(right, lower - height), (half, lower - height), (half, upper - height), (left, upper - height)]
    codes = [Path.MOVETO, *[Path.CURVE4] * 3, Path.LINETO, *[Path.CURVE4] * 3, Path.CLOSEPOLY]
    colour = (start if end.column == 1 else end).colour
    ripening = colour == INK
    axes.add_patch(PathPatch(Path([*there, *back, there[0]], codes), facecolor="#bdbdbd" if ripening else colour,
                             alpha=0.45, linewidth=0, hatch=end.hatch or None, edgecolor=INK))  # fmt: skip


def _bar(axes: Axes, stop: Stop, whole: float) -> None:
    left = COLUMNS[stop.column]
    axes.add_patch(Rectangle((left, stop.top - stop.height), THICK, stop.height, color=stop.colour, linewidth=0))
    text = f"{stop.shown} ({share(stop.blocks / whole)})" if stop.column else stop.shown
    if stop.column == 1 or stop.name == "ripe":
        axes.text(left + THICK / 2, stop.top + 0.03, f"{stop.name}\n{text}", ha="center", va="bottom", fontsize=10)
        return
    side, gap = ("right", -0.012) if stop.column == 0 else ("left", THICK + 0.012)
    axes.text(
        left + gap, stop.middle, f"{_wrapped(stop.name)}\n{text}", ha=side, va="center", fontsize=10, linespacing=1.25
    )


def _wrapped(name: str) -> str:
    words = name.split(" ")
    return name if len(name) <= 20 else " ".join(words[: len(words) // 2]) + "\n" + " ".join(words[len(words) // 2 :])
