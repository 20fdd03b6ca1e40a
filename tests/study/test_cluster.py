"""A real Dask cluster: the same tables as here, whoever is lost on the way; what cannot be mended is told plainly."""

from __future__ import annotations

import functools
import logging
import os
import pickle
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest.mock import Mock

import cluster_jobs
import numpy as np
import pytest
from cluster import PATIENCE, Cluster, end, until

import farmsim
from farmsim.cli import main
from farmsim.cli.simulating import simulating
from farmsim.errors import RunStuck
from farmsim.record.measures import RunTables
from farmsim.study import pool
from farmsim.study.agenda import WorkersLost
from farmsim.study.bounds import NotAllowed
from farmsim.study.pool import NoCluster, Pool, Where
from farmsim.study.store import Store
from farmsim.study.trials import Brief, Case, Trials
from farmsim.study.versions import VersionsDiffer, see_alike, versions

TINY = Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml"
OTHER_LUCK = "import farmsim.study.versions as told\ntold.LUCK_VERSION = 99\n"
NO_FARMSIM = "import sys\nsys.modules['farmsim'] = None\n"
LUCK = versions()["luck"]


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    with Cluster(tmp_path_factory.mktemp("cluster")) as running:
        yield running


@pytest.fixture
def lost_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool, "COMES_WITHIN", 1.0)


def gather(job: Callable[[int], Any], tasks: Sequence[int], address: str) -> list[Any]:
    """What comes of every task, in their order."""
    found: dict[int, Any] = {}
    with Pool(Where(cluster=address)) as workers:
        workers.gather(job, tasks, found.__setitem__)
    return [found[at] for at in range(len(tasks))]


def study(
    where: Where, progress: Callable[[int, int], None] | None = None, store: Path | None = None
) -> list[RunTables]:
    farm = farmsim.load(TINY)
    with Trials(farm, Brief(weeks=4, where=where, progress=progress, store=store)) as trials:
        return trials.take([Case(farm, number) for number in range(8)], None)


def same(ones: list[RunTables], others: list[RunTables]) -> bool:
    """Whether they are the same to the last bit, and may be written into alike."""
    return [plain(tables) for tables in ones] == [plain(tables) for tables in others]


def plain(tables: RunTables) -> list[tuple[object, ...]]:
    return [(name, column, *inside(values)) for name, table in tables.items() for column, values in table.items()]


def inside(values: list[str] | np.ndarray[Any, Any]) -> tuple[object, ...]:
    return tuple(values) if isinstance(values, list) else (values.dtype, values.flags.writeable, values.tobytes())


@pytest.fixture(scope="module")
def here() -> list[RunTables]:
    return study(Where(1))


# --- what comes out ---------------------------------------------------------------------------------------------------


def test_the_same_tables_here_in_processes_and_on_a_cluster(cluster: Cluster, here: list[RunTables]) -> None:
    cluster.has(2)
    assert len(here) == 8 and not same(here[:1], here[1:2])
    assert same(here, study(Where(2)))
    assert same(here, study(Where(cluster=cluster.address)))


def test_the_work_is_done_by_the_workers(cluster: Cluster) -> None:
    workers = cluster.has(2)
    assert set(gather(cluster_jobs.process, range(8), cluster.address)) <= {worker.pid for worker in workers}


def test_a_study_with_nothing_to_work_out_asks_nobody() -> None:
    assert gather(cluster_jobs.double, [], "tcp://127.0.0.1:9") == []


def test_workers_stay_for_the_next_question(cluster: Cluster) -> None:
    cluster.has(1)
    loud = [logging.getLogger(name).level for name in ("distributed", "distributed.client")]
    assert loud != [logging.CRITICAL, logging.CRITICAL]
    with Pool(Where(cluster=cluster.address)) as workers:
        for tasks in (range(3), range(3, 5)):
            found: dict[int, int] = {}
            workers.gather(cluster_jobs.double, tasks, found.__setitem__)
            assert found == {at: 2 * task for at, task in enumerate(tasks)}
    assert [logging.getLogger(name).level for name in ("distributed", "distributed.client")] == loud


def test_a_run_that_cannot_go_on_is_told_as_if_it_were_here(cluster: Cluster) -> None:
    cluster.has(1)
    with pytest.raises(RunStuck) as told:
        gather(cluster_jobs.be_stuck, range(3), cluster.address)
    assert told.value.waiting == ("lot 1 waits for a shelf",)


