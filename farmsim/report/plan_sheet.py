"""The tables of a plan of the starts: sell or fruit, what was tried, and the start sheet's first week."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from farmsim.report.tables import HEAD, WIDTH, hung
from farmsim.report.words import DAYS, MONTHS, Weights, count, fine, listed, plural, shortened, tidy
from farmsim.study.answers import Total
from farmsim.study.plan_answers import Planned
from farmsim.study.sell_or_fruit import Either
from farmsim.study.start_sheet import Group, When

NAME = 16  # letters of a strain or line
MOST_SHOWN = 4  # targets that fit beside one another; all stand in tried.csv


def _row(cells: Sequence[str], widths: Sequence[int], left: int = 1) -> str:
    return "  ".join(
        cell.ljust(width) if at < left else cell.rjust(width)
        for at, (cell, width) in enumerate(zip(cells, widths, strict=True))
    ).rstrip()


def either(planned: Planned) -> list[str]:
    """What a fruited block brings, and what the same block earns when it is sold; weights of a farm without prices."""
    weights, money = Weights(planned.compared.system), planned.compared.currency
    priced = any(each.earns is not None for each in planned.either)
    per = money if priced else weights.unit
    heads = [["", "sold", f"{weights.unit} a", "shelf", "hours", f"{per} a shelf", f"{per} an", *[money] * 2 * priced],
             ["", "of 100", "block", "weeks", "of work", "week", "hour", *["fruited", "sold"] * priced]]  # fmt: skip
    rows = [*heads, *(_either(each, weights, priced) for each in planned.either)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(heads[0]))]
    lines = [_row(row, widths) for row in rows]
    if priced:
        lines += hung(
            "Fruited, sold: takings of a block less what is bought for it and wages from ripe on (of one sold, for "
            f"its boxing). A shelf week and an hour of any work for it: before wages.{_dearer(planned)}",
            "",
            WIDTH - HEAD,
        )
    return lines


def _dearer(planned: Planned) -> str:
    """The strains of which a block brings more when it is sold."""
    named = [
        tidy(each.strain)
        for each in planned.either
        if each.sold is not None and each.fruited is not None and each.sold > each.fruited
    ]
    return f" A block brings more sold than fruited of {listed(named)}, as far as somebody takes it." if named else ""


def _either(each: Either, weights: Weights, priced: bool) -> list[str]:
    def weight(kg: float | None) -> str:
        return "-" if kg is None else fine(weights.figure(kg))

    def plain(value: float | None) -> str:
        return "-" if value is None else fine(value)

    def money(value: float | None) -> str:
        return "-" if value is None else f"{value:,.2f}"

    def earned(total: Total | None) -> str:
        return money(None if total is None else total.mean.value)

    row = [shortened(tidy(each.strain), NAME), count(each.of_100), weight(each.brings), plain(each.shelf_weeks)]
    row.append(plain(each.hours))
    if not priced:
        return [*row, weight(each.a_shelf_week), weight(each.an_hour)]
    of = each.earns
    rates = ("-", "-") if of is None else (earned(of.shelf_week), earned(of.hour))
    return [*row, *rates, money(each.fruited), money(each.sold)]


def tried(planned: Planned) -> list[str]:
    """Every plan that was tried: its blocks, its targets, what it throws out."""
    weights = Weights(planned.compared.system)
    shown = [each.target for each in planned.targets[:MOST_SHOWN]]
    names = ["blocks", *(target.name for target in shown), f"{weights.unit} thrown out", "missing"]
    cut = [name.partition(" ") for name in names]
    rows = [["", *(first if rest else "" for first, _, rest in cut)], ["", *(rest or first for first, _, rest in cut)]]
    for one in planned.tried:
        figures = [
            f"{100 * one.figures[target.name]:.1f} %" if target.figure.unit == "share"
            else f"{count(one.figures[target.name])} h"
            for target in shown
        ]  # fmt: skip
        missing = "-" if one.missing < 0.0005 else f"{100 * one.missing:.1f} points"
        missing = "fills up" if one.fills_up else missing
        rows.append([one.what, count(sum(one.blocks.values())), *figures, weights.bare(one.thrown_out), missing])
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return [_row(row, widths) for row in rows if any(row)]


def first_week(planned: Planned) -> list[str]:
    """The groups of lots of the first week in which anything is started, with their days."""
    weeks = len({group.week for group in planned.groups})
    if not planned.groups:
        return ["Nothing is started in these weeks."]
    first = planned.groups[0].week
    rows = [["start", "line", "blocks", "cold shock", "soak", "open", "first pick"]]
    rows += [_group(group) for group in planned.groups if group.week == first]
    kept = [at for at, name in enumerate(rows[0]) if at < 3 or any(row[at] for row in rows[1:]) or name == "open"]
    rows = [[row[at] for at in kept] for row in rows]
    widths = [max(len(row[at]) for row in rows) for at in range(len(kept))]
    return [
        *(_row(row, widths, 2) for row in rows),
        *hung(
            "17 Apr -8+10: half of the lots by 17 Apr, 1 in 10 already 8 days before, 1 in 10 not yet 10 days after. "
            f"This is week {first}; all {plural(weeks, 'week')} with a start stand in start-sheet.csv, and for a calendar in "
            "start-sheet.ics.",
            "",
            WIDTH - HEAD,
        ),
    ]


def _group(group: Group) -> list[str]:
    told = {when.step: when for when in group.steps}
    days = [_when(told.get(step)) for step in ("cold shock", "soak", "open", "first pick")]
    return [_day(group.day, weekday=True), shortened(tidy(group.line), NAME), count(group.blocks), *days]


def _when(when: When | None) -> str:
    if when is None:
        return ""
    sooner, later = (when.usual - when.early).days, (when.late - when.usual).days
    return f"{_day(when.usual)} -{sooner}+{later}"


def _day(day: datetime.date, weekday: bool = False) -> str:
    name = f"{DAYS[day.weekday()]} " if weekday else ""
    return f"{name}{day.day} {MONTHS[day.month - 1]}"
