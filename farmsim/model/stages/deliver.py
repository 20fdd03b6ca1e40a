"""Selling fresh mushrooms: each customer's order on its days, from what is packed, when its round leaves.

An order of a customer who is on a round waits for it and goes as far as its van has room; one that wants a form of its own
goes as far as it is packed in that form. All others are fetched, or leave at their hour.

Steps at a leave-by hour: what is past its date is thrown out; orders due now are served in the house's order, first
expired first out; what cannot be delivered is lost or carried to the next day. An outlet then takes the seconds, and
firsts that are near their date, whatever the amount.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from farmsim.model.calendar import DAY, WEEK, ticks
from farmsim.model.luck import draw
from farmsim.model.rota import WEEKDAYS
from farmsim.model.short import NO_ROOM, line
from farmsim.model.site import Site
from farmsim.model.stock import Parcel
from farmsim.model.to_order import Key, ToPack
from farmsim.model.trips import Trip
from farmsim.model.year import next_day
from farmsim.record.columns import GRADES, WHYS
from farmsim.scenario.sales import Customer
from farmsim.scenario.vary import MeanCv

FIRSTS, SECONDS = range(len(GRADES))
SOLD, PAST_DATE, OUTLET = range(len(WHYS))
NOBODY = -1
LEAST_KG = 1e-9
Orders = dict[str, float]
Why = tuple[float, float, float]
NO_REASON: Why = (0.0, 0.0, 0.0)


def week(site: Site, monday: int) -> None:
    """Set the week's rounds."""
    for customer in site.farm.customer:
        number = site.customer_number[customer.name]
        for due, orders in known(site, customer, monday):
            if customer.kind == "outlet":
                site.trips.leave(customer.name, due, partial(_outlet_due, site, customer, number))
            else:
                of_day = partial(_orders_due, site, customer, number, orders, due, False)
                site.trips.leave(customer.name, due, of_day, sum(orders.values()) > 0.0)


def known(site: Site, customer: Customer, monday: int) -> Iterator[tuple[float, dict[str, float]]]:
    """When something leaves for a customer in a week, and how much of which strain it wants then [kg]."""
    of_week = _orders(site, customer, monday)
    for weekday, name in enumerate(WEEKDAYS):
        if name in customer.days and monday * 7 + weekday not in site.shut["deliveries"]:
            due = ticks(monday * WEEK + weekday * DAY + customer.leave_by)
            factor = site.farm.months.orders[site.year.month(due)]
            yield due, {strain: amounts[weekday] * factor for strain, amounts in of_week.items()}


def day(site: Site) -> None:
    """Each midnight: throw out what is past its date."""
    site.counter.due((-1.0,), partial(throw_out, site))


def throw_out(site: Site) -> None:
    """What is past its date leaves the stock."""
    now = site.desk.now
    for (strain, grade), stock in site.stock.items():
        for parcel in stock.past(now):
            if parcel.kept:
                site.to_pack.lost(parcel)
            _gone(site, parcel, parcel.kg, strain, grade, PAST_DATE, NOBODY)


def _orders(site: Site, customer: Customer, monday: int) -> dict[str, list[float]]:
    """What the customer wants in a week, by strain and weekday [kg]."""
    orders: dict[str, list[float]] = {}
    if isinstance(customer.takes, str):
        return orders
    for strain, usual in customer.takes.items():
        u = site.luck.uniforms("order", f"{customer.name}, {strain}", monday, 7)
        orders[strain] = (usual * draw(MeanCv(1.0, customer.varies), u)).tolist()
    return orders


def _orders_due(
    site: Site, customer: Customer, number: int, orders: Orders, due: float, is_second: bool, trip: Trip | None
) -> None:
    size = sum(orders.values())
    turn = (0.0, -size if site.farm.rules.served_first == "largest first" else 0.0, float(number))
    site.counter.due(turn, partial(serve, site, customer, number, orders, due, is_second, trip))


def serve(
    site: Site, customer: Customer, number: int, orders: Orders, due: float, is_second: bool, trip: Trip | None
) -> None:
    """Fill one customer's order as far as the stock goes. What was carried over once (`is_second`) is then lost."""
    throw_out(site)
    short: dict[str, float] = {}
    again = next_day(due, site.shut["deliveries"]) if customer.unfilled == "next day" else due
    for strain, promised in orders.items():
        key = (number, due, is_second, strain)
        delivered, why = _fill(site, customer, key, promised, trip)
        missing = promised - delivered
        may_carry = customer.unfilled == "next day" and not is_second and missing > LEAST_KG
        carried = missing if may_carry else 0.0
        if carried:
            short[strain] = carried
        site.journal.orders((number, site.strain_number[strain], site.desk.now, promised, delivered, carried))
        if why is not NO_REASON:
            _tell_why(site, key, why, bool(carried))
        if customer.form != "any":
            _done_with(site, customer, key, again, carried)
    if short:
        carry(site, customer, number, short, again)


