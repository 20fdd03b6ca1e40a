"""What looks tight, said with what was seen there; and what does not."""

from __future__ import annotations

from typing import Protocol

from farmsim.report.words import LONG_DAYS, count, listed, plural, share, shortened, stretch, week_hour
from farmsim.study.answers import Answers, Crew, Place, Waits

NAMED = 7  # of what does not look tight
LETTERS = 20  # of a name
ROOM = "shelf"


class Seen(Protocol):
    """Whatever tells how every place and crew was used, and what looks tight."""

    @property
    def places(self) -> tuple[Place, ...]: ...
    @property
    def crews(self) -> tuple[Crew, ...]: ...
    @property
    def tight(self) -> tuple[str, ...]: ...
    @property
    def rooms(self) -> Waits: ...


def tight(
    answers: Seen, at_most: int, crews_at_most: int, letters: int = LETTERS, as_rooms: bool = False
) -> list[tuple[str, str]]:
    """Name and evidence of what looks tight, the worst first; several rooms are told together.

    at_most, crews_at_most: places and crews told at length [count]; the others are named
    letters: of a name; as_rooms: whether one room alone is told in the same way as several
    """
    places = {one.name: one for one in answers.places}
    full = [places[name] for name in answers.tight if name in places]
    rooms = tight_rooms(answers)
    told: list[tuple[str, str]] = []
    for one in full:
        if one.kind != ROOM or (len(rooms) == 1 and not as_rooms):
            told.append((shortened(one.name, letters), _place(one)))
        elif one is rooms[0]:
            told.append(("rooms", _rooms(rooms, answers.rooms)))
    short = [
        (shortened(one.name, letters), _crew(one))
        for name in answers.tight
        for one in answers.crews
        if one.name == name
    ]
    more = [name for name, _ in (*told[at_most:], *short[crews_at_most:])]
    pairs = [*told[:at_most], *short[:crews_at_most]]
    return [*pairs, ("less so", ", ".join(more))] if more else pairs


def tight_rooms(answers: Seen) -> list[Place]:
    """The rooms that look tight, the worst first."""
    rooms = {one.name: one for one in answers.places if one.kind == ROOM}
    return [rooms[name] for name in answers.tight if name in rooms]


def _place(one: Place) -> str:
    seen = f"full with lots waiting {_time(one)}"
    if one.bad and one.worst_share > one.full_waiting + 0.1:
        seen += f", worst {week_hour(one.worst)}"
    return f"{seen}; {_waited(one.waited, one.wait, one.long_wait)}{_done(one)}"


def _rooms(rooms: list[Place], waits: Waits) -> str:
    """Several rooms at once: a lot waits for the first of them that takes it."""
    named = listed([f"{shortened(one.name, 20)} {share(one.full_waiting)}" for one in rooms[:NAMED]])
    waited = f"{plural(waits.lots, 'lot')} a week waited {stretch(waits.mean)}"
    return f"full with lots waiting: {named} of the time; {waited}"


def _time(one: Place) -> str:
    """How often; a place that stands still without people is judged by the hours with people there."""
    if one.staffed:
        return f"{share(one.full_waiting)} of the hours with people there"
    return "nearly all the time" if one.full_waiting >= 0.95 else f"{share(one.full_waiting)} of the time"


def _waited(lots: float, mean: float, long: float) -> str:
    return f"{plural(lots, 'lot')} a week waited {stretch(mean)}, 1 in 10 over {stretch(long)}"


def _done(one: Place) -> str:
    return f"; {share(one.done_no_place)} done, but no place to go" if one.done_no_place >= 0.05 else ""


def _crew(one: Crew) -> str:
    pieces = []
    if one.bad:
        days = sorted({hour // 24 for hour in one.bad})
        named = "every day" if len(days) == 7 else listed([LONG_DAYS[at] for at in days])
        worst = f"worst {week_hour(one.worst)[:3]}, " if len(days) > 1 else ""
        pieces.append(f"{named} busy all day and work left at the end ({worst}{_weeks(one.worst_share)})")
    pieces.append(f"in all {share(one.used)} of {count(one.rostered)} h a week at work")
    if one.overtime >= 0.05:
        pieces.append(f"{count(one.overtime)} h overtime")
    return "; ".join(pieces)


def _weeks(often: float) -> str:
    return f"{often * 100:.0f} weeks in 100"


def not_tight(answers: Answers) -> str:
    """How much the rest was used, most used first."""
    places = [one for one in answers.places if one.kind != "van"]  # its rounds are told with the promises
    every: list[Place | Crew] = [*places, *answers.crews]
    rest = [one for one in every if one.name not in answers.tight and one.used == one.used]
    rest.sort(key=lambda one: (-one.used, one.name))
    pieces = [f"{shortened(one.name, 24)} {share(one.used)}{_peak(one)}" for one in rest[:NAMED]]
    more = len(rest) - NAMED
    return ", ".join(pieces) + (f", and {more} more below that" if more > 0 else "") + (" used." if pieces else "")


def _peak(one: Place | Crew) -> str:
    if isinstance(one, Crew) or one.busiest_used - one.used < 0.15:
        return (
            f" ({share(one.done_no_place)} done, but no place to go)" if isinstance(one, Place) and _done(one) else ""
        )
    return f" (busiest {week_hour(one.busiest)}, {share(one.busiest_used)})"
