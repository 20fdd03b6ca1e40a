"""The farm as boxes in the order in which blocks and mushrooms go through it, with how much each holds without and with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyArrowPatch, Rectangle

from farmsim.report.figures.paper import FAINT, INK, QUIET, STYLE, caption, drawable, narrowed, sheet, title
from farmsim.report.pack.the_farm import holds, is_crew
from farmsim.report.words import count, shortened, tidy
from farmsim.study.pack_answers import Headroom, Pack

ACROSS = 5  # boxes in a row
WIDTH, WIDE, GAP = 10.0, 1.62, 0.32  # inches: sheet, box, between boxes
LINE, HEAD, FOOT, LETTERS = 0.17, 0.95, 0.75, 21  # inches a line of text; letters on one
MOST = 8  # places of one kind in one box; more are counted
CAPTION = (
    "Boxes in the order in which blocks and mushrooms go through the farm; arrows: where they go next. Thick frame and grey "
    "ground: new, larger or smaller with the expansion. Places of one kind stand in one box; crews work at all of them."
)


@dataclass(frozen=True)
class Box:
    """A kind of place, or all crews, with a line or two for each; whether anything in it changes."""

    head: str
    lines: tuple[str, ...]
    changes: bool

    @property
    def height(self) -> float:
        """How high it is [inches]."""
        return LINE * (len(self.lines) + 1.7)


def draw(pack: Pack) -> Figure:
    """Places in rows, below them the people."""
    boxes = [*stations([one for one in pack.headroom if not is_crew(one)]), *customers(pack)]
    crews = [each for one in pack.headroom if is_crew(one) for each in stations([one])]
    rows = [boxes[at : at + ACROSS] for at in range(0, len(boxes), ACROSS)]
    people = [crews[at : at + ACROSS] for at in range(0, len(crews), ACROSS)]
    every = [*rows, *people]
    heights = [max(box.height for box in row) + 0.5 for row in every]
    height = HEAD + FOOT + sum(heights) + 0.3 * bool(people)
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        name = drawable(shortened(tidy(pack.base_name), 40))
        title(figure, f"{name}: what flows where", "how much each place holds, without the expansion and with it")
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.axis("off")
        axes.set_xlim(0, WIDTH)
        axes.set_ylim(0, height)
        top = height - HEAD
        for at, (row, tall) in enumerate(zip(every, heights, strict=True)):
            if at == len(rows) and people:
                axes.text(0.25, top - 0.02, "People", fontsize=9.5, fontweight="bold", va="top")
                top -= 0.3
            _row(axes, row, top, flows=at < len(rows), goes_on=at + 1 < len(rows), tall=tall)
            top -= tall
        caption(figure, CAPTION)
    return figure


def stations(places: Sequence[Headroom]) -> list[Box]:
    """Places of one kind in one box, in the order in which they come; each crew by itself."""
    kinds: dict[str, list[Headroom]] = {}
    for one in places:
        kinds.setdefault(one.kind, []).append(one)
    return [_box("fruiting rooms" if kind == "shelf" else kind, every) for kind, every in kinds.items()]


def customers(pack: Pack) -> list[Box]:
    """Where everything goes at last: how many buy mushrooms and how many blocks, and who is new."""
    lines = []
    for unit, what in (("kg", "mushrooms"), ("blocks", "blocks")):
        found = [each for each in pack.buyers if each.unit == unit]
        if found:
            lines.append(f"{count(len(found))} for {what}")
    new = sum(each.is_new for each in pack.buyers)
    return [Box("customers", (*lines, *([f"{count(new)} of them new"] if new else [])), bool(new))] if lines else []


def _box(kind: str, every: Sequence[Headroom]) -> Box:
    changed = [one for one in every if _capacity(one)[0] != _capacity(one)[1]]
    shown = every if len(every) <= MOST else [*changed, *(one for one in every if one not in changed)][:MOST]
    head = tidy(every[0].name) if len(every) == 1 else kind
    lines = [line for one in shown for line in _lines(one, len(every) > 1)]
    if len(every) > len(shown):
        lines.append(f"and {len(every) - len(shown)} more")
    return Box(drawable(shortened(head, LETTERS)), tuple(map(drawable, lines)), bool(changed))


def _capacity(one: Headroom) -> tuple[float | None, float | None]:
    before, after = (None if level is None else level.capacity for level in (one.before, one.after))
    return before, after


def _lines(one: Headroom, is_named: bool) -> list[str]:
    """How much it holds without and with the expansion."""
    before, after = _capacity(one)
    named = f"{tidy(one.name)}: " if is_named else ""
    if before == after:
        told = holds(after, one)
    elif before is None:
        told = f"new, {holds(after, one)}"
    elif after is None:
        told = "no longer there"
    else:
        told = f"{count(before)}, then {holds(after, one)}"
    if len(named) + len(told) <= LETTERS:
        return [named + told]
    first = [shortened(named.rstrip(), LETTERS)] if named else []
    return [*first, *wrap(told, LETTERS)]


def _row(axes: Axes, row: Sequence[Box], top: float, flows: bool, goes_on: bool, tall: float) -> None:
    """Boxes beside one another, an arrow between two; at the end of a row an arrow that goes on below."""
    left = 0.25
    for at, box in enumerate(row):
        _draw(axes, box, left, top)
        if flows and at + 1 < len(row):
            _arrow(axes, (left + WIDE, top - 0.28), (left + WIDE + GAP, top - 0.28))
        left += WIDE + GAP
    if flows and goes_on:
        right, low = left - GAP + 0.12, top - tall + 0.22
        axes.plot(
            [left - GAP, right, right, 0.12, 0.12],
            [top - 0.28, top - 0.28, low, low, low - 0.5],
            color=QUIET,
            linewidth=1.2,
        )
        _arrow(axes, (0.12, low - 0.5), (0.25, low - 0.5))


def _draw(axes: Axes, box: Box, left: float, top: float) -> None:
    ground, frame = ("#e8e8e8", 2.4) if box.changes else ("white", 0.9)
    axes.add_patch(
        Rectangle((left, top - box.height), WIDE, box.height, facecolor=ground, edgecolor=INK, linewidth=frame)
    )
    told = [axes.text(left + 0.08, top - 0.09, box.head, fontsize=8.5, fontweight="bold", va="top", color=INK)]
    for at, line in enumerate(box.lines):
        told.append(axes.text(left + 0.08, top - 0.09 - LINE * (at + 1.15), line, fontsize=8, va="top", color=INK))
    for words in told:
        narrowed(words, WIDE - 0.14)
    axes.plot([left, left + WIDE], [top - 0.27] * 2, color=FAINT, linewidth=0.6)


def _arrow(axes: Axes, start: tuple[float, float], end: tuple[float, float]) -> None:
    axes.add_patch(
        FancyArrowPatch(
            start, end, arrowstyle="-|>", mutation_scale=10, color=QUIET, linewidth=1.2, shrinkA=0, shrinkB=0
        )
    )
