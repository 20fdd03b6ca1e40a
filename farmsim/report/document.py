"""A document as a list of parts, told once and then written as a page and as a PDF.

What a part looks like is decided where it is written (`as_html`, `as_typst`); here is only what it says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim.report.html import Table

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
    """A table; is_wide: it wants a page of its own in landscape."""

    table: Table
    is_wide: bool = False


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


Part = Heading | Words | Pairs | Listed | Sheet | Side | Picture | NewPage


@dataclass(frozen=True)
class Document:
    """The whole: title, a line under it, what stands at the foot of every page, and across it while it is a draft ("" later).

    language: as in "en-US"
    """

    title: str
    under: str
    foot: str
    draft: str
    parts: tuple[Part, ...]
    language: str = "en-US"
