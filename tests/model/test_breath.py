"""A run can be stopped, and lets other threads go on, whether it runs as plain Python or as machine code."""

from __future__ import annotations

import os
import signal
import threading
import time
from itertools import pairwise
from pathlib import Path

import pytest

import farmsim
from farmsim.model import desk
from farmsim.model.run import set_up

AT_ONCE = 0.5
"""Within so long of Ctrl-C a run is over, on a busy machine [s]."""


@pytest.mark.skipif(os.name != "posix", reason="no signal can be sent to this process")
def test_a_run_of_a_century_ends_at_once_with_ctrl_c_and_other_threads_go_on_meanwhile() -> None:
    farm = farmsim.load(Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml")
    sent: list[float] = []
    ticks: list[float] = []
    is_over = threading.Event()

    def other() -> None:
        for _ in range(60):
            time.sleep(0.005)
            ticks.append(time.perf_counter())
        sent.append(time.perf_counter())
        os.kill(os.getpid(), signal.SIGINT)
        is_over.wait(30.0)

    site = set_up(farm, 1, 0, 6_000)
    beside = threading.Thread(target=other)
    beside.start()
    with pytest.raises(KeyboardInterrupt):
        site.desk.run(until=site.end)
    assert time.perf_counter() - sent[0] < AT_ONCE
    assert max(later - sooner for sooner, later in pairwise(ticks)) < AT_ONCE
    is_over.set()
    beside.join()


def test_the_desk_takes_breath_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    taken: list[float] = []
    yard = desk.Desk()
    monkeypatch.setattr(desk, "breathe", lambda: taken.append(yard.now))
    for hour in range(1, 10 * desk.BREATH):
        yard.at(float(hour), lambda: None)
    yard.run(until=5_000.0)
    assert taken == [float(desk.BREATH * turn) for turn in range(1, 10)]
