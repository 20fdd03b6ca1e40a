"""Each strain by itself: how long its lots take, and the shelf places and hours of work it takes for what it brings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pandas as pd

from farmsim.record.measures.days import WHOLE_LIFE, is_step
from farmsim.record.measures.strains import NOBODY
from farmsim.study.strain_answers import Life, Step, Takes, Work

ON_BLOCKS = ("mix", "inoculate", "inspect")
"""Work on blocks until they are ripe, whether they are fruited here or sold; all other work is on mushrooms."""


def lives(days: pd.DataFrame) -> tuple[Life, ...]:
    """The life of a typical lot, strain by strain: each figure the mean of the runs, by lots seen.

    days: the "days" table of all runs
    """
    found = []
    for strain, rows in days.groupby("strain", sort=False):
        spans = {str(name): _step(str(name), group) for name, group in rows.groupby("span", sort=False)}
        steps = tuple(step for name, step in sorted(spans.items(), key=_in_turn) if is_step(name))
        found.append(Life(str(strain), steps, spans.get(WHOLE_LIFE)))
    return tuple(found)


def _in_turn(named: tuple[str, Step]) -> tuple[bool, str]:
    """Flush after flush, then the clearing, whichever run saw them first; before them as they come."""
    name = named[0]
    return ("flush" in name, name) if "flush" in name else (False, "")


def _step(name: str, rows: pd.DataFrame) -> Step:
    lots = rows["n"].sum()
    usual, slow = (float((rows[column] * rows["n"]).sum() / lots) for column in ("p50", "p90"))
    return Step(name, usual, slow, float(lots))


def takes(strains: pd.DataFrame, hours: pd.DataFrame, run_weeks: int) -> tuple[Takes, ...]:
    """What each strain takes and brings; one of which nothing was seen is left out.

    strains, hours: the "strains" and "strain_hours" tables of all runs
    run_weeks: weeks that are told of, all runs together
    """
    sums = strains.drop(columns="run").groupby("strain", sort=False).sum() / run_weeks
    found = []
    for name, row in sums.to_dict("index").items():
        done = hours[hours["strain"] == name].groupby("duty", sort=False)["strain_hours"].sum() / run_weeks
        work = {str(duty): float(spent) for duty, spent in done.items()}
        if work or row["blocks_fruited"] or row["picked_kg"]:
            found.append(_takes(str(name), {str(column): float(value) for column, value in row.items()}, work))
    return tuple(found)


def of_nobody(hours: pd.DataFrame, run_weeks: int) -> float:
    """Hours of work a week that are no one strain's."""
    return float(hours.loc[hours["strain"] == NOBODY, "strain_hours"].sum() / run_weeks)


def _takes(name: str, row: Mapping[str, float], work: Mapping[str, float]) -> Takes:
    saleable = row["firsts_kg"] + row["seconds_kg"]
    fruited, sold, shelf = (row[column] for column in ("blocks_fruited", "blocks_sold", "shelf_weeks"))
    on_blocks = sum(hours for duty, hours in work.items() if duty in ON_BLOCKS)
    here = _ratio(fruited, fruited + sold) or 0.0
    on_mushrooms = {duty: hours * (here if duty in ON_BLOCKS else 1.0) for duty, hours in work.items()}
    return Takes(
        strain=name,
        saleable=saleable,
        fruited=fruited,
        sold=sold,
        shelf_weeks=shelf,
        kg_a_shelf_week=_ratio(saleable, shelf),
        shelf_weeks_a_block=_ratio(shelf, fruited),
        shelf_weeks_a_kg=_ratio(shelf, saleable),
        block_hours_a_block=_ratio(on_blocks, fruited + sold),
        hours_a_kg=_ratio(sum(on_mushrooms.values()), saleable),
        hours_a_fruited_block=_ratio(sum(on_mushrooms.values()), fruited),
        work=tuple(_works(work, on_mushrooms, saleable)),
    )


def _works(work: Mapping[str, float], on_mushrooms: Mapping[str, float], saleable: float) -> Iterator[Work]:
    for duty, hours in work.items():
        yield Work(duty, hours, _ratio(on_mushrooms[duty], saleable))


def _ratio(part: float, whole: float) -> float | None:
    return part / whole if whole > 0 else None
