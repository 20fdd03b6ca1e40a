"""Colonising and ripening on the racks, until a lot is called to a room, sold, or overripe.

Steps: it colonises and ripens (bad blocks hold their place until an inspection finds them); once ripe it waits to be
called: for a free shelf of a room that takes its strain, on a day from which its soak and opening fall on days with
people (by a house rule on moving days only), and not while it is promised to a block customer. Under "push" it goes on
at once.

Inspection is a duty on stated weekdays; a round that is not done when the next is due goes on, and the next is left out.
Goes wrong when lots stand ripe for too long: they go to the cold as far as there is room, then pin in the bag.
"""

from __future__ import annotations

from functools import partial
from operator import attrgetter
from typing import Final

from farmsim.model import blocks
from farmsim.model.calendar import DAY, NEVER, WEEK
from farmsim.model.desk import Wait
from farmsim.model.hours import call_from
from farmsim.model.looker import Looker
from farmsim.model.lot import Lot
from farmsim.model.place import WHOLE, Gate, Need, Request, thousandths
from farmsim.model.promised import is_kept_back
from farmsim.model.rota import WEEKDAYS
from farmsim.model.site import Site
from farmsim.model.steps import Step, stage

OVERRIPE: Final = "overripe "
IN_ORDER = attrgetter("ripe_at", "started", "key")


def colonise_and_ripen(site: Site, lot: Lot) -> Wait | None:
    site.ripe.expect(lot)
    return site.desk.until(lot.ripe_at)


def be_ripe(site: Site, lot: Lot) -> None:
    site.places.ready(lot, "rack")
    site.ripe.add(lot)


def wait_to_be_called(site: Site, lot: Lot) -> Wait | None:
    if site.house.pushes:
        return None
    need = Need("booked", site.booked_for[lot.strain], lot.blocks * WHOLE)
    return site.places.ask(lot, need, gate=_Call(site, lot), group=_group(site, lot))


def _group(site: Site, lot: Lot) -> str:
    """Lots of a strain are called in turn; those that are not to be sold are no longer held back with the others."""
    return f"{OVERRIPE}{lot.strain}" if _is_for_our_rooms(site, lot) else lot.strain


def _is_for_our_rooms(site: Site, lot: Lot) -> bool:
    """Whether no order holds the lot back: it is too old to be sold, or surplus that the house fruits."""
    return lot.is_overripe or (site.house.fruits_surplus and blocks.is_surplus(site, lot))


def be_called(site: Site, lot: Lot) -> None:
    booking = lot.stays.get("booked")
    if booking is not None:
        lot.room = site.booked.index(booking.place)


STEPS: tuple[Step, ...] = stage(3, "racks", colonise_and_ripen, be_ripe, wait_to_be_called, be_called)


