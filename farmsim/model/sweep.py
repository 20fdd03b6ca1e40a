"""Python's own sweeping: it looks for circles of garbage after every few hundred new objects."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

Task = TypeVar("Task")
Found = TypeVar("Found")
LEFT_OVER = 100_000
"""So many objects more than at the last sweep are swept in a worker after a task [count]."""


@contextmanager
def no_sweeping() -> Iterator[None]:
    """Do not sweep meanwhile: a run makes millions of objects and not one circle, so that all of it is in vain.

    Only the farm itself is one large circle, which is taken apart at the end (`close.take_apart`).
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


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
    """One task, in a process that does nothing else and in which Python does not sweep of its own accord.

    Neither a run nor its measures make circles, so it is swept only when much is left over after all; what is there then,
    all that was loaded among it, is left out of every later sweep.
    """
    found = job(task)
    if gc.get_count()[0] > LEFT_OVER:
        gc.collect()
        gc.freeze()
    return found
