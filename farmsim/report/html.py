"""A page in HTML, put together from small pieces; every text is escaped where it is put in."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

NARROW = 4  # columns that fit on a small screen
FEW = 10  # one cell in so many may take more lines than the others
SHORT = 24  # rows that are kept on one sheet of paper


@dataclass(frozen=True)
class Column:
    """A column of a table: its heading, its unit ("" for words), and what stands in it."""

    head: str
    unit: str = ""
    means: str = ""


@dataclass(frozen=True)
class Table:
    """A table: what it is, its columns, its rows as texts; whether the last row is the sum of those above."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    summed: bool = False
    note: str = ""


@dataclass(frozen=True)
class Section:
    """A section of the page: its heading and what stands below it, as HTML."""

    name: str
    heading: str
    body: str


def tag(name: str, inside: str, **attributes: str) -> str:
    """An element around HTML; attributes are texts; in their names a trailing _ is left out, and another is a hyphen."""
    told = "".join(f' {key.rstrip("_").replace("_", "-")}="{escape(value)}"' for key, value in attributes.items())
    return f"<{name}{told}>{inside}</{name}>"


def text(name: str, words: str, **attributes: str) -> str:
    """An element around a plain text."""
    return tag(name, escape(words, quote=False), **attributes)


def section(one: Section) -> str:
    """A section with its heading, which the list of contents can point at."""
    return tag("section", f"{text('h2', one.heading)}\n{one.body}\n", id=one.name)


def table(one: Table, is_dense: bool = False) -> str:
    """A table with its caption, what its columns mean below it; nothing when it has no row.

    is_dense: in small letters, a long list to look something up in
    """
    if not one.rows:
        return ""
    head = tag("thead", tag("tr", "".join(_head(column) for column in one.columns)))
    last = len(one.rows) - 1
    rows = [
        tag("tr", "".join(_cells(row, one.columns)), **({"class_": "sum"} if one.summed and place == last else {}))
        for place, row in enumerate(one.rows)
    ]
    widths = [_widths(one)] if is_dense else []
    body = "\n".join([text("caption", one.caption), *widths, head, tag("tbody", "\n".join(rows))])
    kinds = ["short"] * (len(one.rows) <= SHORT) + ["dense"] * is_dense
    marked = {"class_": " ".join(kinds)} if kinds else {}
    told = below(one)
    return slide(tag("table", body, **marked), one.caption, len(one.columns) > NARROW or is_dense) + (
        text("p", told, class_="note") if told else ""
    )


def _widths(one: Table) -> str:
    """Columns as wide, in percent, as most of their cells ask for; else one long cell would take the room of all others."""
    asked = []
    for at, column in enumerate(one.columns):
        lengths = sorted(len(row[at]) for row in one.rows)
        words = max(len(word) for row in one.rows for word in (row[at] or "-").split())
        asked.append(max(lengths[-1 - len(lengths) // FEW], words, len(column.head)))
    return tag("colgroup", "".join(f'<col style="width: {100 * each / sum(asked):.0f}%">' for each in asked))


def below(one: Table) -> str:
    """What stands below a table: what its columns mean, then its note; nothing when there is neither."""
    told = [f"{column.head}: {column.means}" for column in one.columns if column.means]
    note = ". ".join([*told, one.note.removesuffix(".")]).removesuffix(". ")
    return f"{note}." if note else ""


def slide(inside: str, label: str, wide: bool = True) -> str:
    """What may be wider than a small screen and is then slid sideways by itself."""
    kind = "slide wide" if wide else "slide"
    return tag("div", inside, class_=kind, tabindex="0", role="region", aria_label=label)


def picture(heading: str, svg: str, alt: str, sees: str, link: str) -> str:
    """A picture within the page, what it shows in words, and a link to the file beside the page."""
    shown = slide(tag("a", image(svg, alt), href=link), heading)
    return tag("figure", text("h3", heading) + shown + text("figcaption", sees))


def image(svg: str, alt: str) -> str:
    """A drawing within the page itself, and what stands for it where it cannot be seen."""
    data = base64.b64encode(svg.encode()).decode()
    return f'<img src="data:image/svg+xml;base64,{data}" alt="{escape(alt)}">'


def items(pairs: Sequence[tuple[str, str]], **attributes: str) -> str:
    """Words and what they mean."""
    return tag("dl", "\n".join(text("dt", word) + text("dd", means) for word, means in pairs), **attributes)


def _head(column: Column) -> str:
    unit = f" {text('small', column.unit)}" if column.unit else ""
    return tag("th", escape(column.head, quote=False) + unit, scope="col", **_side(column))


def _cells(row: Sequence[str], columns: Sequence[Column]) -> list[str]:
    first, *rest = row
    cells = [text("th", first, scope="row")]
    return cells + [text("td", cell, **_side(column)) for cell, column in zip(rest, columns[1:], strict=True)]


def _side(column: Column) -> dict[str, str]:
    """Figures stand to the right, under one another."""
    return {"class_": "figure"} if column.unit else {}
