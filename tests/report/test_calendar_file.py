"""The start sheet as a calendar, read by a strict reader of the parts of RFC 5545 that are used."""

from __future__ import annotations

import datetime
import re

import pytest

from farmsim.report.calendar_file import calendar, escaped, folded
from farmsim.study.start_sheet import Group, When

START = datetime.date(2027, 1, 4)
ONCE = ("UID", "DTSTAMP", "DTSTART;VALUE=DATE", "DTEND;VALUE=DATE", "SUMMARY", "DESCRIPTION", "TRANSP")


def group(line: str = "shiitake", day: int = 0, made: str = "here") -> Group:
    begin = START + datetime.timedelta(days=day)
    later = [begin + datetime.timedelta(days=after) for after in (97, 104, 113)]
    steps = tuple(When(step, *later) for step in ("ripe", "cold shock", "soak", "open", "first pick"))
    return Group(line, "shiitake", made, 1, begin, (50, 50, 25), 0 if made == "bought" else 1,
                 f"{line}/2027-01-04/00", f"{line}/2027-01-04/02", steps)  # fmt: skip


def read(text: str) -> list[dict[str, str]]:
    """Events of a calendar; whatever is not as it must be fails."""
    assert text.endswith("\r\n")
    raw = text.split("\r\n")[:-1]
    assert not any("\n" in line or "\r" in line for line in raw), "lines end with CRLF and nothing else"
    assert max(len(line.encode()) for line in raw) <= 75
    lines = "\r\n".join(raw).replace("\r\n ", "").split("\r\n")
    assert lines[:4] == ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//farmsim//start sheet//EN", "CALSCALE:GREGORIAN"]
    assert lines[-1] == "END:VCALENDAR"
    events: list[dict[str, str]] = []
    inside: dict[str, str] | None = None
    for line in lines[4:-1]:
        if line == "BEGIN:VEVENT":
            assert inside is None
            inside = {}
        elif line == "END:VEVENT":
            assert inside is not None and tuple(inside) == ONCE
            events.append(inside)
            inside = None
        else:
            assert inside is not None
            name, _, value = line.partition(":")
            assert name in ONCE and name not in inside
            inside[name] = value
    assert inside is None
    return [_checked(event) for event in events]


def _checked(event: dict[str, str]) -> dict[str, str]:
    assert re.fullmatch(r"\d{8}T\d{6}Z", event["DTSTAMP"]) and re.fullmatch(r"[0-9a-f]{24}@farmsim", event["UID"])
    first, last = (
        datetime.datetime.strptime(event[f"DT{end};VALUE=DATE"], "%Y%m%d").date() for end in ("START", "END")
    )
    assert last - first == datetime.timedelta(days=1)
    for name in ("SUMMARY", "DESCRIPTION"):
        assert re.fullmatch(r"(?:[^\\,;\x00-\x1f]|\\[\\,;nN])*", event[name]), event[name]
        event[name] = re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], event[name])
    return event


def test_each_step_of_a_group_is_an_event_of_a_whole_day() -> None:
    events = read(calendar("Four rooms", START, [group()]))
    assert [(event["DTSTART;VALUE=DATE"], event["SUMMARY"]) for event in events] == [
        ("20270104", "Start 125 blocks of shiitake"),
        ("20270418", "Cold shock: 125 blocks of shiitake, started Mon 4 Jan"),
        ("20270418", "Soak: 125 blocks of shiitake, started Mon 4 Jan"),
        ("20270418", "Open: 125 blocks of shiitake, started Mon 4 Jan"),
        ("20270418", "First pick: 125 blocks of shiitake, started Mon 4 Jan"),
    ]
    assert events[0]["DESCRIPTION"] == (
        "Lots shiitake/2027-01-04/00 to shiitake/2027-01-04/02: 50, 50 and 25 blocks. 1 sterilizer load."
    )
    assert events[1]["DESCRIPTION"].startswith(
        "Half of the lots are so far by then; 1 in 10 by Sun 11 Apr, 9 in 10 by Tue 27 Apr. Lots "
    )


def test_bought_blocks_are_taken_in() -> None:
    assert read(calendar("Farm", START, [group(made="bought")]))[0]["SUMMARY"] == "Take in 125 blocks of shiitake"


def test_the_same_plan_is_the_same_bytes_and_names_stay_with_their_events() -> None:
    few, many = ([group(day=day) for day in days] for days in ((0, 1), (0, 1, 2)))
    assert calendar("Farm", START, few) == calendar("Farm", START, few)
    names = [{event["UID"] for event in read(calendar("Farm", START, groups))} for groups in (few, many)]
    assert names[0] < names[1] and len(names[1]) == 15
    assert names[0].isdisjoint({event["UID"] for event in read(calendar("Other farm", START, few))})
    assert {event["DTSTAMP"] for event in read(calendar("Farm", START, many))} == {"20270104T000000Z"}


@pytest.mark.parametrize(
    "line", ["a, b; c\\d", "Pleurotus\r\nostreatus", "ä" * 60, "\u83c7" * 40, "\U0001f344" * 30, "x" * 200]
)
def test_names_of_any_kind_come_through(line: str) -> None:
    told = " ".join(line.split())
    for event in read(calendar("Farm", START, [group(line)])):
        assert told in event["SUMMARY"] and told in event["DESCRIPTION"]


def test_long_lines_are_cut_between_letters_and_come_together_again() -> None:
    for size in (74, 75, 76, 149, 150, 400):
        for letter in ("x", "ä", "\u83c7", "\U0001f344"):
            line = "SUMMARY:" + letter * size
            cut = folded(line).split("\r\n")
            assert all(len(piece.encode()) <= 75 for piece in cut) and all(piece[0] == " " for piece in cut[1:])
            assert folded(line).replace("\r\n ", "") == line
    assert folded("x" * 75) == "x" * 75


def test_what_means_something_to_a_calendar_is_escaped() -> None:
    assert escaped("a,b;c\\d\ne") == "a\\,b\\;c\\\\d\\ne"
