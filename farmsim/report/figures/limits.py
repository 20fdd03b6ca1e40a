"""What one step more brings: a line a step with where its gain surely lies, and beside it what was seen there."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from farmsim.report.figures.paper import (
    BLUE,
    FAINT,
    INK,
    LETTERS,
    QUIET,
    STYLE,
    VERMILION,
    caption,
    drawable,
    plain,
    sheet,
    title,
)
from farmsim.report.limits import Told, signed, states
from farmsim.report.words import plural, shortened, tidy
from farmsim.study.limits_answers import Gain, Limits

WIDTH, ROW, HEAD, FOOT = 11.0, 0.46, 1.0, 1.25  # inches
LEFT, ACROSS = 0.335, 0.27  # of the width: where the scale begins, and how wide it is
LABEL, BESIDE = 48, 52  # letters of a line of text at either side
MOST = 24  # steps drawn; a farm may have any number of rooms
MARKS = {"more": ("o", BLUE), "less": ("s", VERMILION), "no difference found": ("|", QUIET), "the same": ("x", QUIET)}
CAPTION = (
    "Mark: the difference seen. Line: where it surely lies; an arrow head: it reaches further. Round: more; square: less; "
    "upright: no difference found. Beside it: what was seen at the place as it is. Below the grey line: what is no place "
    "and no crew of the farm. Steps that made no difference in any run are left out."
)


def draw(limits: Limits) -> Figure:
    """All steps below one another on one scale, those that bring most first."""
    inside = [gain for gain in limits.now.steps if gain.judged.verdict != "the same"]
    rows = [*inside[:MOST], *limits.now.outside]
    height = HEAD + FOOT + ROW * len(rows)
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        name = drawable(shortened(tidy(limits.farm), 40))
        title(figure, f"{name}: what one step more would bring", _below(limits, len(inside)))
        axes = figure.add_axes((LEFT, FOOT / height, ACROSS, ROW * len(rows) / height))
        _steps(axes, rows, limits)
        unit = Told(rows[0].judged, limits).heading
        figure.text(LEFT + ACROSS / 2, (FOOT - 0.32) / height, unit, ha="center", va="top", fontsize=9)
        axes.axhline(len(limits.now.outside) - 0.5, color=QUIET, linewidth=1.2, xmin=-1.2, xmax=2.4, clip_on=False)
        caption(figure, CAPTION)
    return figure


def _below(limits: Limits, steps: int) -> str:
    left_out = f", the {MOST} of {steps} steps that bring most" if steps > MOST else ""
    runs = f"{plural(limits.first, 'run')} of each on the same luck, {limits.runs} of those that may bring most"
    return f"{runs}; all lines hold together {100 * limits.sure:.0f} times in 100{left_out}"


def _steps(axes: Axes, rows: Sequence[Gain], limits: Limits) -> None:
    left, right = _ends(rows, limits)
    axes.axvline(0, color=INK, linewidth=0.8)
    for at, gain in enumerate(reversed(rows)):
        told = Told(gain.judged, limits)
        mark, colour = MARKS[gain.judged.verdict]
        axes.axhline(at, color=FAINT, linewidth=0.5, zorder=0)
        axes.hlines(at, max(told.low, left), min(told.high, right), color=colour, linewidth=2)
        for end, arrow, goes_on in ((left, "<", told.low < left), (right, ">", told.high > right)):
            if goes_on:
                axes.plot(end, at, arrow, color=colour, markersize=6, clip_on=False)
        axes.plot(told.mean, at, mark, color=colour, markersize=6, markeredgewidth=1.6)
        across = axes.get_yaxis_transform()
        axes.text(1.04, at + 0.16, _figures(gain, limits), transform=across, va="center", fontsize=8.5, color=INK)
        axes.text(
            1.04, at - 0.20, drawable(_beside(gain, limits)), transform=across, va="center", fontsize=7.5, color=QUIET
        )
    axes.set_yticks(range(len(rows)), [_label(gain) for gain in reversed(rows)], fontsize=8.5)
    axes.set_ylim(-0.6, len(rows) - 0.4)
    axes.set_xlim(left, right)
    letters = max(len(signed(left)), len(signed(right)))
    axes.xaxis.set_major_locator(MaxNLocator(max(1, min(5, int(WIDTH * ACROSS * LETTERS / letters) - 1))))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: signed(value)))
    axes.tick_params(axis="y", length=0)
    plain(axes, "bottom")
    axes.tick_params(axis="x", labelsize=8.5)


def _ends(rows: Sequence[Gain], limits: Limits) -> tuple[float, float]:
    """Where the scale begins and ends; a step that is hardly known does not squeeze the others."""
    told = [Told(gain.judged, limits) for gain in rows]
    sure = [max(abs(each.low), abs(each.high)) for each, gain in zip(told, rows, strict=True)
            if gain.judged.verdict in ("more", "less")]  # fmt: skip
    reach = max([*sure, *(1.5 * abs(each.mean) for each in told), 0.1])
    low, high = max(-each.low for each in told), max(each.high for each in told)
    return -1.1 * min(reach, max(low, 0.2 * reach)), 1.1 * min(reach, max(high, 0.2 * reach))


def _figures(gain: Gain, limits: Limits) -> str:
    """What the step does, as many of the figures that differ as fit on a line."""
    told = ""
    for line in gain.figures:
        words = Told(line, limits)
        one = "the same" if line.verdict == "the same" else f"{words.difference} {words.unit}"
        if not told:
            told = one
        elif line.verdict in ("more", "less") and len(told) + len(one) < BESIDE:
            told += f"; {one}"
    return drawable(told)


def _label(gain: Gain) -> str:
    name = gain.more if gain.kind == "outside" else gain.name
    return "\n".join(wrap(drawable(shortened(tidy(name), 2 * LABEL - 8)), LABEL))


def _beside(gain: Gain, limits: Limits) -> str:
    """The first of what was seen there, as much as fits on a line; nothing beside what is no place."""
    told = ""
    for piece in [] if gain.kind == "outside" else states(limits, gain.where):
        more = f"{told}; {piece}" if told else piece
        told = more if len(more) <= BESIDE + 14 else told
    return told