def test_from_the_command_line(cluster: Cluster, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    cluster.has(2)
    change = tmp_path / "fewer.toml"
    change.write_text(f'based_on = "{TINY}"\nname = "fewer"\n[change.start.oyster]\nblocks = "45 blocks a week"\n')
    told = []
    for name, where in (("here", ("--workers", "1")), ("there", ("--cluster", cluster.address))):
        asked = ("compare", str(TINY), str(change), "--runs", "3", "--weeks", "4", "--json")
        assert called(*asked, "--out", str(tmp_path / name / "result"), *where) == 0
        told.append(capfd.readouterr())
    assert told[0] == told[1]
    assert told[0].err == "Simulating One shed and 1 of its changes\n"
    assert f'"workers": "{cluster.address}"' in (tmp_path / "there" / "result" / "about.json").read_text()


def called(*words: str) -> int:
    """Exit code of a command that is called in this process."""
    with pytest.raises(SystemExit) as left:
        main(list(words), "farmsim")
    return int(left.value.code or 0)


# --- workers that are lost --------------------------------------------------------------------------------------------


def test_a_worker_killed_in_the_middle_of_a_study_changes_nothing(cluster: Cluster, here: list[RunTables]) -> None:
    first, _ = cluster.has(2)
    assert same(here, study(Where(cluster=cluster.address), lambda done, of: end(first) if done == 2 else None))
    assert len(cluster.addresses()) == 1


def test_a_run_whose_worker_was_killed_is_made_again(cluster: Cluster, tmp_path: Path) -> None:
    cluster.has(2)
    job = functools.partial(cluster_jobs.die_once, tmp_path / "died")
    assert gather(job, range(6), cluster.address) == list(range(6))
    assert (tmp_path / "died").exists() and len(cluster.addresses()) == 1


def test_a_run_that_ends_every_worker_is_given_up(cluster: Cluster) -> None:
    cluster.has(3)
    with cluster.client() as client:
        client.run_on_scheduler(patience, 0)
        with pytest.raises(WorkersLost) as told:
            gather(cluster_jobs.die, [1], cluster.address)
        client.run_on_scheduler(patience, 3)
    assert str(told.value) == (
        f"workers of the Dask cluster at {cluster.address} were ended again and again with the same run in hand; 1 of the "
        "runs asked for were not worked out. Most often memory ran out: give each worker more of it, or start fewer on a "
        "machine"
    )
    assert cluster.addresses() == []


def patience(lives: int, dask_scheduler: Any) -> None:
    """How many workers a run may take with it before the scheduler tells."""
    dask_scheduler.allowed_failures = lives


def test_when_all_workers_are_lost_it_is_told(cluster: Cluster, lost_soon: None) -> None:
    workers = cluster.has(2)

    def end_all(at: int, found: int) -> None:
        for worker in workers:
            end(worker)

    with Pool(Where(cluster=cluster.address)) as pool_of_two, pytest.raises(WorkersLost) as told:
        pool_of_two.gather(cluster_jobs.double, range(20), end_all)
    assert re.fullmatch(
        rf"the Dask cluster at {cluster.address} has had no workers for 1 seconds; 1\d of the runs asked for were not "
        rf"worked out\. Start some with: dask worker {cluster.address} --nthreads 1",
        str(told.value),
    )


def test_workers_that_are_on_their_way_are_waited_for(cluster: Cluster) -> None:
    cluster.has(0)
    cluster.soon_joined_by()
    assert gather(cluster_jobs.double, range(3), cluster.address) == [0, 2, 4]


def test_a_scheduler_that_is_lost_is_told_and_what_is_stored_stays(
    tmp_path: Path, lost_soon: None, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "log").mkdir()
    with (
        Cluster(tmp_path / "log") as own,
        pytest.raises(WorkersLost) as told,
        simulating("a farm", 8, tmp_path / "result", 1, 4, None, own.address) as (brief, _),
    ):
        own.has(1)
        farm = farmsim.load(TINY)
        end_at_3 = replace(brief, progress=lambda done, of: end(own.scheduler) if done == 3 else None)
        with Trials(farm, end_at_3) as trials:
            trials.take([Case(farm, number) for number in range(8)])
    left = re.fullmatch(
        rf"the scheduler of the Dask cluster at {own.address} was lost; (\d) of the runs asked for were not worked out\. "
        rf"Start it again, or leave --cluster out to use this machine\. (\d) finished runs kept in {tmp_path}/runs\.sqlite: "
        r"the same command goes on from there\.",
        str(told.value),
    )
    assert left is not None
    with Store(tmp_path / "runs.sqlite") as store:
        assert sum(kept.runs for kept in store.kept()) == int(left[2]) == 8 - int(left[1]) >= 3
    assert capfd.readouterr().err == "Simulating a farm\n"


@pytest.mark.parametrize("stop", [KeyboardInterrupt, SystemExit])
def test_who_stops_leaves_nothing_to_do_behind(cluster: Cluster, tmp_path: Path, stop: type[BaseException]) -> None:
    cluster.has(2)
    with Pool(Where(cluster=cluster.address)) as workers, pytest.raises(stop):
        workers.gather(cluster_jobs.double, range(50), Mock(side_effect=stop))
    with cluster.client() as client:
        until(lambda: client.run_on_scheduler(tasks) == 0)


def test_ctrl_c_is_heard_while_runs_are_in_hand(cluster: Cluster, tmp_path: Path) -> None:
    cluster.has(1)
    script = tmp_path / "asks.py"
    script.write_text(
        "import functools, pathlib, signal, sys, cluster_jobs\nfrom farmsim.study.pool import Pool, Where\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # also where Ctrl-C was switched off\n"
        "with Pool(Where(cluster=sys.argv[1])) as pool:\n"
        "    pool.gather(functools.partial(cluster_jobs.stay_in_hand, pathlib.Path(sys.argv[2])), range(9), print)\n"
    )
    env = {**os.environ, "PYTHONPATH": os.pathsep.join((str(TINY.parents[1]), str(Path(__file__).parent)))}
    command = [sys.executable, str(script), cluster.address, str(tmp_path)]
    asking = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        until(lambda: list(tmp_path.glob("begun-*")), asking)
        asking.send_signal(signal.SIGINT)
        printed, told = asking.communicate(timeout=PATIENCE)
    finally:
        (tmp_path / "end").touch()
        asking.kill()
        asking.communicate()
    assert printed == "" and told.rstrip().endswith("KeyboardInterrupt") and told.count("Traceback") == 1
    with cluster.client() as client:
        until(lambda: client.run_on_scheduler(tasks) == 0)
    assert len(list(tmp_path.glob("begun-*"))) == 1


def tasks(dask_scheduler: Any) -> int:
    return len(dask_scheduler.tasks)


# --- versions ---------------------------------------------------------------------------------------------------------


def test_workers_with_other_versions_are_named_before_anything_is_worked_out(cluster: Cluster, tmp_path: Path) -> None:
    cluster.has(1)
    good = set(cluster.addresses())
    (tmp_path / "other_luck.py").write_text(OTHER_LUCK)
    (tmp_path / "no_farmsim.py").write_text(NO_FARMSIM)
    cluster.joined_by("--preload", str(tmp_path / "other_luck.py"))
    (other,) = set(cluster.addresses()) - good
    cluster.joined_by("--preload", str(tmp_path / "no_farmsim.py"))
    (without,) = set(cluster.addresses()) - good - {other}
    landed: list[int] = []
    with Pool(Where(cluster=cluster.address)) as workers, pytest.raises(VersionsDiffer) as told:
        workers.gather(cluster_jobs.double, range(20), lambda at, found: landed.append(at))
    first, *between, last = str(told.value).splitlines()
    assert landed == []
    assert first == "workers of the cluster would give other figures than this machine:"
    assert sorted(line.split(" (")[0] for line in between) == sorted(
        [
            f"  {other} has luck 99, not {LUCK}",
            f"  {without} has no farmsim of this kind",
        ]
    )
    assert (
        last == "Install the same versions on all (farmsim's constraints.txt names them), and start the workers again"
    )


def test_a_worker_that_comes_later_with_other_versions_is_given_nothing(
    cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody looks for new workers meanwhile: what each run says about its versions is enough."""
    monkeypatch.setattr(pool, "LOOKS_EVERY", 1000.0)
    (good,) = cluster.has(1)
    ours = cluster.addresses()
    (tmp_path / "other_luck.py").write_text(OTHER_LUCK)
    landed: dict[int, int] = {}

    def join(at: int, found: int) -> None:
        landed[at] = found
        if len(landed) == 1:
            cluster.joined_by("--preload", str(tmp_path / "other_luck.py"))
            end(good)

    with Pool(Where(cluster=cluster.address)) as workers, pytest.raises(VersionsDiffer) as told:
        workers.gather(cluster_jobs.double, range(20), join)
    (other,) = set(cluster.addresses()) - set(ours)
    assert f"\n  {other} has luck 99, not {LUCK}\n" in str(told.value)
    assert 1 <= len(landed) <= 3 and all(found == 2 * at for at, found in landed.items())


def test_other_versions_do_not_even_unpack_a_run() -> None:
    with pytest.raises(VersionsDiffer) as told:
        pool._as_asked({**versions(), "numpy": "1.0", "yeast": "3"}, b"nothing that could be unpacked")
    assert f"  {socket.gethostname()} has numpy {versions()['numpy']}, not 1.0, yeast missing, not 3\n" in str(
        told.value
    )
    assert str(pickle.loads(pickle.dumps(told.value))) == str(told.value)


def test_of_many_workers_only_some_are_named() -> None:
    with pytest.raises(VersionsDiffer) as told:
        found = {f"tcp://10.0.0.{at}:1": {"luck": str(1 + at % 2)} for at in range(10, 40)}
        see_alike({"luck": "1"}, {**found, "tcp://10.0.0.50:1": OSError("it is gone")})
    assert str(told.value).count(" has luck 2, not 1\n") == 8 and "\n  and 7 more workers\n" in str(told.value)


# --- nobody there -----------------------------------------------------------------------------------------------------


@pytest.fixture
def answer_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool, "ANSWERS_WITHIN", 0.5)


def test_an_unreachable_scheduler_is_told_in_one_sentence(
    tmp_path: Path, answer_soon: None, capfd: pytest.CaptureFixture[str]
) -> None:
    address = f"tcp://127.0.0.1:{free_port()}"
    assert (
        called("run", str(TINY), "--runs", "2", "--weeks", "4", "--out", str(tmp_path / "r"), "--cluster", address) == 2
    )
    assert capfd.readouterr() == (
        "",
        "Simulating One shed: 2 x 4 weeks\n"
        f'Error: no Dask scheduler answers at "{address}" (nothing was heard for 0.5 seconds). Give the address that '
        "`dask scheduler` prints when it starts, such as tcp://127.0.0.1:8786, or leave --cluster out to use this machine\n",
    )
    assert list(tmp_path.iterdir()) == []


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def test_a_scheduler_must_answer_within_ten_seconds() -> None:
    assert pool.ANSWERS_WITHIN <= 10.0


def test_somebody_else_at_the_address_is_not_waited_for(answer_soon: None) -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as mute,
        pytest.raises(NoCluster, match=r"nothing was heard for 0\.5 seconds"),
    ):
        gather(cluster_jobs.double, [1], f"127.0.0.1:{mute.getsockname()[1]}")


def test_a_worker_is_no_scheduler(cluster: Cluster) -> None:
    cluster.has(1)
    with pytest.raises(NoCluster, match=r"\(there is a worker\)\. Give the address that `dask scheduler` prints"):
        gather(cluster_jobs.double, [1], cluster.addresses()[0])


@pytest.mark.parametrize(
    ("address", "why"),
    [
        ("here", "missing port number in address 'here'"),
        ("smb://127.0.0.1:1", "unknown address scheme 'smb'"),
        ("tls://127.0.0.1:1", "TLS"),
        ("", ""),
    ],
)
def test_what_is_no_address_is_told(address: str, why: str) -> None:
    with pytest.raises(NoCluster) as told:
        gather(cluster_jobs.double, [1], address)
    assert str(told.value).startswith(f'no Dask scheduler answers at "{address}" ({why}')


def test_without_dask_it_is_told_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(NoCluster) as told:
        gather(cluster_jobs.double, [1], "tcp://127.0.0.1:1")
    assert str(told.value) == (
        "a cluster needs Dask, which cannot be loaded here (import of distributed halted; None in sys.modules). "
        f'Install it: {sys.executable} -m pip install "farmsim[cluster]"'
    )
    assert gather_here(cluster_jobs.double, [1]) == [2]


def gather_here(job: Callable[[int], Any], tasks: Sequence[int]) -> list[Any]:
    found: dict[int, Any] = {}
    with Pool(Where(1)) as workers:
        workers.gather(job, tasks, found.__setitem__)
    return list(found.values())


def test_workers_and_a_cluster_exclude_each_other(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(NotAllowed, match="workers and cluster exclude each other: a cluster has workers of its own"):
        Where(2, "tcp://127.0.0.1:8786")
    words = ("run", str(TINY), "--out", str(tmp_path / "r"), "--workers", "2", "--cluster", "tcp://127.0.0.1:8786")
    assert called(*words) == 2
    assert (
        "Error: --workers and --cluster exclude each other: a cluster has workers of its own. Give one"
        in capsys.readouterr().err
    )
