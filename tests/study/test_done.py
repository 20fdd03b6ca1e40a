"""What came of a run: the same tables wherever it was worked out, packed at most once, and only where they travel."""

from __future__ import annotations

import pickle
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.record.measures import RunTables
from farmsim.study import done as of_done
from farmsim.study.done import TOLD_OFTEN, Done
from farmsim.study.job import one_run

TINY = Path(__file__).resolve().parents[2] / "scenarios" / "tiny.toml"


@pytest.fixture(scope="module")
def tables() -> RunTables:
    return one_run(farmsim.load(TINY), 1, 4, 0)


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which of the two is done, and how often."""
    told: list[str] = []

    def counted(name: str) -> None:
        whole = getattr(of_done, name)
        monkeypatch.setattr(of_done, name, lambda *given: told.append(name) or whole(*given))

    counted("pack")
    counted("unpack")
    return told


def alike(one: RunTables, other: RunTables) -> bool:
    """The same columns in the same order, to the last bit."""
    return {name: list(table) for name, table in one.items()} == {name: list(t) for name, t in other.items()} and all(
        values == other[name][column]
        if isinstance(values, list)
        else values.dtype == other[name][column].dtype and values.tobytes() == other[name][column].tobytes()
        for name, table in one.items()
        for column, values in table.items()
    )


def test_what_arrives_from_another_process_is_what_was_worked_out(tables: RunTables) -> None:
    arrived = pickle.loads(pickle.dumps(Done(tables)))
    assert alike(arrived.tables(), tables) and len(tables) > 10
    assert any(isinstance(values, np.ndarray) for values in arrived.tables()["weekly"].values())
    assert alike(arrived.tables(["weekly", "places", "no such"]), {name: tables[name] for name in ("weekly", "places")})
    assert arrived.pieces == Done(tables).pieces
    assert alike(pickle.loads(pickle.dumps(arrived)).tables(), tables)


def test_in_one_process_nothing_is_packed(tables: RunTables, calls: list[str]) -> None:
    here = Done(tables)
    assert here.tables() is tables and here.tables(["weekly"])["weekly"] is tables["weekly"]
    assert calls == []


def test_what_travels_and_is_stored_is_packed_once(tables: RunTables, calls: list[str]) -> None:
    here = Done(tables)
    arrived = pickle.loads(pickle.dumps(here))
    assert here.pieces == arrived.pieces and calls == ["pack", "pack"]


def test_of_what_arrives_no_more_is_unpacked_than_is_asked_for(tables: RunTables, calls: list[str]) -> None:
    arrived = pickle.loads(pickle.dumps(Done(tables)))
    calls.clear()
    arrived.tables(TOLD_OFTEN)
    assert calls == ["unpack"]
    arrived.tables()
    assert calls == ["unpack"] * 3
