"""The farm that a change set makes when all that has a date in it comes later.

What moves is written in the change set itself: its phases, or the one Monday it has as a whole. The phases of the farm it
is based on stay where they are, and so do purchases and loans, which carry days of their own: they are paid for all the same.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

from farmsim.errors import ScenarioFault
from farmsim.scenario.change import KINDS, State, farm_with_change, states_of
from farmsim.scenario.farm import Farm
from farmsim.scenario.lines import Table
from farmsim.scenario.phases import simulated
from farmsim.scenario.read import tables


def later(change: Path, weeks: int, simulates: int = 0) -> Farm:
    """The farm after a change set all of whose dates come so many weeks later; what comes after the end never comes.

    A phase on the farm's first day is no date but how it begins, and stays. The day on which a request says that the new
    part opens moves along.
    weeks: how much later; simulates: weeks that are run where the farm itself says fewer [weeks]
    Goes wrong when the file has faults, or one of its phases cannot come so late: ScenarioFault says so.
    """
    table = tables(change)
    states = states_of(table, change)
    span = simulated(states[0].tables, simulates)
    moved = table if span is None else _moved(table, datetime.timedelta(weeks=weeks), *span)
    if moved == table:  # nothing in it has a date
        return farm_with_change(states, None)
    try:
        return _opens_later(farm_with_change(_states(moved, change, simulates), None), weeks)
    except ScenarioFault as fault:
        when = f"(with its dates {weeks} week{'' if weeks == 1 else 's'} later)"
        raise ScenarioFault([replace(each, found=f"{each.found} {when}") for each in fault.faults]) from None


def _states(moved: Table, change: Path, simulates: int) -> list[State]:
    """The states of what is left of a change set; those of the farm it is based on when nothing is."""
    if "based_on" in moved and not any(key in moved for key in (*KINDS, "phase")):
        base = change.parent / str(moved["based_on"])
        return states_of(tables(base), base, simulates)
    return states_of(moved, change, simulates)


def _moved(table: Table, by: datetime.timedelta, first: datetime.date, last: datetime.date) -> Table:
    """The tables of a change set, or of a farm that grows, with their dates moved; without what comes after the last Monday."""
    moved = table.twin()
    if isinstance(since := table.get("from"), datetime.date):
        moved["from"] = since + by
        for key in ("from", *KINDS) if since + by > last else ():
            moved.pop(key, None)
    listed = moved.pop("phase", [])
    phases = [each for each in (listed if isinstance(listed, list) else [listed]) if isinstance(each, Table)]
    if kept := [each for each in phases if _is_in_time(each, by, first, last)]:
        moved["phase"] = kept
    return moved


def _is_in_time(phase: Table, by: datetime.timedelta, first: datetime.date, last: datetime.date) -> bool:
    """Moves the date of a phase, unless it is the farm's first day; whether it is simulated still."""
    since = phase["from"]
    assert isinstance(since, datetime.date)
    phase["from"] = since if since == first else since + by
    return since + by <= last or since == first


def _opens_later(farm: Farm, weeks: int) -> Farm:
    """The same farm whose new part is said to open later, in each of its states."""
    if farm.request is None:
        return farm
    opens = farm.request.but(opens=farm.request.opens + datetime.timedelta(weeks=weeks))
    changes = tuple((since, state.but(request=opens)) for since, state in farm.changes)
    return farm.but(request=opens, changes=changes)
