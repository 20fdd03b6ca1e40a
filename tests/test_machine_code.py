"""The model as machine code: made of the very files, never of others, with the same figures; plain where it cannot be."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from farmsim import machine_code
from farmsim.machine_code import build

ROOT = Path(__file__).resolve().parents[1]
TOY = '"""A toy."""\n\n\ndef twice(number: float) -> float:\n    return number * 2.0\n'
ON_TOP = """
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from farmsim.study.top import Told
"""
STANDS_ON_MORE = """
import nowhere_installed

class Told(nowhere_installed.Told):
    rows: int = "not the type it says"
"""
"""As in the real package, types in its first file lead to the upper floors, and these to packages that bring no types or are
not there; what is found to be wrong with an upper floor is no matter of the model's either."""
HASHES = """
import hashlib, json, sys
from farmsim import machine_code
from farmsim.model.run import run
from farmsim.scenario.read import load
told = hashlib.sha256()
for file, weeks in json.loads(sys.argv[1]):
    record = run(load(file), 3, 1, weeks)
    for name, table in sorted(record.tables.items()):
        for column, values in table.items():
            told.update(f"{name}.{column}".encode() + values.tobytes())
print(machine_code.in_use(), told.hexdigest())
"""
FARMS = (
    ("scenarios/tiny.toml", 30),
    ("scenarios/four-rooms.toml", 4),
    ("tests/scenario/all_customers.toml", 12),
    ("tests/benchmarks/farms/everything.toml", 4),
)


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shelf of our own, and a package of one small file to translate."""
    package = tmp_path / "farmsim"
    for folder in ("model", "study"):
        (package / folder).mkdir(parents=True)
        (package / folder / "__init__.py").write_text("", encoding="utf-8")
    (package / "__init__.py").write_text(ON_TOP, encoding="utf-8")
    (package / "study" / "top.py").write_text(STANDS_ON_MORE, encoding="utf-8")
    (package / "model" / "toy.py").write_text(TOY, encoding="utf-8")
    (package / "model" / "standing.py").write_text(TOY, encoding="utf-8")
    for module in (machine_code, build):
        monkeypatch.setattr(module, "PACKAGE", package)
    for module in (machine_code, build):
        monkeypatch.setattr(module, "INSTEAD", {})
    monkeypatch.setattr(machine_code, "DECIDE", ())
    monkeypatch.setattr(machine_code, "TRANSLATED", ("model",))
    monkeypatch.setenv(machine_code.ENVIRONMENT, str(tmp_path / "shelf"))
    return tmp_path / "shelf"


# --- the same figures -----------------------------------------------------------------------------------------------


def hashed(switch: str | None) -> tuple[str, str]:
    """Whether machine code was in use, and the mark of all that was written down."""
    environment = {name: value for name, value in os.environ.items() if name != machine_code.ENVIRONMENT}
    environment |= {machine_code.ENVIRONMENT: switch} if switch else {}
    command = [sys.executable, "-c", HASHES, json.dumps(FARMS)]
    used, mark = subprocess.check_output(command, cwd=ROOT, env=environment, text=True).split()
    return used, mark


def test_plain_files_and_machine_code_write_down_the_same_to_the_last_bit() -> None:
    if not machine_code.in_use():
        is_off = os.environ.get(machine_code.ENVIRONMENT) == machine_code.OFF
        assert is_off or not (os.environ.get("CI") and shutil.which("gcc")), "go.py should have translated the model"
        pytest.skip("there is no machine code of these files here (farmsim compile makes it)")
    assert hashed("off") == ("False", (found := hashed(os.environ.get(machine_code.ENVIRONMENT)))[1])
    assert found[0] == "True"


# --- made of these files, or not used -------------------------------------------------------------------------------


def test_a_translated_file_does_what_the_plain_one_does_and_asks_for_no_types_of_upper_floors(shelf: Path) -> None:
    here = build.build()
    assert here.parent == shelf and build.is_built() and [each.name for each in shelf.iterdir()] == [here.name]
    modules = machine_code.Finder(shelf).modules
    assert {name for name in modules if not name.endswith("__mypyc")} == {"farmsim.model.toy"}
    (here / "farmsim" / "__init__.py").touch()
    code = "import farmsim.model.toy as toy; print(toy.__file__, toy.twice(21.0))"
    told = subprocess.check_output([sys.executable, "-c", code], cwd=here, text=True, env={"PYTHONPATH": str(here)})
    file, twice = told.split()
    assert Path(file).suffix != ".py" and twice == "42.0"
    made = here.stat().st_mtime_ns
    assert build.build() == here and here.stat().st_mtime_ns == made


def test_a_changed_file_has_another_mark_and_no_machine_code(shelf: Path) -> None:
    before = machine_code.mark()
    code = shelf / before / "farmsim" / "model" / f"toy{machine_code.EXTENSION_SUFFIXES[0]}"
    code.parent.mkdir(parents=True)
    code.touch()
    assert machine_code.Finder(shelf).modules == {"farmsim.model.toy": code}
    spec = machine_code.Finder(shelf).find_spec("farmsim.model.toy", None)
    assert spec is not None and spec.origin == str(code)
    assert machine_code.Finder(shelf).find_spec("farmsim.model.other", None) is None
    assert machine_code.Finder(shelf).find_spec("json", None) is None
    (machine_code.PACKAGE / "model" / "toy.py").write_text(TOY + "\n", encoding="utf-8")
    assert machine_code.mark() != before and not build.is_built()
    assert machine_code.Finder(shelf).modules == {}
    (machine_code.PACKAGE / "model" / "toy.py").write_text(TOY, encoding="utf-8")
    (machine_code.PACKAGE / "model" / "standing.py").write_text("", encoding="utf-8")
    assert machine_code.mark() == before  # this one stays plain


def test_switched_off_nothing_is_looked_for(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "meta_path", [])
    machine_code.offer()
    assert sys.meta_path == []  # no shelf yet
    shelf.mkdir()
    machine_code.offer()
    machine_code.offer()
    assert [type(finder) for finder in sys.meta_path] == [machine_code.Finder]
    assert not machine_code.in_use()
    sys.meta_path.clear()
    monkeypatch.setenv(machine_code.ENVIRONMENT, "off")
    machine_code.offer()
    assert sys.meta_path == [] and machine_code.shelf() is None


def test_without_a_place_named_it_lies_in_the_environment_of_this_python(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(machine_code.ENVIRONMENT) if machine_code.ENVIRONMENT in os.environ else None
    found = machine_code.shelf()
    assert found is not None and found.is_relative_to(sys.prefix)


def test_old_translations_are_thrown_away(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for age in range(build.KEPT + 3):
        old = shelf / f"{age:016x}"
        old.mkdir(parents=True)
        os.utime(old, (1_000_000 - age, 1_000_000 - age))
    for name, age in (("not-ours", 2), (f"{build.UNFINISHED}a", 2), (f"{build.UNFINISHED}b", 0)):
        (shelf / name).mkdir()
        when = time.time() - age * build.A_DAY
        os.utime(shelf / name, (when, when))
    monkeypatch.setattr(build, "_translate", lambda here: here.mkdir())
    newest = build.build()
    (shelf / f"{build.UNFINISHED}b").rmdir()  # it was begun just now
    assert {each.name for each in shelf.iterdir()} == {
        newest.name,
        *(f"{age:016x}" for age in range(build.KEPT)),
        "not-ours",
    }


# --- where it cannot be made ----------------------------------------------------------------------------------------


def test_what_is_missing_is_named(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(build, "find_spec", lambda name: None)
    with pytest.raises(build.NotTranslated) as caught:
        build.build()
    assert str(caught.value) == (
        "mypy and mypyc and setuptools and librt must be installed to translate the model: "
        "python -m pip install 'farmsim[fast]'"
    )
    assert not shelf.exists()


def test_switched_off_none_is_made(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(machine_code.ENVIRONMENT, "off")
    with pytest.raises(build.NotTranslated, match=r"^FARMSIM_MACHINE_CODE is 'off': no machine code is used"):
        build.build()


def test_a_place_where_nothing_may_be_written_is_told(shelf: Path) -> None:
    shelf.write_text("a file, not a folder", encoding="utf-8")
    with pytest.raises(build.NotTranslated, match=r"^machine code cannot be kept in .*shelf: File exists"):
        build.build()


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("error: command 'gcc' failed: No such file or directory", build.NO_COMPILER),
        ("error: command 'x86_64-linux-gnu-gcc' failed: No such file or directory", build.NO_COMPILER),
        ("error: [Errno 2] No such file or directory: 'cc'", build.NO_COMPILER),
        ("fatal error: Python.h: No such file or directory", build.NO_HEADERS),
        (
            "one\ntwo: strange",
            "the model could not be translated into machine code; the translator said:\n    one\n    two: strange",
        ),
    ],
)
def test_what_went_wrong_is_told_and_nothing_is_left(
    shelf: Path, monkeypatch: pytest.MonkeyPatch, said: str, told: str
) -> None:
    monkeypatch.setattr(build, "SETUP", f"import sys; sys.exit({said!r})")
    with pytest.raises(build.NotTranslated) as caught:
        build.build()
    assert str(caught.value) == told
    assert list(shelf.iterdir()) == []


def test_files_that_change_meanwhile_are_not_taken_for_what_was_translated(
    shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    toy = machine_code.PACKAGE / "model" / "toy.py"
    monkeypatch.setattr(build, "SETUP", f"open({str(toy)!r}, 'a').write('# more')")
    with pytest.raises(build.NotTranslated, match=r"^the model's files were changed while they were translated: run"):
        build.build()
    assert list(shelf.iterdir()) == []


def test_somebody_quicker_is_no_fault(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mark = machine_code.mark()

    def gather(copy: Path, done: Path) -> None:
        for folder in (done, shelf / mark):
            folder.mkdir()
            (folder / "code").touch()

    monkeypatch.setattr(build, "SETUP", "")
    monkeypatch.setattr(build, "_gather", gather)
    assert build.build() == shelf / mark and [each.name for each in shelf.iterdir()] == [mark]


def test_the_command_says_what_it_did(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from click.testing import CliRunner

    from farmsim.cli.compile import command

    monkeypatch.setattr(build, "_translate", lambda here: here.mkdir())
    first, second = (CliRunner().invoke(command) for _ in range(2))
    assert first.exit_code == 0 and "The model is machine code now (0 s). It lies in " in first.output
    assert second.output == "The model is machine code already: nothing to do.\n"
    shutil.rmtree(shelf)
