"""How a farm grows, phase by phase: one row for each on the screen."""

from __future__ import annotations

from datetime import date

from farmsim.report.tables import WIDTH, section
from farmsim.report.words import MONTHS, Weights, count, plural, share, shortened
from farmsim.study.answers import Study
from farmsim.study.growth_answers import Growth, Phase

NAME = 29  # columns of a phase's name
MOST = 12  # phases told one by one
WIDTHS = (7, 6, 7, 7, 10, 7, 6)  # of each of its figures


def rows(study: Study, growth: Growth) -> list[tuple[str, ...]]:
    """One row for each phase: its name, when it begins, its weeks; then a week on average picked, sold to orders, promises
    kept, blocks that come in, blocks sold; and what looks tightest in it.
    """
    return [_row(Weights(study.system), one) for one in growth.phases]


def told(study: Study, growth: Growth) -> list[str]:
    """The section of the screen: a dozen phases, the last ones; the rest in a word."""
    found = rows(study, growth)
    sells = any(one[7] != "0" for one in found)
    heads = ("from", "weeks", "picked", "orders", "kept", "blocks", *(("sold",) if sells else ()))
    lines = [_line("GROWTH  a week on average", heads, "looks tightest")]
    for name, *figures, tight in found[-MOST:]:
        lines.append(_line(f"  {name}", figures if sells else figures[:-1], tight))
    if len(found) > len(lines) - 1:
        lines.insert(1, f"  {plural(len(found) - len(lines) + 1, 'phase')} before these: phases.csv")
    text = (
        f"Picked and orders in {Weights(study.system).unit}; kept: delivered of promised mushrooms; blocks: made and "
        "bought. A phase's weeks of filling up are in its figures; phases.csv has every run."
    )
    after = f" {plural(growth.after, 'phase comes', 'phases come')} after these {study.weeks} weeks."
    return [*lines, *section("", [text + (after if growth.after else "")]), ""]


def others(study: Study, growth: Growth) -> bool:
    """Whether the farm also changes on dates that begin no phase."""
    begins = {one.week for one in growth.phases}
    return any(one.week not in begins for one in study.changes if one.week <= study.weeks)


def _line(name: str, figures: tuple[str, ...] | list[str], tight: str) -> str:
    cells = "".join(f"{figure:>{width}}" for figure, width in zip(figures, WIDTHS, strict=False))
    left = f"{shortened(name, NAME):<{NAME}}{cells}  "
    return f"{left}{shortened(tight, WIDTH - len(left))}".rstrip()


def _row(weights: Weights, one: Phase) -> tuple[str, ...]:
    first = date.fromisoformat(one.first)
    kept, week = one.kept("kg"), {name: known.value for name, known in one.a_week.items()}
    return (
        f"{one.number} {one.name}",
        f"{MONTHS[first.month - 1]} {first:%y}",
        count(one.weeks),
        weights.bare(week["picked_kg"]),
        weights.bare(week["sold_kg"]),
        "-" if kept is None else share(kept),
        count(week["blocks_in"]),
        count(week["blocks_sold"]),
        one.tight[0] if one.tight else "nothing",
    )
