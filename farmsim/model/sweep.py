"""Python's own sweeping: it looks for circles of garbage after every few hundred new objects."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

SWEEP_AFTER = 50_000  # new objects


@contextmanager
def little_sweeping() -> Iterator[None]:
    """Sweep less often meanwhile: a run makes millions of objects and hardly a circle, so that most of it is in vain."""
    before = gc.get_threshold()
    gc.set_threshold(SWEEP_AFTER, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
