"""A run can be stopped, and lets other threads go on, whether it runs as plain Python or as machine code."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from itertools import pairwise

import pytest

from farmsim.model import desk
from farmsim.model.calendar import Always
from farmsim.model.crew import People
from farmsim.model.work import Pool, Round
from farmsim.record.journal import Journal
from farmsim.record.names import Names

AT_ONCE = 0.5
"""Within so long of Ctrl-C a run is over, on a busy machine [s]."""


def work_without_end() -> desk.Desk:
    """A yard in which somebody does one round after the other, and nothing on the way is plain Python in machine code."""
    yard = desk.Desk()
    people = People(yard, Journal(Names(duties=("pick",))), ("pick",))
    always_the_same = {float("inf"): Round(1.0, 0.0, None)}
    people.duty["pick"].take_from(Pool([1], always_the_same.get, id))
    people.add("pickers", Always(), ("pick",))
    return yard


@pytest.fixture
def ctrl_c() -> Iterator[None]:
    """Ctrl-C is heard, also where the tests were started in the background, which makes Python deaf to it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.skipif(os.name != "posix", reason="no signal can be sent to this process")
@pytest.mark.usefixtures("ctrl_c")
def test_ctrl_c_ends_a_run_at_once_and_other_threads_go_on_meanwhile() -> None:
    yard, begun = work_without_end(), time.perf_counter()
    sent: list[float] = []
    ticks = [begun]

    def other() -> None:
        for _ in range(60):
            time.sleep(0.005)
            ticks.append(time.perf_counter())
        sent.append(time.perf_counter())
        os.kill(os.getpid(), signal.SIGINT)

    beside = threading.Thread(target=other)
    beside.start()
    try:
        with pytest.raises(KeyboardInterrupt):
            yard.run(until=5e6)
    finally:
        over = time.perf_counter()
        beside.join()
    assert over - sent[0] < AT_ONCE
    assert max(later - sooner for sooner, later in pairwise(ticks)) < AT_ONCE


def test_the_desk_takes_breath_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    taken: list[float] = []
    yard = desk.Desk()
    monkeypatch.setattr(desk, "breathe", lambda: taken.append(yard.now))
    for hour in range(1, 10 * desk.BREATH):
        yard.at(float(hour), lambda: None)
    yard.run(until=5_000.0)
    assert taken == [float(desk.BREATH * turn) for turn in range(1, 10)]
