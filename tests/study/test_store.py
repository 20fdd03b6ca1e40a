"""The runs store: what goes in comes out to the last bit, nothing that is in gets lost, and a strange file is left alone."""

from __future__ import annotations

import ast
import json
import sqlite3
import subprocess
import sys
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.errors import CannotWrite
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.study import store as stored
from farmsim.study import versions as of_versions
from farmsim.study.done import TOLD_OFTEN, Done
from farmsim.study.job import one_run
from farmsim.study.packed import Unreadable, pack, unpack
from farmsim.study.store import Kind, Store, StoreRefused
from farmsim.study.versions import versions

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
KIND = Kind("mark", 7, "One shed", "2027-01-04", "us", 8, 4)


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


@pytest.fixture(scope="module")
def tables(tiny: Farm) -> RunTables:
    return one_run(tiny, 1, 8, 0)


def same(one: RunTables, other: RunTables) -> bool:
    """Whether two runs have the same tables and columns, in the same order, and the same bits in them."""
    if [(name, list(table)) for name, table in one.items()] != [(name, list(table)) for name, table in other.items()]:
        return False
    return all(
        np.asarray(values).tobytes() == np.asarray(other[name][column]).tobytes()
        and type(values) is type(other[name][column])
        for name, table in one.items()
        for column, values in table.items()
    )


def test_tables_come_out_as_they_went_in(tables: RunTables) -> None:
    odd: RunTables = {"odd": {"text": ["", 'crème, \n"x"'], "figure": np.array([float("nan"), -0.0])}, "empty": {}}
    for each in (tables, odd):
        assert same(unpack(pack(each)), each)
    assert not same(unpack(pack(tables)), {**tables, "weekly": {}})


def test_a_table_is_read_without_the_others(tables: RunTables) -> None:
    names = list(tables)[3:9:2]
    packed = pack(tables)
    assert same(unpack(packed, names), {name: tables[name] for name in names})
    last = zlib.compress(b"no table at all")
    assert same(unpack(packed[: -len(last)] + last, names), {name: tables[name] for name in names})
    with pytest.raises(Unreadable):
        unpack(packed[: -len(last)] + last)


@pytest.mark.parametrize("damage", [lambda raw: raw[:-9], lambda raw: b"x" + raw, lambda raw: b""])
def test_damaged_tables_are_told(damage, tables: RunTables) -> None:
    with pytest.raises(Unreadable, match="the tables of a stored run are damaged"):
        unpack(damage(pack(tables)))


def test_a_run_is_found_again_by_another_program(tmp_path: Path, tables: RunTables) -> None:
    file = tmp_path / "new" / "runs.sqlite"
    with Store(file) as store:
        assert list(store.take(KIND, [0, 1])) == [] and not file.exists()
        store.put(KIND, 3, Done(tables))
    with Store(file) as store:
        ((number, found),) = store.take(KIND, [0, 3])
        assert number == 3 and same({name: found[name] for name in tables}, tables)
        ((_, often),) = store.take(KIND, [3], TOLD_OFTEN)
        assert set(often) == {"weekly"}
        assert list(store.take(replace(KIND, seed=8), [3])) == []


def test_many_runs_are_looked_for_in_pieces(tmp_path: Path, tables: RunTables, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stored, "AT_ONCE", 2)
    with Store(tmp_path / "runs.sqlite") as store:
        for number in (0, 1, 4, 6):
            store.put(KIND, number, Done(tables))
        assert sorted(number for number, _ in store.take(KIND, range(7), TOLD_OFTEN)) == [0, 1, 4, 6]


