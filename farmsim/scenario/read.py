"""From a farm's file to a `Farm`: every fault of the file is found before any of them is raised."""

from __future__ import annotations

import tomllib
from pathlib import Path

from farmsim.errors import Fault, ScenarioFault
from farmsim.scenario import check
from farmsim.scenario.farm import Farm
from farmsim.scenario.faults import in_file_order
from farmsim.scenario.foreign_money import foreign_money
from farmsim.scenario.lines import Table, placed
from farmsim.scenario.sheet import with_sheets


def load(path: str | Path) -> Farm:
    """The farm in a TOML file, with its phases if it has any, or a farm with a change set on it.

    Goes wrong when the file has faults: ScenarioFault holds all of them, each with its file:line.
    """
    table = tables(path)
    if "based_on" in table or "phase" in table:
        from farmsim.scenario.change import changed

        return changed(table, Path(path))
    return farm_of(table)


def tables(path: str | Path) -> Table:
    """The tables of a TOML file, each key knowing its line.

    Goes wrong when the file is missing, cannot be read or is no TOML: ScenarioFault.
    """
    file = str(path)
    text = _text(Path(path), file)
    try:
        return placed(tomllib.loads(text), text, file)
    except tomllib.TOMLDecodeError as error:
        raise ScenarioFault([_broken(error, text, file)]) from None


def _text(path: Path, file: str) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        fault = Fault((), "there is no such file", "needs a farm's file", "Check the name and the folder.", file)
    except IsADirectoryError:
        fault = Fault((), "is a folder", "needs a farm's file", "Name the file in it that ends in .toml.", file)
    except PermissionError:
        fault = Fault((), "may not be read", "needs a file that can be read", "Allow yourself to read it.", file)
    except UnicodeDecodeError:
        fault = Fault((), "is no plain text", "needs text in UTF-8", "Save it as UTF-8 text.", file)
    except OSError as error:
        fault = Fault(
            (), f"cannot be read ({error.strerror})", "needs a file that can be read", "Check the disk.", file
        )
    raise ScenarioFault([fault])


def _broken(error: tomllib.TOMLDecodeError, text: str, file: str) -> Fault:
    message = str(error)
    line = getattr(error, "lineno", None) or _line_in(message, text)
    reason = message.split(" (at ")[0]
    place = f"{file}:{line}" if line else file
    mend = 'Look at this line and the one above: a text needs quotes, a table ends with "]" or "}".'
    return Fault((), f"is no TOML ({reason[:1].lower() + reason[1:]})", "needs lines such as key = value", mend, place)


def _line_in(message: str, text: str) -> int:
    if "(at line " in message:
        return int(message.split("(at line ")[1].split(",")[0])
    return text.count("\n") + 1 if "end of document" in message else 0


def farm_of(table: Table) -> Farm:
    """The farm in the tables of a file, checked.

    Goes wrong when figures or the rules between them are broken: ScenarioFault holds all faults.
    """
    found: list[Fault] = []
    farm = read_tables(table, found)
    if farm is None or found:
        raise ScenarioFault(found)
    return farm


def read_tables(table: Table, faults: list[Fault]) -> Farm | None:
    """The farm in the tables of a file; its faults are added to the list, in the order of the file."""
    found: list[Fault] = []
    whole = with_sheets(table, found)
    farm = Farm.read(whole, (), found)
    if farm is not None:
        found += check.faults(farm) + foreign_money(table)
        found += [] if found else check.plan_faults(farm)
    faults += in_file_order(found, whole)
    return farm
