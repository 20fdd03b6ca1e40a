"""Clearing spent blocks and cleaning: shelf by shelf with the clearing, or a room at a time, emptied.

Steps of a lot: people clear it away; its shelf is free. A room that is cleaned emptied takes nothing in once it is due,
is cleaned when the last lot has left it, and opens again. In months in which a room rests it takes nothing in either.
"""

from __future__ import annotations

from functools import partial
from typing import Final

from farmsim.model import blocks
from farmsim.model.calendar import ticks
from farmsim.model.desk import Wait
from farmsim.model.lot import Lot, Memory, Traveller
from farmsim.model.site import Site
from farmsim.model.steps import Step, stage
from farmsim.record.columns import ROOM_DAYS
from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.values import MONTHS

CLOSED, EMPTIED, CLEANED = range(len(ROOM_DAYS))
RESTING: Final = "resting"


def clear(site: Site, lot: Lot) -> Wait | None:
    return site.people.do(lot, "clear", lot.blocks / site.strains[lot.strain].clear)


def be_cleared(site: Site, lot: Lot) -> None:
    blocks.note(site, lot, "cleared", lot.blocks)
    room = lot.room
    for purpose in ("shelf", "booked"):
        if purpose in lot.stays:
            site.places.leave(lot, purpose)
    del site.lots[lot.key]
    clean_if_empty(site, room)


STEPS: tuple[Step, ...] = stage(8, "clear", clear, be_cleared)


# --- rooms that are cleaned emptied ---------------------------------------------------------------------------------


def day(site: Site) -> None:
    """Each midnight: rooms rest by the month; those that are due take nothing in; some are empty as all was sold."""
    month = MONTHS[site.year.month(site.desk.now)]
    for room in site.farm.room:
        number = site.room_number[room.name]
        _rest(site, number, month in room.rests)
        state = site.room_closed.get(number)
        is_due = isinstance(room.clean, RoomEmptied) and site.desk.now >= site.room_due[number]
        if is_due and state in (None, RESTING):
            close(site, number, True)
            site.room_closed[number] = "emptying"
            site.journal.room_days((number, site.desk.now, CLOSED))
        clean_if_empty(site, number)


def _rest(site: Site, number: int, rests: bool) -> None:
    """A resting room takes nothing in; it is cleaned in its rest when that is due."""
    if rests and number not in site.room_closed:
        close(site, number, True)
        site.room_closed[number] = RESTING
    elif not rests and site.room_closed.get(number) == RESTING:
        close(site, number, False)
        del site.room_closed[number]


def clean_if_empty(site: Site, number: int) -> None:
    """When the last lot has left a room that is due, ask for people to clean it."""
    if site.room_closed.get(number) != "emptying" or site.shelves[number].used or site.booked[number].used:
        return
    site.room_closed[number] = "cleaning"
    site.journal.room_days((number, site.desk.now, EMPTIED))
    clean(site, number, Memory(site.desk.now, ticks(_clean_of(site, number).takes)))


def clean(site: Site, number: int, memory: Memory) -> None:
    """Ask one person to clean the room; it opens when they are done, unless it rests."""
    cleaner = Traveller(f"clean/{number:02d}", memory.asked)
    cleaner.rank, cleaner.memory = 8, memory
    site.cleaners[number] = cleaner
    task = site.people.do(cleaner, "clean", memory.left)
    task.then = partial(_open, site, number)


def _open(site: Site, number: int) -> None:
    site.room_due[number] = site.desk.now + _clean_of(site, number).every
    del site.room_closed[number], site.cleaners[number]
    if _rests_now(site, number):
        site.room_closed[number] = RESTING
    else:
        close(site, number, False)
    site.journal.room_days((number, site.desk.now, CLEANED))


def _rests_now(site: Site, number: int) -> bool:
    month = MONTHS[site.year.month(site.desk.now)]
    return any(month in room.rests for room in site.farm.room if site.room_number[room.name] == number)


def close(site: Site, number: int, closed: bool) -> None:
    """Let nothing into the room from now on, or let lots in again."""
    shut = site.shelves if site.house.pushes else site.booked
    for place in (site.booked[number], site.shelves[number]):
        place.closed = closed and place is shut[number]
        site.places.touch(place)


def _clean_of(site: Site, number: int) -> RoomEmptied:
    for room in site.farm.room:
        if site.room_number[room.name] == number and isinstance(room.clean, RoomEmptied):
            return room.clean
    return RoomEmptied(how="room emptied", every=float("inf"), takes=0.0)
