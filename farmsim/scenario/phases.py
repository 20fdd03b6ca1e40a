"""Names and dates of the phases in which a farm grows: each a name of its own and a Monday of its own, one after another."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

from farmsim.errors import Fault
from farmsim.scenario.forms import shown
from farmsim.scenario.lines import Table

AT_FIRST = "at first"
KINDS = ("change", "add", "remove")
Path = tuple[str | int, ...]


def needs_name_and_date(phase: Table, at: Path, faults: list[Fault]) -> str:
    """The name of a phase; one without a name or a date is a fault."""
    name = phase.get("name")
    if name is None:
        faults.append(Fault(at, "has no name", "needs a name and a Monday", 'Add name = "second room".'))
    elif not isinstance(name, str) or not name.strip():
        faults.append(Fault((*at, "name"), f"is {shown(name)}", "needs a text", "Write a text in quotes."))
    if "from" not in phase:
        faults.append(Fault(at, "has no date", "needs a name and a Monday", "Add from = 2027-06-07, without quotes."))
    return name.strip() if isinstance(name, str) else ""


def monday(since: object, path: Path, faults: list[Fault]) -> datetime.date | None:
    """The Monday that is written there, if it is one."""
    if not isinstance(since, datetime.date) or isinstance(since, datetime.datetime):
        faults.append(Fault(path, f"is {shown(since)}", "needs a date", "Write it like 2027-06-07, without quotes."))
        return None
    if since.weekday():
        found = f"{since} is a {since.strftime('%A')}"
        faults.append(Fault(path, found, "needs a Monday", "Take the Monday of that week."))
        return None
    return since


def simulated(farm: Table, at_least: int = 0) -> tuple[datetime.date, datetime.date] | None:
    """The first and the last Monday that are simulated; None when the farm's own file has a fault there.

    at_least: weeks that are simulated where the farm itself says fewer
    """
    about = farm.get("farm")
    start = about.get("start") if isinstance(about, Table) else None
    weeks = about.get("weeks", 52) if isinstance(about, Table) else 52
    if not isinstance(start, datetime.date) or not isinstance(weeks, int):
        return None
    return start, start + datetime.timedelta(weeks=max(weeks, at_least) - 1)


@dataclass(slots=True)
class Dates:
    """The dates of a file's phases as they are read one after another; faults are added to the list.

    at_least: weeks that are simulated where the farm itself says fewer
    """

    farm: Table
    faults: list[Fault]
    at_least: int = 0
    read: dict[str, datetime.date] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)

    def of(self, phase: Table, at: Path, name: str) -> datetime.date | None:
        """The Monday on which a phase begins; None for the farm's first day, or when it is none."""
        if name in self.names:
            found = f'"{name}" is the name of two phases'
            self.faults.append(Fault((*at, "name"), found, "needs a name of its own", "Rename one of the two."))
        self.names.add(name)
        since = monday(phase["from"], (*at, "from"), self.faults) if "from" in phase else None
        span = simulated(self.farm, self.at_least)
        at_first = since is not None and span is not None and since == span[0] and not self.read
        if not at_first and not any(kind in phase for kind in KINDS):
            mend = "Add [phase.change...], [phase.add...] or [phase.remove]."
            self.faults.append(Fault(at, "changes nothing", f"needs one of {', '.join(KINDS)}", mend))
        if since is None or span is None or not self._is_simulated(since, span, (*at, "from")):
            return None
        self._follows(since, (*at, "from"))
        self.read[name or str(since)] = since
        return None if at_first else since

    def _is_simulated(self, since: datetime.date, span: tuple[datetime.date, datetime.date], path: Path) -> bool:
        if span[0] <= since <= span[1]:
            return True
        allowed = f"needs a Monday from {span[0]} to {span[1]}, the weeks that are simulated"
        self.faults.append(Fault(path, f"is {since}", allowed, "Move it, or change start or weeks of the farm."))
        return False

    def _follows(self, since: datetime.date, path: Path) -> None:
        """Phases stand in the order of their dates, each with a Monday of its own."""
        before, last = next(reversed(self.read.items()), ("", None))
        if last is not None and since == last:
            found = f'is {since}, as is phase "{before}"'
            self.faults.append(Fault(path, found, "needs a Monday of its own", "Write both as one phase."))
        elif last is not None and since < last:
            found = f'is {since}, before phase "{before}" on {last}'
            self.faults.append(Fault(path, found, "needs phases in the order of their dates", "Put the earlier first."))
