"""The test farms, and a farm with one thing changed in its text."""

from __future__ import annotations

from pathlib import Path

from farmsim.errors import ScenarioFault
from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load

HERE = Path(__file__).parent
SHIPPED = HERE.parents[1] / "scenarios"
SMALL = (HERE / "small.toml").read_text(encoding="utf-8")
BARE = (HERE / "bare.toml").read_text(encoding="utf-8")


def small(folder: Path, find: str = "", put: str = "") -> Farm:
    """The small farm, with one stretch of its text replaced."""
    return written(folder, _changed(SMALL, find, put))


def bare(folder: Path, find: str = "", put: str = "") -> Farm:
    """The bare farm, with one stretch of its text replaced."""
    return written(folder, _changed(BARE, find, put))


def _changed(text: str, find: str, put: str) -> str:
    assert not find or text.count(find) == 1, f"stands {text.count(find)} times: {find}"
    return text.replace(find, put) if find else text


def written(folder: Path, text: str, name: str = "farm.toml") -> Farm:
    """The farm in a text."""
    (folder / name).write_text(text, encoding="utf-8")
    return load(folder / name)


def change(folder: Path, text: str) -> Farm:
    """What a change set on small.toml makes of it."""
    (folder / "small.toml").write_text(SMALL, encoding="utf-8")
    return written(folder, text, "change.toml")


def faults_of(path: str | Path) -> list[str]:
    """Every line that is said about a file with faults."""
    try:
        load(path)
    except ScenarioFault as fault:
        return str(fault).split("\n")
    return []
