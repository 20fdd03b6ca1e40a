"""What a run writes down does not hang on the Python it runs on: fractions are added up in one way only."""

from __future__ import annotations

import builtins
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from farmsim.model.run import run
from farmsim.model.total import total
from farmsim.scenario.read import load

ROOT = Path(__file__).resolve().parents[2]
WHOLE = builtins.sum


def test_fractions_are_added_up_one_after_the_other() -> None:
    assert total([0.1] * 10) == 0.9999999999999999  # 1.0 is what Python's own says, from 3.12 on
    assert total([1e16, 1.0, 1.0, -1e16]) == 0.0
    assert total({"a": 2, "b": 0.5}.values()) == 2.5
    assert repr(total([])) == "0.0"


@pytest.mark.parametrize(
    ("file", "weeks"),
    [
        ("scenarios/tiny.toml", 8),
        ("scenarios/four-rooms-books.toml", 2),
        ("tests/scenario/all_customers.toml", 8),
        ("tests/benchmarks/farms/everything.toml", 2),
    ],
)
def test_no_run_leaves_fractions_to_pythons_own_sum(monkeypatch: pytest.MonkeyPatch, file: str, weeks: int) -> None:
    """Up to 3.11 it rounds each sum; from 3.12 on it does not, and lots come to be picked in another order."""
    farm = load(ROOT / file)
    farm = farm.but(rules=farm.rules.but(pick_first="dearest"))  # the one rule that weighs prices

    def of_whole_numbers(amounts: Iterable[Any], start: Any = 0) -> Any:
        found = WHOLE(amounts, start)
        assert not isinstance(found, float), "fractions are added up with `total` (model) or `math.fsum` (scenario)"
        return found

    with monkeypatch.context() as other:
        other.setattr(builtins, "sum", of_whole_numbers)
        record = run(farm, 3, 1, weeks)
    assert len(record.tables["picks"]["lot"])
