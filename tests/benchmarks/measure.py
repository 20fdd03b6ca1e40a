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
    """How soon a command answered [s]; `code` is not 0 if it did not."""

    clock: float
    code: int


def ended(*command: str) -> Answered:
    """Start a command and wait for its end."""
    begin = time.perf_counter()
    child = subprocess.Popen([sys.executable, *command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    code = child.wait()
    return Answered(time.perf_counter() - begin, code)


def first_line(*command: str) -> Answered:
    """Start a command, wait for the first thing it says, and end it."""
    begin = time.perf_counter()
    child = subprocess.Popen([sys.executable, *command], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    assert child.stdout is not None
    said = b""
    while not said.strip() and child.stdout.readable():
        piece = os.read(child.stdout.fileno(), 4096)
        if not piece:
            break
        said += piece
    clock = time.perf_counter() - begin
    broken = not said.strip() or b"Traceback" in said or b"Error" in said
    child.terminate()
    child.stdout.read()
    child.wait()
    return Answered(clock, int(broken))


def several(call: Callable[..., Answered], command: Sequence[str], times: int = 5) -> tuple[float, float, int]:
    """The median and the fastest of several starts [s], and the code of the last."""
    found = [call(*command) for _ in range(times)]
    clocks = [each.clock for each in found]
    return median(clocks), min(clocks), found[-1].code
