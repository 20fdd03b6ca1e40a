"""The reference page of all figures a farm's file may hold, drawn from their declarations."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import fill

from farmsim import units
from farmsim.scenario.alter import TIMELESS
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure, Walked, walk
from farmsim.scenario.part import example_value
from farmsim.scenario.sheet import SHEET, SOURCES, Sheet

WIDE = 120  # letters in a line
HEAD = """# Every figure of a farm's file

Written by `farmsim schema --page` from the declarations in `farmsim/scenario`; do not edit it by hand.

A farm's file is TOML. Every number carries its unit and its basis, in US or metric units: "65 degF", "12 lb", "36 h",
"600 blocks a week", "60 blocks/h" (a trailing "each" says it is the pace of one person), "5 s a block", "4 %". Shares
may be plain numbers (0.04). Days are a list (`["mon", "thu"]`), a stretch (`"mon-fri"`) or `"every day"`. A shift over
midnight is written "22:00-06:00 next day".

A *quantity that varies* is written in one of these ways:

| written | means |
|---|---|
| `"14 d"` | always the same |
| `{ low = "12 d", likely = "14 d", high = "18 d" }` | a triangle |
| `{ from = "12 d", to = "18 d", share = "9 of 10" }` | so many of all lie between, as many below as above (lognormal) |
| `{ mean = "9 d", cv = 0.13 }` | mean, and standard deviation over mean (lognormal; or `shape = "gamma"`) |
| `{ mean = "8 d to 10 d", cv = 0.13 }` | a mean known only as a range: drawn once a simulated run |
| `{ measured = ["12 d", "15 d", "13 d"] }` | the farm's own list, each equally likely |

*Source* is where a default comes from: P published, S suppliers' instruction sheets; common practice, from memory and
placeholder mean that nothing published stands behind it. Measure those first. `*` stands for a name of your own.

A figure of the file whose line ends in a comment that begins with *guess* (`# guess: from memory: 6-12 kg/h`) is no figure
of the farm's own: it is listed among the guesses, unless P, S or *worked out* follow. Take the mark away once it is measured.
"""

CHANGES = """
## Change sets

A change set is a small file that is based on a farm (or on another change set). What it does not write stays as it was.

```toml
based_on = "four-rooms.toml"
name     = "growing"
from     = 2027-06-07              # a Monday; left out: from the start

[change.crew.pickers]              # the crew named pickers
people = 5

[add.room.Annex]                   # a new room named Annex
holds = "1500 shelf places"
range = "64 to 67 degF"

[remove]
customer = ["market stall"]

[[phase]]                          # growth in steps: as many as wanted, each with a name and a Monday, in order
name = "more cold room"
from = 2027-09-06

[phase.change.walk_in.main]
holds = "480 crates"
```

Tables are changed figure by figure; shifts day by day; what a customer takes strain by strain; lists and quantities
that vary as a whole. What stands inside a table in the farm's file is changed inside it: the break in `hours`, how far
orders vary in `takes`. A change that changes nothing is a fault.

{timeless}

Phases may stand in the farm's own file too, after everything else: one file tells how the farm begins and how it grows
(`scenarios/growth.toml`). The first phase may be dated on the farm's first day; it then names the beginning and need not
change anything.
"""


def _timeless() -> str:
    """What cannot change on a date."""
    *most, last = (f"`[{name}]`" for name in TIMELESS)
    same = "they are the same at all times, or carry days of their own"
    return fill(f"On a date everything can change but {', '.join(most)} and {last}: {same}.", WIDE)


def page() -> str:
    """The whole page in Markdown."""
    lines = [HEAD]
    for name, section in Farm.figures.items():
        if section.form.name == "inside":
            continue
        lines += ["", f"## {_heading(section)}", "", f"{_sentence(section)}", ""]
        lines += [
            "| figure | written | default | bounds | meaning | source of the default |",
            "|---|---|---|---|---|---|",
        ]
        lines += [_row(walked) for walked in walk(Farm) if walked.path[0] == section.name and len(walked.path) > 1]
        lines += _sheet() if name == "strain" else []
    return "\n".join(lines) + "\n" + CHANGES.replace("{timeless}", _timeless())


def _heading(section: Figure) -> str:
    return {"many": f"[[{section.name}]]", "named": f"[{section.name}.*]"}.get(section.how, f"[{section.name}]")


def _sentence(section: Figure) -> str:
    text = f"{section.meaning[:1].upper()}{section.meaning[1:]}."
    return f"{text} May be left out." if not section.is_needed else text


def _row(walked: Walked) -> str:
    figure = walked.figure
    path = ".".join(piece for piece in walked.path[1:])
    default = "must be given" if figure.is_needed else figure.said or "none"
    if figure.part is not None and not figure.is_needed:
        default = figure.said or "may be left out"
    source = "" if figure.is_needed or not figure.said else figure.source
    cells = (f"`{path.removeprefix('*.')}`", _written(figure), default, _bounds(figure), figure.meaning, source)
    return f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"


def _written(figure: Figure) -> str:
    if figure.how:
        return {"one": "a table", "many": "a list of tables", "named": "named tables"}.get(
            figure.how, "a word or a table"
        )
    if figure.choices and figure.form.name != "words":
        return " or ".join(f'`"{word}"`' for word in figure.choices)
    if figure.form.name == "words":
        return "a list out of " + ", ".join(f'`"{word}"`' for word in figure.choices)
    if figure.form.name == "quantity" and not figure.unit:
        return "a plain number"
    return f"{figure.form.name}, as `{example_value(figure)}`"


def _bounds(figure: Figure) -> str:
    if figure.form.name == "date" and figure.least and figure.most:
        return f"year {figure.least:.0f} to {figure.most:.0f}"
    counted = figure.form.name in ("quantity", "whole number", "quantity that varies")
    if not counted or (not figure.least and figure.most is None):
        return ""
    show = (lambda value: units.show(value, figure.unit)) if figure.unit else units.number
    if figure.most is None:
        return f"at least {show(figure.least or 0.0)}"
    return f"{show(figure.least)} to {show(figure.most)}" if figure.least else f"at most {show(figure.most)}"


def _sheet() -> Iterator[str]:
    """The strain sheet as one table for each strain."""
    yield '\n### The strain sheet: what `like = "..."` stands for\n'
    yield "Yields stand here as biological efficiency: saleable mushrooms over dry substrate of the farm's own block.\n"
    for like, figures in SHEET.items():
        yield f"\n**{like}**\n\n| figure | value | source |\n|---|---|---|"
        for key, sheet in figures.items():
            yield f"| `{key}` | {_value(sheet)} | {sheet.source} |"
    yield "\n**Sources**\n"
    yield from (f"- {name}: {source}" for name, source in SOURCES.items())


def _value(sheet: Sheet) -> str:
    written = sheet.written
    if isinstance(written, dict):
        return ", ".join(f"{key} {value}" for key, value in written.items())
    if isinstance(written, list):
        return ", ".join(str(item) for item in written)
    return ("yes" if written else "no") if isinstance(written, bool) else str(written)
