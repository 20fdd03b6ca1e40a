"""The JSON schema of farm files and change sets, for editors: drawn from the figures' declarations.

Editors that know TOML complete names and show meanings with it. It says how a figure may be written, not every rule:
units and the rules between figures are judged by `farmsim check`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from farmsim import units
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure
from farmsim.scenario.pack_form import TO_ORDER
from farmsim.scenario.part import Part, example_value
from farmsim.scenario.sheet import SHEET
from farmsim.scenario.strain import Strain
from farmsim.scenario.values import DAYS

Schema = dict[str, object]

DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"
CLOCK: Final[Schema] = {"type": "string", "pattern": r"^\s*\d{1,2}:\d{2}\s*$"}
SHIFT: Final[Schema] = {"type": "string", "pattern": r"^\s*\d{1,2}:\d{2}\s*-\s*\d{1,2}:\d{2}(\s+next day)?\s*$"}
DATE: Final[Schema] = {"type": "string", "format": "date"}
NAMES: Final[Schema] = {"type": "array", "items": {"type": "string"}, "minItems": 1}
MONTH_NAMES: Final[Schema] = {"type": "array", "items": {"type": "string"}}


def schema() -> Schema:
    """The schema of both kinds of file; a change set is told by its `based_on`."""
    definitions: dict[str, object] = {}
    for is_change in (False, True):
        for part in _parts(Farm):
            definitions[_name(part, is_change)] = _table(part, is_change)
    farm = definitions[_name(Farm, False)]
    assert isinstance(farm, dict)
    farm["properties"]["phase"] = {"type": "array", "items": {"$ref": "#/$defs/Phase"}}
    definitions["Phase"], definitions["ChangeSet"] = _phase(), _change_set()
    return {
        "$schema": DRAFT,
        "title": "A farm, or a change set based on one",
        "type": "object",
        "if": {"required": ["based_on"]},
        "then": {"$ref": "#/$defs/ChangeSet"},
        "else": {"$ref": f"#/$defs/{_name(Farm, False)}"},
        "$defs": definitions,
    }


def _parts(part: type[Part]) -> Iterator[type[Part]]:
    """The part and every part within it, each once."""
    seen: dict[type[Part], None] = {part: None}
    for inner in [figure.part for figure in part.figures.values() if figure.part is not None]:
        seen.update(dict.fromkeys(_parts(inner)))
    yield from seen


def _name(part: type[Part], is_change: bool) -> str:
    return f"{part.__name__}Changed" if is_change else part.__name__


def _table(part: type[Part], is_change: bool) -> Schema:
    """The schema of one part; in a change nothing must be given."""
    lifted = {key for keys in part.lifts.values() for key in keys}
    figures = [figure for figure in part.figures.values() if figure.form.name != "inside"]
    properties = {figure.name: _figure(figure, is_change) for figure in figures if figure.name not in lifted}
    for holder, keys in part.lifts.items():
        inner = {figure.name: _figure(figure, is_change) for figure in figures if figure.name in keys}
        properties[holder] = _with_lifted(properties[holder], inner)
    table: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    needed = [] if is_change else [figure.name for figure in figures if figure.is_needed]
    if part is Strain and needed:
        table["anyOf"] = [{"required": ["like"]}, {"required": needed}]
    elif needed and not _from_sheet(part):
        table["required"] = needed
    return table


def _from_sheet(part: type[Part]) -> bool:
    """Whether the strain sheet may give what the part needs."""
    names = {figure.name for figure in Strain.figures.values() if figure.part is part}
    return any(key.split(".")[0] in names for sheet in SHEET.values() for key in sheet if "." in key)


def _with_lifted(table: object, inner: dict[str, Schema]) -> Schema:
    """A table of like things with a few named keys among them."""
    assert isinstance(table, dict)
    if "anyOf" in table:
        ways = [_with_lifted(way, inner) if way.get("type") == "object" else way for way in table["anyOf"]]
        return {**table, "anyOf": ways}
    return {**table, "properties": inner}


def _figure(figure: Figure, is_change: bool) -> Schema:
    """The schema of one figure, with what an editor shows beside it."""
    return {"description": described(figure), **_shape(figure, is_change)}


def described(figure: Figure) -> str:
    """What a figure is, its default and where that comes from."""
    default = f" Left out: {figure.said}." if figure.said else ""
    source = f" Source: {figure.source}." if figure.said and not figure.is_needed and figure.part is None else ""
    return f"{figure.meaning[:1].upper()}{figure.meaning[1:]}.{default}{source}"


def _words(figure: Figure) -> Schema:
    """One of several words: out of the figure's choices, or any name."""
    return {"enum": list(figure.choices)} if figure.choices else {"type": "string", "minLength": 1}


