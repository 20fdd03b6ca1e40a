"""Rows and paragraphs in plain text, laid out for a screen of a hundred columns."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from textwrap import wrap

WIDTH = 100
HEAD = 14  # columns kept for the heading of a section
TIED = "\u00a0"  # a space at which no line is broken
UNIT = re.compile(r"(?<=\d) (?=%|lb\b|kg\b|h\b|days?\b|in \d)")


def row(label: str, figures: Iterable[str], after: str = "", label_width: int = 26, figure_width: int = 10) -> str:
    """A label, figures under one another, and what is to be said about them."""
    cells = "".join(figure.rjust(figure_width) for figure in figures)
    return f"{label:<{label_width}}{cells}   {after}".rstrip()


def section(heading: str, paragraphs: Sequence[str]) -> list[str]:
    """A heading with its paragraphs beside it, each wrapped to the screen."""
    lines = [line for paragraph in paragraphs for line in hung(paragraph, "", WIDTH - HEAD)]
    return [f"{heading if place == 0 else '':<{HEAD}}{line}".rstrip() for place, line in enumerate(lines)]


def hung(text: str, label: str, width: int, label_width: int = 0) -> list[str]:
    """A label and a text beside it that keeps to its own column when it is wrapped."""
    lines = [line.replace(TIED, " ") for line in wrap(UNIT.sub(TIED, text), width - label_width)] or [""]
    return [f"{label if place == 0 else '':<{label_width}}{line}" for place, line in enumerate(lines)]


def labelled(pairs: Sequence[tuple[str, str]], widest: int = 30) -> list[str]:
    """Labels with their texts hanging beside them, for use inside a section."""
    label_width = min(widest, max((len(label) for label, _ in pairs), default=0)) + 2
    return [line for label, text in pairs for line in hung(text, label, WIDTH - HEAD, label_width)]


def beside(heading: str, lines: Sequence[str]) -> list[str]:
    """Lines that are laid out already, with a heading before the first."""
    return [f"{heading if place == 0 else '':<{HEAD}}{line}".rstrip() for place, line in enumerate(lines)]
