"""The engine and a plain-SimPy twin, written from the stated rules, come to the same totals."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.model.run import run
from farmsim.scenario.read import load

from . import twin
from .totals import differences, totals

SMALL = Path(__file__).parent / "farms" / "bench-small.toml"
WEEKS = 20


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_equal_totals(seed: int) -> None:
    farm = load(SMALL)
    ours, theirs = totals(run(farm, seed, weeks=WEEKS)), twin.run(farm, seed, WEEKS)
    assert differences(ours, theirs) == {}
    assert (
        min(theirs[name] for name in ("blocks sold", "blocks too old", "kg sold", "hours clean", "hours overtime")) > 0
    )
