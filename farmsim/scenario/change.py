"""A change set: a small file that is based on a farm and changes, adds or removes named things.

    based_on = "four-rooms.toml"
    name     = "one more picker"       # stands behind the farm's; "" for what only adds to it, such as prices
    from     = 2027-06-07              # a Monday; left out: from the start

    [change.crew.pickers]              # what is not written stays as it was
    people = 5

    [add.room.Annex]
    holds = "1500 shelf places"
    range = "60 to 66 degF"

    [remove]
    customer = ["market stall"]

Growth in steps is a list of [[phase]], each with a name, a Monday and the same keys; it may stand in the farm's own file
too. The first may be dated on the farm's first day and then only names its beginning. A change set may be based on another
change set.
"""

from __future__ import annotations

import datetime
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from farmsim.errors import Fault, ScenarioFault
from farmsim.scenario.alter import Alteration
from farmsim.scenario.check_request import it_opens_when_something_changes
from farmsim.scenario.farm import Farm
from farmsim.scenario.faults import in_file_order
from farmsim.scenario.forms import nearest, shown
from farmsim.scenario.lines import Table
from farmsim.scenario.part import NotKnown
from farmsim.scenario.phases import AT_FIRST, Dates, monday, needs_name_and_date, simulated
from farmsim.scenario.read import read_tables, tables
from farmsim.scenario.sheet import with_sheets
from farmsim.units import HOURS_A_DAY

KINDS = ("change", "add", "remove")
KEYS = ("based_on", "name", "from", *KINDS, "phase")
PHASE_KEYS = ("name", "from", *KINDS)


@dataclass(frozen=True, slots=True)
class State:
    """The farm's tables as they are from a day on, None is the start; and the name of the phase that begins with it."""

    since: datetime.date | None
    tables: Table
    phase: str = ""

    def holds_on(self, day: datetime.date) -> bool:
        """Whether it has begun on that day."""
        return self.since is None or self.since <= day


def changed(table: Table, path: Path) -> Farm:
    """The farm that a change set makes of the farm it is based on, or a farm with the phases that stand in its own file.

    Goes wrong when either file has faults, or the change set changes nothing: ScenarioFault holds all faults.
    """
    return _farm(states_of(table, path))


def states_of(table: Table, path: Path, at_least: int = 0) -> list[State]:
    """The states of the farm in the tables of a file, the first from the start on.

    at_least: weeks within which dates may lie where the farm itself says fewer
    Goes wrong when the file, or one that it is based on, is no farm or change set: ScenarioFault.
    """
    return _states(table, path, (path.resolve(),), at_least)


def farm_with_change(states: list[State], change: Table | None) -> Farm:
    """The farm of these states, or with a change on it that holds from the start on and in every later state.

    change: tables such as stand under [change] and [add] of a change set: {"change": {"crew": {...}}}
    Goes wrong when the change, or what it leads to, is a fault: ScenarioFault holds all faults.
    """
    if change is None:
        return _farm(states)
    faults: list[Fault] = []
    altered = _applied(states, change, (), faults, None)
    if faults:
        raise ScenarioFault(in_file_order(faults, change))
    return _farm(altered)


def _states(table: Table, path: Path, seen: tuple[Path, ...], at_least: int) -> list[State]:
    """The states of the farm after a change set, the first from the start on."""
    if "based_on" not in table:
        return states_upon(None, table, path, at_least)
    base, file = _base(table, path, seen), path.parent / str(table["based_on"])
    return states_upon(_states(base, file, (*seen, file.resolve()), at_least), table, path, at_least)


def states_upon(states: list[State] | None, table: Table, path: Path, at_least: int = 0) -> list[State]:
    """The states after what one file changes, on those of the farm it is based on; None: it is a farm's own file.

    Goes wrong as `states_of` does.
    """
    is_farm, faults = states is None, list[Fault]()
    if states is None:
        states = [State(None, with_sheets(_without_phases(table), []))]
    else:
        faults += _unknown_keys(table, KEYS)
    states, is_changed = _grown(states, table, faults, at_least)
    if not is_farm and not is_changed and not faults:
        mend = "Add [change...], [add...] or [remove]."
        faults.append(Fault(("based_on",), "changes nothing", f"needs one of {', '.join(KINDS)}", mend))
    if faults:
        rest: list[Fault] = []
        if is_farm:
            read_tables(states[0].tables, rest)
        raise ScenarioFault(in_file_order([*rest, *faults], table))
    return states if is_farm else [replace(state, tables=_named(state.tables, table, path)) for state in states]


