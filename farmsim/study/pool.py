"""Where the runs are worked out: in this process or shared out over local processes. No other file knows.

Results come back in the order of the run numbers whichever is ready first, so the answer is the same for any number of
workers. A worker that dies takes no run with it: what is missing is given to fresh workers, and the same seed gives the
same run. On Ctrl-C the workers are ended at once and the interrupt goes on to the caller.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import resource_tracker
from types import ModuleType
from typing import TypeVar

from farmsim.errors import FarmsimError

Found = TypeVar("Found")
Landed = Callable[[int], None]

ROUNDS = 3  # a run whose worker died is tried again this often before the study gives up
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


class WorkersLost(FarmsimError):
    """Worker processes keep dying before they hand back their runs: out of memory, most likely, or ended from outside."""

    def __init__(self, missing: Sequence[int]) -> None:
        some = ", ".join(str(number + 1) for number in missing[:8]) + (" ..." if len(missing) > 8 else "")
        super().__init__(
            f"the worker processes were ended from outside {ROUNDS} times; not worked out: run {some}. "
            "Most often memory ran out: try fewer --workers, or close other programs"
        )


def usable() -> int:
    """Processors this process may use [count]."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:
        return os.cpu_count() or 1


def gather(job: Callable[[int], Found], numbers: Sequence[int], workers: int, landed: Landed) -> list[Found]:
    """What the job gives for every run number, in the order of the numbers.

    job: a function of a run number that can be sent to another process
    workers: processes [count]; 1 stays in this one
    landed: told the number of every run that is done
    Goes wrong when workers keep dying: `WorkersLost` names the runs that are missing.
    """
    if min(workers, len(numbers)) <= 1:
        return [_here(job, number, landed) for number in numbers]
    found: dict[int, Found] = {}
    for _ in range(ROUNDS):
        missing = [number for number in numbers if number not in found]
        if not missing:
            break
        _share_out(job, missing, min(workers, len(missing)), found, landed)
    missing = [number for number in numbers if number not in found]
    if missing:
        raise WorkersLost(missing)
    return [found[number] for number in numbers]


def _here(job: Callable[[int], Found], number: int, landed: Landed) -> Found:
    result = job(number)
    landed(number)
    return result


def _share_out(
    job: Callable[[int], Found], numbers: list[int], workers: int, found: dict[int, Found], landed: Landed
) -> None:
    """Fill `found` from a fresh set of workers; returns early, with gaps, when a worker dies."""
    others = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _settle_in)
    try:
        with _quiet_start():
            waiting = {pool.submit(job, number): number for number in numbers}
        for future in as_completed(waiting):
            found[waiting[future]] = future.result()
            landed(waiting[future])
        pool.shutdown()
    except BrokenProcessPool:
        pool.shutdown(cancel_futures=True)
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        _end(set(multiprocessing.active_children()) - others)
        raise


def _end(workers: set[multiprocessing.process.BaseProcess]) -> None:
    for worker in workers:
        worker.terminate()
    for worker in workers:
        worker.join(2)
        if worker.is_alive():
            worker.kill()


def _settle_in() -> None:
    """A worker's first act: one thread, deaf to Ctrl-C (its owner ends it), gone when its owner is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in ONE_THREAD:
        os.environ[name] = "1"
    owner = multiprocessing.parent_process()
    if owner is not None:
        threading.Thread(target=_leave_with, args=(owner,), daemon=True).start()


def _leave_with(owner: multiprocessing.process.BaseProcess) -> None:
    owner.join()
    os._exit(1)


@contextmanager
def _quiet_start() -> Iterator[None]:
    """Start workers so that they are deaf to Ctrl-C from their first instant and import only what a run needs.

    A new process takes over the signals that are held back here. It would also import the caller's main file again: that
    may load pandas, or start the very same study when the file has no guard. A bare stand-in leaves it alone.
    """
    held = hasattr(signal, "pthread_sigmask") and threading.current_thread() is threading.main_thread()
    main = sys.modules["__main__"]
    if held:
        resource_tracker.ensure_running()  # its start would let the signals through again
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main
        if held:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
