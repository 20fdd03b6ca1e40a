"""What every test of a command needs."""

from __future__ import annotations

import signal
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def ctrl_c_is_heard() -> Iterator[None]:
    """Programs started here hear Ctrl-C, also when the tests run in the background, where a shell has it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)
