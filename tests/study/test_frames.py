"""The tables of all runs under one another are what joining a frame for every run gives."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

import farmsim
from farmsim.record.measures import RunTables
from farmsim.study.frames import COUNTED, frames
from farmsim.study.job import one_run

FARM = farmsim.load(f"{farmsim.__path__[0]}/../tests/study/lean-to.toml")


def joined(tables: list[RunTables], name: str) -> pd.DataFrame:
    """One table, run after run, as pandas joins them."""
    parts = []
    for number, run in enumerate(tables, 1):
        part = pd.DataFrame(run[name])
        part = part.astype({column: int for column in COUNTED if column in part})
        part.insert(0, "run", number)
        parts.append(part)
    return pd.concat(parts, ignore_index=True)


def test_every_table_of_every_run_is_there_in_order() -> None:
    runs = [one_run(FARM, 3, 30, number) for number in range(3)]
    found = frames(runs)
    assert set(found) == set(runs[0])
    for name, frame in found.items():
        oracle = joined(runs, name)
        assert_frame_equal(frame, oracle, check_exact=True, check_dtype=bool(len(oracle)))


def test_a_column_that_one_run_has_not_is_empty_there() -> None:
    one: RunTables = {"weekly": {"week": np.array([1.0, 2.0]), "picked": np.array([3.0, 4.0])}}
    other: RunTables = {"weekly": {"week": np.array([1.0])}}
    assert_frame_equal(frames([one, other])["weekly"], joined([one, other], "weekly"))
    assert frames([other, one])["weekly"]["picked"].tolist() == pytest.approx([np.nan, 3.0, 4.0], nan_ok=True)
    assert frames([]) == {}
