"""A document as a text for typst: calls of the functions in `typst_style`, every text of the document a string of them.

So no letter of the document is ever read as a sign of typst's; what has to be escaped is what ends a string.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import wrap
from types import MappingProxyType

from farmsim.report.document import (
    Contents,
    Document,
    Heading,
    Landscape,
    Listed,
    NewPage,
    OnePage,
    Pairs,
    Part,
    Picture,
    Sheet,
    Side,
    Words,
    leaves,
    spelt,
)
from farmsim.report.figures.paper import drawable
from farmsim.report.html import Column, Table, below
from farmsim.report.typst_style import STYLE

PAPERS: Mapping[str, str] = MappingProxyType({"us": "us-letter", "metric": "a4"})
MANNERS: Mapping[str, str] = MappingProxyType({"plain": "words", "small": "small", "strong": "strong-words"})


SHORT = 14  # letters that a line of a narrow column holds at least
FEW = 10  # one cell in so many may take more lines than the others
LEAD = 260  # letters of a paragraph that stays with what is below it
LED_TO = Sheet | Side | Listed | Pairs | Picture | Heading
MEASURED = 24  # of the longest texts of a column


def markup(document: Document, system: str) -> str:
    """The whole document as typst reads it; a picture is asked for as `NAME.svg` in the same folder.

    system: "us" for letter paper, "metric" for A4
    """
    document = spelt(document, drawable)
    language, _, region = document.language.partition("-")
    texts = (document.title, document.under, document.foot, document.draft, document.draft.partition(":")[0], language)
    told = [*map(escaped, texts), escaped(region) if region else "none", escaped(PAPERS[system])]
    body = "\n".join(filter(None, _in_turn(list(leaves(document.parts)))))
    return f"{STYLE}\n#show: body => report({', '.join(told)}, body)\n\n{body}\n"


def escaped(words: str) -> str:
    """A text as a string of typst, its quotes around it."""
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _in_turn(parts: Sequence[Part | Landscape]) -> Iterator[str]:
    """Part by part; a word or two below a heading stay on the page of what they lead to, as the heading does."""
    for before, part, after in zip((None, *parts), parts, (*parts[1:], None), strict=False):
        if isinstance(before, Heading) and isinstance(part, Words) and isinstance(after, LED_TO):
            yield _call("lead", [escaped(part.words)]) if len(part.words) <= LEAD else written(part)
        else:
            yield written(part)


def written(leaf: Part | Landscape) -> str:
    """One part, or what stands together on a page on its side, as typst; nothing for a part that says nothing."""
    match leaf:
        case Landscape():
            return "#on-its-side[\n" + "\n".join(filter(None, map(written, leaf.parts))) + "\n]"
        case Heading():
            return f"#heading(level: {leaf.level}, {escaped(leaf.words)}) <{leaf.name}>"
        case Words():
            return _call(MANNERS[leaf.manner], [escaped(leaf.words)])
        case Pairs():
            return _call("pairs", [_array(map(escaped, row)) for row in leaf.rows])
        case Listed():
            return _call("numbered" if leaf.is_numbered else "list-of", map(escaped, leaf.rows))
        case Sheet():
            return _call("dense-sheet" if leaf.is_dense else "sheet", _told(leaf.table))
        case Side():
            return _call("side", [*_told(leaf.left), *_told(leaf.right)])
        case Picture():
            heading = f"{leaf.heading.removesuffix('.')}."
            return _call("picture", map(escaped, (f"{leaf.name}.svg", leaf.instead, heading, leaf.sees)))
        case OnePage():
            return "#one-page[\n" + "\n".join(filter(None, map(written, leaf.parts))) + "\n]"
        case NewPage():
            return "#pagebreak(weak: true)"
        case Contents():
            return "#chapters()"


def _told(one: Table) -> list[str]:
    """A table as a dictionary of typst; nothing when it has no row."""
    if not one.rows:
        return []
    cells = [[row[at] for row in one.rows] for at in range(len(one.columns))]
    both = list(zip(one.columns, cells, strict=True))
    told = {
        "caption": escaped(one.caption),
        "heads": _array(escaped(column.head) for column in one.columns),
        "units": _array(escaped(column.unit) for column in one.columns),
        "longest": _array(_widest(_unbroken(column, each)) for column, each in both),
        "fullest": _array(_widest([*each, column.head, column.unit]) for column, each in both),
        "common": _array(_widest([*_common(each), column.head, column.unit]) for column, each in both),
        "rows": _array(_array(map(escaped, row)) for row in one.rows),
        "summed": "true" if one.summed else "false",
        "below": escaped(below(one)),
    }
    return ["(" + ", ".join(f"{name}: {value}" for name, value in told.items()) + ")"]


def _unbroken(column: Column, cells: list[str]) -> list[str]:
    """What must have room on one line in a column: figures, short texts, of longer ones a few words or a long one.

    A head is broken only where it is longer than that.
    """
    pieces = [piece for cell in cells for piece in ([cell] if column.unit else _lines(cell, SHORT))]
    return [*pieces, *_lines(column.head, max(map(len, pieces), default=0)), column.unit]


def _lines(words: str, letters: int) -> list[str]:
    return wrap(words, max(letters, 1), break_long_words=False, break_on_hyphens=False)


def _common(cells: list[str]) -> list[str]:
    """The cells without the longest tenth: by them room is shared out where there is too little for all."""
    return sorted(cells, key=len)[: len(cells) - len(cells) // FEW]


def _widest(texts: list[str]) -> str:
    """The longest of these texts, as an array of typst: which of them is the widest is found by measuring them."""
    return _array(map(escaped, sorted(set(texts), key=lambda text: (-len(text), text))[:MEASURED]))


def _call(name: str, told: Iterable[str]) -> str:
    """A call of a function with what there is to tell; nothing when there is nothing."""
    given = ", ".join(told)
    return f"#{name}({given})" if given else ""


def _array(items: Iterable[str]) -> str:
    """An array of typst; one item has its comma, else it would be no array."""
    return "(" + "".join(f"{item}, " for item in items) + ")"
