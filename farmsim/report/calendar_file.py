"""The start sheet as a calendar that phones and programs take in: iCalendar, RFC 5545.

Every event lasts the whole day. The same plan gives the same bytes: the time stamp is the farm's first day, and an event keeps
its name (UID) from one plan to the next as long as it is the same step of the same lots.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator, Sequence

from farmsim.report.words import DAYS, MONTHS, listed, plural, tidy
from farmsim.study.start_sheet import Group, When

LONGEST = 75  # octets of a line, its end not counted (RFC 5545, 3.1)
END = "\r\n"
PRODUCT = "-//farmsim//start sheet//EN"


def calendar(farm: str, start: datetime.date, groups: Sequence[Group]) -> str:
    """The whole calendar.

    farm: its name; start: its first day
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    for group in groups:
        for event in _events(farm, start, group):
            lines += event
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}{END}" for line in lines)


def _events(farm: str, stamp: datetime.date, group: Group) -> Iterator[list[str]]:
    what = f"{plural(group.blocks, 'block')} of {tidy(group.line)}"
    begin = "Take in" if group.made == "bought" else "Start"
    yield _event(farm, stamp, group, "start", group.day, f"{begin} {what}", _about(group))
    for when in group.steps:
        if when.step != "ripe":
            told = f"{when.step.capitalize()}: {what}, started {_day(group.day)}"
            yield _event(farm, stamp, group, when.step, when.usual, told, f"{_spread(when)} {_about(group)}")


def _about(group: Group) -> str:
    lots = tidy(group.first) if group.first == group.last else f"{tidy(group.first)} to {tidy(group.last)}"
    carts = f"Lots {lots}: {listed([str(size) for size in group.lots])} blocks."
    return carts if not group.loads else f"{carts} {plural(group.loads, 'sterilizer load')}."


def _spread(when: When) -> str:
    return f"Half of the lots are so far by then; 1 in 10 by {_day(when.early)}, 9 in 10 by {_day(when.late)}."


def _day(when: datetime.date) -> str:
    return f"{DAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]}"


def _event(
    farm: str, stamp: datetime.date, group: Group, step: str, day: datetime.date, summary: str, about: str
) -> list[str]:
    name = hashlib.sha256("\n".join((farm, group.line, group.day.isoformat(), step)).encode()).hexdigest()[:24]
    return [
        "BEGIN:VEVENT",
        f"UID:{name}@farmsim",
        f"DTSTAMP:{stamp:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{day + datetime.timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{escaped(summary)}",
        f"DESCRIPTION:{escaped(about)}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]


def escaped(text: str) -> str:
    """A text as a calendar takes it: backslash, semicolon, comma and line end have a backslash before them."""
    return text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\r\n", "\n").replace("\n", "\\n")


def folded(line: str) -> str:
    """A line cut into pieces of at most 75 octets, each after the first begun with a space; no letter is cut in two."""
    pieces, room, taken = [""], LONGEST, 0
    for letter in line:
        size = len(letter.encode())
        if taken + size > room:
            pieces.append("")
            room, taken = LONGEST - 1, 0
        pieces[-1] += letter
        taken += size
    return f"{END} ".join(pieces)
