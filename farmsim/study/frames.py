"""The tables of all runs of a study under one another, and written out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables, Table
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
    names = runs[0] if runs else ()
    numbered = list(enumerate(runs, 1))
    return {
        name: pd.concat([_frame(number, tables, name) for number, tables in numbered], ignore_index=True)
        for name in names
    }


def _frame(number: int, tables: RunTables, name: str) -> pd.DataFrame:
    frame = pd.DataFrame(tables[name])
    for column in COUNTED:
        if column in frame:
            frame[column] = frame[column].astype(int)
    frame.insert(0, "run", number)
    return frame


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
