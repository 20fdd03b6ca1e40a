"""Cash month by month: the lowest of a usual, a poor and a good run, and how far down the credit line reaches."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import matplotlib
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from farmsim.report.figures.paper import BLUE, FAINT, INK, SKY, STYLE, VERMILION, caption, drawable, plain, sheet, title
from farmsim.report.words import MONTHS, plural, shortened, tidy
from farmsim.study.answers import FEWEST
from farmsim.study.books_answers import Kept

WIDTH, LETTER = 9.2, 0.09  # inches: of the sheet, and of a digit beside it
MOST_LABELS = 14  # months that are named below the picture
STEPS = (1, 2, 3, 6, 12)  # months from one that is named to the next
CAPTION = "Line: the lowest evening of each month in a usual run, what is owed on the credit line taken off."
SHADED = " Shaded: 8 runs in 10 lie there."
LINE = " Below the broken line neither cash nor the credit line covers what has to be paid."


def draw(kept: Kept) -> Figure:
    """The lowest cash of every month."""
    table = kept.months
    usual, poor, good = ([float(value) for value in table[f"lowest_cash_{name}"]] for name in ("usual", "poor", "good"))
    at = list(range(len(usual)))
    with matplotlib.rc_context(STYLE):
        figure = sheet(WIDTH, 4.9)
        name = drawable(shortened(tidy(kept.farm), 50))
        title(figure, f"{name}: cash at its lowest", f"{plural(kept.runs, 'run')}, month by month, in {kept.currency}")
        letters = len(f"{-max(map(abs, [*usual, *poor, *good, kept.limit or 0.0])):,.0f}")
        left = max(0.11, (letters * LETTER + 0.3) / WIDTH)
        axes = figure.add_axes((left, 0.24, 0.96 - left, 0.56))
        axes.axhline(0, color=INK, linewidth=0.8)
        if kept.runs >= FEWEST:
            axes.fill_between(at, poor, good, color=SKY, alpha=0.35, linewidth=0)
            axes.plot(at, poor, color=BLUE, linewidth=1.0, linestyle=":")
        axes.plot(at, usual, color=BLUE, linewidth=2.0, marker="o", markersize=4)
        if kept.limit:
            axes.axhline(-kept.limit, color=VERMILION, linewidth=1.4, linestyle="--")
        axes.grid(axis="y", color=FAINT, linewidth=0.5)
        axes.set_axisbelow(True)
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,.0f}"))
        months = [str(month) for month in table["month"]]
        named = told(months)
        axes.set_xticks(named, [_label(months[place]) for place in named], fontsize=8.5)
        axes.set_xlim(-0.4, len(at) - 0.6)
        plain(axes, "bottom", "left")
        caption(figure, below(kept))
    return figure


def below(kept: Kept) -> str:
    """What stands below it: of shading and of the broken line only where there are such."""
    return CAPTION + (SHADED if kept.runs >= FEWEST else "") + (LINE if kept.limit else "")


def told(months: Sequence[str]) -> list[int]:
    """Which of these months are named: always the same ones of each year, January among them, so that a year can be found."""
    step = next((each for each in STEPS if len(months) <= each * MOST_LABELS), STEPS[-1])
    return [place for place, month in enumerate(months) if (int(month[5:7]) - 1) % step == 0]


def _label(month: str) -> str:
    day = date.fromisoformat(f"{month}-01")
    return f"{MONTHS[day.month - 1]}\n{day.year}" if day.month == 1 else MONTHS[day.month - 1]
