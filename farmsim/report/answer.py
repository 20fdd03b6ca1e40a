"""What a question found, ready to be told and written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Answer:
    """An answer in every form in which it is given.

    text: sentences with numbers first, then the table
    plain: the same for other programs, as JSON holds it
    asked: what was asked, so that a result folder tells it (file, seed, runs, targets ...)
    tables: pandas tables by the name of their CSV file; pictures: how each is drawn, by the name of its files
    texts: whatever else is written, by file name; files: the same where it is no text, each writes itself to a path
    """

    text: str
    plain: Mapping[str, object]
    asked: Mapping[str, object]
    tables: Mapping[str, Any] = field(default_factory=dict)
    pictures: Mapping[str, Callable[[], Figure]] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    files: Mapping[str, Callable[[Path], None]] = field(default_factory=dict)
