"""What workers of a test cluster are given to do; they find this file on their path."""

from __future__ import annotations

import os
import signal
from pathlib import Path

from farmsim.errors import RunStuck


def double(number: int) -> int:
    return 2 * number


def process(number: int) -> int:
    return os.getpid()


def die_once(mark: Path, number: int) -> int:
    """The first who has number 2 in hand is gone."""
    if number == 2:
        try:
            mark.touch(exist_ok=False)
        except FileExistsError:
            return number
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def die(number: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return number


def be_stuck(number: int) -> int:
    raise RunStuck(f"run {number} cannot go on", ("lot 1 waits for a shelf",))


def stay_in_hand(folder: Path, number: int) -> int:
    """Say that it has begun, and take until somebody says that it may end."""
    (folder / f"begun-{number}").touch()
    while not (folder / "end").exists():
        pass
    return number
