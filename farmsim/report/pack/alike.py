"""Figures in the words of the farm's file, and the same figure of several strains, crews or customers in one row."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from farmsim.report.words import listed, tidy
from farmsim.scenario.farm import Farm

SEVERAL = frozenset(figure.name for figure in Farm.figures.values() if figure.how in ("many", "named"))
"""What a farm has several of, each by its own name: the second piece of their paths."""
ALL_FROM = 3  # things from which on "all strains" is shorter than their names
ANY = "*"
_PIECE = re.compile(r'"([^"]*)"|([^.]+)')


@dataclass(frozen=True)
class Named:
    """A figure by its path. kind: what it is of, "strain"; whose: of which one, "" where there is one only; what: the rest."""

    kind: str
    whose: str
    what: str

    @property
    def words(self) -> str:
        """Without whose it is: "strain: overripe, thrown out after"."""
        return f"{self.kind}: {self.what}" if self.what else self.kind

    @property
    def full(self) -> str:
        """With whose it is: "strain shiitake: overripe, loses"; of several at once "every strain: ..."."""
        if self.whose == ANY:
            return f"every {self.words}"
        return f"{self.kind} {self.whose}: {self.what}" if self.whose else self.words


def named(path: str) -> Named:
    """A path such as strain.shiitake.overripe.loses in words; a name with a point in it stands in quotes."""
    first, *rest = [quoted or plain for quoted, plain in _PIECE.findall(tidy(path))] or [""]
    whose = rest.pop(0) if first in SEVERAL and len(rest) > 1 else ""
    return Named(_spaced(first), whose, ", ".join(map(_spaced, rest)))


def _spaced(piece: str) -> str:
    return piece.replace("_", " ")


@dataclass(frozen=True)
class Alike:
    """The same figure with the same value, meaning, source and day; whose: of which ones, "" where there is one only."""

    figure: str
    whose: str
    value: str
    meaning: str
    source: str
    day: str


def together(rows: Iterable[Mapping[str, str]], every: Mapping[str, tuple[str, ...]]) -> list[Alike]:
    """Rows of the list of assumptions, those that differ in their names only as one; rows of one figure follow one another.

    every: all names of each kind, as `names` tells them
    """
    found: dict[tuple[str, ...], list[Named]] = {}
    for row in rows:
        one = named(row["figure"])
        told = (one.words, *(row.get(name, "") for name in ("value", "meaning", "source", "day")))
        found.setdefault(told, []).append(one)
    place = {words: at for at, words in enumerate(dict.fromkeys(words for words, *_ in found))}
    made = [(told, _whose(those, every)) for told, those in sorted(found.items(), key=lambda each: place[each[0][0]])]
    return [Alike(words, whose, value, meaning, source, day) for (words, value, meaning, source, day), whose in made]


def names(paths: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """All names of each kind that a farm has several of, in their order."""
    found: dict[str, dict[str, None]] = {}
    for one in map(named, paths):
        if one.whose:
            found.setdefault(one.kind, {})[one.whose] = None
    return {kind: tuple(those) for kind, those in found.items()}


def all_of(every: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    """Which ones "every strain" means: kind by kind, where it is said of them."""
    return {f"every {kind}": listed(those) for kind, those in every.items() if len(those) >= ALL_FROM}


def _whose(those: list[Named], every: Mapping[str, tuple[str, ...]]) -> str:
    kind, mine = those[0].kind, [one.whose for one in those]
    if len(mine) >= ALL_FROM and len(mine) == len(every.get(kind, ())):
        return f"every {kind}"
    return ", ".join(filter(None, mine))
