"""The week sheet: days across, places and crews down, every hour shaded by use, bad hours underlined and explained."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from farmsim.report.bad_hours import Row, bad_rows, stretches_of, told
from farmsim.report.figures.paper import FAINT, INK, QUIET, STYLE, VERMILION, average_of, plain, sheet, title
from farmsim.report.words import DAYS, count, share, shortened, size
from farmsim.study.answers import OFTEN, Crew, Place, Study

SHADES = ((0.25, "#eaf1f8"), (0.50, "#c3d9ec"), (0.75, "#86b4d9"), (0.90, "#3b7fb8"), (1.01, "#0b3c6b"))
NAMES = ("under 25 %", "25 to 50 %", "50 to 75 %", "75 to 90 %", "over 90 %")
WIDTH, ROW, HEAD, LINE = 8.4, 0.38, 1.32, 0.175  # inches
LABEL, SHARE_ROOM = 2.15, 0.52
LETTERS = 118  # in a line of the foot
NAME = 22  # letters of a name
GAP = 0.6  # rows between places and crews
EXPLAINED = 7  # bad rows the foot tells about, worst first
MEANT = (
    "Crews: share of the people on shift who are at work; white: nobody on shift. Underlined, bad hours: a place is full and "
    "lots are waiting (benches: while people are there); a crew is busy all day and work is left lying at its end; each in "
    f"{OFTEN * 100:.0f} of 100 weeks or more."
)


def draw(study: Study, places: Sequence[Place], crews: Sequence[Crew]) -> Figure:
    """The average week of a study."""
    places = [place for place in places if place.capacity is not None]  # what is never short has no share in use
    rows: list[Row] = [*places, *crews]
    high = len(rows) + (GAP if crews and places else 0)
    numbers, foot = _explained(rows)
    below = 0.42 + LINE * len(foot)
    height = HEAD + ROW * high + below
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, height)
        title(figure, f"{shortened(study.farm, 40)}: the week", f"share in use, hour by hour: {average_of(study)}")
        box = (LABEL / WIDTH, below / height, (WIDTH - LABEL - SHARE_ROOM) / WIDTH, (height - HEAD - below) / height)
        axes = figure.add_axes(box)
        _grid(axes, high)
        for place, row in enumerate(rows):
            _row(axes, place + (GAP if places and place >= len(places) else 0), row, numbers.get(place, ""))
        _legend(figure, height)
        figure.text(0.02, 0.12 / height, "\n".join(foot), fontsize=9, color=QUIET, va="bottom", linespacing=1.35)
    return figure


def _grid(axes: Axes, rows: float) -> None:
    axes.set_xlim(0, 168)
    axes.set_ylim(rows, 0)
    axes.text(170, -0.1, "used", ha="left", va="bottom", fontsize=8.5, color=QUIET)
    axes.set_xticks([12 + 24 * day for day in range(7)], DAYS, fontsize=10)
    axes.xaxis.tick_top()
    axes.tick_params(axis="both", length=0)
    axes.set_yticks([])
    plain(axes)
    for day in range(8):
        axes.axvline(24 * day, color=QUIET, linewidth=0.8, zorder=3)
    for hour in range(0, 169, 12):
        name = f"{hour % 24:02d}" if hour < 168 else "24"
        axes.text(hour, rows + 0.08, name, ha="center", va="top", fontsize=8, color=QUIET)


def _row(axes: Axes, top: float, row: Row, number: str) -> None:
    for first, last, colour in _stretches(row.hours):
        axes.add_patch(Rectangle((first, top + 0.1), last - first, 0.55, facecolor=colour, linewidth=0, zorder=1))
    axes.hlines(top + 0.37, 0, 168, color=FAINT, linewidth=0.6, zorder=0)
    for first, last in stretches_of(row.bad):
        axes.add_patch(Rectangle((first, top + 0.70), last - first, 0.17, facecolor=VERMILION, linewidth=0, zorder=4))
    left = (0.02 * WIDTH - LABEL) * 168 / (WIDTH - LABEL - SHARE_ROOM)
    axes.text(left, top + 0.37, number, ha="left", va="center", fontsize=9.5, fontweight="bold")
    axes.text(-2.2, top + 0.26, shortened(row.name, NAME), ha="right", va="center", fontsize=9.5)
    axes.text(-2.2, top + 0.68, _size(row), ha="right", va="center", fontsize=7.5, color=QUIET)
    axes.text(170, top + 0.37, share(row.used), ha="left", va="center", fontsize=9.5)


def _size(row: Row) -> str:
    if isinstance(row, Crew):
        return f"up to {count(row.most_present)} on shift"
    return size(row.capacity or 0.0, row.unit)


def _shade(used: float) -> str:
    return next(colour for below, colour in SHADES if used < below)


def _stretches(hours: Sequence[float | None]) -> list[tuple[int, int, str]]:
    """Neighbouring hours of one shade as one stretch; hours without anybody on shift are left white."""
    found: list[tuple[int, int, str]] = []
    for hour, used in enumerate(hours):
        if used is None:
            continue
        colour = _shade(min(used, 1.0))
        if found and found[-1][1] == hour and found[-1][2] == colour:
            found[-1] = (found[-1][0], hour + 1, colour)
        else:
            found.append((hour, hour + 1, colour))
    return found


def _legend(figure: Figure, height: float) -> None:
    """Shades and the mark of bad hours, in one line under the title."""
    y, x, step = 1 - 0.90 / height, 0.02, 0.148
    for place, ((_, colour), name) in enumerate(zip(SHADES, NAMES, strict=True)):
        left = x + place * step
        figure.add_artist(Rectangle((left, y), 0.025, 0.15 / height, facecolor=colour, edgecolor=FAINT, linewidth=0.5))
        figure.text(left + 0.032, y + 0.075 / height, name, fontsize=9, va="center", color=INK)
    left = x + len(SHADES) * step
    figure.add_artist(Rectangle((left, y + 0.045 / height), 0.025, 0.06 / height, facecolor=VERMILION, linewidth=0))
    figure.text(left + 0.032, y + 0.075 / height, "bad hours, numbered", fontsize=9, va="center", color=INK)


def _explained(rows: Sequence[Row]) -> tuple[dict[int, str], list[str]]:
    """Numbers from top to bottom for the worst of the rows, by their place, and the lines of the foot that explain them."""
    worst = bad_rows(rows)
    lines, shown = wrap(MEANT, LETTERS), [place for place, row in enumerate(rows) if row in worst[:EXPLAINED]]
    for number, row in enumerate((rows[place] for place in shown), 1):
        lines += wrap(f"{number}  {shortened(row.name, 40)}: {told(row, 3)}", LETTERS, subsequent_indent="    ")
    more = len(worst) - EXPLAINED
    if more > 0:
        lines.append(f"{more} more {'row' if more == 1 else 'rows'} underlined less often.")
    if not worst:
        lines.append("No place and no crew had bad hours.")
    return {place: str(number) for number, place in enumerate(shown, 1)}, lines