def _shape(figure: Figure, is_change: bool) -> Schema:
    if figure.part is not None:
        return _inner(figure, {"$ref": f"#/$defs/{_name(figure.part, is_change)}"})
    shapes: dict[str, Schema] = {
        "quantity": _quantity(figure),
        "quantity that varies": _varying(figure),
        "yes or no": {"type": "boolean"},
        "text": {"type": "string", "minLength": 1},
        "word": {"enum": list(figure.choices)},
        "words": {"type": "array", "items": _words(figure), "uniqueItems": True},
        "date": DATE,
        "time of day": CLOCK,
        "days": {"anyOf": [NAMES, {"type": "string"}]},
        "working days": {"anyOf": [NAMES, {"type": "string"}]},
        "shifts": {"type": "object", "additionalProperties": SHIFT, "examples": [{"-".join(DAYS[::6]): "06:00-14:00"}]},
        "range": {"type": "string", "pattern": " to ", "examples": [example_value(figure).strip('"')]},
        "paces by form": _paces(figure),
        "shares": {"type": "array", "items": {"type": "number", "exclusiveMinimum": 0}, "minItems": 1},
        "paces week by week": {"type": "array", "items": {"type": ["string", "number"]}, "minItems": 1},
        "whole number": _whole(figure),
        "price, or prices by strain": {"anyOf": [_quantity(figure), _amounts(figure)]},
        "list of strains": NAMES,
        "lists of blows": {"type": "array", "items": {**NAMES, "minItems": 2, "uniqueItems": True}},
        "months": {"anyOf": [MONTH_NAMES, {"type": "string"}]},
        "month": {"anyOf": [{"type": "string", "pattern": r"^\s*\d{4}-\d{1,2}\s*$"}, DATE]},
        "twelve amounts": _twelve_amounts(figure),
        "twelve factors": {"type": "array", "items": {"type": "number", "minimum": 0}, "minItems": 12, "maxItems": 12},
    }
    if figure.form.name in _BY_STRAIN:
        return {"type": "object", "additionalProperties": _BY_STRAIN[figure.form.name](figure), "minProperties": 1}
    return shapes[figure.form.name] if figure.form.name in shapes else _amounts(figure)


def _twelve_amounts(figure: Figure) -> Schema:
    twelve: Schema = {"type": "array", "items": {"type": "number", "minimum": 0}, "minItems": 12, "maxItems": 12}
    if figure.unit != "kg":
        return twelve
    weights: Schema = {"lb": twelve, "kg": twelve}
    return {"type": "object", "properties": weights, "minProperties": 1, "maxProperties": 1}


def _inner(figure: Figure, reference: Schema) -> Schema:
    shapes: dict[str, Schema] = {
        "one": reference,
        "many": {"type": "array", "items": reference},
        "named": {"type": "object", "additionalProperties": reference},
        "word or one": {"anyOf": [{"enum": list(figure.choices)}, reference]},
    }
    return shapes[figure.how]


def _bounds(figure: Figure) -> Schema:
    bounds = {"minimum": figure.least, "maximum": figure.most}
    return {key: value for key, value in bounds.items() if value is not None}


def _quantity(figure: Figure) -> Schema:
    number: Schema = {"type": "number", **_bounds(figure)}
    if not figure.unit:
        return number
    spoken = units.SPOKEN[figure.unit]
    text: Schema = {"type": "string", "pattern": r"\d", "examples": list(dict.fromkeys((spoken.us, spoken.metric)))}
    return {"anyOf": [text, number]} if figure.unit in ("fraction", "weeks") else text


def _whole(figure: Figure) -> Schema:
    number: Schema = {"type": "integer", **_bounds(figure)}
    return {"anyOf": [number, {"type": "string", "examples": ["10 weeks"]}]} if figure.unit == "weeks" else number


def _varying(figure: Figure) -> Schema:
    one = _quantity(figure)
    cv: Schema = {"type": "number", "minimum": 0, "maximum": 3}
    ways = (
        {"low": one, "likely": one, "high": one},
        {"from": one, "to": one, "share": {"type": ["string", "number"]}},
        {"mean": one, "cv": cv},
        {"measured": {"type": "array", "items": one, "minItems": 1}},
    )
    tables: list[Schema] = []
    for way in ways:
        extra: Schema = {"shape": {"enum": ["lognormal", "gamma"]}} if "mean" in way else {}
        closed: Schema = {"type": "object", "properties": {**way, **extra}, "required": list(way)}
        tables.append({**closed, "additionalProperties": False})
    return {"anyOf": [one, *tables]}


def _paces(figure: Figure) -> Schema:
    return {"type": "object", "properties": dict.fromkeys(TO_ORDER, _quantity(figure)), "additionalProperties": False}


def _amounts(figure: Figure) -> Schema:
    table: Schema = {"type": "object", "additionalProperties": _quantity(figure), "minProperties": 1}
    return {"anyOf": [{"enum": list(figure.choices)}, table]} if figure.choices else table


_BY_STRAIN: Final[dict[str, Callable[[Figure], Schema]]] = {
    "strains by strain": lambda figure: NAMES,
    "amounts that vary by strain": _varying,
}


def _kinds() -> dict[str, Schema]:
    """What is changed, added and removed."""
    farm = {figure.name: figure for figure in Farm.figures.values() if figure.how}
    change = {name: _by_name(figure, True) for name, figure in farm.items()}
    add = {name: _by_name(figure, False) for name, figure in farm.items()}
    take = {name: {"const": True} if figure.how == "one" else NAMES for name, figure in farm.items()}
    return {
        kind: {"type": "object", "properties": properties, "additionalProperties": False}
        for kind, properties in (("change", change), ("add", add), ("remove", take))
    }


def _phase() -> Schema:
    """The schema of one phase of a farm that grows."""
    properties: Schema = {"name": {"type": "string"}, "from": DATE, **_kinds()}
    return {"type": "object", "properties": properties, "required": ["name", "from"], "additionalProperties": False}


def _change_set() -> Schema:
    """The schema of a change set: what it is based on, and what it changes, adds and removes, with its phases."""
    kinds = _kinds()
    text: Schema = {"type": "string"}
    phases: Schema = {"type": "array", "items": {"$ref": "#/$defs/Phase"}}
    properties = {"based_on": text, "name": text, "from": DATE, **kinds, "phase": phases}
    return {"type": "object", "properties": properties, "required": ["based_on"], "additionalProperties": False}


def _by_name(figure: Figure, is_change: bool) -> Schema:
    """Things of one kind, each under its name; an added thing has its name as its heading."""
    assert figure.part is not None
    reference: Schema = {"$ref": f"#/$defs/{_name(figure.part, is_change or figure.how == 'many')}"}
    return reference if figure.how == "one" else {"type": "object", "additionalProperties": reference}
