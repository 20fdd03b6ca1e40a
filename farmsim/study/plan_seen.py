"""What the runs of a plan saw: who gets what, where most is missing, what looks tight, what leaves on which weekday."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import a_week, flows, longest_gap, stalls_sell
from farmsim.scenario.values import DAYS
from farmsim.study import frames, settle
from farmsim.study import tight as tightness
from farmsim.study.plan_answers import Served, Short
from farmsim.study.start_sheet import of_week
from farmsim.study.weekdays import Weekdays

LEFT_OUTSIDE = 0.02
"""Of all blocks that were to be started, so many may not have found a place on the racks, by the turn of a week."""


def _frame(runs: Sequence[RunTables], name: str) -> pd.DataFrame:
    return frames.frames([{name: tables[name]} for tables in runs])[name]


def served(farm: Farm, before: Sequence[RunTables], after: Sequence[RunTables], weeks: int) -> tuple[Served, ...]:
    """What every customer gets, before and after; those of mushrooms first, stalls last."""
    span = weeks * len(after)
    ours, theirs = (
        _frame(runs, "customers").groupby(["customer", "unit"], sort=False)[["promised", "delivered"]].sum()
        for runs in (before, after)
    )
    found = []
    for key, row in theirs.iterrows():
        assert isinstance(key, tuple)
        was = ours.loc[key]
        found.append(
            Served(str(key[0]), str(key[1]), False, float(row["promised"]) / span,
                   float(was["delivered"] / was["promised"]), float(row["delivered"] / row["promised"]))
        )  # fmt: skip
    return (*found, *_stalls(farm, before, after, weeks))


def _stalls(farm: Farm, before: Sequence[RunTables], after: Sequence[RunTables], weeks: int) -> Iterator[Served]:
    """What stalls sell, of what they would sell with all there that is to be brought."""
    ours, theirs = (_frame(runs, "stalls").groupby("stall")["sold"].sum() for runs in (before, after))
    for stall in farm.customer:
        if stall.kind == "market stall" and stall.name in theirs.index:
            alone = farm.but(customer=(stall,))
            would = sum(stalls_sell(alone, name) for name in stall.sells)
            if would:
                was, now = (float(each.get(stall.name, 0.0)) / weeks / len(after) / would for each in (ours, theirs))
                yield Served(stall.name, "kg", True, would, was, now)


def tight(runs: Sequence[RunTables], weeks: int) -> tuple[str, ...]:
    """Places and crews that look tight."""
    every = frames.frames(
        [{name: tables[name] for name in ("places", "crews", "duties", "hours_of_week")} for tables in runs]
    )
    places = tightness.places(every["places"], every["duties"], every["hours_of_week"], weeks)
    crews = tightness.crews(every["crews"], every["duties"], every["hours_of_week"], weeks)
    return tightness.looks_tight(places, crews)


def fills_up(farm: Farm, runs: Sequence[RunTables], weeks: int) -> bool:
    """Whether more and more blocks stand on the farm, or wait before its racks, from the first measured week to the last."""
    rows = np.array([tables["weekly"]["blocks_inside"] for tables in runs], dtype=float)
    moves = settle.drift(rows)
    return (moves is not None and moves.last > moves.first) or _comes_in(runs) < (1 - LEFT_OUTSIDE) * _due(farm, weeks)


def _due(farm: Farm, weeks: int) -> float:
    """Blocks that were to be started in the measured weeks of a run [blocks]."""
    groups = (group for week in range(weeks) for line in farm.start for group in of_week(farm, line, week, {}))
    return float(sum(group.blocks for group in groups))


def _comes_in(runs: Sequence[RunTables]) -> float:
    """Blocks that found a place on the racks in the measured weeks of a run, on average [blocks]."""
    found = [np.asarray(tables["weekly"][name]).sum() for tables in runs for name in ("blocks_made", "blocks_bought")]
    return float(sum(found)) / len(runs)


def short(runs: Sequence[RunTables]) -> Short | None:
    """Where most is missing of mushrooms that were promised; None when next to nothing is."""
    lines = _frame(runs, "deliveries").groupby(["customer", "weekday", "strain"], sort=False)["short"].sum()
    if lines.empty or lines.sum() <= 1e-6:
        return None
    customer, weekday, strain = lines.index[int(np.argmax(lines.to_numpy()))]
    return Short(str(customer), str(weekday), str(strain), float(lines.max() / lines.sum()))


def keeps_short(farm: Farm) -> tuple[tuple[str, float, float], ...]:
    """Strains that do not keep from one delivery to the next: shelf life and the longest time between two [h]."""
    return tuple(
        (each.strain, life, gap)
        for each in flows(farm)
        if (gap := longest_gap(farm, each.strain)) > (life := farm.strain[each.strain].shelf_life)
    )


def poorest_month(runs: Sequence[RunTables]) -> tuple[str, float] | None:
    """The month in which least was delivered of what was promised; None when all months are in one, or none is promised any."""
    months = _frame(runs, "months").groupby("month", sort=False)[["promised_kg", "delivered_kg"]].sum()
    months = months[months["promised_kg"] > 0]
    if len(months) < 2:
        return None
    shares = months["delivered_kg"] / months["promised_kg"]
    return str(shares.idxmin()), float(shares.min())


def picks_by_day(farm: Farm, days: Sequence[Weekdays], runs: Sequence[RunTables], weeks: int) -> tuple[float, ...]:
    """Saleable mushrooms of a week by the weekday on which they ripen, by arithmetic [kg]; the weight is what runs saw."""
    sums = _frame(runs, "strains").groupby("strain", sort=False)[["firsts_kg", "seconds_kg"]].sum()
    a_strain = sums.sum(axis=1) / weeks / len(runs)
    found = np.zeros(7)
    for line, one in zip(farm.start, days, strict=True):
        of_strain = sum(a_week(each) for each in farm.start if each.strain == line.strain)
        part = a_week(line) / of_strain if of_strain else 0.0
        found += np.array(one.picks) * float(a_strain.get(line.strain, 0.0)) * part
    return tuple(float(value) for value in found)


def deliveries_by_day(farm: Farm, runs: Sequence[RunTables], weeks: int) -> tuple[float, ...]:
    """Mushrooms promised for each weekday, and what is to be brought to stalls [kg/week]."""
    span = weeks * len(runs)
    promised = _frame(runs, "deliveries").groupby("weekday")["promised"].sum() / span
    found = {day: float(promised.get(day, 0.0)) for day in DAYS}
    wanted = _frame(runs, "stalls").groupby("stall")["wanted"].sum() / span
    for stall in farm.customer:
        if stall.kind == "market stall":
            for day in stall.days:
                found[day] += float(wanted.get(stall.name, 0.0)) / len(stall.days)
    return tuple(found[day] for day in DAYS)
