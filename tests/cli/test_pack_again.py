"""`farmsim pack` in full on a small farm: made again it is the same to the byte, and stopped at any moment it goes on."""

from __future__ import annotations

import os
import re
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Mapping
from contextlib import closing, suppress
from pathlib import Path

import pytest
from as_user import farmsim_in

import farmsim
from farmsim.report import folder as place
from farmsim.study import trials
from farmsim.study.store import FILE, Store

ROOT = Path(farmsim.__file__).parents[1]
FARM, CHANGE = (ROOT / "tests" / "study" / name for name in ("shed-with-books.toml", "lean-to.toml"))
FEW_BLOWS = """
[add.stress]
yield            = "0 %"
contaminated     = "0 %"
late             = 0
largest_customer = false
together         = [["prices", "wages"]]
"""
"""Of what may go wrong only money, which takes no runs of its own."""
ASKED = ("pack", str(FARM), "lean-to.toml", "--years", "1", "--runs", "2", "--stress-runs", "2", "--out", "made/pack")
WHEN = "about.json"  # tells when and on what it was made
FEW = """
from functools import partial
from farmsim.study import pack_matter
pack_matter.asked, pack_matter.WEEKS = partial(pack_matter.asked, effort=36, most=2), 6
"""
"""Only two guesses are moved, only so often as they must be, on a short year."""
PROGRAM = f"{FEW}\nimport sys\nfrom farmsim.cli import main\nmain(sys.argv[1:], 'farmsim')"


@pytest.fixture(autouse=True)
def few_guesses(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in the programs that are started here."""
    from farmsim.study import pack_matter

    monkeypatch.setattr(pack_matter, "asked", pack_matter.asked)  # put back afterwards
    monkeypatch.setattr(pack_matter, "WEEKS", pack_matter.WEEKS)
    exec(FEW)


def asked_in(folder: Path) -> Path:
    """A folder with the expansion in it."""
    folder.mkdir(exist_ok=True)
    text = CHANGE.read_text(encoding="utf-8").replace(f'"{FARM.name}"', f'"{FARM.as_posix()}"')
    (folder / "lean-to.toml").write_text(text + FEW_BLOWS, encoding="utf-8")
    return folder


def program(folder: Path, workers: str) -> subprocess.Popen[str]:
    """The command as a program of its own, begun."""
    command = [sys.executable, "-c", PROGRAM, *ASKED, "--workers", workers]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.Popen(command, cwd=folder, env=env, stdout=-1, stderr=-1, text=True)


def stored(folder: Path) -> int:
    """Finished runs that are kept."""
    file = folder / "made" / FILE
    with suppress(sqlite3.Error), closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as db:
        return int(db.execute("SELECT count(*) FROM runs").fetchone()[0])
    return 0


def wait_for_runs(folder: Path, runs: int) -> None:
    """Until so many are kept."""
    for _ in range(600):
        if stored(folder) >= runs:
            return
        time.sleep(0.05)
    pytest.fail("no run was finished in half a minute")


def made(folder: Path) -> Mapping[str, bytes]:
    """The files of the pack, by their names."""
    pack = folder / "made" / "pack"
    return {path.relative_to(pack).as_posix(): path.read_bytes() for path in pack.rglob("*") if path.is_file()}


def test_killed_and_gone_on_with_or_made_again_it_is_the_same_to_the_byte(tmp_path: Path) -> None:
    """Once by one process without a stop, once by two workers that were killed with no chance to tidy up."""
    whole, killed = asked_in(tmp_path / "whole"), asked_in(tmp_path / "killed")
    with program(killed, workers="2") as running:
        wait_for_runs(killed, 4)
        running.kill()
    assert [path.name for path in (killed / "made").iterdir() if "sqlite" not in path.name] == []
    done = farmsim_in(killed, *ASKED, "--workers", "2")
    assert done.returncode == 0, done.stderr
    assert "of them stored before" in done.stdout
    first = farmsim_in(whole, *ASKED, "--workers", "1")
    assert first.returncode == 0 and re.search(
        r"TOOK +\d+ runs in \d+ s\n", first.stdout
    )  # its own are not told as stored
    files = made(whole)
    assert {WHEN, "pack.pdf", "pack.html", "answer.json", "matters.csv"} <= files.keys()
    again = farmsim_in(whole, *ASKED, "--workers", "1")
    runs = re.search(r"TOOK +(\d+) runs \((\d+) of them stored before\)", again.stdout)
    assert runs is not None and runs[1] == runs[2]
    for other in (made(killed), made(whole)):
        assert other.keys() == files.keys()
        assert [name for name in files if files[name] != other[name] and name != WHEN] == []


def test_stopped_by_ctrl_c_it_leaves_finished_runs_only_and_says_so(tmp_path: Path) -> None:
    folder = asked_in(tmp_path)
    with program(folder, workers="1") as running:
        wait_for_runs(folder, 1)
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=30)
    assert (running.returncode, out) == (130, "")
    told = (
        r"Simulating .*\nStopped\. \d+ finished runs? kept in made/runs.sqlite: the same command goes on from there\.\n"
    )
    assert re.fullmatch(told, err), err
    assert [path.name for path in (folder / "made").iterdir()] == [FILE]


def test_a_full_disk_is_told_and_what_was_stored_is_still_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Store._opened

    def on_a_full_disk(self: Store) -> sqlite3.Connection:
        db = opened(self)
        db.execute("PRAGMA max_page_count = 60")  # SQLite then answers as on a full disk
        return db

    monkeypatch.setattr(Store, "_opened", on_a_full_disk)
    done = farmsim_in(asked_in(tmp_path), *ASKED, "--workers", "1")
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert re.search(
        r"made/runs\.sqlite cannot be read or written: database or disk is full\. What was stored before is still there\. "
        r"Make room, or name another folder with --out\.\n$",
        done.stderr,
    ), done.stderr
    assert stored(tmp_path) > 0
    assert [path.name for path in (tmp_path / "made").iterdir()] == [FILE]


def test_where_nothing_may_be_written_nothing_is_simulated(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(place.os, "access", lambda path, how: False)  # a machine's owner may write everywhere
    monkeypatch.setattr(trials, "one_run", None)
    done = farmsim_in(asked_in(tmp_path), *ASKED, "--workers", "1")
    assert done.returncode == 2
    assert done.stderr == (
        f"Error: made/pack cannot be made: nothing may be written in {tmp_path}. Name another with --out.\n"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["lean-to.toml"]
