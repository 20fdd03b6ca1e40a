"""The phases of a farm that grows: what each brings, what it keeps of its promises, and where it looks tight."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

import pandas as pd

from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.study import tight
from farmsim.study.changes import in_force
from farmsim.study.growth_answers import Course, Growth, Phase
from farmsim.study.phases import LEVELS, OF_EACH, PREFIX, Span, spans
from farmsim.study.precision import known, of_runs
from farmsim.study.promises import promises
from farmsim.study.weeks import FAT, THIN, USUAL, total
from farmsim.units import HOURS_A_WEEK

SHOWN = ("picked_kg", "sold_kg", "promised_kg", "blocks_in", "blocks_sold", "blocks_promised")  # week by week
KEYS = ("run", "phase", "name", "first_week", "weeks")
Tables = Mapping[str, pd.DataFrame]


def growth(farm: Farm, weeks: int, weekly: pd.DataFrame, tables: Tables) -> Growth | None:
    """What there is to tell of the phases; None of a farm without.

    weeks: measured length of each run [weeks]
    weekly: the weekly table with blocks that come in as one
    """
    found = spans(farm, weeks)
    if not found:
        return None
    courses = {name: _course(weekly, name) for name in SHOWN}
    return Growth(tuple(_phase(farm, span, tables) for span in found), courses, len(farm.phases) - len(found))


def _phase(farm: Farm, span: Span, tables: Tables) -> Phase:
    mine = {name: _of(tables[f"{PREFIX}{name}"], span) for name in OF_EACH}
    rows = _of(tables["phases"], span)
    rows = rows.assign(blocks_in=rows["blocks_made"] + rows["blocks_bought"])
    state, hours = in_force(farm, span.first * HOURS_A_WEEK), mine["hours_of_week"]
    needs = [(need.name, need.share) for need in averages.needs(state)]
    places = tight.places(mine["places"], mine["duties"], hours, span.weeks)
    crews = tight.crews(mine["crews"], mine["duties"], hours, span.weeks)
    return Phase(
        number=span.number,
        name=span.name,
        first=(farm.farm.start + timedelta(weeks=span.first)).isoformat(),
        week=span.first + 1,
        weeks=span.weeks,
        a_week={str(name): known((rows[name] / (1 if name in LEVELS else span.weeks)).to_numpy(float))
                for name in rows.columns if name not in KEYS},
        picked=total(rows["picked_kg"]),
        promises=promises(mine["customers"], rows["run"].nunique(), span.weeks),
        fullest=max(needs, key=lambda need: need[1], default=("", 0.0)),
        tight=tight.looks_tight(places, crews),
    )  # fmt: skip


def _of(table: pd.DataFrame, span: Span) -> pd.DataFrame:
    return table[table["phase"] == span.number]


def _course(weekly: pd.DataFrame, name: str) -> Course:
    by_week = weekly.pivot(index="run", columns="week", values=name).to_numpy(float).T
    low, mid, high = (tuple(of_runs(runs, share) for runs in by_week) for share in (THIN, USUAL, FAT))
    return Course(low, mid, high)


def with_phases(weekly: pd.DataFrame, found: Growth) -> pd.DataFrame:
    """The weekly table with the phase that each week belongs to."""
    names = {week: one.name for one in found.phases for week in range(one.week, one.week + one.weeks)}
    shown = weekly.copy()
    shown.insert(2, "phase", shown["week"].map(names))
    return shown
