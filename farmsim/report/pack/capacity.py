"""How full every place and every crew is in usual and in bad weeks, without the expansion and with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from farmsim.report.document import NewPage, Part, Picture, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.said import percent
from farmsim.report.pack.the_farm import holds, is_crew
from farmsim.report.tight import tight as tight_seen
from farmsim.report.tight import tight_rooms
from farmsim.report.words import listed, tidy
from farmsim.study.pack_answers import Headroom, Level, Pack
from farmsim.study.tight import FULL_SHIFT, TIGHT_OVERTIME, TIGHT_TIME, TIGHT_WAIT, Seen

FULL = 0.95  # a bad week takes so much of it: told as having next to no headroom
FULLEST = 3  # places and crews named below the picture
ABOVE_ALL = (
    "Work in overtime counts as taken, so more than all hours on shift may be: headroom is then below nothing and shown with "
    "a minus sign"
)
LOOKS_TIGHT = (
    f"A place looks tight when it is full while lots wait for {percent(TIGHT_TIME)} of the time or more, and those that wait "
    f"do so for {TIGHT_WAIT:g} h or more on average. Benches are looked at only while people are there to work at them, so "
    "one that is little taken over the whole week can still hold lots up. A crew looks tight when it is at work all through a "
    f"shift, {percent(FULL_SHIFT)} of it or more, and often leaves work lying at its end, or when {percent(TIGHT_OVERTIME)} of "
    "its hours or more are worked in overtime."
)
NOT_TIGHT = "does not look tight"
MOST, MOST_LETTERS = 99, 99  # places and crews told one by one, letters of a name
VAN = "van"
ALL_HOURS = "Of a place all hours of the week count, nights too: a van is taken while it is out on its round"


def parts(pack: Pack) -> Iterator[Part]:
    """Sentences, the picture, a table of places and one of crews."""
    from farmsim.report.figures import headroom

    if not pack.headroom:
        return
    yield NewPage()
    yield headings.CAPACITY
    yield Words(
        f"Weeks of year {pack.years}. In a usual week so much of a place, or of a crew's hours on shift, is taken; one week "
        "in ten takes more than a bad week. What is left is headroom."
    )
    for sentence in (*tight(pack), *over_asked(pack)):
        yield Words(sentence)
    if pack.seen is not None and any(each.tight for each in pack.seen):
        yield Words(f"{LOOKS_TIGHT} {weeks(pack)}")
        yield Sheet(what_was_seen(*pack.seen))
    yield Picture(
        "headroom",
        lambda: headroom.draw(pack),
        "How full a usual and a bad week are",
        "Bars by place and crew from a usual to a bad week, without the expansion and with it; the table below has the "
        "figures.",
        fullest(pack),
    )
    yield Sheet(_table("Places", [one for one in pack.headroom if not is_crew(one)], True))
    crews = [one for one in pack.headroom if is_crew(one)]
    if crews:
        yield Sheet(_table("Crews", crews, False))


def tight(pack: Pack) -> list[str]:
    """What looks tight without and with it, and what has next to no headroom in a bad week."""
    found = [
        f"What looks tight without the expansion: {_names(pack.tight_before)}; with it: {_names(pack.tight_after)}."
    ]
    full = [(one, one.after.bad) for one in pack.headroom if one.after is not None and one.after.bad >= FULL]
    if full:
        named = listed([f"{tidy(one.name)} ({percent(bad)})" for one, bad in full])
        found.append(f"With the expansion, next to no headroom is left in a bad week at {named}.")
    else:
        found.append(f"With the expansion every place and crew has {percent(1 - FULL)} or more left in a bad week.")
    return found


def weeks(pack: Pack) -> str:
    """Of which weeks it is told what looks tight: of others than how full the places are."""
    before, after = pack.tight_weeks
    return (
        f"Looked at were all weeks after the last change of the farm, {before:,} without the expansion and {after:,} with it; "
        "the tables below are of one year."
    )


def what_was_seen(before: Seen, after: Seen) -> Table:
    """What looks tight with either farm, and by what one sees it; rooms in one row where either has several."""
    as_rooms = any(len(tight_rooms(seen)) > 1 for seen in (before, after))
    each = [dict(tight_seen(seen, MOST, MOST, MOST_LETTERS, as_rooms)) for seen in (before, after)]
    rows = [
        (tidy(name), *(tidy(told.get(name, NOT_TIGHT)) for told in each))
        for name in dict.fromkeys((*each[0], *each[1]))
    ]
    columns = (Column("place or crew"), Column("without the expansion"), Column("with it"))
    return Table("What looks tight, and what was seen there", columns, tuple(rows))


def over_asked(pack: Pack) -> Iterator[str]:
    """Crews that on averages have too little time, beside what they take in the runs, and why that is less."""
    taken = {one.name: one.after for one in pack.headroom if is_crew(one)}
    for each in pack.over_asked:
        level = taken.get(each.name)
        if level is None:
            continue
        helped = f"help from {listed([tidy(name) for name in each.helpers])}" if each.helpers else ""
        ways = " and ".join(filter(None, (helped, "overtime" if each.overtime else "")))
        why = f", with {ways}" if ways else ": what they do not get done is left lying"
        yield (
            f"By averages alone {tidy(each.name)} would need {percent(each.share)} of their hours with the expansion. In the "
            f"runs {percent(level.usual)} are taken in a usual week and {percent(level.bad)} in a bad one{why}."
        )


def fullest(pack: Pack) -> str:
    """What is fullest in a bad week with the expansion, and what has most room."""
    there = [(one.after.bad, tidy(one.name)) for one in pack.headroom if one.after is not None]
    there.sort(key=lambda each: -each[0])
    most = listed([f"{name} {percent(bad)}" for bad, name in there[:FULLEST]])
    least = f"; least: {there[-1][1]} {percent(there[-1][0])}" if len(there) > FULLEST else ""
    return f"Taken most in a bad week with the expansion: {most}{least}." if there else "Nothing of it stays."


def _names(names: Sequence[str]) -> str:
    return listed([tidy(name) for name in names]) or "nothing"


def _table(caption: str, every: Sequence[Headroom], waits: bool) -> Table:
    """Size, how full, and how much is left, before and after."""
    columns = [
        Column("place" if waits else "crew"),
        Column("size", "without"),
        Column("size", "with"),
        Column("usual week", "without, taken"),
        Column("bad week", "without, taken"),
        Column("usual week", "with, taken"),
        Column("bad week", "with, taken"),
        Column("headroom", "with, usual"),
        Column("headroom", "with, bad"),
    ]
    columns += [Column("full, lots wait", "with, of all hours")] if waits else []
    rows = [
        (
            tidy(one.name),
            *(holds(None if level is None else level.capacity, one) for level in (one.before, one.after)),
            *(cell for level in (one.before, one.after) for cell in _taken(level)),
            *_left(one.after),
            *([percent(None if one.after is None else one.after.waiting)] if waits else []),
        )
        for one in every
    ]
    return Table(caption, tuple(columns), tuple(rows), note=_note(every, waits))


def _note(every: Sequence[Headroom], waits: bool) -> str:
    """What needs explaining of what is shown."""
    if waits:
        return ALL_HOURS if any(one.kind == VAN for one in every) else ""
    levels = [level for one in every for level in (one.before, one.after) if level is not None]
    return ABOVE_ALL if any(level.bad > 1 for level in levels) else ""


def _taken(level: Level | None) -> tuple[str, str]:
    return (percent(None), percent(None)) if level is None else (percent(level.usual), percent(level.bad))


def _left(level: Level | None) -> tuple[str, str]:
    """Printed so that taken and left make a hundred."""
    if level is None:
        return percent(None), percent(None)
    usual, bad = (f"{100 - round(100 * each):.0f} %" for each in (level.usual, level.bad))
    return usual, bad
