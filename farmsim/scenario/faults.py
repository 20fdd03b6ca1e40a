"""From what pydantic found to faults a grower can mend: file:line, found, allowed, how to mend it."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure, declared, part_of, toml_name
from farmsim.scenario.forms import nearest, shown
from farmsim.scenario.lines import Path, Table, place_of

_TAGS = ("word", "table")  # how pydantic names the two ways of writing a room's cleaning


def translated(error: ValidationError, table: Mapping[str, object]) -> list[Fault]:
    """All faults of a validation, in the order of the file."""
    faults = [located(_fault(found), table) for found in error.errors(include_url=False)]
    unique = list(dict.fromkeys(faults))
    return sorted(unique, key=_line)


def _line(fault: Fault) -> tuple[str, int]:
    file, _, line = fault.place.rpartition(":")
    return (file, int(line)) if line.isdigit() else (fault.place, 0)


def located(fault: Fault, table: Mapping[str, object]) -> Fault:
    """The fault with its file:line and the spoken name of its figure."""
    place = place_of(table, fault.path) if isinstance(table, Table) else None
    return fault.at(str(place) if place else "", spoken(fault.path, table))


def spoken(path: Path, table: Mapping[str, object]) -> str:
    """The name of a figure as a grower would say it: room North, holds."""
    words: list[str] = []
    inside: object = table
    for at, piece in enumerate(path):
        inside = _step(inside, piece)
        if isinstance(piece, int) and words:
            name = inside.get("name") if isinstance(inside, Mapping) else None
            words[-1] += f" {name}" if isinstance(name, str) else f" {piece + 1}"
        elif at == 1 and path[0] in ("strain", "walk_in") and words:
            words[-1] += f" {piece}"
        else:
            words.append(str(piece))
    return ", ".join(words)


def _step(inside: object, piece: str | int) -> object:
    if isinstance(inside, Mapping):
        return inside.get(piece)
    if isinstance(inside, list | tuple) and isinstance(piece, int) and piece < len(inside):
        return inside[piece]
    return None


def figure_at(path: Path) -> tuple[type[BaseModel] | None, Figure | None]:
    """The part that a path leads into, and the figure at its end if there is one."""
    part: type[BaseModel] | None = Farm
    figure: Figure | None = None
    skip = False
    for piece in path:
        if skip:
            skip = False
            continue
        if part is None or isinstance(piece, int):
            break
        field = next((item for name, item in part.model_fields.items() if toml_name(name, item) == piece), None)
        if field is None:
            return part, None
        figure = declared(field)
        part, how = part_of(field.annotation)
        skip = how in ("many", "named")
    return part, figure


def known_names(part: type[BaseModel]) -> list[str]:
    """The names of the figures a part may hold in a file."""
    fields = part.model_fields.items()
    return [toml_name(name, field) for name, field in fields if declared(field).form.name != "inside"]


def _fault(found: ErrorDetails) -> Fault:
    path = tuple(piece for piece in found["loc"] if piece not in _TAGS)
    about = found.get("ctx", {})
    if found["type"] == "fault":
        return Fault((*path, *about["at"]), about["found"], about["allowed"], about["mend"])
    if found["type"] == "missing":
        return _missing(path)
    if found["type"] == "extra_forbidden":
        return _unknown(path)
    return _other(path, found)


def _missing(path: Path) -> Fault:
    _, figure = figure_at(path)
    name = str(path[-1])
    meaning = figure.meaning if figure else "a figure"
    return Fault(path, "is not given", f"needs {meaning}", f"Add {example(name, figure)}.")


def example(name: str, figure: Figure | None) -> str:
    """A line that would give the figure."""
    if figure is None or figure.form.name in ("table", "named tables", "list of tables"):
        return f"the table [{name}]" if figure and figure.form.name == "table" else f"the list [[{name}]]"
    if figure.unit in units.SPOKEN and figure.form.name in ("quantity", "quantity that varies"):
        return f'{name} = "{units.SPOKEN[figure.unit].us}"'
    by_form = {
        "whole number": "2", "time of day": '"08:30"', "days": '["mon", "thu"]', "working days": '["mon", "tue"]',
        "shifts": '{ mon-fri = "06:00-14:00" }', "range": '"54 to 62 degF"', "shares": "[61, 25, 14]", "date": "2027-01-04",
        "amounts by strain": f'{{ shiitake = "{units.SPOKEN[figure.unit].us}" }}' if figure.unit else "{ }",
    }  # fmt: skip
    if figure.choices:
        first = f'"{figure.choices[0]}"'
        return f"{name} = [{first}]" if figure.form.name == "words" else f"{name} = {first}"
    return f"{name} = " + by_form.get(figure.form.name, '"..."')


def _unknown(path: Path) -> Fault:
    part, _ = figure_at(path)
    names = known_names(part or Farm)
    where = ", ".join(names)
    return Fault(path, f'"{path[-1]}" is not known here', f"known are {where}", nearest(str(path[-1]), names, "Leave it out."))


def _other(path: Path, found: ErrorDetails) -> Fault:
    wanted = {
        "model_type": "a table", "model_attributes_type": "a table", "dict_type": "a table of named tables",
        "tuple_type": "a list of tables",
    }.get(found["type"])  # fmt: skip
    if wanted is None:
        message = found["msg"]
        return Fault(path, f"is {shown(found['input'])}", message[:1].lower() + message[1:], "Write it as the reference page shows.")
    name = next((str(piece) for piece in reversed(path) if isinstance(piece, str)), "it")
    heading = f"[[{name}]]" if wanted == "a list of tables" else f"[{name}]"
    return Fault(path, f"is {shown(found['input'])}", f"needs {wanted}", f"Write it under a heading such as {heading}.")
