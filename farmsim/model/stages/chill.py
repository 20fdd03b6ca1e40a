"""Chilling: packed crates go into the cooler, which pulls down only so many pounds an hour.

Steps of a parcel: it asks for crate places; until there is room it stands warm, and may be sold from there; once in, it
waits its turn to be cooled and cools along its curve. Every warm hour costs several hours of shelf life.

Cooling after its turn follows T(t) = T_air + (T_0 - T_air) 2^(-t/half), so the warmth left in a crate counts as
half / ln 2 warm hours (the area under the curve).
"""

from __future__ import annotations

from math import log

from farmsim.model.calendar import ticks
from farmsim.model.heaps import Picked
from farmsim.model.lot import Traveller
from farmsim.model.places import Need, thousandths
from farmsim.model.site import Crates, Site
from farmsim.model.stock import Parcel
from farmsim.scenario.rooms import WalkIn

FRESH_RANK = 9


def put_by(site: Site, picked: Picked, grade: int, kg: float) -> None:
    """Put a parcel just packed in the cooler, or let it stand warm until there is room."""
    now = site.desk.now
    key = f"{picked.picked:014.6f} {picked.strain} {grade} {now:014.6f} {kg:.9f}"
    while key in site.crates:
        key += "+"
    strain = site.strains[picked.strain]
    dies = ticks(picked.picked + strain.shelf_life / max(1.0, strain.warm_costs))
    traveller = Traveller(key, picked.picked, site.journal.nameless())
    crates = Crates(Parcel(key, kg, picked.picked, dies, picked.strain, grade), traveller)
    site.crates[key] = crates
    site.stock[picked.strain, grade].add(crates.parcel)
    ask_for_room(site, crates)


def ask_for_room(site: Site, crates: Crates) -> None:
    """Ask for the cooler's places; the parcel comes in when it gets them."""
    if site.cooler is None:
        _written(site, crates, crates.parcel.dies)
        return
    crates.traveller.rank = FRESH_RANK
    request = site.places.ask(crates.traveller, Need("cooler", (site.cooler,), places_for(site, crates.parcel)))
    if request is None:
        come_in(site, crates)
    else:
        request.callbacks.append(lambda _: come_in(site, crates))


def come_in(site: Site, crates: Crates) -> None:
    """In the cooler: from its turn on it gets cold, and its date is known."""
    if "cooler" not in crates.traveller.stays:
        return  # sold or thrown out from where it stood warm
    crates.in_cooler = True
    parcel, strain = crates.parcel, site.strains[crates.parcel.strain]
    cold = _cold_at(site, parcel.kg)
    dies = ticks(parcel.picked + strain.shelf_life - (strain.warm_costs - 1.0) * (cold - parcel.picked))
    site.stock[parcel.strain, parcel.grade].redate(parcel, max(dies, site.desk.now))
    _written(site, crates, cold)


def places_for(site: Site, parcel: Parcel) -> int:
    """Crate places a parcel takes [thousandths]."""
    return max(1, thousandths(parcel.kg / site.strains[parcel.strain].crate * site.fresh_crates))


def _cold_at(site: Site, kg: float) -> float:
    """When a parcel that comes in now stops being warm, after those before it [h]."""
    room = _room(site)
    if room.chills is not None:
        site.chilled_until = ticks(max(site.desk.now, site.chilled_until) + kg / room.chills)
    return max(site.desk.now, site.chilled_until) + room.half_cooling / log(2.0)


def _room(site: Site) -> WalkIn:
    return next(room for room in site.farm.walk_in.values() if room.uses.fresh is not None)


def _written(site: Site, crates: Crates, warm_until: float) -> None:
    parcel = crates.parcel
    firsts, seconds = (parcel.kg, 0.0) if parcel.grade == 0 else (0.0, parcel.kg)
    place = -1 if site.cooler is None else site.cooler.index
    strain = site.strain_number[parcel.strain]
    site.journal.crates((strain, parcel.picked, warm_until, firsts, seconds, site.desk.now, place))
