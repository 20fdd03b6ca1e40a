"""What every test needs."""

from __future__ import annotations

import gc


def pytest_collection_finish() -> None:
    """Leave what is loaded by now out of every sweep: it stays to the end, and a run sweeps before it begins.

    With pytest and all that the tests load, looking through it takes several times as long as a small run itself.
    """
    gc.collect()
    gc.freeze()
