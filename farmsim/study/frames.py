"""The tables of all runs of a study under one another, and written out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables, Table
from farmsim.record.tables import Figures
from farmsim.study.phases import PREFIX

COUNTED = (
    "week",
    "hour",
    "phase",
    "first_week",
    "weeks",
    "year",
    "whole",
)  # columns that count and are shown without decimals
MONEY = ("taken", "wages", "energy", "left")  # columns of the money table that stand beside a week's other figures
AVERAGED: Mapping[str, list[str]] = {
    "hours_of_week": ["what", "name", "hour"],
    "places_weeks": ["place", "week"],
    "crews_weeks": ["crew", "week"],
}
"""Tables with a row for every hour or week of every place and crew and run, and by what they are averaged before they are
written."""


def frames(runs: Sequence[RunTables]) -> dict[str, pd.DataFrame]:
    """Every table with the rows of all runs, run 1 first; the first column tells the run, rows are counted from 0."""
    return {name: _frame([run[name] for run in runs]) for name in (runs[0] if runs else ())}


def _frame(tables: Sequence[Table]) -> pd.DataFrame:
    """One table of all runs. Columns are joined before pandas sees them: a frame for every run takes several times as long."""
    if any(table.keys() != tables[0].keys() for table in tables):
        each = [_frame([table]).assign(run=number) for number, table in enumerate(tables, 1)]
        return pd.concat(each, ignore_index=True)
    rows = [len(next(iter(table.values()), ())) for table in tables]
    found: dict[str, object] = {"run": np.repeat(np.arange(1, len(tables) + 1), rows)}
    for column in tables[0]:
        values = _joined([table[column] for table in tables])
        found[column] = np.asarray(values).astype(int) if column in COUNTED else values
    return pd.DataFrame(found)


def _joined(columns: Sequence[list[str] | Figures]) -> list[str] | Figures:
    """One column of all runs."""
    if all(isinstance(column, np.ndarray) for column in columns):
        return np.concatenate(columns)
    return [value for column in columns for value in column]


def with_money(tables: RunTables) -> Table:
    """What each week took in and paid beside its other figures; before a dated change it is not told, and not a number."""
    weekly = tables["weekly"]
    if "money" not in tables:
        return weekly
    money, weeks = tables["money"], np.asarray(weekly["week"])
    at = np.searchsorted(weeks, np.asarray(money["week"]))
    found: Table = dict(weekly)
    for name in MONEY:
        column = np.full(len(weeks), np.nan)
        column[at] = np.asarray(money[name])
        found[name] = column
    return found


def write(tables: Mapping[str, pd.DataFrame], folder: Path) -> None:
    """One CSV file for each table; those of single phases stay inside, their answers are in summary.json."""
    for name, frame in tables.items():
        if name.startswith(PREFIX):
            continue
        shown = _mean(frame, AVERAGED[name]) if name in AVERAGED else frame
        shown.to_csv(folder / f"{name}.csv", index=False, lineterminator="\n")


def _mean(frame: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """The mean of all runs of every figure."""
    return frame.drop(columns="run").groupby(by, sort=False).mean().reset_index()
