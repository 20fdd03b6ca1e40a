"""Where runs are worked out: in this process, shared out over local processes, or on a Dask cluster. No other file knows.

What is done comes back as it is ready; who asks puts it in order, so the answer is the same wherever it is worked out. A
worker that dies takes no run with it: what is missing is given to others, and the same seed gives the same run. On Ctrl-C
local workers are ended at once, what a cluster has in hand is called off, and the interrupt goes on to the caller.
"""

from __future__ import annotations

import atexit
import gc
import logging
import multiprocessing
import os
import pickle
import signal
import socket
import sys
import threading
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, CancelledError, ProcessPoolExecutor, wait
from concurrent.futures import Future as Waiting
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import resource_tracker
from multiprocessing.process import BaseProcess
from queue import Empty, SimpleQueue
from types import ModuleType, TracebackType
from typing import TYPE_CHECKING, Any, Self, TypeVar, cast

from farmsim.errors import FarmsimError
from farmsim.model.sweep import in_a_worker, left_alone
from farmsim.study.agenda import Agenda, WorkersLost
from farmsim.study.bounds import NotAllowed

if TYPE_CHECKING:
    from distributed import Client, Future

    from farmsim.study.versions import Versions

Task = TypeVar("Task")
Found = TypeVar("Found")

ROUNDS = 3  # a run whose worker died is tried again this often before the study gives up
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
ENDS_WITHIN = 2.0  # seconds that are waited for a local worker told to end, and for who reads what workers tell
ANSWERS_WITHIN = 8.0  # seconds within which a scheduler must answer
COMES_WITHIN = 30.0  # seconds a study waits while a cluster has no worker at all
LOOKS_EVERY = 1.0  # seconds after which it is seen again which workers there are
AHEAD = 2  # runs given out for each process or thread: one in hand and one that waits


class NoCluster(FarmsimError):
    """The cluster that was named cannot be reached, or what reaching it takes is not installed."""

    exit_code = 2


@dataclass(frozen=True)
class Where:
    """Where runs are worked out.

    workers: processes of this machine [count]; None takes one for each processor, 1 stays in this one
    cluster: address of a Dask scheduler, such as tcp://127.0.0.1:8786, whose workers do it instead
    Goes wrong when both are given: NotAllowed.
    """

    workers: int | None = None
    cluster: str | None = None

    def __post_init__(self) -> None:
        if self.workers is not None and self.cluster is not None:
            raise NotAllowed("workers and cluster exclude each other: a cluster has workers of its own. Give one")

    @property
    def hands(self) -> int:
        """Processes at work at once [count]."""
        return usable() if self.workers is None else self.workers