def _fill(site: Site, customer: Customer, key: Key, promised: float, trip: Trip | None) -> tuple[float, Why]:
    """Deliver one line as far as it is there, packed as wanted and the van has room; and why the rest is short [kg]."""
    number, _, _, strain = key
    if trip is None and customer.form == "any":
        return _take(site, strain, FIRSTS, promised, SOLD, number), NO_REASON
    free, crate = site.stock[strain, FIRSTS].free, site.strains[strain].crate
    room, goes = (float("inf"), True) if trip is None else (trip.room(crate), trip.goes)
    order = site.to_pack.known.get(key)
    if customer.form == "any":
        going = line(promised, free, 0.0, room, goes)
        delivered = _take(site, strain, FIRSTS, going.goes, SOLD, number)
    else:
        packed, on_table = (0.0, 0.0) if order is None else (order.packed, order.being_packed)
        going = line(promised, packed, free + on_table, room, goes)
        delivered = 0.0 if order is None else _hand_out(site, order, going.goes)
    if trip is not None:
        trip.load(delivered, crate)
        trip.behind += going.why[NO_ROOM]
    return delivered, going.why


def _hand_out(site: Site, order: ToPack, kg: float) -> float:
    """What is packed for an order leaves the stock; returns how much [kg]."""
    number, _, _, strain = order.key
    delivered = 0.0
    for parcel, part in site.to_pack.hand_out(order, kg):
        _gone(site, parcel, part, strain, FIRSTS, SOLD, number)
        delivered += part
    return delivered


def _tell_why(site: Site, key: Key, why: Why, is_carried: bool) -> None:
    for reason, kg in enumerate(why):
        if kg > LEAST_KG:
            row = (key[0], site.strain_number[key[3]], site.desk.now, reason, kg, kg if is_carried else 0.0)
            site.journal.shorts(row)


def _done_with(site: Site, customer: Customer, key: Key, again: float, carried: float) -> None:
    """An order that was packed to order has left; what is carried over is packed further."""
    order = site.to_pack.known.get(key)
    if carried:
        leaves = site.trips.hour(customer.name, again)
        turn = (leaves, 0.0, float(key[0]), 0.0)
        order = order or ToPack(key, customer.form, carried, leaves, site.desk.now, turn)
        site.to_pack.carry(order, again, leaves, carried)
        site.people.look()
    elif order is not None:
        site.to_pack.forget(order)


def carry(site: Site, customer: Customer, number: int, short: Orders, due: float) -> None:
    """What is missing is delivered the next day with deliveries, as far as it can be."""
    key = (number, due)
    site.carried[key] = short
    site.trips.leave(
        customer.name, due, lambda trip: _orders_due(site, customer, number, site.carried.pop(key), due, True, trip)
    )


def _outlet_due(site: Site, customer: Customer, number: int, trip: Trip | None) -> None:
    site.counter.due((1.0, 0.0, float(number)), partial(_serve_outlet, site, customer, number, trip))


def _serve_outlet(site: Site, customer: Customer, number: int, trip: Trip | None) -> None:
    throw_out(site)
    soon = site.desk.now + (customer.takes_firsts_left or 0.0)
    for strain in site.strains if trip is None else sorted(site.strains):  # where room is short, by name
        _to_outlet(site, strain, SECONDS, float("inf"), number, trip)
        old = sum(parcel.kg - parcel.kept for parcel in site.stock[strain, FIRSTS] if parcel.dies <= soon)
        if old > LEAST_KG and customer.takes_firsts_left:
            _to_outlet(site, strain, FIRSTS, old, number, trip)


def _to_outlet(site: Site, strain: str, grade: int, kg: float, number: int, trip: Trip | None) -> None:
    if trip is None:
        _take(site, strain, grade, kg, OUTLET, number)
    else:
        crate = site.strains[strain].crate
        trip.load(_take(site, strain, grade, min(kg, trip.room(crate)), OUTLET, number), crate)


def _take(site: Site, strain: str, grade: int, kg: float, why: int, customer: int) -> float:
    """Take up to `kg` out of the stock, the oldest date first; returns what there was [kg]."""
    taken = 0.0
    stock = site.stock[strain, grade]
    for parcel, part in stock.take(kg):
        _gone(site, parcel, part, strain, grade, why, customer)
        taken += part
    return taken


def _gone(site: Site, parcel: Parcel, kg: float, strain: str, grade: int, why: int, customer: int) -> None:
    number = site.strain_number[strain]
    site.journal.stock_out((number, grade, why, customer, parcel.picked, parcel.dies, site.desk.now, kg))
    crates = site.crates[parcel.key]
    stock = site.stock[strain, grade]
    whole = stock.first is not parcel and not stock.holds(parcel)  # a part may stay
    stay, request = crates.stays.get("cooler"), crates.request
    if whole:
        if stay is not None:
            site.places.leave(crates, "cooler")
        site.places.give_up(crates)
        del site.crates[parcel.key]
    elif stay is not None:
        site.places.give_back(crates, "cooler", _places_of(stay.amount, kg, parcel.kg))
    elif request is not None:
        asked = request.needs[0].amount
        site.places.shrink(crates, "cooler", asked - _places_of(asked, kg, parcel.kg))


def _places_of(amount: int, kg: float, left: float) -> int:
    """Of the places of a parcel, those of the part taken out of it [thousandths]."""
    return int(amount * kg / (left + kg))
