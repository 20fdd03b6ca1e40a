"""Where a fault stands in the file, and what a grower calls the figure it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from farmsim.errors import Fault
from farmsim.scenario.lines import Path, Table, place_of


def in_file_order(faults: list[Fault], table: Table) -> list[Fault]:
    """The faults, each once and with its file:line, in the order of the file."""
    found = dict.fromkeys(located(fault, table) for fault in faults)
    return sorted(found, key=_line)


def _line(fault: Fault) -> tuple[str, int]:
    file, _, line = fault.place.rpartition(":")
    return (file, int(line)) if line.isdigit() else (fault.place, 0)


def located(fault: Fault, table: Table) -> Fault:
    """The fault with its file:line and the spoken name of its figure."""
    place = place_of(table, fault.path)
    return _told_of(fault, table).at(str(place) if place else table.file, spoken(fault.path, table))


def _told_of(fault: Fault, table: Table) -> Fault:
    """A fault for want of something that a change set took away says so."""
    if not fault.misses:
        return fault
    kind, *names = fault.misses
    gone = {each: place for each, place in table.gone.items() if each[0] == kind and (not names or each[1] in names)}
    if not gone:
        return fault
    if names or not next(iter(gone))[1]:
        mend = "Do not remove it, or remove what needs it too."
        return replace(fault, found=f"{fault.found} (removed in {next(iter(gone.values()))})", mend=mend)
    what = kind.replace("walk_in", "walk-in")
    removed = ", ".join(f"{what} {name} was removed in {place}" for (_, name), place in gone.items())
    return replace(fault, found=f"{fault.found} ({removed})")


def spoken(path: Path, table: Mapping[str, object]) -> str:
    """The name of a figure as a grower would say it: room North, holds."""
    words: list[str] = []
    inside: object = table
    for at, piece in enumerate(path):
        inside = _step(inside, piece)
        if isinstance(piece, int) and words:
            name = inside.get("name") if isinstance(inside, Mapping) else None
            words[-1] += f" {name}" if isinstance(name, str) else f" {piece + 1}"
        elif at == 1 and path[0] in ("strain", "walk_in", "van") and words:
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
