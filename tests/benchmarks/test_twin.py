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
OTHER_RULES = {
    '"promised blocks first"': '"own rooms first"',
    '"when a shelf is free"': '"when a shelf is promised"',
    '"ripest"': '"dearest"',
    '"file order"': '"largest first"',
}
HAPPENED = ("blocks sold", "blocks too old", "kg sold", "hours clean", "hours overtime")


@pytest.mark.parametrize(("seed", "other"), [(1, {}), (2, {}), (3, OTHER_RULES)])
def test_equal_totals(seed: int, other: dict[str, str], tmp_path: Path) -> None:
    text = SMALL.read_text(encoding="utf-8")
    for rule, instead in other.items():
        text = text.replace(rule, instead)
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    farm = load(tmp_path / "farm.toml")
    ours, theirs = totals(run(farm, seed, weeks=WEEKS)), twin.run(farm, seed, WEEKS)
    assert differences(ours, theirs) == {}
    assert min(theirs[name] for name in HAPPENED) > 0  # the farm is tight enough to be worth comparing
