"""What a dated change means for the lots that are already there: they wait for what there is now.

A new room is for those who have waited longest too; a room, a walk-in or tanks that are no more are for nobody. A lot
that was called to such a room and has not come yet is called to another when it has a bench.
"""

from __future__ import annotations

from farmsim.model.lot import Lot
from farmsim.model.places import Place
from farmsim.model.site import Site


def resettle(site: Site, was_pushed: bool) -> None:
    """See to all lots and crates as the farm becomes another; `was_pushed`: lots were pushed on until now."""
    for lot in list(site.lots.values()):
        _leave_lost_room(site, lot)
        if was_pushed and site.farm.rules.call_in != "push":
            book_what_it_has(site, lot)
        _wait_for_what_there_is(site, lot)
    if site.cooler is not None:
        for crates in site.crates.values():
            site.places.turn_to(crates.traveller, "cooler", (site.cooler,))


def book_what_it_has(site: Site, lot: Lot) -> None:
    """A lot that came to its shelf without being called keeps others from being called to it."""
    shelf = lot.stays.get("shelf")
    if shelf is not None and "booked" not in lot.stays:
        now = site.desk.now
        site.places.occupy(lot, "booked", site.booked[lot.room], shelf.amount, now, now)


def _leave_lost_room(site: Site, lot: Lot) -> None:
    booked = lot.stays.get("booked")
    if booked is not None and "shelf" not in lot.stays and not booked.place.holds:
        site.places.leave(lot, "booked")
        lot.room = -1


def _wait_for_what_there_is(site: Site, lot: Lot) -> None:
    rooms = site.rooms_for[lot.strain]
    _turn_to(site, lot, "booked", tuple(site.booked[number] for number in rooms))
    if lot.room < 0:
        _turn_to(site, lot, "shelf", tuple(site.shelves[number] for number in rooms))
    if site.cold_room is not None:
        _turn_to(site, lot, "cold", (site.cold_room,))
    if site.tanks is None and lot.request is not None and lot.request.needs[0].purpose == "tank":
        site.places.give_up(lot)  # it is soaked in the bag instead


def _turn_to(site: Site, lot: Lot, purpose: str, places: tuple[Place, ...]) -> None:
    if places:
        site.places.turn_to(lot, purpose, places)
