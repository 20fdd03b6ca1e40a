"""A change set: a small file that is based on a farm and changes, adds or removes named things.

    based_on = "four-rooms.toml"
    name     = "one more picker"
    from     = 2027-06-07              # a Monday; left out: from the start

    [change.crew.pickers]              # what is not written stays as it was
    people = 5

    [add.room.Annex]
    holds = "1500 shelf places"
    range = "60 to 66 degF"

    [remove]
    customer = ["market stall"]

Growth in steps is a list of [[phase]] with the same keys, each with its own `from`. A change set may be based on
another change set.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from farmsim.errors import Fault, ScenarioFault
from farmsim.scenario.alter import Alteration
from farmsim.scenario.farm import Farm
from farmsim.scenario.faults import in_file_order
from farmsim.scenario.forms import nearest, shown
from farmsim.scenario.lines import Table
from farmsim.scenario.read import read_tables, tables
from farmsim.scenario.sheet import with_sheets
from farmsim.units import HOURS_A_DAY

KINDS = ("change", "add", "remove")
KEYS = ("based_on", "name", "from", *KINDS, "phase")


@dataclass(frozen=True, slots=True)
class State:
    """The farm's tables as they are from a day on; None is the start."""

    since: datetime.date | None
    tables: Table

    def holds_on(self, day: datetime.date) -> bool:
        """Whether it has begun on that day."""
        return self.since is None or self.since <= day


def changed(table: Table, path: Path) -> Farm:
    """The farm that a change set makes of the farm it is based on.

    Goes wrong when either file has faults, or the change set changes nothing: ScenarioFault holds all faults.
    """
    return _farm(_states(table, path, (path.resolve(),)))


def _states(table: Table, path: Path, seen: tuple[Path, ...]) -> list[State]:
    """The states of the farm after a change set, the first from the start on."""
    if "based_on" not in table:
        return [State(None, with_sheets(table, []))]
    base = _base(table, path, seen)
    states = _states(
        base, path.parent / str(table["based_on"]), (*seen, (path.parent / str(table["based_on"])).resolve())
    )
    faults = _unknown_keys(table, KEYS)
    phases = _phases(table, faults)
    for at, phase in phases:
        states = _applied(states, phase, at, faults)
    if not phases and not faults:
        mend = "Add [change...], [add...] or [remove]."
        faults.append(Fault(("based_on",), "changes nothing", f"needs one of {', '.join(KINDS)}", mend))
    if faults:
        raise ScenarioFault(in_file_order(faults, table))
    return [State(state.since, _named(state.tables, table, path)) for state in states]


def _base(table: Table, path: Path, seen: tuple[Path, ...]) -> Table:
    wanted, place = table["based_on"], str(table.places["based_on"])
    if not isinstance(wanted, str):
        fault = Fault(
            ("based_on",), f"is {shown(wanted)}", "needs the name of a farm's file", "Write it in quotes.", place
        )
        raise ScenarioFault([fault.at(place, "based_on")])
    file = path.parent / wanted
    if file.resolve() in seen:
        fault = Fault(
            ("based_on",), f'"{wanted}" is based on this file again', "needs a farm at the end", "Name a farm's file."
        )
        raise ScenarioFault([fault.at(place, "based_on")])
    if not file.is_file():
        fault = Fault(
            ("based_on",), f'there is no file "{wanted}" beside this one', "needs a farm's file", "Check its name."
        )
        raise ScenarioFault([fault.at(place, "based_on")])
    return tables(file)


def _unknown_keys(table: Table, known: tuple[str, ...], path: tuple[str | int, ...] = ()) -> list[Fault]:
    return [
        Fault(
            (*path, key),
            f'"{key}" is not known here',
            f"known are {', '.join(known)}",
            nearest(key, known, "Leave it out."),
        )
        for key in table
        if key not in known
    ]