def usable() -> int:
    """Processors this process may use [count]."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Pool:
    """Workers that stay for as long as there is work; left at the end of a `with`."""

    def __init__(self, where: Where) -> None:
        self._where = where
        self._processes: ProcessPoolExecutor | None = None
        self._cluster: _Cluster | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        self._leave_cluster()
        if kind is not None:
            self._end()
        elif self._processes is not None:
            self._processes.shutdown(cancel_futures=True)
            self._processes = None

    def gather(self, job: Callable[[Task], Found], tasks: Iterable[Task], landed: Callable[[int, Found], None]) -> None:
        """Do the job for every task.

        job: a function of one task; it and what it is given and gives can be sent to another process
        tasks: asked for the next one when somebody is about to take it
        landed: told the position of a task and what came of it, in the order in which they are ready
        Goes wrong when workers keep dying: `WorkersLost`; and with a cluster: `NoCluster`, `VersionsDiffer`.
        """
        agenda = Agenda(tasks)
        if self._where.cluster is not None and agenda.has(1):
            try:
                self._cluster = self._cluster or _Cluster(self._where.cluster)
                self._cluster.gather(job, agenda, landed)
            except BaseException:
                self._leave_cluster()
                raise
        elif self._where.hands == 1 or not agenda.has(2):
            with left_alone():
                while agenda.has(1):
                    at, task = agenda.take()
                    landed(at, job(task))
                    agenda.done(at)
        elif not any(self._share_out(job, agenda, landed) for _ in range(ROUNDS)):
            mend = "Most often memory ran out: try fewer --workers, or close other programs"
            raise WorkersLost(f"the worker processes were ended from outside {ROUNDS} times", agenda.missing, mend)

    def _share_out(
        self, job: Callable[[Task], Found], agenda: Agenda[Task], landed: Callable[[int, Found], None]
    ) -> bool:
        """Give out a few at a time until all is done; false when a worker died before that."""
        if self._processes is None:
            spawn = multiprocessing.get_context("spawn")
            self._processes = ProcessPoolExecutor(self._where.hands, spawn, initializer=_settle_in)
        given: dict[Waiting[Found], int] = {}
        try:
            while given or agenda.has(1):
                while len(given) < AHEAD * self._where.hands and agenda.has(1):
                    at, task = agenda.take()
                    with _quiet_start():
                        given[self._processes.submit(in_a_worker, job, task)] = at
                ready = wait(given, LOOKS_EVERY, FIRST_COMPLETED).done
                if not ready and not all(map(BaseProcess.is_alive, _workers(self._processes))):
                    raise BrokenProcessPool  # one was ended in mid-sentence, and whoever reads there waits for the rest
                for future in ready:
                    landed(given[future], future.result())
                    agenda.done(given.pop(future))
        except BrokenProcessPool:
            agenda.lost()
            self._end()
            return False
        except BaseException:
            self._end()
            raise
        return True

    def _end(self) -> None:
        """End the local workers, whatever they are at."""
        if self._processes is not None:
            # Who is ended in mid-sentence leaves half of what came of a run: our end of the pipe would keep its reader waiting
            # for ever, and Python complains of one that outlives the program. Both are out of the public's reach.
            inside, workers = cast(Any, self._processes), _workers(self._processes)
            our_end, reader = inside._result_queue._writer, inside._executor_manager_thread
            self._processes.shutdown(wait=False, cancel_futures=True)
            self._processes = None
            for finish in (BaseProcess.terminate, BaseProcess.kill):
                for worker in workers:
                    finish(worker)
                for worker in workers:
                    worker.join(ENDS_WITHIN)
            our_end.close()
            if reader is not None:
                reader.join(ENDS_WITHIN)

    def _leave_cluster(self) -> None:
        if self._cluster is not None:
            self._cluster.leave()
            self._cluster = None


# --- local processes --------------------------------------------------------------------------------------------------


def _workers(processes: ProcessPoolExecutor) -> list[BaseProcess]:
    return list(cast(Any, processes)._processes.values())


def _settle_in() -> None:
    """A worker's first act: one thread, no sweeping, deaf to Ctrl-C (its owner ends it), gone when its owner is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.disable()
    atexit.register(gc.freeze)  # Python sweeps everything once more as it ends
    for name in ONE_THREAD:
        os.environ[name] = "1"
    threading.Thread(target=_leave_with_owner, daemon=True).start()


def _leave_with_owner() -> None:
    if (owner := multiprocessing.parent_process()) is not None:
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


# --- a Dask cluster ---------------------------------------------------------------------------------------------------


