"""The package as handed on: public names, light imports, versions that fit, nothing in it that belongs elsewhere."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

import farmsim

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
HEAVY = ("numpy", "pandas", "scipy", "simpy", "matplotlib")

EVERYWHERE = ("bin", "dev", "etc", "proc", "sys", "tmp", "usr", "var")  # first folders that every machine has
NOT_HERE = {
    "a path of one machine": re.compile(
        rf"(?<![\w.*\]/-])/(?!(?:{'|'.join(EVERYWHERE)})/)[A-Za-z_][\w.-]*/[\w.]|\b[A-Z]:\\\\?Users\b"
    ),
    "a web address": re.compile(r"https?://(?!json-schema\.org/|www\.w3\.org/|doi\.org/)\w[^\s)>\"']*"),
}
UNSAID = re.compile(r"\b(?:entit(?:y|ies)|nodes?|servers?|agents?)\b", re.I)


def in_a_fresh_python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def kept_files() -> list[Path]:
    """Every text file that git keeps or would keep; every file of the project's folders where there is no git."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"], capture_output=True, text=True, cwd=ROOT
    )
    if listed.returncode == 0:
        found = [ROOT / line for line in listed.stdout.splitlines()]
    else:
        found = [path for folder in ("farmsim", "scenarios", "tests") for path in (ROOT / folder).rglob("*.*")]
    return [path for path in found if path.is_file() and path.suffix not in (".png", ".pyc")]


# --- imports --------------------------------------------------------------------------------------------------------


def test_public_names_are_there_and_documented() -> None:
    assert sorted(farmsim.__all__) == ["__version__", "load", "run"]
    for name in ("load", "run"):
        assert getattr(farmsim, name).__doc__


@pytest.mark.parametrize("code", ["import farmsim", "import farmsim.cli", "import farmsim; farmsim.load; farmsim.run"])
def test_importing_it_loads_nothing_heavy(code: str) -> None:
    assert in_a_fresh_python(f"{code}\nimport sys\nprint([name for name in {HEAVY} if name in sys.modules])") == "[]"


def test_module_answers_like_the_command() -> None:
    done = subprocess.run([sys.executable, "-m", "farmsim", "--help"], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert "Usage: farmsim" in done.stdout
    assert all(command in done.stdout for command in ("check", "run", "follow", "schema"))


# --- versions -------------------------------------------------------------------------------------------------------


def wanted() -> list[Requirement]:
    return [Requirement(line) for line in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["dev"])]


def pinned() -> dict[str, Version]:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pairs = [line.split("==") for line in lines if line and not line.startswith("#")]
    return {canonicalize_name(name): Version(version) for name, version in pairs}


def test_every_dependency_has_a_tested_version_that_fits() -> None:
    versions = pinned()
    for need in wanted():
        assert versions[canonicalize_name(need.name)] in need.specifier, need


def test_tested_versions_are_named_once_in_order_and_without_addresses() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()[1:]
    assert all(re.fullmatch(r"[\w.-]+==[\w.]+", line) for line in lines)
    assert list(pinned()) == sorted(pinned()) and len(pinned()) == len(lines)
    assert "farmsim" not in pinned()


def test_every_dependency_is_imported_by_the_package() -> None:
    imported = {name.split(".")[0] for path in (ROOT / "farmsim").rglob("*.py") for name in imports_of(path)}
    assert {need.name.replace("-", "_") for need in map(Requirement, PROJECT["dependencies"])} <= imported


def imports_of(path: Path) -> Iterator[str]:
    for found in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(found, ast.Import):
            yield from (alias.name for alias in found.names)
        elif isinstance(found, ast.ImportFrom) and found.module:
            yield found.module


def test_version_is_the_same_everywhere() -> None:
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert re.findall(r"^## (\S+)", changes, re.M)[0] == farmsim.__version__ == PROJECT["version"]


# --- what is in it --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("what", NOT_HERE)
def test_no_file_holds(what: str) -> None:
    found = [
        f"{path.relative_to(ROOT)}: {match.group()}"
        for path in kept_files()
        for match in NOT_HERE[what].finditer(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_a_path_of_one_machine_is_known_by_its_first_folder() -> None:
    rule = NOT_HERE["a path of one machine"]
    foreign = ("here", "my-disk", "data_1")
    assert all(rule.search(f"{before}/{name}/sub") for name in foreign for before in ("", "cd ", '"', "(", "at:"))
    assert not any(rule.search(text) for text in ("/usr/bin/env", "kg/block/week", "../up/there", "figures/week.png"))


def test_the_trade_s_own_words_are_used() -> None:
    places = [*(ROOT / "farmsim").rglob("*.py"), *(ROOT / "scenarios").rglob("*.toml"), ROOT / "README.md"]
    found = [
        f"{path.relative_to(ROOT)}: {match.group()}"
        for path in places
        for match in UNSAID.finditer(path.read_text(encoding="utf-8"))
    ]
    assert found == []
