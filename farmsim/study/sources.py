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


def found_beside(path: str | Path, folder: str) -> str:
    """How a file that lies beside a folder with these texts finds the farm's file: in it, if it finds its own bases there.

    Bases that lie in other folders than their change sets are only found from where they are.
    """
    texts, at = sources(path), Path(path)
    named = [str(tables(at).get("based_on", ""))]
    while named[-1]:
        at = at.parent / named[-1]
        named.append(str(tables(at).get("based_on", "")))
    is_whole = all(Path(name).name == name for name in named if name) and len(set(texts)) == len(named)
    is_whole = is_whole and all(name in texts for name in named if name)
    return f"{folder}/{Path(path).name}" if is_whole else Path(path).resolve().as_posix()
