"""Measuring: processor time, memory, and how soon a command answers. Nothing here is a test."""

from __future__ import annotations

import contextlib
import gc
import os
import subprocess
import sys
import time
from collections.abc import Callable, Generator, Sequence
from pathlib import Path
from statistics import median
from typing import NamedTuple, TypeVar

import simpy

Answer = TypeVar("Answer")
MB = 1e6


def cpu(call: Callable[[], Answer]) -> tuple[float, Answer]:
    """Processor time of one call [s], and its answer."""
    gc.collect()
    begin = time.process_time()
    answer = call()
    return time.process_time() - begin, answer


def plain_loop() -> int:
    """A fixed piece of plain Python, to compare machines and moments by."""
    total = 0
    for number in range(3_000_000):
        total += number & 7
    return total


def bare_timeouts() -> float:
    """100,000 waits of one SimPy process, nothing else."""
    env = simpy.Environment()

    def waits() -> Generator[simpy.Event, None, None]:
        for _ in range(100_000):
            yield env.timeout(1.0)

    env.process(waits())
    env.run()
    return float(env.now)


# --- memory ---------------------------------------------------------------------------------------------------------


def memory_now() -> float:
    """What this process holds [MB]; only where there is /proc."""
    return _status("VmRSS")


def forget_peak() -> None:
    """From now on the peak is counted anew."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def memory_peak() -> float:
    """The most this process has held [MB]."""
    return _status("VmHWM")


def _status(name: str) -> float:
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return float("nan")
    return next(float(line.split()[1]) * 1024 / MB for line in lines if line.startswith(name))


# --- commands -------------------------------------------------------------------------------------------------------


class Answered(NamedTuple):
    """How soon a command answered: by the clock, and in processor time [s]."""

    clock: float
    cpu: float
    code: int | None


def ended(*command: str) -> Answered:
    """Start a command and wait for its end."""
    begin = time.perf_counter()
    child = subprocess.Popen([sys.executable, *command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    return Answered(time.perf_counter() - begin, used.ru_utime + used.ru_stime, child.returncode)


def first_line(*command: str) -> Answered:
    """Start a command, wait for the first thing it says, and end it."""
    begin = time.perf_counter()
    child = subprocess.Popen([sys.executable, *command], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    assert child.stdout is not None
    said = child.stdout.readline()
    clock = time.perf_counter() - begin
    child.terminate()
    child.stdout.read()
    child.wait()
    return Answered(clock, float("nan"), None if said.strip() else 1)


def usual(call: Callable[..., Answered], command: Sequence[str], times: int = 5) -> Answered:
    """The median of several starts; the code is that of the last."""
    found = [call(*command) for _ in range(times)]
    return Answered(median(each.clock for each in found), median(each.cpu for each in found), found[-1].code)