def test_what_is_kept_is_told_and_other_versions_are_not_used(
    tmp_path: Path, tables: RunTables, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "runs.sqlite"
    with Store(file) as store:
        store.put(KIND, 0, Done(tables))
    monkeypatch.setattr(stored, "versions", lambda: {**versions(), "luck": "2"})
    with Store(file) as store:
        assert list(store.take(KIND, [0])) == []
        store.put(KIND, 0, Done(tables))
        store.put(KIND, 1, Done(tables))
        old, new = store.kept()
    assert (old.kind, old.runs, old.is_usable) == (KIND, 1, False)
    assert (new.kind, new.runs, new.is_usable) == (KIND, 2, True)
    assert old.size > 1000 and new.versions["luck"] == "2"


def packed_together(tables: RunTables) -> bytes:
    """As runs were packed in stores of version 1."""
    told, figures = [], []
    for name, table in tables.items():
        columns = []
        for column, values in table.items():
            if isinstance(values, list):
                columns.append([column, "texts", values])
                continue
            columns.append([column, values.dtype.str, len(values)])
            figures.append(values.tobytes())
        told.append([name, columns])
    listed = json.dumps(told).encode()
    return zlib.compress(len(listed).to_bytes(4, "big") + listed + b"".join(figures))


def test_runs_of_a_store_of_version_1_are_used_and_it_becomes_one_of_version_2(
    tmp_path: Path, tables: RunTables
) -> None:
    file = tmp_path / "runs.sqlite"
    with Store(file) as store:
        store.put(KIND, 0, Done(tables))
        store.put(KIND, 1, Done(tables))
    db = sqlite3.connect(file)
    db.execute("UPDATE runs SET rest = ? WHERE number = 0", (packed_together(tables),))
    db.execute("PRAGMA user_version = 1")
    db.commit()
    db.close()
    with Store(file) as store:
        for number, found in store.take(KIND, [0, 1]):
            assert same({name: found[name] for name in tables}, tables), number
        ((_, few),) = store.take(KIND, [0], ["places"])
        assert list(few) == ["places"]
    db = sqlite3.connect(file)
    assert db.execute("PRAGMA user_version").fetchone() == (2,)
    db.close()


# --- what may be wrong with the file ------------------------------------------------------------------------------------


def test_a_store_of_another_version_is_refused_and_named(tmp_path: Path, tables: RunTables) -> None:
    file = tmp_path / "runs.sqlite"
    with Store(file) as store:
        store.put(KIND, 0, Done(tables))
    db = sqlite3.connect(file)
    db.execute("PRAGMA user_version = 9")
    db.close()
    with pytest.raises(StoreRefused) as fault:
        Store(file)
    assert str(fault.value) == (
        f"{file} is a store of version 9; this farmsim reads version 2, and leaves it alone. Move it away (its runs are "
        "then worked out again), or use the farmsim that wrote it."
    )


def test_a_file_that_is_no_store_is_left_alone(tmp_path: Path) -> None:
    text, other = tmp_path / "text", tmp_path / "other"
    text.write_text("my diary " * 200, encoding="utf-8")
    db = sqlite3.connect(other)
    db.execute("CREATE TABLE diary (day TEXT)")
    db.commit()
    db.close()
    with pytest.raises(StoreRefused, match=r"text is damaged: file is not a database\. Move it away"):
        Store(text)
    before = other.read_bytes()
    with pytest.raises(StoreRefused, match="other is not a store of runs of farmsim, and is left alone"):
        Store(other)
    assert text.read_text(encoding="utf-8").startswith("my diary") and other.read_bytes() == before


def test_a_run_that_is_damaged_in_the_store_is_told(tmp_path: Path, tables: RunTables) -> None:
    file = tmp_path / "runs.sqlite"
    with Store(file) as store:
        store.put(KIND, 0, Done(tables))
    db = sqlite3.connect(file)
    db.execute("UPDATE runs SET often = X'00'")
    db.commit()
    db.close()
    with Store(file) as store, pytest.raises(StoreRefused, match=r"runs.sqlite is damaged: the tables of a stored run"):
        list(store.take(KIND, [0]))


def test_a_full_disk_loses_nothing_that_was_stored(tmp_path: Path, tables: RunTables) -> None:
    file = tmp_path / "runs.sqlite"
    with Store(file) as store:
        store.put(KIND, 0, Done(tables))
        db = store._open
        assert db is not None
        (pages,) = db.execute("PRAGMA page_count").fetchone()
        db.execute(f"PRAGMA max_page_count = {pages}")  # SQLite then answers as on a full disk
        with pytest.raises(CannotWrite, match=r"database or disk is full\. What was stored before is still there\."):
            for number in range(1, 50):
                store.put(KIND, number, Done(tables))
    with Store(file) as store:
        found = dict(store.take(KIND, range(50)))
        assert 0 in found and same({name: found[0][name] for name in tables}, tables)
        (kept,) = store.kept()
        assert kept.runs == len(found)
        store.put(KIND, 49, Done(tables))


def test_a_folder_in_which_nothing_may_be_written_is_told(tmp_path: Path, tables: RunTables) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with (
        Store(tmp_path / "file" / "runs.sqlite") as store,
        pytest.raises(CannotWrite, match="cannot be read or written"),
    ):
        store.put(KIND, 0, Done(tables))


# --- which runs are the same ----------------------------------------------------------------------------------------------


def test_the_mark_of_a_farm_is_the_same_in_every_program(tiny: Farm) -> None:
    asked = (
        "import farmsim; from farmsim.scenario.fingerprint import fingerprint\n"
        f"print(fingerprint(farmsim.load({str(SCENARIOS / 'four-rooms.toml')!r}), 52, 9))"
    )
    env = {"PYTHONPATH": str(SCENARIOS.parent)}
    told = {subprocess.run([sys.executable, "-c", asked], env={**env, "PYTHONHASHSEED": hashed}, capture_output=True,
                           text=True, check=True).stdout.strip() for hashed in ("1", "2")}  # fmt: skip
    assert told == {fingerprint(farmsim.load(SCENARIOS / "four-rooms.toml"), 52, 9)}


def test_only_what_a_run_hears_changes_the_mark(tiny: Farm) -> None:
    mark = fingerprint(tiny, 8, 4)
    assert fingerprint(tiny.but(farm=tiny.farm.but(name="Other", units="metric", weeks=20)), 8, 4) == mark
    (line, *rest), (owner,) = tiny.start, tiny.crew
    changed = [
        tiny.but(start=(line.but(blocks=line.blocks + 1), *rest)),
        tiny.but(crew=(owner.but(people=2),)),
        tiny.but(opening=tiny.opening.but(benches=2)),
        tiny.but(changes=((168.0, tiny),)),
        tiny.but(farm=tiny.farm.but(round=0.5)),
    ]
    marks = {fingerprint(farm, 8, 4) for farm in changed} | {fingerprint(tiny, 9, 4), fingerprint(tiny, 8, 5), mark}
    assert len(marks) == len(changed) + 3
    later = tiny.but(changes=((168.0, changed[0]),))
    renamed = tiny.but(changes=((168.0, changed[0].but(farm=tiny.farm.but(name="Later"))),))
    assert (
        fingerprint(later, 8, 4) == fingerprint(renamed, 8, 4) != fingerprint(tiny.but(changes=((168.0, tiny),)), 8, 4)
    )


def test_versions_name_everything_that_has_a_say() -> None:
    """Whatever the code that works out a run imports from elsewhere."""
    root, imported = Path(farmsim.__file__).parent, set()
    for floor in of_versions.FLOORS:
        for file in [root / floor] if floor.endswith(".py") else (root / floor).rglob("*.py"):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Import):
                    imported |= {alias.name.split(".")[0] for alias in node.names}
                elif isinstance(node, ast.ImportFrom):
                    imported.add(str(node.module).split(".")[0])
    others = {name.replace("_", "-") for name in imported - set(sys.stdlib_module_names) - {"farmsim"}}
    assert set(versions()) == {"farmsim", "luck", "python", *others} and "scipy" in others
    assert "unknown" not in versions().values()
    assert versions()["farmsim"].startswith(f"{farmsim.__version__} (")


def test_nobody_waits_for_whoever_reads(tmp_path: Path, tables: RunTables, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run can be stored while all runs are being read, and a store that is held is told as such."""
    monkeypatch.setattr(stored, "AT_ONCE", 2)
    monkeypatch.setattr(stored, "PATIENCE", 0.1)
    file = tmp_path / "runs.sqlite"
    with Store(file) as store:
        for number in range(5):
            store.put(KIND, number, Done(tables))
    with Store(file) as reading, Store(file) as writing:
        (kept,) = reading.kept()
        numbers = []
        for number, _ in reading.all_of(kept):
            numbers.append(number)
            writing.put(KIND, 5, Done(tables))
        assert numbers == [0, 1, 2, 3, 4, 5]
        held = sqlite3.connect(file)
        held.execute("BEGIN EXCLUSIVE")
        with pytest.raises(CannotWrite, match=r"locked\. .* Another program works with it: the same command goes on"):
            writing.put(KIND, 6, Done(tables))
        held.close()


def test_an_empty_file_is_left_as_it_is_when_it_is_only_read(tmp_path: Path) -> None:
    file = tmp_path / "runs.sqlite"
    file.touch()
    with Store(file) as store:
        assert store.kept() == ()
    assert file.stat().st_size == 0
