"""The farm that an expansion makes when it opens later.

What moves is written in the change sets of the expansion: their phases, or the one Monday that one of them has as a whole.
The phases of the farm without the expansion stay where they are, and so do purchases and loans, which carry days of their
own: they are paid for all the same. The building begins on its day too and lasts longer: the first date of the expansion
stays when it lies before the opening and starts no blocks, so that what the building takes is taken until it is done.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from farmsim.errors import ScenarioFault
from farmsim.scenario.change import KINDS, State, farm_with_change, states_of, states_upon
from farmsim.scenario.farm import Farm
from farmsim.scenario.lines import Table
from farmsim.scenario.phases import simulated
from farmsim.scenario.read import tables

Link = tuple[Path, Table]
"""A file with its tables."""


class Dated(NamedTuple):
    """Something that comes on a Monday of its own: a phase, "" of a change set as a whole."""

    since: datetime.date
    name: str
    tables: Table


def chain(change: Path) -> list[Link]:
    """The file, and one after the other those that it is based on; the last is a farm's own."""
    found = [(change, tables(change))]
    while isinstance(based_on := found[-1][1].get("based_on"), str):
        file = found[-1][0].parent / based_on
        found.append((file, tables(file)))
    return found


def expansion(change: Path, base: Path | None = None) -> list[Link]:
    """The change sets that make the farm with the expansion of that without it, the first of them first.

    base: file of the farm without it, one of those in the chain; None: that which `change` is based on
    A farm's own file is its own expansion.
    """
    links = chain(change)
    ends = [file.resolve() for file, _ in links].index(base.resolve()) if base is not None else min(1, len(links) - 1)
    return links[: ends or 1][::-1]


def dates(links: list[Link], first: datetime.date | None) -> list[Dated]:
    """What comes on a date in these files, in the order of its days.

    first: the farm's first day; what comes on it is no date but how it begins
    """
    found = [dated for _, table in links for dated in _dated(table) if dated.since != first]
    return sorted(found, key=lambda dated: dated.since)


def _dated(table: Table) -> Iterator[Dated]:
    if isinstance(since := table.get("from"), datetime.date):
        yield Dated(since, "", table)
    for phase in _phases(table):
        if isinstance(since := phase.get("from"), datetime.date):
            yield Dated(since, str(phase.get("name", "")), phase)


def _phases(table: Table) -> list[Table]:
    listed = table.get("phase", [])
    return [each for each in (listed if isinstance(listed, list) else [listed]) if isinstance(each, Table)]


# --- later ------------------------------------------------------------------------------------------------------------


def later(change: Path, weeks: int, simulates: int = 0, base: Path | None = None) -> Farm:
    """The farm after an expansion whose dates come so many weeks later; what comes after the end never comes.

    A phase on the farm's first day is no date but how it begins, and stays. The day on which a request says that the new
    part opens moves along.
    weeks: how much later; simulates: weeks that are run where the farm itself says fewer [weeks]
    base: file of the farm without the expansion; None: that which the change set is based on
    Goes wrong when a file has faults, or one of the phases cannot come so late: ScenarioFault says so.
    """
    states = states_of(tables(change), change, simulates)
    on_time = farm_with_change(states, None)
    links, span = expansion(change, base), simulated(states[0].tables, simulates)
    if span is None or not dates(links, span[0]):
        return on_time
    stays, by = _stays(links, on_time, span[0]), datetime.timedelta(weeks=weeks)
    moved = [(path, _moved(table, by, span, stays)) for path, table in links]
    try:
        return _opens_later(farm_with_change(_states(moved, simulates), None), on_time, weeks)
    except ScenarioFault as fault:
        when = f"(with its dates {weeks} week{'' if weeks == 1 else 's'} later)"
        raise ScenarioFault([replace(each, found=f"{each.found} {when}") for each in fault.faults]) from None


def begins_on_its_day(change: Path, farm: Farm, base: Path | None = None) -> str:
    """The name of the phase that does not come later though all that follows it does; "" when there is none.

    farm: that with the expansion
    """
    links = expansion(change, base)
    stays = _stays(links, farm, farm.farm.start)
    return next((each.name for each in dates(links, farm.farm.start) if each.since == stays and each.name), "")


def _stays(links: list[Link], farm: Farm, first: datetime.date) -> datetime.date | None:
    """The day on which the building begins, whenever it is done; None where no first date before the opening is known as that.

    Blocks are started when the room is as good as there, so they wait for it.
    """
    found = dates(links, first)
    if farm.request is None or not found or found[0].since >= farm.request.opens:
        return None
    begun = [each.tables for each in found if each.since == found[0].since]
    return None if any("start" in _named(each, kind) for each in begun for kind in KINDS) else found[0].since


def _named(tables: Table, kind: str) -> Table:
    found = tables.get(kind)
    return found if isinstance(found, Table) else Table({}, {})


def _states(moved: list[Link], simulates: int) -> list[State]:
    """The states after what is left of the change sets, asking nothing of a lender: that is put in again afterwards."""
    path, table = moved[0]
    states: list[State] | None = None
    if "based_on" in table:
        file = path.parent / str(table["based_on"])
        states = states_of(tables(file), file, simulates)
    for path, table in moved:
        if states is None or any(key in table for key in (*KINDS, "phase")):
            states = states_upon(states, table, path, simulates)
    return [replace(state, tables=_asks_nothing(state.tables)) for state in states or []]


def _asks_nothing(tables: Table) -> Table:
    copy = tables.twin()
    copy.pop("request", None)
    return copy


def _moved(
    table: Table, by: datetime.timedelta, span: tuple[datetime.date, datetime.date], stays: datetime.date | None
) -> Table:
    """The tables of a change set, or of a farm that grows, with their dates moved; without what comes after the last Monday.

    span: the first and the last Monday that are simulated; stays: a day that does not move
    """
    moved, (first, last) = table.twin(), span
    since = table.get("from")
    if isinstance(since, datetime.date) and since != stays:
        moved["from"] = since + by
        for key in ("from", *KINDS) if since + by > last else ():
            moved.pop(key, None)
    phases = _phases(moved)
    moved.pop("phase", None)
    if kept := [each for each in phases if _is_in_time(each, by, last, (first, stays))]:
        moved["phase"] = kept
    return moved


def _is_in_time(
    phase: Table, by: datetime.timedelta, last: datetime.date, stay: tuple[datetime.date | None, ...]
) -> bool:
    """Moves the date of a phase, unless it is one of those that stay; whether it is simulated still."""
    since = phase["from"]
    assert isinstance(since, datetime.date)
    phase["from"] = since if since in stay else since + by
    return since in stay or since + by <= last


def _opens_later(farm: Farm, on_time: Farm, weeks: int) -> Farm:
    """The same farm whose new part is said to open later, in each of its states."""
    if on_time.request is None:
        return farm
    opens = on_time.request.but(opens=on_time.request.opens + datetime.timedelta(weeks=weeks))
    changes = tuple((since, state.but(request=opens)) for since, state in farm.changes)
    return farm.but(request=opens, changes=changes)