def _grown(states: list[State], table: Table, faults: list[Fault], at_least: int) -> tuple[list[State], bool]:
    """The states after the change itself and its phases, and whether there were any."""
    is_changed = "based_on" in table and any(kind in table for kind in KINDS)
    if is_changed:
        since = _since(simulated(states[0].tables, at_least), table, faults) if "from" in table else None
        states = _applied(states, table, (), faults, since)
    phases, dates = _phases(table, faults), Dates(states[0].tables, faults, at_least)
    for at, phase in phases:
        name = needs_name_and_date(phase, at, faults)
        since = dates.of(phase, at, name)
        states = _applied(states, phase, at, faults, since, name)
    return states, is_changed or bool(phases)


def _without_phases(table: Table) -> Table:
    values = {key: value for key, value in table.items() if key != "phase"}
    return Table(values, table.places, table.filled, table.file, table.gone)


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
    """The farm's name with the name of the change set after it; an empty one adds nothing."""
    about, name = state.get("farm"), table.get("name", path.stem)
    if not isinstance(about, Table) or "name" not in about or name == "":
        return state
    about = about.twin()
    about["name"] = f"{about['name']}: {name}"
    copy = state.twin()
    copy["farm"] = about
    return copy


# --- phases -------------------------------------------------------------------------------------------


def _phases(table: Table, faults: list[Fault]) -> list[tuple[tuple[str | int, ...], Table]]:
    """The later phases of a change, each with its path in the file."""
    found: list[tuple[tuple[str | int, ...], Table]] = []
    listed = table.get("phase", [])
    for at, phase in enumerate(listed if isinstance(listed, list) else [listed]):
        if not isinstance(phase, Table):
            faults.append(
                Fault(("phase",), f"is {shown(phase)}", "needs a list of tables", "Write it under [[phase]].")
            )
            continue
        faults += _unknown_keys(phase, PHASE_KEYS, ("phase", at))
        found.append((("phase", at), phase))
    return found


def _applied(
    states: list[State],
    change: Table,
    at: tuple[str | int, ...],
    faults: list[Fault],
    since: datetime.date | None,
    phase: str = "",
) -> list[State]:
    """The states after a change; a state that comes later keeps the change as far as it can."""
    if since is None:
        strict, before = states[0], []
    else:
        before = [state for state in states if state.holds_on(since)]
        strict = State(since, before[-1].tables, before[-1].phase if before[-1].since == since else "")
        before = [state for state in before if state.since != since]
    tables = Alteration(change, at, faults, is_dated=since is not None).of(strict.tables)
    later = [state for state in states if state.since is not None and (since is None or state.since > since)]
    kept = [replace(state, tables=Alteration(change, at, []).of(state.tables)) for state in later]
    return [*before, State(since, tables, phase or strict.phase), *kept]


def _since(
    span: tuple[datetime.date, datetime.date] | None, change: Table, faults: list[Fault]
) -> datetime.date | None:
    """The Monday a change begins, if it is one within the simulated weeks."""
    path = ("from",)
    since = monday(change["from"], path, faults)
    if since is None or span is None:
        return None
    if not span[0] < since <= span[1]:
        allowed = f"needs a Monday after {span[0]} and not after {span[1]}"
        faults.append(Fault(path, f"is {since}", allowed, "Leave it out for a change from the start."))
        return None
    return since


# --- farms --------------------------------------------------------------------------------------------


def _farm(states: list[State]) -> Farm:
    """The first state with the later ones as its dated changes, and when which phase begins."""
    farms: list[Farm] = []
    found: dict[Fault, Fault] = {}
    for state in states:
        faults: list[Fault] = []
        farm = read_tables(state.tables, faults)
        if farm is not None:
            farms.append(farm)
        for fault in faults:
            found.setdefault(fault, _from_phase(fault, state))
    for fault in _opening(farms[0], states) if farms else ():
        found.setdefault(fault, fault)
    if found:
        raise ScenarioFault(tuple(found.values()))
    start = farms[0].farm.start
    hours = [0.0 if state.since is None else (state.since - start).days * HOURS_A_DAY for state in states]
    named = [(hour, state.phase) for hour, state in zip(hours, states, strict=True) if state.phase]
    if named and named[0][0]:
        named.insert(0, (0.0, AT_FIRST))
    return farms[0].but(changes=tuple(zip(hours[1:], farms[1:], strict=True)), phases=tuple(named))


def _opening(farm: Farm, states: list[State]) -> list[Fault]:
    """What is wrong with the day on which a request says that the new part opens, once it is known when the farm changes."""
    with suppress(NotKnown):
        if farm.request is not None and farm.request.opens > farm.farm.start:
            days = {state.since: state.phase for state in states if state.since is not None}
            wrong = list(it_opens_when_something_changes(farm.request, days))
            return in_file_order(wrong, states[0].tables)
    return []


def _from_phase(fault: Fault, state: State) -> Fault:
    """A fault that comes with a later phase says so: its line may stand far from the phase."""
    later = state.phase and state.since is not None
    return replace(fault, found=f'{fault.found} (from phase "{state.phase}" on)') if later else fault
