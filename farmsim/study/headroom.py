"""How much room is left at every place and in every crew's hours, week by week, of a farm as it is and as it is to be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

import pandas as pd

from farmsim.model.build import place_list
from farmsim.record.measures.standing import BOOKED
from farmsim.scenario.averages import crew_needs
from farmsim.scenario.farm import Farm
from farmsim.study.pack_answers import Headroom, Level, OverAsked
from farmsim.study.precision import quantile
from farmsim.units import HOURS_A_WEEK

TABLES = ("places_weeks", "crews_weeks")
"""Tables of a run that this is seen in."""
USUAL, BAD = 0.5, 0.9
CREW, HOURS = "crew", "h"
WALK_IN, FRESH, VAN = "walk-in", "walk-in, fresh crates", "van"
"""Kinds: a walk-in on the way of the blocks, one that holds packed crates alone, a van."""
AFTER_ROOMS = {FRESH: 1, VAN: 2}
Tables = Mapping[str, pd.DataFrame]
Named = tuple[str, str, str]
"""Name, kind and unit of a place or a crew."""


def headroom(
    before: Tables, after: Tables, first_week: int, last_week: int, before_farm: Farm, after_farm: Farm
) -> tuple[Headroom, ...]:
    """Every place in the order of a lot's way and of its mushrooms', then every crew, in the weeks told.

    All weeks of all runs count alike.

    before, after: those of `TABLES` of both farms, all runs under one another
    first_week, last_week: of the weeks told, as weeks are counted in the tables, from 1
    A place that is never short is left out: there is no share of it.
    """
    farms = after_farm, before_farm
    only = only_ones(before_farm, after_farm)
    before, after = _as_may_be_worked(before, before_farm, only), _as_may_be_worked(after, after_farm, only)
    found = []
    for names, level in ((_places(farms, only), _place), (_crews(farms), _crew)):
        of = partial(_level, level, first=first_week, last=last_week)
        for name, kind, unit in names:
            found.append(Headroom(name, kind, unit, of(name, before, before_farm), of(name, after, after_farm)))
    return tuple(each for each in found if each.before is not None or each.after is not None)


def only_ones(one: Farm, other: Farm) -> dict[str, str]:
    """What the record calls the only walk-in or van of either farm, and how it is called where the other farm has several.

    By these names a place is the same one in both farms.
    """
    return {**_only_ones(one, other), **_only_ones(other, one)}


def _only_ones(farm: Farm, beside: Farm) -> dict[str, str]:
    found = {}
    for kind, ours, theirs in (
        (WALK_IN, _named(farm, "walk_in"), _named(beside, "walk_in")),
        (VAN, _named(farm, "van"), _named(beside, "van")),
    ):
        if len(ours) == 1 < len(theirs):
            found[kind] = f"{kind} {ours[0]}"
    return found


def _named(farm: Farm, kind: str) -> list[str]:
    return list(dict.fromkeys(name for state in _states(farm) for name in getattr(state, kind)))


def _as_may_be_worked(tables: Tables, farm: Farm, only: Mapping[str, str]) -> Tables:
    """The same, but on shift is only how long the people of a crew may be at work in a week, whatever the rota says [h].

    only: new names of places
    """
    places = tables["places_weeks"].replace({"place": dict(only)}) if only else tables["places_weeks"]
    crews = tables["crews_weeks"].copy()
    begins = [0.0, *(since for since, _ in farm.changes)]
    for since, until, state in zip(begins, [*begins[1:], math.inf], _states(farm), strict=True):
        starts = (crews["week"] - 1) * HOURS_A_WEEK
        for crew in state.crew:
            if crew.at_most_hours is not None:
                of = (crews["crew"] == crew.name) & (starts >= since) & (starts < until)
                crews.loc[of, "rostered_h"] = crews.loc[of, "rostered_h"].clip(upper=crew.people * crew.at_most_hours)
    return {**tables, "places_weeks": places, "crews_weeks": crews}


Of = Callable[[Tables, str, int, int, int], Level | None]
"""The level in the tables, of which name, in which first and last week, and since when the capacity is that of the last."""


def _level(of: Of, name: str, tables: Tables, farm: Farm, first: int, last: int) -> Level | None:
    return of(tables, name, first, last, max(first, _in_force_since(farm, last)))


def _in_force_since(farm: Farm, week: int) -> int:
    """The first week of the state that is in force in a week, both from 1."""
    begins = (int(since // HOURS_A_WEEK) + 1 for since, _ in farm.changes)
    return max((first for first in begins if first <= week), default=1)


def _place(tables: Tables, name: str, first: int, last: int, since: int) -> Level | None:
    rows = _rows(tables["places_weeks"], "place", name, first, last)
    capacity = rows["capacity"][rows["week"] >= since]
    if not (capacity > 0).any():
        return None
    there = rows[rows["capacity"] > 0]
    usual, bad = _usual_and_bad(there["used_share"])
    return Level(float(capacity.median()), usual, bad, float(there["hours_waiting_share"].mean()))


def _crew(tables: Tables, name: str, first: int, last: int, since: int) -> Level | None:
    rows = _rows(tables["crews_weeks"], "crew", name, first, last)
    rostered = rows["rostered_h"][rows["week"] >= since]
    if not (rostered > 0).any():
        return None
    there = rows[rows["rostered_h"] > 0]
    usual, bad = _usual_and_bad(there["worked_h"] / there["rostered_h"])
    return Level(float(rostered.median()), usual, bad, None)


def _usual_and_bad(shares: pd.Series[float]) -> tuple[float, float]:
    """What half of the weeks lie below, and nine in ten [share]."""
    values = [float(each) for each in shares]
    return quantile(values, USUAL), quantile(values, BAD)


def _rows(table: pd.DataFrame, column: str, name: str, first: int, last: int) -> pd.DataFrame:
    return table[(table[column] == name) & (table["week"] >= first) & (table["week"] <= last)]


def over_asked(farm: Farm) -> Iterator[OverAsked]:
    """Crews that by arithmetic, each duty given to who names it earliest, have too little time; and who or what helps."""
    for need in crew_needs(farm):
        crew = next(each for each in farm.crew if each.name == need.name)
        if need.share > 1:
            helpers = (each.name for each in farm.crew if each is not crew and {*each.all_duties} & {*crew.all_duties})
            yield OverAsked(crew.name, need.share, tuple(helpers), crew.overtime.at_most > 0)


# --- names ------------------------------------------------------------------------------------------------------------


def _states(farm: Farm) -> list[Farm]:
    return [farm, *(state for _, state in farm.changes)]


def _places(farms: Iterable[Farm], only: Mapping[str, str]) -> list[Named]:
    """The places of all farms in the order of a lot's way, and then of its mushrooms', each as the record calls it.

    only: new names of places
    """
    found: dict[str, Named] = {}
    for farm in farms:
        states = _states(farm)
        rooms = dict.fromkeys(room.name for state in states for room in state.room)
        known = [each for each in place_list(states, rooms) if each[1] != BOOKED]
        fresh = _fresh_only(states, [name for name, kind, _ in known if kind == WALK_IN])
        for name, kind, unit in known:
            called = only.get(name, name)
            found.setdefault(called, (called, FRESH if name in fresh else kind, unit))
    return sorted(found.values(), key=lambda each: AFTER_ROOMS.get(each[1], 0))


def _fresh_only(states: Sequence[Farm], names: Sequence[str]) -> set[str]:
    """Those of the walk-ins that hold packed crates alone as long as they are there; no block ever comes into them.

    names: of the walk-ins as the record calls them, in the order of the farm's
    """
    walk_ins = dict.fromkeys(name for state in states for name in state.walk_in)
    uses = [[state.walk_in[name].uses for state in states if name in state.walk_in] for name in walk_ins]
    return {
        name
        for name, of in zip(names, uses, strict=True)
        if all(each.cold_shock is None and each.ripe_blocks is None for each in of)
    }


def _crews(farms: Iterable[Farm]) -> list[Named]:
    names = dict.fromkeys(crew.name for farm in farms for state in _states(farm) for crew in state.crew)
    return [(name, CREW, HOURS) for name in names]
