"""Chilling: packed crates go into the cooler, which pulls down only so many pounds an hour.

Steps of a parcel: it asks for crate places; until there is room it stands warm, and may be sold from there; once in, it
waits its turn to be cooled and cools along its curve. Every warm hour costs several hours of shelf life.

Cooling after its turn follows T(t) = T_air + (T_0 - T_air) 2^(-t/half), so the warmth left in a crate counts as
half / ln 2 warm hours (the area under the curve).
"""

from __future__ import annotations

from functools import partial
from typing import Final

from farmsim.model.calendar import ticks
from farmsim.model.goods import Goods
from farmsim.model.heaps import Picked
from farmsim.model.lot import Crates
from farmsim.model.place import Need, thousandths
from farmsim.model.site import Site
from farmsim.model.stock import Parcel

NOT_YET: Final = float("inf")


def put_by(site: Site, picked: Picked, grade: int, kg: float) -> None:
    """Put a parcel just packed in the cooler, or let it stand warm until there is room."""
    _put_in_stock(site, _parcel(site, picked.picked, picked.strain, grade, kg))


def take_back(site: Site, parcel: Parcel, kg: float, life: float) -> None:
    """Put what was away in the cooler again: so much of a parcel, with so much shelf life left from now on [kg, h]."""
    back = _parcel(site, parcel.picked, parcel.strain, parcel.grade, kg)
    back.since, back.life = site.desk.now, life
    _put_in_stock(site, back)


def _parcel(site: Site, picked: float, strain: str, grade: int, kg: float) -> Parcel:
    """A parcel with a key that no other has: of those alike in all else, who was put by first comes first."""
    number = site.journal.nameless()
    parcel = Parcel((picked, strain, grade, site.desk.now, kg, -number), kg, picked, 0.0, strain, grade)
    parcel.number = number
    return parcel


def _put_in_stock(site: Site, parcel: Parcel) -> None:
    crates = site.crates[parcel.number] = Crates(parcel, parcel.number)
    goods = site.goods[parcel.strain]
    parcel.dies, warm_until = _dates(site, parcel, goods, ask_for_room(site, crates))
    goods.stocks[parcel.grade].add(parcel)
    if warm_until < NOT_YET:
        _written(site, parcel, goods.number, warm_until)


def ask_for_room(site: Site, crates: Crates) -> bool:
    """Ask for the cooler's places; false when the parcel has to stand warm, it then comes in when it gets them."""
    if site.cooler is None:
        return False
    request = site.places.ask(crates, Need("cooler", (site.cooler,), places_for(site, crates.parcel)))
    if request is not None:
        request.then = partial(come_in, site, crates)
    return request is None


def come_in(site: Site, crates: Crates) -> None:
    """In the cooler after standing warm: from its turn on it gets cold, and it has another date."""
    if "cooler" not in crates.stays:
        return  # sold or thrown out from where it stood warm
    parcel, goods = crates.parcel, site.goods[crates.parcel.strain]
    dies, warm_until = _dates(site, parcel, goods, True)
    goods.stocks[parcel.grade].redate(parcel, max(dies, site.desk.now))
    _written(site, parcel, goods.number, warm_until)


def _dates(site: Site, parcel: Parcel, goods: Goods, is_in: bool) -> tuple[float, float]:
    """Until when a parcel can be sold, and until when it is warm; `NOT_YET` while that is not known [h]."""
    life = goods.life if parcel.life is None else parcel.life
    all_warm = ticks(parcel.since + life / goods.divides_life)
    if not is_in:
        return all_warm, all_warm if site.cooler is None else NOT_YET
    warm_until = _cold_at(site, parcel.kg)
    dies = ticks(parcel.since + life - goods.costs_on_top * (warm_until - parcel.since))
    return max(dies, all_warm), warm_until


def places_for(site: Site, parcel: Parcel) -> int:
    """Crate places a parcel takes [thousandths]."""
    return max(1, thousandths(parcel.kg / site.goods[parcel.strain].crate * site.fresh_crates))


def _cold_at(site: Site, kg: float) -> float:
    """When a parcel that comes in now stops being warm, after those before it [h]."""
    now = site.desk.now
    if site.chills > 0.0:
        site.chilled_until = ticks(max(now, site.chilled_until) + kg / site.chills)
    return max(now, site.chilled_until) + site.stays_warm


def _written(site: Site, parcel: Parcel, strain: int, warm_until: float) -> None:
    firsts, seconds = (parcel.kg, 0.0) if parcel.grade == 0 else (0.0, parcel.kg)
    place = -1 if site.cooler is None else site.cooler.index
    site.journal.crates((strain, parcel.picked, warm_until, firsts, seconds, site.desk.now, place))
