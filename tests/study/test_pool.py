"""The pool: same answers here and in processes, dead workers replaced, nothing left running."""

import functools
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any
from unittest.mock import Mock

import pytest

import farmsim
from farmsim.study.agenda import WorkersLost
from farmsim.study.pool import Pool, Where, usable


def gather(job: Callable[[int], Any], tasks: Sequence[int], workers: int) -> list[Any]:
    """What comes of every task, in their order."""
    found: dict[int, Any] = {}
    with Pool(Where(workers)) as pool:
        pool.gather(job, tasks, found.__setitem__)
    return [found[at] for at in range(len(tasks))]


def square(number: int) -> int:
    time.sleep(0.02 if number % 2 == 0 else 0.0)  # even ones are ready last
    return number * number


def heavy_modules(number: int) -> list[str]:
    return sorted({"pandas", "matplotlib", "numpy"} & set(sys.modules))


def threads_allowed(number: int) -> str | None:
    return os.environ.get("OPENBLAS_NUM_THREADS")


def die_once(folder: Path, number: int) -> int:
    mark = folder / f"died-{number}"
    if number == 2 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def always_die(number: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return number


def fail(number: int) -> int:
    raise ValueError(f"run {number} cannot go on")


def test_results_come_in_run_order_whichever_is_ready_first() -> None:
    assert gather(square, range(9), 3) == [square(number) for number in range(9)]


def test_every_finished_run_is_told_once() -> None:
    for workers in (1, 2):
        landed = Mock()
        with Pool(Where(workers)) as pool:
            pool.gather(square, range(3, 8), landed)
        assert sorted(each.args for each in landed.call_args_list) == [(0, 9), (1, 16), (2, 25), (3, 36), (4, 49)]


def test_workers_stay_until_all_is_done() -> None:
    with Pool(Where(2)) as pool:
        seen: list[set[int]] = []
        for _ in range(2):
            found: dict[int, int] = {}
            pool.gather(os_process_slowly, range(4), found.__setitem__)
            seen.append(set(found.values()))
    assert len(seen[0]) == 2 and seen[0] == seen[1]


def os_process_slowly(number: int) -> int:
    time.sleep(0.2)
    return os.getpid()


def test_one_worker_stays_in_this_process() -> None:
    assert gather(os_process, range(2), 1) == [os.getpid()] * 2
    assert os.getpid() not in gather(os_process, range(2), 2)


def os_process(number: int) -> int:
    return os.getpid()


def test_workers_load_nothing_they_do_not_need_and_keep_to_one_thread() -> None:
    assert gather(heavy_modules, range(2), 2) == [[], []]
    assert gather(threads_allowed, range(2), 2) == ["1", "1"]


def test_a_run_whose_worker_was_killed_is_made_again(tmp_path: Path) -> None:
    assert gather(functools.partial(die_once, tmp_path), range(6), 2) == list(range(6))


def test_workers_that_keep_dying_are_reported_with_the_mend() -> None:
    with pytest.raises(WorkersLost, match=r"; 2 of the runs asked for were not worked out\..*--workers"):
        gather(always_die, range(2), 2)


def test_a_run_that_cannot_go_on_ends_the_study_and_its_workers() -> None:
    others = set(multiprocessing.active_children())  # of whatever was tested before
    with pytest.raises(ValueError, match="cannot go on"):
        gather(fail, range(4), 2)
    until = time.monotonic() + 20.0  # told to end, they take a moment to be gone, and Python another to know it
    while set(multiprocessing.active_children()) - others and time.monotonic() < until:
        time.sleep(0.01)
    assert set(multiprocessing.active_children()) - others == set()


def test_there_is_a_processor_to_work_on() -> None:
    assert usable() >= 1


def test_the_main_file_of_the_caller_is_left_alone(tmp_path: Path) -> None:
    script = tmp_path / "no_guard.py"
    script.write_text(
        "import operator\nfrom farmsim.study.pool import Pool, Where\nfound = {}\n"
        "with Pool(Where(2)) as pool:\n    pool.gather(operator.neg, range(3), found.__setitem__)\n"
        "print([found[at] for at in range(3)])\n"
    )
    assert run_script(script) == "[0, -1, -2]\n"


def run_script(script: Path) -> str:
    source = str(Path(farmsim.__file__).parents[1])
    done = subprocess.run(
        [sys.executable, str(script)],
        env={**os.environ, "PYTHONPATH": source},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stderr == ""
    return done.stdout


@pytest.mark.skipif(not Path("/proc/self/wchan").exists(), reason="who is writing is seen in /proc alone")
def test_a_worker_that_is_killed_in_mid_sentence_takes_no_run_with_it(tmp_path: Path) -> None:
    """While the study sleeps nobody reads, so that a worker is stuck in the middle of what came of its run."""
    script = tmp_path / "asleep.py"
    script.write_text(
        "from farmsim.study.pool import Pool, Where\nfound = {}\n"
        "with Pool(Where(2)) as pool:\n    pool.gather(bytes, [60_000_000] * 4, found.__setitem__)\n"
        "print(sorted(found), {len(each) for each in found.values()})\n"
    )
    env = {**os.environ, "PYTHONPATH": str(Path(farmsim.__file__).parents[1])}
    with subprocess.Popen([sys.executable, str(script)], env=env, stdout=-1, stderr=-1, text=True) as study:
        until = time.monotonic() + 30.0
        while not (writing := [pid for pid in children(study.pid) if "pipe_write" in waits_in(pid)]):
            if (left := until - time.monotonic()) < 0.0:
                study.kill()
                pytest.fail("no worker was ever seen writing")
            study.send_signal(signal.SIGSTOP)
            time.sleep(min(0.3, left))
            if not any("pipe_write" in waits_in(pid) for pid in children(study.pid)):
                study.send_signal(signal.SIGCONT)
                time.sleep(0.02)
        os.kill(writing[0], signal.SIGKILL)
        study.send_signal(signal.SIGCONT)
        try:
            out, err = study.communicate(timeout=30)
        except subprocess.TimeoutExpired:
            study.kill()
            raise
    assert (out, err) == ("[0, 1, 2, 3] {60000000}\n", "")


def children(pid: int) -> list[int]:
    return [int(each) for each in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def waits_in(pid: int) -> str:
    """In which call of the system it waits, if it does."""
    try:
        return Path(f"/proc/{pid}/wchan").read_text()
    except OSError:
        return ""


def test_workers_that_are_ended_in_mid_sentence_leave_nobody_waiting(tmp_path: Path) -> None:
    """What comes of these runs is too large for a pipe, so that some worker is always writing when all are ended."""
    script = tmp_path / "stopped.py"
    script.write_text(
        "from farmsim.study.pool import Pool, Where\n"
        "def landed(at, found):\n    raise RuntimeError('stopped')\n"
        "try:\n    with Pool(Where(2)) as pool:\n"
        "        pool.gather(bytes, [60_000_000] * 6, landed)\n"
        "except RuntimeError as fault:\n    print(fault)\n"
    )
    assert run_script(script) == "stopped\n"
