"""Two equal commands that are started at once share their runs, and neither leaves the other waiting when it is killed."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
import shared_work

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.study import trials as of_trials
from farmsim.study.agenda import Agenda
from farmsim.study.done import Done
from farmsim.study.pool import Where
from farmsim.study.store import Store
from farmsim.study.trials import Brief, Case, Trials

ROOT = Path(farmsim.__file__).parents[1]


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(ROOT / "scenarios" / "tiny.toml")


def start(folder: Path, workers: int, me: str, other: str) -> subprocess.Popen[str]:
    path = os.pathsep.join([str(ROOT), str(Path(shared_work.__file__).parent)])
    said = [str(folder / "runs.sqlite"), str(workers), str(folder / me), str(folder / other)]
    return subprocess.Popen(
        [sys.executable, shared_work.__file__, *said],
        env={**os.environ, "PYTHONPATH": path},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def ended(program: subprocess.Popen[str]) -> tuple[int, str]:
    """How many runs it worked out itself, and the mark of what came out."""
    try:
        told, wrong = program.communicate(timeout=60)
    finally:
        program.kill()
    assert wrong == ""
    stored, done, mark = told.split()
    assert int(done) == shared_work.RUNS
    return int(done) - int(stored), mark


@pytest.mark.parametrize("workers", [1, 2])
def test_two_programs_started_at_once_share_the_work_and_tell_the_same(tmp_path: Path, workers: int) -> None:
    one, other = start(tmp_path, workers, "a", "b"), start(tmp_path, workers, "b", "a")
    with one, other:
        (ours, first), (theirs, second) = ended(one), ended(other)
    assert first == second
    assert shared_work.RUNS <= ours + theirs <= shared_work.RUNS * 1.5
    assert min(ours, theirs) >= shared_work.RUNS / 5  # neither leaves it all to the other
    with Store(tmp_path / "runs.sqlite") as store:
        (kept,) = store.kept()
    assert kept.runs == shared_work.RUNS


def test_who_is_left_when_the_other_is_killed_does_it_all(tmp_path: Path) -> None:
    one, other = start(tmp_path, 1, "a", "b"), start(tmp_path, 1, "b", "a")
    with one, other:
        while one.poll() is None and not (tmp_path / "runs.sqlite").exists():
            time.sleep(0.005)
        other.kill()  # with a run in hand
        worked_out, _ = ended(one)
    assert worked_out >= shared_work.RUNS / 2


def test_what_another_stored_in_the_middle_of_a_question_is_not_worked_out(
    tiny: Farm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also of farms that differ in money only, of which the other stored one."""
    shop, outlet = tiny.customer
    dear = tiny.but(customer=(shop.but(price=20.0), outlet))
    cheap = tiny.but(customer=(shop.but(price=2.0), outlet))
    file, simulated = tmp_path / "runs.sqlite", []
    work = of_trials._work
    alone = Brief(weeks=2, where=Where(1))
    with Trials(tiny, alone) as trials:
        other = trials.take([Case(dear, 1), Case(dear, 2), Case(cheap, 2)], None)
    kinds = {}

    def counted(task: object) -> object:
        if not simulated:
            with Store(file) as store:
                store.put(kinds["dear"], 1, Done(other[0]))
                store.put(kinds["dear"], 2, Done(other[1]))
                store.put(kinds["cheap"], 2, Done(other[2]))
        simulated.append((len(task[0]), task[3]))  # type: ignore[index]
        return work(task)  # type: ignore[arg-type]

    monkeypatch.setattr(of_trials, "_work", counted)
    told: list[tuple[int, int]] = []
    brief = Brief(weeks=2, where=Where(1), store=file, progress=lambda done, of: told.append((done, of)))
    with Trials(tiny, brief) as trials:
        kinds = {"dear": trials._kind(dear), "cheap": trials._kind(cheap)}
        found = trials.take([Case(farm, number) for number in range(4) for farm in (dear, cheap)])
    assert simulated[0] == (2, 0) and sorted(simulated[1:]) == [(1, 1), (2, 3)]
    assert [tables.keys() >= {"weekly", "money"} for tables in found] == [True] * 8
    assert (brief.tally.stored, brief.tally.done) == (3, 6) and told[-1] == (6, 6)


def test_the_order_is_that_asked_for_as_long_as_nobody_else_is_at_work(
    tiny: Farm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    numbers: list[int] = []
    work = of_trials._work
    monkeypatch.setattr(of_trials, "_work", lambda task: numbers.append(task[3]) or work(task))
    with Trials(tiny, Brief(weeks=1, where=Where(1), store=tmp_path / "runs.sqlite")) as trials:
        trials.take([Case(tiny, number) for number in (7, 3, 5, 1)])
    assert numbers == [7, 3, 5, 1]


def test_an_agenda_looks_for_a_task_when_it_is_its_turn_and_gives_out_again_what_was_lost() -> None:
    looked_for: list[str] = []

    def coming() -> object:
        for name in "abcd":
            looked_for.append(name)
            yield name

    agenda: Agenda[str] = Agenda(coming())  # type: ignore[arg-type]
    assert looked_for == [] and agenda.has(1) and looked_for == ["a"]
    assert [agenda.take(), agenda.take(), agenda.take()] == [(0, "a"), (1, "b"), (2, "c")]
    assert looked_for == ["a", "b", "c"]
    agenda.done(1)
    agenda.lost(2)
    assert agenda.take() == (2, "c")
    agenda.lost()
    assert agenda.missing == 3
    assert [agenda.take()[0] for _ in range(3)] == [0, 2, 3]
    assert not agenda.has(1) and agenda.missing == 3
