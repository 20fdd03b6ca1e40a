"""The one declaration of a figure, and the walk over all figures.

A figure is declared once, in its topic's file. The loader, the checks, the reference page, the editors' schema and the
list of assumptions all read that declaration; none of them knows a figure by name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import UnionType
from typing import TYPE_CHECKING, Any, Final, Union, get_args, get_origin

from pydantic import BaseModel, Field

from farmsim import units
from farmsim.scenario.forms import QUANTITY, Form

if TYPE_CHECKING:
    from pydantic.fields import FieldInfo

FARM: Final = "the farm decides"
PLACEHOLDER: Final = "placeholder"
COMMON: Final = "common practice, no source"
MEMORY: Final = "from memory"
GUESSES: Final = (PLACEHOLDER, COMMON, MEMORY)
NEEDED: Final = object()


@dataclass(frozen=True, slots=True)
class Figure:
    """What is declared of one figure."""

    unit: str
    meaning: str
    source: str
    form: Form
    default: str = ""
    least: float | None = None
    most: float | None = None
    each: str = ""
    words: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()

    @property
    def is_guess(self) -> bool:
        """Whether its default is a placeholder: nothing published stands behind it."""
        return self.source.startswith(GUESSES)


def figure(
    unit: str = "",
    default: object = NEEDED,
    *,
    meaning: str,
    source: str = FARM,
    least: float | None = 0.0,
    most: float | None = None,
    form: Form | None = None,
    each: str = "",
    words: tuple[str, ...] = (),
    also: tuple[str, ...] = (),
    choices: tuple[str, ...] = (),
    toml: str | None = None,
) -> Any:  # pydantic reads the type from the annotation beside it
    """Declares one figure.

    unit: unit inside the program, such as "kg/block"; "" for words and plain counts
    default: as a grower writes it, "12 h", or a ready value; left out: the figure must be given
    least, most: bounds in that unit; None for no bound
    form: how it is written; None is a plain quantity
    each: who the pace is for, "person" or "bench"
    toml: the name in the farm's file where it differs from the attribute's
    """
    shape = form or QUANTITY
    said = "" if default is NEEDED else default if isinstance(default, str) else shape.say(default, unit)
    declared = Figure(unit, meaning, source, shape, said, least, most, each, words, also, choices)
    extra = {"figure": declared}
    if default is NEEDED:
        return Field(alias=toml, json_schema_extra=extra)  # type: ignore[arg-type]
    value = units.parse(default, unit) if isinstance(default, str) and unit and form is None else default
    return Field(default=value, alias=toml, json_schema_extra=extra)  # type: ignore[arg-type]


def declared(field: FieldInfo) -> Figure:
    """The declaration behind a pydantic field."""
    extra = field.json_schema_extra
    assert isinstance(extra, dict)
    found = extra["figure"]
    assert isinstance(found, Figure)
    return found


def toml_name(name: str, field: FieldInfo) -> str:
    """What the figure is called in the farm's file."""
    return field.alias or name


def part_of(annotation: object) -> tuple[type[BaseModel] | None, str]:
    """The part a field holds and how: "one", "many" (a list), "named" (a table of tables) or "" for a plain figure."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, "one"
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin in (Union, UnionType):
        for argument in arguments:
            part, how = part_of(argument)
            if part is not None:
                return part, how
    if origin is tuple:
        part, how = part_of(arguments[0])
        return (part, "many") if how == "one" else (None, "")
    if origin is dict:
        part, how = part_of(arguments[1])
        return (part, "named") if how == "one" else (None, "")
    return None, ""


@dataclass(frozen=True, slots=True)
class Walked:
    """One figure met on the walk: the part it belongs to, its place in the file and its declaration."""

    part: type[BaseModel]
    path: tuple[str, ...]
    name: str
    field: FieldInfo
    figure: Figure


def walk(part: type[BaseModel], path: tuple[str, ...] = ()) -> Iterator[Walked]:
    """Every figure a farm's file may hold, in the order of their declaration; "*" stands for a name."""
    for name, field in part.model_fields.items():
        figure_ = declared(field)
        if figure_.form.name == "inside":
            continue
        here = (*path, toml_name(name, field))
        yield Walked(part, here, name, field, figure_)
        inner, how = part_of(field.annotation)
        if inner is not None:
            yield from walk(inner, here if how == "one" else (*here, "*"))
