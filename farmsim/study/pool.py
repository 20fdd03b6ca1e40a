"""Where runs are worked out: in this process or shared out over local processes. No other file knows.

What is done comes back as it is ready; who asks puts it in order, so the answer is the same for any number of workers. A
worker that dies takes no run with it: what is missing is given to fresh workers, and the same seed gives the same run. On
Ctrl-C the workers are ended at once and the interrupt goes on to the caller.
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
from dataclasses import dataclass
from multiprocessing import resource_tracker
from types import ModuleType, TracebackType
from typing import Self, TypeVar

from farmsim.errors import FarmsimError

Task = TypeVar("Task")
Found = TypeVar("Found")

ROUNDS = 3  # a run whose worker died is tried again this often before the study gives up
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


class WorkersLost(FarmsimError):
    """Worker processes keep dying before they hand back their runs: out of memory, most likely, or ended from outside."""

    def __init__(self, missing: int) -> None:
        super().__init__(
            f"the worker processes were ended from outside {ROUNDS} times; {missing:,} of the runs asked for were not "
            "worked out. Most often memory ran out: try fewer --workers, or close other programs"
        )


@dataclass(frozen=True)
class Where:
    """Where runs are worked out.

    workers: processes of this machine [count]; None takes one for each processor, 1 stays in this one
    """

    workers: int | None = None

    @property
    def hands(self) -> int:
        """Processes at work at once [count]."""
        return usable() if self.workers is None else self.workers


def usable() -> int:
    """Processors this process may use [count]."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:
        return os.cpu_count() or 1


class Pool:
    """Workers that stay for as long as there is work; left at the end of a `with`."""

    def __init__(self, where: Where) -> None:
        self._where = where
        self._others = set(multiprocessing.active_children())
        self._processes: ProcessPoolExecutor | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        if kind is None:
            self._let_go()
        else:
            self._end()

    def gather(self, job: Callable[[Task], Found], tasks: Sequence[Task], landed: Callable[[int, Found], None]) -> None:
        """Do the job for every task.

        job: a function of one task; it and what it is given and gives can be sent to another process
        landed: told the position of a task and what came of it, in the order in which they are ready
        Goes wrong when workers keep dying: `WorkersLost`.
        """
        hands = min(self._where.hands, len(tasks))
        if hands <= 1:
            for at, task in enumerate(tasks):
                landed(at, job(task))
            return
        missing = dict(enumerate(tasks))
        for _ in range(ROUNDS):
            self._share_out(job, missing, landed)
            if not missing:
                return
        raise WorkersLost(len(missing))

    def _share_out(
        self, job: Callable[[Task], Found], missing: dict[int, Task], landed: Callable[[int, Found], None]
    ) -> None:
        """Take from `missing` what gets done; leaves some of it when a worker dies."""
        if self._processes is None:
            self._processes = ProcessPoolExecutor(
                self._where.hands, multiprocessing.get_context("spawn"), initializer=_settle_in
            )
        try:
            with _quiet_start():
                waiting = {self._processes.submit(job, task): at for at, task in missing.items()}
            for future in as_completed(waiting):
                found = future.result()
                landed(waiting[future], found)
                del missing[waiting.pop(future)]
        except BrokenProcessPool:
            self._let_go()
        except BaseException:
            self._end()
            raise

    def _let_go(self) -> None:
        if self._processes is not None:
            self._processes.shutdown(cancel_futures=True)
            self._processes = None

    def _end(self) -> None:
        """End the workers wherever they are."""
        if self._processes is None:
            return
        self._processes.shutdown(wait=False, cancel_futures=True)
        self._processes = None
        _end(set(multiprocessing.active_children()) - self._others)


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
