"""What each strain earns, run by run: takings less what is bought for it; wages are in no strain's figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd

from farmsim.study.answers import Total
from farmsim.study.books_answers import Earns
from farmsim.study.weeks import total

TABLE = "money_strains"
"""Table of a run that this is worked out from."""
SAID: Mapping[str, tuple[str, str]] = {
    "a_year": ("a year", "currency/year"),
    "block_fruited": ("a block fruited", "currency/block"),
    "block_sold": ("a block sold", "currency/block"),
    "shelf_week": ("a shelf-week", "currency/block week"),
    "rack_week": ("a rack-week", "currency/block week"),
    "hour": ("an hour", "currency/h"),
}
"""Every figure of a strain with its name in words and its unit."""
FIGURES = tuple(SAID)
DAYS_A_WEEK = 7
DAYS_OF_A_BOOK_YEAR = 365  # twelve months without a 29 February
Runs = np.ndarray[tuple[int], np.dtype[np.float64]]


class ByRun(NamedTuple):
    """One strain, one value a run [currency a year, block, block week or h]; not a number where there is nothing to divide by.

    a block's materials are borne by the blocks that are fruited or sold, those that are lost among them
    a_year: everything it earns; block_fruited, shelf_week: of what is fruited; block_sold: of what is sold ready to fruit
    rack_week, hour: everything it earns, for a block's week on a rack and an hour of any work for it
    """

    a_year: Runs
    block_fruited: Runs
    block_sold: Runs
    shelf_week: Runs
    rack_week: Runs
    hour: Runs


def by_run(table: pd.DataFrame, weeks: int) -> dict[str, ByRun]:
    """Every strain in the order of the table.

    table: "money_strains" of all runs; weeks: of which it is [weeks]
    """
    return {str(strain): _of(rows, weeks) for strain, rows in table.groupby("strain", sort=False)}


def _of(rows: pd.DataFrame, weeks: int) -> ByRun:
    of: dict[str, Runs] = {
        str(name): rows[name].to_numpy(dtype=float) for name in rows if name not in ("run", "strain")
    }
    away, fruited = of["blocks_away"], of["blocks_fruited"]
    mushrooms = of["mushrooms"] + of["spent_blocks"] - of["packaging"] - of["disposal"]
    blocks = of["blocks"] - of["block_boxes"]
    earned = mushrooms + blocks - of["block_materials"]
    each = np.nan_to_num(_over(of["block_materials"], away + fruited))
    mushrooms, blocks = mushrooms - each * fruited, blocks - each * away
    return ByRun(
        earned * DAYS_OF_A_BOOK_YEAR / (weeks * DAYS_A_WEEK),
        _over(mushrooms, fruited),
        _over(blocks, away),
        _over(mushrooms, of["shelf_weeks"]),
        _over(earned, of["rack_weeks"]),
        _over(earned, of["hours"]),
    )


def _over(amount: Runs, of: Runs) -> Runs:
    shares: Runs = np.divide(amount, of, out=np.full(len(of), np.nan), where=of > 0)
    return shares


def earns(table: pd.DataFrame, weeks: int) -> list[Earns]:
    """Every strain over runs, in the order of the table; a figure that a run does not have is None.

    table: "money_strains" of all runs; weeks: of which it is [weeks]
    """
    found = by_run(table, weeks).items()
    return [Earns(strain, total(of.a_year.tolist()), *(_total(values) for values in of[1:])) for strain, of in found]


def _total(values: Runs) -> Total | None:
    return None if np.isnan(values).any() else total(values.tolist())


def strains_table(earned: Sequence[Earns]) -> pd.DataFrame:
    """The same for a bookkeeper: the average, and where eight runs in ten lie."""
    rows = []
    for each in earned:
        told = [getattr(each, name) for name in FIGURES]
        parts = [(one.mean.value, one.low, one.high) if one is not None else (np.nan, np.nan, np.nan) for one in told]
        rows.append([each.strain, *(value for part in parts for value in part)])
    columns = [f"{name}{ending}" for name in FIGURES for ending in ("", "_low_1_in_10", "_high_1_in_10")]
    return pd.DataFrame(rows, columns=["strain", *columns])
