"""The one declaration of a figure, and the walk over all figures.

A figure is declared once, in its topic's file. The loader, the checks, the reference page, the editors' schema and the
list of assumptions all read that declaration; none of them knows a figure by name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

from farmsim import units
from farmsim.scenario.forms import CLEAN, NAMED, PART, PARTS, QUANTITY, Form

if TYPE_CHECKING:
    from farmsim.scenario.part import Part

FARM: Final = "the farm decides"
PLACEHOLDER: Final = "placeholder"
COMMON: Final = "common practice, no source"
MEMORY: Final = "from memory"
GUESSES: Final = (PLACEHOLDER, COMMON, MEMORY)
NEEDED: Final = object()

How = Literal["", "one", "many", "named", "word or one"]


@dataclass(frozen=True, slots=True)
class Figure:
    """What is declared of one figure."""

    unit: str
    meaning: str
    source: str
    form: Form
    default: object = NEEDED
    said: str = ""
    name: str = ""
    least: float | None = None
    most: float | None = None
    each: str = ""
    words: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    part: type[Part] | None = None
    how: How = ""

    @property
    def is_needed(self) -> bool:
        """Whether it must be given."""
        return self.default is NEEDED

    @property
    def is_guess(self) -> bool:
        """Whether nothing published stands behind its default."""
        return self.source.startswith(GUESSES)


def figure(
    unit: str = "",
    default: object = NEEDED,
    *,
    meaning: str,
    source: str = FARM,
    least: float | None = 0.0,
    most: float | None = None,
    form: Form = QUANTITY,
    each: str = "",
    words: tuple[str, ...] = (),
    also: tuple[str, ...] = (),
    choices: tuple[str, ...] = (),
    toml: str = "",
) -> Any:  # the type stands in the annotation beside it
    """Declares one figure.

    unit: unit inside the program, such as "kg/block"; "" for words and plain counts
    default: as a grower writes it, "12 h", or a ready value; left out: the figure must be given
    least, most: bounds in that unit, of a date in years; None for no bound
    form: how it is written
    each: who the pace is for, "person" or "bench"; the meaning says so too
    toml: the name in the farm's file where it differs from the attribute's
    """
    value, said = default, ""
    if isinstance(default, str) and unit and form is QUANTITY:
        value, said = units.parse(default, unit), default
    elif default is not NEEDED:
        said = form.say(default, unit)
    return Figure(unit, meaning, source, form, value, said, toml, least, most, each, words, also, choices)


def one(part: type[Part], default: object = NEEDED, *, meaning: str, toml: str = "") -> Any:  # as above
    """Declares a table of figures of its own."""
    return Figure("", meaning, FARM, PART, default, "", toml, part=part, how="one")


def many(part: type[Part], default: object = NEEDED, *, meaning: str, source: str = FARM, least: int = 0) -> Any:
    """Declares a list of at least so many tables."""
    said = "" if default is NEEDED else PARTS.say(default, "")
    return Figure("", meaning, source, PARTS, default, said, least=least, part=part, how="many")


def named(part: type[Part], default: object = NEEDED, *, meaning: str) -> Any:  # as above
    """Declares tables that each have a name of their own."""
    return Figure("", meaning, FARM, NAMED, default, "", part=part, how="named")


def word_or_one(part: type[Part], default: str, *, choices: tuple[str, ...], meaning: str) -> Any:  # as above
    """Declares a word that may also be written out as a table."""
    return Figure("", meaning, FARM, CLEAN, default, default, choices=choices, part=part, how="word or one")


@dataclass(frozen=True, slots=True)
class Walked:
    """One figure met on the walk: the part it belongs to, its path in the file and its declaration."""

    part: type[Part]
    path: tuple[str, ...]
    attribute: str
    figure: Figure


def walk(part: type[Part], path: tuple[str, ...] = ()) -> Iterator[Walked]:
    """Every figure a farm's file may hold, in the order of their declaration; "*" stands for a name."""
    for attribute, declared in part.figures.items():
        if declared.form.name == "inside":
            continue
        holder = next((table for table, keys in part.lifts.items() if declared.name in keys), None)
        here = (*path, declared.name) if holder is None else (*path, holder, declared.name)
        yield Walked(part, here, attribute, declared)
        if declared.part is not None:
            yield from walk(declared.part, (*here, "*") if declared.how in ("many", "named") else here)
