"""The twin's care of what stands about: overripe lots, inspection of the racks, rooms emptied to be cleaned."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import simpy

from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.values import DAYS

from .twin_floor import Party
from .twin_lots import Lot

if TYPE_CHECKING:
    from .twin import Twin

DAY = 24.0
RACK, CLEAR = 3, 8


def overripe_days(lot: Lot, now: float) -> float:
    """For how long a lot has stood past its hold [days]."""
    holds = lot.strain.holds_ripe
    allowed = holds.on_the_rack + (holds.cold if "held" in lot.holds else 0.0)
    return max(0.0, (now - lot.ripe_at - allowed) / DAY)


class Care:
    """What is done at midnight and after inspections."""

    def __init__(self, twin: Twin) -> None:
        self.twin = twin
        self.inspections = 0
        rooms = enumerate(twin.farm.room)
        self.cleaned = {number: room.clean for number, room in rooms if isinstance(room.clean, RoomEmptied)}
        step = 1 / max(1, len(self.cleaned))  # one after the other, not all on one day
        turns = enumerate(self.cleaned.items(), start=1)
        self.room_due = {room: twin.begin + clean.every * step * turn for turn, (room, clean) in turns}
        self.room_state = dict.fromkeys(self.cleaned, "open")

    def look_after(self) -> None:
        """Each midnight: to the cold on the last day of the hold, overripe after it, thrown out in the end."""
        ripe = [lot for lots in self.twin.ripe.values() for lot in lots]
        for lot in sorted(ripe, key=lambda each: (each.ripe_at, each.started, each.key)):
            self.hold_in_the_cold(lot)
            days = overripe_days(lot, self.twin.env.now)
            if (days > 0.0) != lot.is_overripe:
                lot.is_overripe = days > 0.0
                if lot.wish is not None and lot.wish.needs[0][0] == "booked":
                    lot.wish.group = f"overripe {lot.strain_name}" if lot.is_overripe else lot.strain_name
                self.twin.floor.changed.update(self.twin.booked)
            if lot.is_overripe and days * DAY >= lot.strain.overripe.thrown_out_after:
                self.twin.lose(lot, "too old", lot.blocks)

    def hold_in_the_cold(self, lot: Lot) -> None:
        """On the last day of its hold, if there is room and nobody waits for it."""
        holds, cold = lot.strain.holds_ripe, self.twin.cold
        on_its_last_day = self.twin.env.now - lot.ripe_at >= holds.on_the_rack - DAY
        amount = round(lot.blocks * (self.twin.walk_in.uses.ripe_blocks or 0.0) * 1000)
        if "rack" in lot.holds and holds.cold > 0.0 and on_its_last_day and cold.room >= amount and not cold.queue:
            self.twin.floor.leave(lot, "rack")
            self.twin.floor.occupy(lot, "held", cold, amount)

    def inspect(self, day: int) -> None:
        """On its days: people look over what stands on the racks, in groups that take one person about a round."""
        inspect = self.twin.farm.incubation.inspect
        if inspect is None or DAYS[day % 7] not in inspect.days or self.inspections:
            return
        groups: list[list[Lot]] = [[]]
        on_racks = [lot for lot in self.twin.lots.values() if "rack" in lot.holds]
        for lot in sorted(on_racks, key=lambda each: (each.started, each.key)):
            if sum(each.blocks for each in groups[-1]) + lot.blocks > inspect.pace * self.twin.farm.farm.round:
                groups.append([])
            groups[-1].append(lot)
        for group in groups:
            if group:
                self.inspections += 1
                looker = Party(f"inspection/{group[0].key}", self.twin.env.now, RACK)
                done = self.twin.people.work(looker, "inspect", sum(lot.blocks for lot in group) / inspect.pace)
                done.callbacks.append(partial(self.inspected, group))

    def inspected(self, group: list[Lot], _: simpy.Event) -> None:
        self.inspections -= 1
        for lot in group:
            if "rack" in lot.holds and not lot.gone:
                found = lot.found(self.twin.env.now)
                if found:
                    self.twin.lose(lot, "contaminated", found)

    # --- rooms that are emptied to be cleaned -----------------------------------------------------------------------

    def close_rooms(self) -> None:
        """Each midnight: a room that is due takes nothing in until it is empty and clean."""
        for room, state in self.room_state.items():
            if state == "open" and self.twin.env.now >= self.room_due[room]:
                self.room_state[room] = "emptying"
                self.twin.booked[room].closed = True
            self.clean_if_empty(room)

    def clean_if_empty(self, room: int) -> None:
        if (
            self.room_state.get(room) == "emptying"
            and not self.twin.shelves[room].used
            and not self.twin.booked[room].used
        ):
            self.room_state[room] = "cleaning"
            cleaner = Party(f"clean/{room:02d}", self.twin.env.now, CLEAR)
            done = self.twin.people.work(cleaner, "clean", self.cleaned[room].takes)
            done.callbacks.append(lambda _: self.open_room(room))

    def open_room(self, room: int) -> None:
        self.room_state[room] = "open"
        self.room_due[room] = self.twin.env.now + self.cleaned[room].every
        self.twin.booked[room].closed = False
        self.twin.floor.changed.add(self.twin.booked[room])
