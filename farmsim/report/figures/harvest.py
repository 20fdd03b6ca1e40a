"""Harvest by calendar month: a bar for the usual month, marks for a thin and a fat one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from farmsim.report.figures.paper import BLUE, INK, QUIET, SKY, STYLE, caption, plain, sheet, title
from farmsim.report.words import MONTHS, Weights, count, day, listed, plural, shortened
from farmsim.study.answers import FEWEST, Month, Study

LEFT = 1.1  # inches for the weights and their unit
CROWDED = 50  # months from which on the first month's name needs room beside the weights
FEW = 16  # months that still leave room for a figure in every bar
CAPTION = "Bar: the usual month (half of the {runs} lie below). Black marks: {marks}."
MARKS = "thin and fat, 1 run in 10 lies below and above"
MARKS_OF_FEW = "the poorest and the best run"
PART = " Pale bars: months of which only part was simulated (days in brackets)."
DAYS_TOLD = 2
STUB = 7  # a month of which fewer days were simulated is left out of the picture
CHANGED = " The farm changes on {days}."
LEFT_OUT = " Months with fewer than {days} simulated days are left out."


def draw(study: Study, months: Sequence[Month]) -> Figure:
    """The monthly harvest of a study."""
    weights = Weights(study.system)
    stubs = [month for month in months if month.days < STUB]
    months = [month for month in months if month.days >= STUB] or list(months)
    with matplotlib.rc_context(STYLE):
        width = max(8.0, min(14.0, 2.0 + 0.62 * len(months)))
        figure = sheet(width, 4.6)
        axes = figure.add_axes((LEFT / width, 0.25, 0.98 - LEFT / width, 0.60))
        title(
            figure,
            f"{shortened(study.farm, 40)}: mushrooms picked, month by month",
            f"{weights.unit} a month, all grades",
        )
        _bars(axes, months, weights)
        _months(axes, months)
        axes.set_ylabel(f"picked [{weights.unit} a month]")
        axes.yaxis.set_label_coords(0.3 / width, 0.55, transform=figure.transFigure)
        marks = MARKS if study.runs >= FEWEST else MARKS_OF_FEW
        text = CAPTION.format(runs=plural(study.runs, "run"), marks=marks)
        text += "" if all(month.whole for month in months) else PART
        text += CHANGED.format(days=_days(study)) if study.before else ""
        caption(figure, text + (LEFT_OUT.format(days=STUB) if stubs and len(stubs) < len(months) else ""))
    return figure


def _days(study: Study) -> str:
    """The days of the farm's changes, the last ones if there are many."""
    days = [day(date.fromisoformat(one.day)) for one in study.changes if one.week <= study.weeks]
    return listed(days[-DAYS_TOLD:])


def _bars(axes: Axes, months: Sequence[Month], weights: Weights) -> None:
    for place, month in enumerate(months):
        thin, usual, fat = (weights.figure(kg) for kg in (month.thin, month.usual, month.fat))
        axes.bar(place, usual, width=0.72, color=BLUE if month.whole else SKY, alpha=1 if month.whole else 0.55)
        axes.vlines(place, thin, fat, color=INK, linewidth=1.2)
        axes.hlines([thin, fat], place - 0.2, place + 0.2, color=INK, linewidth=1.8)
        if len(months) <= FEW:
            axes.text(place, usual * 0.04, count(usual), ha="center", va="bottom", fontsize=8.5,
                      color="white" if month.whole else INK)  # fmt: skip
    top = max((weights.figure(month.fat) for month in months), default=1.0)
    axes.set_ylim(0, top * 1.08 or 1.0)
    axes.set_xlim(-max(0.6, len(months) / CROWDED), len(months) - 0.4)
    axes.yaxis.set_major_formatter(lambda value, _: count(value))
    axes.grid(axis="y", color="#e4e4e4", linewidth=0.8)
    axes.set_axisbelow(True)
    plain(axes, "bottom")


def _months(axes: Axes, months: Sequence[Month]) -> None:
    every = 1 if len(months) <= 2 * FEW else 3 if len(months) <= 60 else 12
    shown = [place for place, month in enumerate(months) if (int(month.first[5:7]) - 1) % every == 0]
    axes.set_xticks(shown, [_label(months, place) for place in shown], fontsize=9)
    axes.tick_params(axis="both", length=0)
    axes.tick_params(axis="y", labelcolor=QUIET)


def _label(months: Sequence[Month], place: int) -> str:
    month = months[place]
    name = MONTHS[int(month.first[5:7]) - 1]
    new_year = place == 0 or month.first[5:7] == "01"
    rest = [] if month.whole else [f"({month.days} d)"]
    return "\n".join([name, *rest, *([month.first[:4]] if new_year else [])])
