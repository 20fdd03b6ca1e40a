"""The outlet of last resort: it takes the seconds, and firsts that are near their date, whatever the amount.

Steps on one of its days, after the customers of that hour: all seconds leave, and firsts with so little shelf life left
as it takes; or they are laid out to dry, which is work for whoever has the duty.

Goes wrong when nobody finds time to lay out what is to be dried: the work waits, like any other.
"""

from __future__ import annotations

from functools import partial

from farmsim.model.calendar import ticks
from farmsim.model.lot import Memory, Traveller
from farmsim.model.site import Site
from farmsim.model.stock_out import FIRSTS, LEAST_KG, OUTLET, SECONDS, TO_DRY, take, throw_out
from farmsim.model.total import total
from farmsim.model.trips import Trip
from farmsim.model.wants import Turn, rounds, spare, turn
from farmsim.scenario.fresh_sales import Dries
from farmsim.scenario.sales import Customer


def week(site: Site, monday: int) -> None:
    """Set the week's days on which an outlet takes what is left."""
    for customer in site.farm.customer:
        if customer.kind == "outlet":
            for _, due in rounds(site, customer, monday):
                site.trips.leave(customer.name, due, partial(_due, site, customer))


def _due(site: Site, customer: Customer, trip: Trip | None) -> None:
    place = turn(site, customer, 0.0)
    site.counter.due(place, partial(_serve, site, customer, place, trip))


def _serve(site: Site, customer: Customer, place: Turn, trip: Trip | None) -> None:
    throw_out(site)
    number, why = site.customer_number[customer.name], OUTLET if customer.dries is None else TO_DRY
    soon, fresh = site.desk.now + (customer.takes_firsts_left or 0.0), 0.0
    for strain in site.strains if trip is None else sorted(site.strains):  # where room is short, by name
        kg = _give(site, strain, SECONDS, float("inf"), why, number, trip)
        old = total([parcel.kg - parcel.kept for parcel in site.stock[strain, FIRSTS] if parcel.dies <= soon])
        if old > LEAST_KG and customer.takes_firsts_left:
            kg += _give(site, strain, FIRSTS, min(old, spare(site, strain, place)), why, number, trip)
        if customer.dries is not None and kg > LEAST_KG:
            site.journal.dried((number, site.strain_number[strain], site.desk.now, kg, kg / customer.dries.ratio))
        fresh += kg
    if customer.dries is not None and fresh > LEAST_KG:
        _lay_out(site, customer, customer.dries, fresh)


def _give(site: Site, strain: str, grade: int, kg: float, why: int, number: int, trip: Trip | None) -> float:
    """Up to `kg` leaves for the outlet, as far as its van has room; returns how much [kg]."""
    if trip is None:
        return take(site, strain, grade, kg, why, number)
    crate = site.goods[strain].crate
    given = take(site, strain, grade, min(kg, trip.room(crate)), why, number)
    trip.load(given, crate)
    return given


def _lay_out(site: Site, customer: Customer, dries: Dries, fresh: float) -> None:
    if dries.pace is not None:
        key = f"dry/{customer.name}/{site.desk.now:g}"
        dry(site, key, Memory(site.desk.now, ticks(fresh / dries.pace)))


def dry(site: Site, key: str, memory: Memory) -> None:
    """Ask one person to lay them out."""
    doer = Traveller(key, memory.asked)
    doer.memory = memory
    site.drying[key] = doer
    task = site.people.do(doer, "dry", memory.left)
    task.then = partial(_be_done, site, key)


def _be_done(site: Site, key: str) -> None:
    del site.drying[key]
