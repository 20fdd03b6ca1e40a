"""A figure as a line of a farm's file: its value as a grower writes it, in US or metric units.

What is written here is read back to the same value, to four digits.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim import units
from farmsim.scenario.forms import CLOCK, QUANTITY, SHARES
from farmsim.scenario.part import Part
from farmsim.scenario.values import DAYS, Range
from farmsim.scenario.vary import Fixed, MeanCv, Triangular

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

WIDEST_KEY, WIDEST_VALUE = 25, 34  # columns kept for keys and values, so that comments stand under one another


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a farm's file: key, value as TOML, what is said behind it, and what stands above it."""

    key: str
    value: str
    note: str = ""
    above: str = ""


def text(word: str) -> str:
    """A text in quotes, as TOML reads it."""
    return json.dumps(word, ensure_ascii=False).replace("\x7f", "\\u007f")


def value_of(figure: Figure, value: object, system: units.System) -> str:
    """The value of a figure as TOML: "18 lb/h each", { mean = "10 d", cv = 0.13 }, [61, 25, 14].

    value: as it stands in the farm [the figure's unit]
    Goes wrong when a value of its kind is never written by farmsim: TypeError.
    """
    match value:
        case bool():
            return "true" if value else "false"
        case int() | float():
            return _number(float(value), figure, system)
        case str():
            return text(value)
        case Range():
            return text(_between(value, figure, system))
        case Fixed() | Triangular() | MeanCv():
            return _vary(value, figure, system)
        case tuple() if figure.form is SHARES:
            return f"[{', '.join(units.number(100 * share) for share in value)}]"
        case tuple():
            return _listed([_item(item, system) for item in value])
    raise TypeError(f"no way to write {figure.name}: {value!r}")


def _number(value: float, figure: Figure, system: units.System) -> str:
    if figure.form is CLOCK:
        return text(units.show_clock(value))
    if not figure.unit or figure.form is not QUANTITY:
        return units.number(value).replace(",", "")
    said = units.show(value, figure.unit, system).replace(",", "")
    if "saleable" in figure.words:
        said = said.replace(" a block", " saleable a block")
    return text(f"{said} each" if figure.each else said)


def _amount(value: float, figure: Figure, system: units.System) -> str:
    return text(units.show(value, figure.unit, system).replace(",", ""))


def _between(value: Range, figure: Figure, system: units.System) -> str:
    low, high = (units.show(each, figure.unit, system) for each in (value.low, value.high))
    return f"{low.split(' ')[0]} to {high}"


def _vary(value: Fixed | Triangular | MeanCv, figure: Figure, system: units.System) -> str:
    match value:
        case Fixed():
            return _amount(value.value, figure, system)
        case Triangular():
            parts = {"low": value.low, "likely": value.likely, "high": value.high}
            return table({name: _amount(each, figure, system) for name, each in parts.items()})
    return table({"mean": _amount(value.mean, figure, system), "cv": units.number(value.cv)})


def _item(item: object, system: units.System) -> str:
    if isinstance(item, Part):
        figures = type(item).figures
        return table({figure.name: value_of(figure, getattr(item, name), system) for name, figure in figures.items()})
    return text(str(item))


def _listed(items: Sequence[str]) -> str:
    """A list; tables in it stand one a line."""
    if any(item.startswith("{") for item in items):
        return "\n".join(["[", *(f"  {item}," for item in items), "]"])
    return f"[{', '.join(items)}]"


def table(values: Mapping[str, str]) -> str:
    """An inline table of values that are TOML already."""
    return "{ " + ", ".join(f"{key} = {value}" for key, value in values.items()) + " }"


def days(these: Sequence[str]) -> str:
    """Days of the week as TOML: "mon-fri", or a list."""
    at = [DAYS.index(day) for day in these]
    if len(at) == len(DAYS):
        return text("every day")
    if len(at) > 2 and at == list(range(at[0], at[0] + len(at))):
        return text(f"{these[0]}-{these[-1]}")
    return f"[{', '.join(map(text, these))}]"


def set_out(lines: Iterable[Line]) -> list[str]:
    """The lines of one table, equals signs and comments under one another."""
    lines = list(lines)
    key = min(WIDEST_KEY, max((len(line.key) for line in lines), default=0))
    value = min(WIDEST_VALUE, max((len(line.value.split(chr(10))[0]) for line in lines if line.note), default=0))
    written = []
    for line in lines:
        written += [f"# {line.above}"] if line.above else []
        note = f"   # {line.note}" if line.note else ""
        first, *rest = line.value.split("\n")
        written += [f"{line.key:<{key}} = {first:<{value}}{note}".rstrip(), *rest]
    return written
