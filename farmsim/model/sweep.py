"""Python's own sweeping: it looks for circles of garbage after every few hundred new objects."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

Task = TypeVar("Task")
Found = TypeVar("Found")

SWEEP_AFTER = 50_000  # new objects
LEFT = 2  # small sweeps since the last of everything, from which on one of everything is worth its time


@contextmanager
def little_sweeping() -> Iterator[None]:
    """Sweep less often meanwhile: a run makes millions of objects and hardly a circle, so that most of it is in vain.

    Before it what the last run left, if that was much: a farm that is done with is itself one large circle, and several
    of them would lie about until Python sweeps everything of its own accord.
    """
    if gc.get_count()[1] >= LEFT:
        gc.collect()
    before = gc.get_threshold()
    gc.set_threshold(SWEEP_AFTER, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)


@contextmanager
def left_alone() -> Iterator[None]:
    """What is here already is left out of every sweep meanwhile, unless somebody else has seen to that.

    A sweep before a run looks through everything: where pandas and pictures are loaded that takes longer than a small run.
    What came meanwhile is swept before the rest joins it again. Otherwise a farm that is done with would be old by then, and
    many questions of one run each would leave theirs lying about until Python sweeps everything of its own accord.
    """
    if gc.get_freeze_count():
        yield
        return
    gc.freeze()
    try:
        yield
    finally:
        gc.collect()
        gc.unfreeze()


def in_a_worker(job: Callable[[Task], Found], task: Task) -> Found:
    """One task, in a process that does nothing else; what was loaded for the first is left out of every sweep from then on."""
    if not gc.get_freeze_count():
        gc.collect()
        gc.freeze()
    return job(task)