class _Cluster:
    """The workers of a running Dask cluster; none works out a run unless its versions are ours.

    Goes wrong when no scheduler answers, or Dask is not installed: NoCluster.
    """

    def __init__(self, address: str) -> None:
        self._address, self._ours = address, _versions_here()
        with ExitStack() as entered:
            entered.enter_context(_hushed())
            self._client = entered.enter_context(_client(address))
            self.leave = entered.pop_all().close  # calls off what is given out; the cluster stays as it is
        self._known: set[str] = set()
        self._threads, self._agenda = 0, Agenda[object](())
        self._look_at = self._seen_at = 0.0

    def gather(self, job: Callable[[Task], Found], agenda: Agenda[Task], landed: Callable[[int, Found], None]) -> None:
        """As `Pool.gather`. A few runs are given out at a time: little is held, and little has to be called off."""
        self._agenda, ended = cast(Agenda[object], agenda), Counter[int]()
        given: dict[Future[bytes], int] = {}
        ready: SimpleQueue[Future[bytes]] = SimpleQueue()
        self._look_at, self._seen_at = 0.0, time.monotonic()
        while given or agenda.has(1):
            with self._loss_is_told():
                self._look()
                while len(given) < AHEAD * self._threads and agenda.has(1):
                    at, task = agenda.take()
                    future = self._client.submit(_as_asked, self._ours, pickle.dumps((job, task)), pure=False)
                    given[future] = at
                    future.add_done_callback(ready.put)
            try:
                future = ready.get(timeout=LOOKS_EVERY)
            except Empty:
                continue
            if future.status == "pending":  # what came of it was lost again with its worker, and others do it once more
                future.add_done_callback(ready.put)
                continue
            at, packed = given.pop(future), self._came_of(future)
            if packed is not None:
                landed(at, pickle.loads(packed))
                agenda.done(at)
                continue
            agenda.lost(at)
            ended[at] += 1
            if ended[at] == ROUNDS:
                mend = "Most often memory ran out: give each worker more of it, or start fewer on a machine"
                raise self._lost("workers of {} were ended again and again with the same run in hand", mend)

    def _came_of(self, future: Future[bytes]) -> bytes | None:
        """What came of a run; None when it was lost with its workers."""
        from distributed import KilledWorker

        with self._loss_is_told():
            try:
                return future.result(timeout=COMES_WITHIN)
            except KilledWorker:
                return None
            except Exception as raised:
                if future.status != "error":  # no fault of the run: it is on its way again, or there is no way any more
                    if isinstance(raised, TimeoutError):
                        return None
                    raise
                fault = raised
            self._look_at = 0.0
            self._look()  # if somebody came with other versions, that tells more
        raise fault

    def _look(self) -> None:
        """See now and again which workers there are, and that new ones have our versions."""
        now = time.monotonic()
        if now < self._look_at:
            return
        there = self._client.nthreads(callback_timeout=COMES_WITHIN)
        self._see_versions(list(there.keys() - self._known))
        self._known, self._threads, self._look_at = set(there), sum(there.values()), now + LOOKS_EVERY
        if there:
            self._seen_at = now
        elif now - self._seen_at > COMES_WITHIN:
            mend = f"Start some with: dask worker {self._address} --nthreads 1"
            raise self._lost(f"{{}} has had no workers for {COMES_WITHIN:.0f} seconds", mend)

    def _see_versions(self, workers: list[str]) -> None:
        """Who does not answer now is passed over: every run is checked again where it is worked out."""
        from farmsim.study.versions import see_alike

        if workers:
            with suppress(TimeoutError):
                wait = {"on_error": "return", "callback_timeout": COMES_WITHIN}
                see_alike(self._ours, self._client.run(_versions_here, workers=workers, **wait))

    def _lost(self, what: str, mend: str) -> WorkersLost:
        return WorkersLost(what.format(f"the Dask cluster at {self._address}"), self._agenda.missing, mend)

    @contextmanager
    def _loss_is_told(self) -> Iterator[None]:
        from distributed.client import ClosedClientError

        try:
            yield
        except (OSError, CancelledError, ClosedClientError):
            mend = "Start it again, or leave --cluster out to use this machine"
            raise self._lost("the scheduler of {} was lost", mend) from None


@contextmanager
def _hushed() -> Iterator[None]:
    """What Dask writes on the screen about workers and connections that are lost is told in our words, or mended."""
    try:
        import distributed  # loading it sets how much it writes
    except ImportError as fault:
        install = f'{sys.executable} -m pip install "farmsim[cluster]"'
        raise NoCluster(f"a cluster needs Dask, which cannot be loaded here ({fault}). Install it: {install}") from None
    loggers = [logging.getLogger(name) for name in (distributed.__name__, distributed.client.__name__)]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


def _client(address: str) -> Client:
    """A connection to the scheduler at the address. It is asked first who it is: the wrong one might never answer Dask."""
    import distributed
    from distributed.utils import LoopRunner
    from distributed.versions import VersionMismatchWarning

    async def kind() -> str:
        secrets = distributed.Security().get_connection_args("client")
        async with distributed.rpc(address, connection_args=secrets) as there:
            return str((await there.identity())["type"])

    try:
        found = LoopRunner(asynchronous=False).run_sync(kind, callback_timeout=ANSWERS_WITHIN)
        why = "" if found == "Scheduler" else f"there is a {found.lower()}"
    except TimeoutError:
        why = f"nothing was heard for {ANSWERS_WITHIN:g} seconds"
    except Exception as fault:  # Dask has many ways to say that an address is of no use
        why = str(fault).rstrip(".") or type(fault).__name__
    if why:
        raise NoCluster(
            f'no Dask scheduler answers at "{address}" ({why}). Give the address that `dask scheduler` prints when it '
            "starts, such as tcp://127.0.0.1:8786, or leave --cluster out to use this machine"
        )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", VersionMismatchWarning)  # what matters is looked at worker by worker
        return distributed.Client(address, timeout=ANSWERS_WITHIN, set_as_default=False, asynchronous=False)


def _as_asked(theirs: Versions, packed: bytes) -> bytes:
    """On a worker of a cluster: one task. It is not even unpacked by other versions than those it was packed by."""
    from farmsim.study.versions import see_alike

    see_alike(theirs, {socket.gethostname(): _versions_here()})
    job, task = pickle.loads(packed)
    return pickle.dumps(job(task))


def _versions_here() -> dict[str, str]:
    from farmsim.study.versions import versions

    return dict(versions())