def _named(state: Table, table: Table, path: Path) -> Table:
    """The farm's name with the name of the change set after it."""
    about = state.get("farm")
    if not isinstance(about, Table) or "name" not in about:
        return state
    about = about.twin()
    about["name"] = f"{about['name']}: {table.get('name', path.stem)}"
    copy = state.twin()
    copy["farm"] = about
    return copy


# --- phases -------------------------------------------------------------------------------------------


def _phases(table: Table, faults: list[Fault]) -> list[tuple[tuple[str | int, ...], Table]]:
    """The change itself and its later phases, each with its path in the file."""
    found: list[tuple[tuple[str | int, ...], Table]] = []
    if any(kind in table for kind in KINDS):
        found.append(((), table))
    listed = table.get("phase", [])
    for at, phase in enumerate(listed if isinstance(listed, list) else [listed]):
        if not isinstance(phase, Table):
            faults.append(
                Fault(("phase",), f"is {shown(phase)}", "needs a list of tables", "Write it under [[phase]].")
            )
            continue
        faults += _unknown_keys(phase, ("from", *KINDS), ("phase", at))
        if not any(kind in phase for kind in KINDS):
            mend = "Add [phase.change...], [phase.add...] or [phase.remove]."
            faults.append(Fault(("phase", at), "changes nothing", f"needs one of {', '.join(KINDS)}", mend))
        found.append((("phase", at), phase))
    return found


def _applied(states: list[State], phase: Table, at: tuple[str | int, ...], faults: list[Fault]) -> list[State]:
    """The states after a phase; a state that comes later keeps the phase's change as far as it can."""
    since = _since(states[0].tables, phase, at, faults) if "from" in phase else None
    if since is None:
        strict, before = states[0], []
    else:
        before = [state for state in states if state.holds_on(since)]
        strict = State(since, before[-1].tables)
        before = [state for state in before if state.since != since]
    made = State(since, Alteration(phase, at, faults, is_dated=since is not None).of(strict.tables))
    later = [state for state in states if state.since is not None and (since is None or state.since > since)]
    return [*before, made, *(State(state.since, Alteration(phase, at, []).of(state.tables)) for state in later)]


def _since(base: Table, phase: Table, at: tuple[str | int, ...], faults: list[Fault]) -> datetime.date | None:
    """The Monday a phase begins, if it is one within the simulated weeks."""
    since, path = phase["from"], (*at, "from")
    if not isinstance(since, datetime.date) or isinstance(since, datetime.datetime):
        faults.append(Fault(path, f"is {shown(since)}", "needs a date", "Write it like 2027-06-07, without quotes."))
        return None
    if since.weekday():
        found = f"{since} is a {since.strftime('%A')}"
        faults.append(Fault(path, found, "needs a Monday", "Take the Monday of that week."))
        return None
    about = base.get("farm")
    start = about.get("start") if isinstance(about, Table) else None
    weeks = about.get("weeks", 52) if isinstance(about, Table) else 52
    if not isinstance(start, datetime.date) or not isinstance(weeks, int):
        return None  # a fault of the farm's own file, told there
    last = start + datetime.timedelta(weeks=weeks - 1)
    if not start < since <= last:
        allowed = f"needs a Monday after {start} and not after {last}"
        faults.append(Fault(path, f"is {since}", allowed, "Leave it out for a change from the start."))
        return None
    return since


# --- farms --------------------------------------------------------------------------------------------


def _farm(states: list[State]) -> Farm:
    """The first state with the later ones as its dated changes."""
    farms: list[tuple[datetime.date | None, Farm]] = []
    found: dict[Fault, None] = {}
    for state in states:
        faults: list[Fault] = []
        farm = read_tables(state.tables, faults)
        if farm is not None:
            farms.append((state.since, farm))
        found.update(dict.fromkeys(faults))
    if found:
        raise ScenarioFault(tuple(found))
    first = farms[0][1]
    later = [((since - first.farm.start).days * HOURS_A_DAY, farm) for since, farm in farms[1:] if since is not None]
    return first.but(changes=tuple(later))
