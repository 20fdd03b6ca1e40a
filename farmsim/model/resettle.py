"""What a dated change means for the lots that are already there: they wait for what there is now.

A new room is for those who have waited longest too; a room, a walk-in or tanks that are no more are for nobody. A lot
that was called to such a room and has not come yet waits to be called to another before it is opened.
"""

from __future__ import annotations

from farmsim.model.lot import Lot
from farmsim.model.site import Site
from farmsim.model.stages import incubate, open_blocks


def resettle(site: Site, was_pushed: bool) -> None:
    """See to all lots and crates as the farm becomes another; `was_pushed`: lots were pushed on until now."""
    is_pushed = site.house.pushes
    for lot in list(site.lots.values()):
        _keep_what_it_may_have(site, lot, is_pushed)
        if was_pushed and not is_pushed:
            _book_what_it_has(site, lot)
        _wait_for_a_room(site, lot, is_pushed)
        if site.cold_room is not None:
            site.places.turn_to(lot, "cold", (site.cold_room,))
        if site.tanks is None and _asks_for(lot, "tank"):
            site.places.give_up(lot)  # it is soaked in the bag instead
    incubate.regroup(site)
    if site.cooler is not None:
        for crates in site.crates.values():
            site.places.turn_to(crates, "cooler", (site.cooler,))


def _asks_for(lot: Lot, purpose: str) -> bool:
    return lot.request is not None and any(need.purpose == purpose for need in lot.request.needs)


def _keep_what_it_may_have(site: Site, lot: Lot, is_pushed: bool) -> None:
    """Nobody is called to a room that is no more, and nobody at all where lots are pushed on."""
    booked, is_there = lot.stays.get("booked"), "shelf" in lot.stays
    if booked is not None and (is_pushed or not (is_there or booked.place.holds)):
        site.places.leave(lot, "booked")
        lot.room = lot.room if is_there else -1


def _book_what_it_has(site: Site, lot: Lot) -> None:
    """A lot that came to its shelf without being called keeps others from being called to it."""
    shelf = lot.stays.get("shelf")
    if shelf is not None and "booked" not in lot.stays:
        now = site.desk.now
        site.places.occupy(lot, "booked", site.booked[lot.room], shelf.amount, now, now)


def _wait_for_a_room(site: Site, lot: Lot, is_pushed: bool) -> None:
    if _asks_for(lot, "booked"):
        if is_pushed:
            site.places.give_up(lot)
        else:
            site.places.turn_to(lot, "booked", site.booked_for[lot.strain])
    elif _asks_for(lot, "shelf") and lot.room < 0:
        if not is_pushed:
            _call_first(site, lot)
        elif site.shelves_for[lot.strain]:
            site.places.turn_to(lot, "shelf", site.shelves_for[lot.strain])


def _call_first(site: Site, lot: Lot) -> None:
    """Back by a step or two: it must be called before it may ask for bench and shelf."""
    takes = [step.take for step in lot.steps]
    lot.at = takes.index(open_blocks.wait_for_another_room) - 1
    site.places.give_up(lot)