class _Call(Gate):
    """The gate of the call: now, a later moment to look again, or never: until orders or ripe blocks have changed."""

    def __init__(self, site: Site, lot: Lot) -> None:
        self._site, self._lot = site, lot

    def opens(self, now: float) -> float:
        site, lot = self._site, self._lot
        house = site.house
        promised_first = house.promised_first and site.promised_blocks[lot.strain] > 0
        if promised_first and not _is_for_our_rooms(site, lot) and is_kept_back(site, lot):
            return NEVER
        if house.on_moving_days and WEEKDAYS[int(now // DAY) % 7] not in house.moving_days:
            return (now // DAY + 1) * DAY
        return call_from(site, site.strains[lot.strain], lot.blocks, now)


# --- every morning --------------------------------------------------------------------------------------------------


def day(site: Site) -> None:
    """Each midnight: lots whose hold on the rack is over go to the cold, or pin in the bag; the hopeless are thrown out."""
    now = site.desk.now
    late: list[Lot] = []
    for strain, lots in site.ripe.lots.items():
        if not lots:  # a strain that comes by a dated change is not known before its Monday
            continue
        holds = site.strains[strain].holds_ripe
        last_day, in_the_cold = holds.on_the_rack - DAY, holds.on_the_rack + holds.cold
        for lot in lots:
            stood = now - lot.ripe_at
            if stood >= last_day and (stood > in_the_cold or lot.is_overripe or "held" not in lot.stays):
                late.append(lot)
    for lot in sorted(late, key=IN_ORDER) if len(late) > 1 else late:
        _look_after(site, lot.strain, lot)
    if site.house.fruits_surplus:
        regroup(site)
    if site.ages_matter:
        _look_again(site)


def regroup(site: Site) -> None:
    """Ripe lots that wait to be called are held back as the house rules say now, or held back no longer."""
    for strain, lots in site.ripe.lots.items():
        for lot in lots:
            request = _call(lot)
            if request is not None and (request.group == strain) == _is_for_our_rooms(site, lot):
                site.places.regroup(lot, _group(site, lot))


def _call(lot: Lot) -> Request | None:
    """By which it waits to be called; none once it has been, also where it still waits on the rack, for a tank."""
    request = lot.request
    return request if request is not None and request.group and request.needs[0].purpose == "booked" else None


def _look_again(site: Site) -> None:
    """A day more: some lots are too old for those they are promised to, some that are not ripe are old enough."""
    for strain in site.ripe.lots:
        site.ripe.count_again(strain)
    for place in site.booked:
        site.places.touch(place)


def _look_after(site: Site, strain: str, lot: Lot) -> None:
    holds = site.strains[strain].holds_ripe
    if "held" not in lot.stays and "rack" in lot.stays:
        _hold_in_the_cold(site, lot, holds.cold)
    over = blocks.overripe_days(site, lot)
    if (over > 0.0) != lot.is_overripe:  # in the cold at last, it may be sold again
        lot.is_overripe = over > 0.0
        site.ripe.count_again(strain)
        if _call(lot) is not None:
            site.places.regroup(lot, _group(site, lot))
        for place in site.booked:
            site.places.touch(place)
    if lot.is_overripe and over * DAY >= site.strains[strain].overripe.thrown_out_after:
        blocks.lose(site, lot, "too old", lot.blocks)


def _hold_in_the_cold(site: Site, lot: Lot, cold: float) -> None:
    room = site.ripe_room
    if cold <= 0.0 or room is None or site.farm.rules.surplus_blocks == "wait on the rack":
        return
    amount = thousandths(lot.blocks * site.ripe_crates)
    if room.room >= amount and not room.queue:
        site.places.leave(lot, "rack")
        site.places.occupy(lot, "held", room, amount, site.desk.now, site.desk.now).ready = site.desk.now


# --- inspection -----------------------------------------------------------------------------------------------------


def week(site: Site, monday: int) -> None:
    """Set the week's inspections."""
    site.racked.there()  # whoever has left is let go of, also where nothing is ever inspected
    inspect = site.farm.incubation.inspect
    if inspect is not None:
        for weekday, name in enumerate(WEEKDAYS):
            if name in inspect.days:
                site.desk.at(monday * WEEK + weekday * DAY, partial(begin_round, site))


def begin_round(site: Site) -> None:
    """Ask people to look over everything on the racks, unless the last round is still going on."""
    inspect = site.farm.incubation.inspect
    if site.inspections or inspect is None:
        return
    pace = inspect.pace
    most = pace * site.long_enough
    lots, now = site.racked.there(), site.desk.now
    first = blocks_in_group = 0
    for at, lot in enumerate(lots):
        if at > first and blocks_in_group + lot.blocks > most:
            Looker(site, lots[first].key, now, lots[first:at]).ask(blocks_in_group / pace)
            first, blocks_in_group = at, 0
        blocks_in_group += lot.blocks
    if lots:
        Looker(site, lots[first].key, now, lots[first:]).ask(blocks_in_group / pace)
