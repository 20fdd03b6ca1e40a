"""A farm's file as tables that know on which line each of their keys stands, and which the farm marked as a guess.

tomllib reads the values but forgets lines and comments; the walk here goes over the same text once more and notes only
where each key stands and what is said beside it. It is only ever given text that tomllib has already accepted.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass

Path = tuple[str | int, ...]
Gone = tuple[str, str]  # a kind of thing and the name of one; no name for a section there is only one of

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_DOT = re.compile(r"[ \t]*\.[ \t]*")
_STRING = re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}' + r"|'''.*?'{3,5}" + r'|"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'", re.S)
_BARE = re.compile(r"[^,\]}#\n]+")
_GUESS = re.compile(r"\s*guess(?:ed)?\b[\s:;,.-]*(.*)", re.I)


@dataclass(frozen=True, slots=True)
class Place:
    """A line of a file; `guess` is what stands behind a figure whose line ends in a comment such as "# guess: ...".

    None when the figure is not marked as a guess, empty when the mark says no more.
    """

    file: str
    line: int
    guess: str | None = None

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file


class Table(dict[str, object]):
    """A table of a farm's file; `places` says where each key stands, `filled` which come from the strain sheet.

    The outermost table of a farm also knows what change sets took away, and where: ("strain", "oyster"), ("soak", "").
    """

    places: dict[str, Place]
    filled: frozenset[str]
    file: str
    gone: dict[Gone, Place]

    def __init__(
        self,
        values: Mapping[str, object],
        places: Mapping[str, Place],
        filled: frozenset[str] = frozenset(),
        file: str = "",
        gone: Mapping[Gone, Place] | None = None,
    ) -> None:
        super().__init__(values)
        self.places = dict(places)
        self.filled = filled
        self.file = file
        self.gone = dict(gone or {})

    def twin(self) -> Table:
        """A copy whose inner tables and lists are copies too."""
        inner = {key: _twin(value) for key, value in self.items()}
        return Table(inner, self.places, self.filled, self.file, self.gone)


def _twin(value: object) -> object:
    if isinstance(value, Table):
        return value.twin()
    return [_twin(item) for item in value] if isinstance(value, list) else value


class _Walk:
    """One walk over a text, noting the line of every key."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self.guesses: dict[int, str] = {}
        self.counts: dict[Path, int] = {}
        self._line, self._counted = 1, 0

    def line(self) -> int:
        self._line += self.text.count("\n", self._counted, self.at)
        self._counted = self.at
        return self._line

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        assert match is not None
        self.at = match.end()
        return match.group()

    def blank(self) -> None:
        """Passes over what says nothing to a program; a comment behind a figure may say that it is a guess."""
        line = self.line()
        _, sign, comment = self.skip(_BLANK).split("\n", 1)[0].partition("#")
        match = _GUESS.fullmatch(comment) if sign else None
        if match is not None:
            self.guesses[line] = match[1].strip()

    def dotted(self) -> list[str]:
        names = [_unquoted(self.skip(_KEY))]
        while (match := _DOT.match(self.text, self.at)) is not None:
            self.at = match.end()
            names.append(_unquoted(self.skip(_KEY)))
        return names

    def resolved(self, names: list[str]) -> Path:
        """The path of a header: the last table of a list stands for the list."""
        path: Path = ()
        for name in names:
            path = (*path, name)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        return path

    def header(self) -> Path:
        line, double = self.line(), self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        self.blank()
        names = self.dotted()
        self.blank()
        self.at += 2 if double else 1
        if double:
            path = (*self.resolved(names[:-1]), names[-1])
            self.counts[path] = self.counts.get(path, 0) + 1
        path = self.resolved(names)
        self.note(path, line)
        return path

    def note(self, path: Path, line: int) -> None:
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], line)

    def pair(self, inside: Path) -> None:
        line = self.line()
        path = (*inside, *self.dotted())
        self.note(path, line)
        self.blank()
        self.at += 1  # the equals sign
        self.value(path)

    def value(self, path: Path) -> None:
        self.blank()
        sign = self.text[self.at]
        if sign in "\"'":
            self.skip(_STRING)
        elif sign in "[{":
            self.several(path, sign)
        else:
            self.skip(_BARE)

    def several(self, path: Path, sign: str) -> None:
        close, at = ("]" if sign == "[" else "}"), 0
        self.at += 1
        self.blank()
        while self.text[self.at] != close:
            if sign == "{":
                self.pair(path)
            else:
                self.note((*path, at), self.line())
                self.value((*path, at))
            at += 1
            self.blank()
            self.at += self.text[self.at] == ","
            self.blank()
        self.at += 1

    def whole(self) -> _Walk:
        inside: Path = ()
        self.blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                inside = self.header()
            else:
                self.pair(inside)
            self.blank()
        return self


def _unquoted(key: str) -> str:
    if key[0] == '"':
        return str(next(iter(tomllib.loads(f"{key} = 0"))))
    return key.strip("'")


def key_lines(text: str) -> dict[Path, int]:
    """The line of every key, table and list item of a valid TOML text, by its path."""
    return _walked(text).lines


def _walked(text: str) -> _Walk:
    return _Walk(text.replace("\r\n", "\n")).whole()


def placed(values: Mapping[str, object], text: str, file: str) -> Table:
    """The tables of a text that tomllib has read, each key with its place."""
    return _placed(values, (), _walked(text), file)


def _placed(values: Mapping[str, object], path: Path, walk: _Walk, file: str) -> Table:
    inner = {key: _inner(value, (*path, key), walk, file) for key, value in values.items()}
    lines = {key: walk.lines.get((*path, key), 0) for key in values}
    places = {key: Place(file, line, walk.guesses.get(line)) for key, line in lines.items()}
    return Table(inner, places, file=file)


def _inner(value: object, path: Path, walk: _Walk, file: str) -> object:
    if isinstance(value, dict):
        return _placed(value, path, walk, file)
    if isinstance(value, list):
        return [_inner(item, (*path, at), walk, file) for at, item in enumerate(value)]
    return value


def place_of(table: Table, path: Path) -> Place | None:
    """The line of the key at the end of a path, or of the last key on the way there that is written at all."""
    found: Place | None = None
    inside: object = table
    for piece in path:
        if isinstance(inside, Table) and isinstance(piece, str) and piece in inside:
            found, inside = inside.places.get(piece, found), inside[piece]
        elif isinstance(inside, list) and isinstance(piece, int) and piece < len(inside):
            inside = inside[piece]
            found = _first(inside, found)
        else:
            return _below(inside, piece) or found
    return found


def _first(item: object, otherwise: Place | None) -> Place | None:
    return next(iter(item.places.values()), otherwise) if isinstance(item, Table) else otherwise


def _below(inside: object, piece: str | int) -> Place | None:
    """A key that is written one table further in, such as the break among the hours."""
    if not isinstance(inside, Table):
        return None
    for inner in inside.values():
        if isinstance(inner, Table) and piece in inner:
            return inner.places[str(piece)]
    return None
