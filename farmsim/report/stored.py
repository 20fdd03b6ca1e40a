"""What a store of runs holds, in a sentence and a table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

from farmsim.report.words import Weights, count, plural, shortened, tidy
from farmsim.study.answers import Known
from farmsim.study.stored import Stored, Summed

MEGABYTE = 1e6
LETTERS = 6  # of a mark, as far as they tell two farms of one name apart
HEADINGS = ("farm", "from", "weeks", "lead-in", "seed", "runs", "picked a week", "delivered", "last stored")


def screen(stored: Stored) -> str:
    """Everything in one store, as text."""
    runs = sum(each.kept.runs for each in stored.kinds)
    size = f"{stored.size / MEGABYTE:,.1f} MB"
    lines = [f"{stored.file} holds {plural(runs, 'run')} of {plural(len(stored.kinds), 'farm')}, {size}."]
    strange = [each for each in stored.kinds if not each.kept.is_usable]
    if strange:
        of = sum(each.kept.runs for each in strange)
        lines.append(f"{plural(of, 'run')} of another version, marked with *: shown, but never used again.")
    rows = [HEADINGS, *(_row(each, _named(each, stored)) for each in stored.kinds)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(HEADINGS))]
    return "\n".join([*lines, "", *(_line(row, widths) for row in rows)]) + "\n"


def _line(row: Sequence[str], widths: Sequence[int]) -> str:
    """Names and days to the left, figures to the right."""
    cells = (cell.ljust(width) if at in (0, 1, len(row) - 1) else cell.rjust(width)
             for at, (cell, width) in enumerate(zip(row, widths, strict=True)))  # fmt: skip
    return "  ".join(cells).rstrip()


def _named(one: Summed, stored: Stored) -> str:
    """The farm's name, with the first letters of its mark where others of another mark are called the same."""
    kind = one.kept.kind
    name = shortened(tidy(kind.name), 28)
    others = {each.kept.kind.mark for each in stored.kinds if each.kept.kind.name == kind.name} - {kind.mark}
    if not others:
        return name
    letters = LETTERS
    while any(mark[:letters] == kind.mark[:letters] for mark in others):
        letters += 1
    return f"{name} ({kind.mark[:letters]})"


def _row(one: Summed, name: str) -> tuple[str, ...]:
    kind, kept, weights = one.kept.kind, one.kept, Weights(one.kept.kind.system)
    delivered = "" if one.delivered is None else f"{_known(one.delivered, 100.0, most=1.0)} %"
    return (
        name,
        kind.start,
        count(kind.weeks),
        count(kind.lead_in),
        str(kind.seed),
        count(kept.runs),
        f"{_known(one.picked, weights.figure(1.0))} {weights.unit}",
        delivered,
        f"{datetime.fromisoformat(kept.last).astimezone():%Y-%m-%d %H:%M}{'' if kept.is_usable else ' *'}",
    )


def _known(figure: Known, times: float, most: float = math.inf) -> str:
    """A mean and how far off it may be; of one run nothing can be said of that, nor where it may be off by `most`: by all."""
    give = "" if figure.give is None or figure.give >= most else f" +-{count(figure.give * times)}"
    return f"{count(figure.value * times)}{give}"
