"""A document as a list of parts, told once and then written as a page and as a PDF.

What a part looks like is decided where it is written (`as_html`, `as_typst`); here is only what it says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim.report.html import Table
from farmsim.report.words import dated, respelt, tidy, tied

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Heading:
    """A heading; level 1 is a chapter, 2 a section within it. name: by which it can be pointed at, letters and dashes only."""

    words: str
    name: str
    level: int = 1


@dataclass(frozen=True)
class Words:
    """A paragraph; manner: "plain", "small" for notes, "strong" for the one sentence that counts."""

    words: str
    manner: str = "plain"


@dataclass(frozen=True)
class Pairs:
    """Terms and what is said of each, one under the other: WHY ... WHO BUYS ..."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Listed:
    """A list; is_numbered: whether the order counts."""

    rows: tuple[str, ...]
    is_numbered: bool = False


@dataclass(frozen=True)
class Sheet:
    """A table; is_wide: it wants a page on its side; is_dense: a long list to look something up in, in small letters."""

    table: Table
    is_wide: bool = False
    is_dense: bool = False


@dataclass(frozen=True)
class Side:
    """Two tables beside one another, such as uses and sources; one above the other where the page is narrow."""

    left: Table
    right: Table


@dataclass(frozen=True)
class Picture:
    """A picture: how it is drawn, its heading, what stands for it where it cannot be seen, and what is to be seen in it."""

    name: str
    draw: Callable[[], Figure]
    heading: str
    instead: str
    sees: str


@dataclass(frozen=True)
class NewPage:
    """What follows begins on a new page, where there are pages."""


@dataclass(frozen=True)
class Contents:
    """Where chapters are listed: with their pages on paper, as links on a screen. Without it a screen has them at the top."""


@dataclass(frozen=True)
class OnePage:
    """What has to be seen at one glance: on paper it takes the rest of the page, set so small that it has room there.

    It holds no pictures and no wide tables.
    """

    parts: tuple[Part, ...]


Part = Heading | Words | Pairs | Listed | Sheet | Side | Picture | NewPage | Contents | OnePage


@dataclass(frozen=True)
class Document:
    """The whole: title, a line under it, what stands at the foot of every page, and across it while it is a draft ("" later).

    draft: up to its first colon it stands across every page, and whole at the head
    language: as in "en-US"
    """

    title: str
    under: str
    foot: str
    draft: str
    parts: tuple[Part, ...]
    language: str = "en-US"


@dataclass(frozen=True)
class Landscape:
    """A page on its side: a wide table, after what leads to it."""

    parts: tuple[Part, ...]


def drawn(document: Document) -> dict[str, str]:
    """Every picture of a document by its name, as SVG: drawn once for the page and the PDF."""
    from farmsim.report.figures.paper import as_svg

    return {part.name: as_svg(part.draw(), is_clear=True) for part in document.parts if isinstance(part, Picture)}


def spelt(document: Document, spell: Callable[[str], str] = str) -> Document:
    """The same document with every text on one line, without letters that steer a screen, and then as `spell` has it.

    Spaces at which no line may break are kept; days are all written in one way, and no line breaks within one.
    """
    return respelt(document, lambda text: spell(tied(dated("\u00a0".join(map(tidy, text.split("\u00a0")))))))


def leaves(parts: tuple[Part, ...]) -> Iterator[Part | Landscape]:
    """The parts in their order; a wide table is taken together with its heading and the words between them.

    Else the heading would stay behind at the foot of the page before. Wide tables of one chapter with only words and sections
    between them share a page. Beside such a page no other new page is begun.
    """
    waiting: list[Part] = []
    wide: Landscape | None = None
    for part in parts:
        if isinstance(part, Sheet) and part.is_wide and part.table.rows:
            at = _leads_from(waiting)
            if wide is not None and _goes_on(waiting):
                wide = Landscape((*wide.parts, *waiting, part))
            else:
                yield from _before(wide, waiting[:at])
                wide = Landscape((*waiting[at:], part))
            waiting = []
        elif not (wide is not None and not waiting and isinstance(part, NewPage)):
            waiting.append(part)
    yield from [] if wide is None else [wide]
    yield from waiting


def _before(wide: Landscape | None, parts: list[Part]) -> Iterator[Part | Landscape]:
    """What comes before a page on its side: the one before it, and parts without a new page as their last."""
    yield from [] if wide is None else [wide]
    yield from parts[:-1] if parts and isinstance(parts[-1], NewPage) else parts


def _goes_on(parts: list[Part]) -> bool:
    """Whether these parts, between two wide tables, leave them in one chapter and need no page of their own."""
    return all(isinstance(part, Words) or (isinstance(part, Heading) and part.level > 1) for part in parts)


def _leads_from(parts: list[Part]) -> int:
    """Where the heading (or several in a row) stands from which only words lead to the end; the end when there is none."""
    at = len(parts)
    while at and isinstance(parts[at - 1], Words):
        at -= 1
    if not at or not isinstance(parts[at - 1], Heading):
        return len(parts)
    while at and isinstance(parts[at - 1], Heading):
        at -= 1
    return at
