"""A real Dask cluster on this machine, for tests: its scheduler and workers are processes of their own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from distributed import Client

import farmsim

ROOT = Path(farmsim.__file__).parents[1]
PATIENCE = 60.0  # seconds, for a machine that has much else to do


class Cluster:
    """A scheduler and as many workers as a test wants, none of which outlives the `with`."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._workers: list[subprocess.Popen[bytes]] = []
        self._guests: list[subprocess.Popen[bytes]] = []
        self._started = 0
        told = folder / "scheduler.json"
        self.scheduler = self._start("scheduler", "--scheduler-file", str(told))
        until(lambda: told.exists() and bool(told.read_text()), self.scheduler)
        self.address = str(json.loads(told.read_text())["address"])

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        for process in (*self._guests, *self._workers, self.scheduler):
            end(process)

    def has(self, count: int) -> list[subprocess.Popen[bytes]]:
        """So many good workers and no other, ready to work."""
        alive = [worker for worker in self._workers if worker.poll() is None]
        self._workers = alive + [self._worker() for _ in range(count - len(alive))]
        for worker in (*self._guests, *self._workers[count:]):
            end(worker)
        del self._workers[count:], self._guests[:]
        self.wait_for(count)
        return list(self._workers)

    def joined_by(self, *words: str) -> subprocess.Popen[bytes]:
        """A further worker, which is there when this returns."""
        there = len(self.addresses())
        worker = self.soon_joined_by(*words)
        self.wait_for(there + 1)
        return worker

    def soon_joined_by(self, *words: str) -> subprocess.Popen[bytes]:
        """A further worker, which is still on its way when this returns."""
        self._guests.append(self._worker(*words))
        return self._guests[-1]

    def addresses(self) -> list[str]:
        """Of all workers the scheduler knows."""
        with self.client() as client:
            return list(client.nthreads())

    def wait_for(self, count: int) -> None:
        with self.client() as client:
            until(lambda: len(client.nthreads()) == count, self.scheduler)

    def client(self) -> Client:
        return Client(self.address, timeout=PATIENCE, set_as_default=False)  # type: ignore[no-untyped-call]

    def _worker(self, *words: str) -> subprocess.Popen[bytes]:
        scratch = str(self._folder / "scratch")
        return self._start(
            "worker", self.address, "--nthreads", "1", "--no-nanny", "--local-directory", scratch, *words
        )

    def _start(self, what: str, *words: str) -> subprocess.Popen[bytes]:
        self._started += 1
        command = [sys.executable, "-m", "dask", what, "--host", "127.0.0.1", "--no-dashboard", *words]
        port = ["--port", "0"] if what == "scheduler" else []
        env = {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT), str(Path(__file__).parent)))}
        with (self._folder / f"{what}-{self._started}.log").open("wb") as log:
            return subprocess.Popen([*command, *port], env=env, stdout=log, stderr=log)


def end(process: subprocess.Popen[bytes]) -> None:
    process.kill()
    process.wait()


def until(come: Callable[[], Any], process: subprocess.Popen[bytes] | None = None) -> None:
    """Wait for something another process does."""
    last = time.monotonic() + PATIENCE
    while not come():
        assert process is None or process.poll() is None, "the process ended"
        assert time.monotonic() < last, "it did not come"
        time.sleep(0.02)
