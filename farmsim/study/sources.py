"""The text of a scenario as it was run: the farm's file and every file it is based on."""

from __future__ import annotations

from pathlib import Path

from farmsim.scenario.read import tables


def sources(path: str | Path) -> dict[str, str]:
    """Name and text of the file and, one after the other, of those it is based on."""
    found: dict[str, str] = {}
    at: Path | None = Path(path)
    while at is not None:
        name = at.name if at.name not in found else f"{len(found)}-{at.name}"
        found[name] = at.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
        table = tables(at)
        at = at.parent / str(table["based_on"]) if "based_on" in table else None
    return found
