"""Cold shock: a lot stands cold for a day or so before its soak, in a walk-in that may hold other things too.

Steps: it waits for places, on the rack (or where it was held cold); it stands its usual time. If that ends when nobody
is there for the soak, it goes out earlier the same day, as long as it has had the least. A stay past the most is
recorded and costs yield.
"""

from __future__ import annotations

from farmsim.model import blocks
from farmsim.model.calendar import DAY, ticks
from farmsim.model.desk import Wait
from farmsim.model.hours import last_open, next_open
from farmsim.model.lot import Lot
from farmsim.model.place import Need, thousandths
from farmsim.model.site import Site
from farmsim.model.steps import Step, stage


def take_cold_places(site: Site, lot: Lot) -> Wait | None:
    if site.cold_room is None:
        return None
    held = lot.stays.get("held")
    if held is not None and held.place is site.cold_room:
        return None  # it stays where it is: asking for a second place in the room it fills could jam the farm
    return site.places.ask(lot, Need("cold", (site.cold_room,), thousandths(lot.blocks * site.cold_crates)))


def be_cold(site: Site, lot: Lot) -> None:
    held = lot.stays.get("held")
    if held is not None and held.place is site.cold_room:
        amount = held.amount
        blocks.leave_store(site, lot)
        site.places.occupy(lot, "cold", held.place, amount, site.desk.now, site.desk.now)
    else:
        blocks.leave_store(site, lot)


def stand_cold(site: Site, lot: Lot) -> Wait | None:
    return site.desk.until(_ends(site, lot))


def have_stood(site: Site, lot: Lot) -> None:
    if "cold" in lot.stays:
        site.places.ready(lot, "cold")


STEPS: tuple[Step, ...] = stage(4, "cold shock", take_cold_places, be_cold, stand_cold, have_stood)


def _ends(site: Site, lot: Lot) -> float:
    strain = site.strains[lot.strain]
    shock, soak = strain.cold_shock, strain.soak
    if shock is None:
        return lot.since
    usual = ticks(lot.since + shock.usual)
    if soak is None or next_open(site, "soak", usual) < (usual // DAY + 1) * DAY:
        return usual
    earlier = last_open(site, "soak", usual, lot.blocks / soak.load)
    return ticks(earlier) if lot.since + shock.least <= earlier else usual
