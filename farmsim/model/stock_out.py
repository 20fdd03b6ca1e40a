"""Out of the stock: the oldest date first, the cooler's places given back, and each pound written down once."""

from __future__ import annotations

from typing import Final

from farmsim.model.site import Site
from farmsim.model.stock import Parcel
from farmsim.record.columns import WHYS

FIRSTS: Final = 0
SECONDS: Final = 1
"""Where they stand among the grades (`columns.GRADES`)."""
SOLD, PAST_DATE, OUTLET, STALL, TO_DRY, LOST_AT_STALL = range(len(WHYS))
NOBODY: Final = -1
LEAST_KG: Final = 1e-9


def throw_out(site: Site) -> None:
    """What is past its date leaves the stock."""
    now = site.desk.now
    for goods in site.goods.values():
        for stock in goods.stocks:
            first = stock.first
            if first is not None and first.dies <= now:
                for parcel in stock.past(now):
                    if parcel.kept:
                        site.to_pack.lost(parcel)
                    gone(site, parcel, parcel.kg, PAST_DATE, NOBODY)


def take(site: Site, strain: str, grade: int, kg: float, why: int, customer: int) -> float:
    """Take up to `kg` out of the stock, the oldest date first; returns what there was [kg]."""
    taken = 0.0
    for parcel, part in site.goods[strain].stocks[grade].take(kg):
        gone(site, parcel, part, why, customer)
        taken += part
    return taken


def carry_out(site: Site, strain: str, grade: int, kg: float) -> list[tuple[Parcel, float]]:
    """Take up to `kg` along without knowing yet what becomes of it: (parcel, how much of it), oldest date first."""
    parts = site.goods[strain].stocks[grade].take(kg)
    for parcel, part in parts:
        _give_up_places(site, parcel, part)
    return parts


def write_down(site: Site, parcel: Parcel, kg: float, dies: float, why: int, customer: int) -> None:
    """What has become of mushrooms that are out of the stock."""
    number = site.strain_number[parcel.strain]
    site.journal.stock_out((number, parcel.grade, why, customer, parcel.picked, dies, site.desk.now, kg))


def gone(site: Site, parcel: Parcel, kg: float, why: int, customer: int) -> None:
    """A parcel, or `kg` of it, has left the stock for good."""
    write_down(site, parcel, kg, parcel.dies, why, customer)
    _give_up_places(site, parcel, kg)


def _give_up_places(site: Site, parcel: Parcel, kg: float) -> None:
    if not parcel.in_stock:
        crates = site.crates.pop(parcel.number)
        if "cooler" in crates.stays:
            site.places.leave(crates, "cooler")
        if crates.request is not None:
            site.places.give_up(crates)
        return
    crates = site.crates[parcel.number]  # a part stays
    stay, request = crates.stays.get("cooler"), crates.request
    if stay is not None:
        site.places.give_back(crates, "cooler", _places_of(stay.amount, kg, parcel.kg))
    elif request is not None:
        asked = request.needs[0].amount
        site.places.shrink(crates, "cooler", asked - _places_of(asked, kg, parcel.kg))


def _places_of(amount: int, kg: float, left: float) -> int:
    """Of the places of a parcel, those of the part taken out of it [thousandths]."""
    return int(amount * kg / (left + kg))
