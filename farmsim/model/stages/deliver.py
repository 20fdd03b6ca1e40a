"""Selling fresh mushrooms: each customer's order on its days, from what is packed, when its round leaves.

An order of a customer who is on a round waits for it and goes as far as its van has room; one that wants a form of its own
goes as far as it is packed in that form. All others are fetched, or leave at their hour.

Steps at a leave-by hour: what is past its date is thrown out; orders due now are served in the house's order, first
expired first out; a mixed order is filled from what there is most of; where a strain is short, those the customer takes
instead are given; what still cannot be delivered is lost or carried to the next day. A customer who was served short so
often in a row that it has had enough orders no more.

Goes wrong when too little is ripe in a bad month: who leaves then is not there when there is plenty.
"""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from farmsim.model.short import NO_ROOM, line
from farmsim.model.site import Site
from farmsim.model.stock_out import FIRSTS, LEAST_KG, SOLD, gone, take, throw_out
from farmsim.model.to_order import Key, ToPack
from farmsim.model.total import total
from farmsim.model.trips import Trip
from farmsim.model.wants import MIXED, Order, Turn, forget_orders, orders, spare, turn
from farmsim.model.year import next_day
from farmsim.scenario.fresh_sales import Mixed
from farmsim.scenario.sales import Customer

Why = tuple[float, float, float]
NO_REASON: Why = (0.0, 0.0, 0.0)


class Due(NamedTuple):
    """An order that is due: whose, what, and how it leaves.

    place: when it is served; is_second: it was carried over once
    trip: the round it goes on; None when it leaves at its own hour
    """

    customer: Customer
    number: int
    order: Order
    due: float
    place: Turn
    is_second: bool
    trip: Trip | None

    def key(self, strain: str) -> Key:
        """Under which a line of it is packed to order."""
        return (self.number, self.due, self.is_second, strain)


class Line(NamedTuple):
    """One line of an order: strain, promised, delivered [kg], and why the rest is short."""

    strain: str
    promised: float
    delivered: float
    why: Why = NO_REASON


def week(site: Site, monday: int) -> None:
    """Set the week's rounds."""
    forget_orders(site, monday)
    for customer in site.farm.customer:
        number = site.customer_number[customer.name]
        for due, order in known(site, customer, monday):
            of_day = partial(_orders_due, site, customer, number, order, due, False)
            site.trips.leave(customer.name, due, of_day, total(order.values()) > 0.0)


def known(site: Site, customer: Customer, monday: int) -> list[tuple[float, Order]]:
    """When a customer's orders of a week are due, and how much of which strain it wants then [kg]."""
    return orders(site, customer, monday) if customer.orders else []


def day(site: Site) -> None:
    """Each midnight: throw out what is past its date."""
    site.counter.due((-1.0,), partial(throw_out, site))


def _orders_due(
    site: Site, customer: Customer, number: int, order: Order, due: float, is_second: bool, trip: Trip | None
) -> None:
    if number in site.gone and not is_second:
        _not_ordered(site, customer, number, order)
        _nothing_to_pack(site, (number, due, False), order)
        return
    place = turn(site, customer, total(order.values()))
    site.counter.due(place, partial(serve, site, Due(customer, number, order, due, place, is_second, trip)))


def serve(site: Site, one: Due) -> None:
    """Fill one customer's order as far as the stock goes. What was carried over once is then lost."""
    throw_out(site)
    customer, number, short, missing = one.customer, one.number, Order(), 0.0
    carries = customer.unfilled == "next day" and not one.is_second
    again = next_day(one.due, site.shut["deliveries"]) if carries else one.due
    for strain, promised, delivered, why in _filled(site, one):
        lacks = promised - delivered
        carried = lacks if carries and lacks > LEAST_KG else 0.0
        missing += max(lacks, 0.0)
        first = _first_of(customer.mixed) if strain == MIXED else strain
        if carried:
            short[strain] = carried
        site.journal.orders((number, site.strain_number[first], site.desk.now, promised, delivered, carried))
        if why is not NO_REASON:
            _tell_why(site, number, first, why, bool(carried))
        if customer.form != "any":
            _done_with(site, customer, one.key(strain), again, carried)
    if short:
        carry(site, customer, number, short, again)
    if customer.leaves_after is not None and not one.is_second:
        _bear_in_mind(site, customer, number, total(one.order.values()), missing)


def _filled(site: Site, one: Due) -> list[Line]:
    """The lines of an order: own strains first, then a mixed part, then others instead of what is short."""
    customer = one.customer
    lines = [_fill(site, one, strain, promised) for strain, promised in one.order.items() if strain != MIXED]
    if customer.substitutes:
        lines = [_instead(site, one, each) for each in lines]
    if MIXED in one.order and customer.mixed is not None:
        lines += _mix(site, one, customer.mixed, one.order[MIXED])
    return lines


def _fill(site: Site, one: Due, strain: str, promised: float) -> Line:
    """Deliver one line as far as it is there, packed as wanted and the van has room; and why the rest is short [kg]."""
    trip, is_packed = one.trip, one.customer.form != "any"
    may_have = spare(site, strain, one.place)
    if trip is None and not is_packed:
        return Line(strain, promised, take(site, strain, FIRSTS, min(promised, may_have), SOLD, one.number))
    goods = site.goods[strain]
    free, crate = min(goods.stocks[FIRSTS].free, may_have), goods.crate
    room, goes = (float("inf"), True) if trip is None else (trip.room(crate), trip.goes)
    if is_packed:
        order = site.to_pack.known.get(one.key(strain))
        packed, on_table = (0.0, 0.0) if order is None else (order.packed, order.being_packed)
        going = line(promised, packed, free + on_table, room, goes)
        delivered = 0.0 if order is None else _hand_out(site, order, going.goes)
    else:
        going = line(promised, free, 0.0, room, goes)
        delivered = take(site, strain, FIRSTS, going.goes, SOLD, one.number)
    if trip is not None:
        trip.load(delivered, crate)
        trip.behind += going.why[NO_ROOM]
    return Line(strain, promised, delivered, going.why)


def _send(site: Site, one: Due, strain: str, kg: float) -> float:
    """Up to `kg` of a strain leaves with the order, as far as there is some to spare and room in the van; how much [kg]."""
    crate = site.goods[strain].crate
    room = float("inf") if one.trip is None else one.trip.room(crate)
    sent = take(site, strain, FIRSTS, min(kg, room, spare(site, strain, one.place)), SOLD, one.number)
    if one.trip is not None:
        one.trip.load(sent, crate)
    return sent


def _hand_out(site: Site, order: ToPack, kg: float) -> float:
    """What is packed for an order leaves the stock; returns how much [kg]."""
    number, delivered = order.key[0], 0.0
    for parcel, part in site.to_pack.hand_out(order, kg):
        gone(site, parcel, part, SOLD, number)
        delivered += part
    return delivered


def _instead(site: Site, one: Due, short: Line) -> Line:
    """Other strains for what is missing of one."""
    given, missing = 0.0, short.promised - short.delivered
    for other in one.customer.substitutes.get(short.strain, ()):
        if missing - given > LEAST_KG:
            kg = _send(site, one, other, missing - given)
            if kg > 0.0:
                numbers = one.number, site.strain_number[short.strain], site.strain_number[other]
                site.journal.substituted((*numbers, site.desk.now, kg))
            given += kg
    return Line(
        short.strain, short.promised, short.delivered + given, short.why
    )  # what lacked room had none for others


def _mix(site: Site, one: Due, mixed: Mixed, wanted: float) -> list[Line]:
    """A mixed order: most of what there is most of, none more than its share; what is missing is a line of its own."""
    there = {strain: min(site.stock[strain, FIRSTS].free, spare(site, strain, one.place)) for strain in mixed.of}
    most, left, no_room, lines = wanted / mixed.at_least, wanted, 0.0, []
    for strain in sorted(mixed.of, key=lambda name: -there[name]):
        could = min(most, left, there[strain])
        kg = _send(site, one, strain, could)
        no_room += max(0.0, could - kg)
        if kg > 0.0:
            lines.append(Line(strain, kg, kg))
        left -= kg
    return lines if left <= LEAST_KG else [*lines, Line(MIXED, left, 0.0, _why_not_mixed(one.trip, left, no_room))]


def _why_not_mixed(trip: Trip | None, left: float, no_room: float) -> Why:
    """Why a mixed order is short of `left`, if not because it was not there [kg]."""
    if trip is None:
        return NO_REASON
    if not trip.goes:
        return line(left, 0.0, 0.0, 0.0, round_goes=False).why
    no_room = min(no_room, left)
    trip.behind += no_room
    return (0.0, no_room, 0.0)


def _first_of(mixed: Mixed | None) -> str:
    """The strain under which what is missing of a mixed order is written down: the one it names first."""
    if mixed is None:
        raise AssertionError("a mixed order of a customer who wants none")
    return mixed.of[0]


def _tell_why(site: Site, number: int, strain: str, why: Why, is_carried: bool) -> None:
    for reason, kg in enumerate(why):
        if kg > LEAST_KG:
            row = (number, site.strain_number[strain], site.desk.now, reason, kg, kg if is_carried else 0.0)
            site.journal.shorts(row)


def _done_with(site: Site, customer: Customer, key: Key, again: float, carried: float) -> None:
    """An order that was packed to order has left; what is carried over is packed further."""
    order = site.to_pack.known.get(key)
    if carried:
        leaves = site.trips.hour(customer.name, again)
        order = order or ToPack(
            key, customer.form, carried, leaves, site.desk.now, (leaves, 0.0, 0.0, float(key[0]), 0.0)
        )
        site.to_pack.carry(order, again, leaves, carried)
        site.people.look()
    elif order is not None:
        site.to_pack.forget(order)


def _nothing_to_pack(site: Site, of: tuple[int, float, bool], order: Order) -> None:
    """What was packed for an order that does not come is free again."""
    for strain in order:
        packed = site.to_pack.known.get((*of, strain))
        if packed is not None:
            site.to_pack.forget(packed)


def carry(site: Site, customer: Customer, number: int, short: Order, due: float) -> None:
    """What is missing is delivered the next day with deliveries, as far as it can be."""
    key = (number, due)
    site.carried[key] = short
    site.trips.leave(
        customer.name, due, lambda trip: _orders_due(site, customer, number, site.carried.pop(key), due, True, trip)
    )


# --- customers who have had enough ----------------------------------------------------------------------------------


def _bear_in_mind(site: Site, customer: Customer, number: int, ordered: float, missing: float) -> None:
    """Count short deliveries in a row; the lead-in is not counted, in it the farm only fills up."""
    if site.desk.now < 0.0 or ordered <= LEAST_KG or number in site.gone:
        return
    is_short = ordered - missing < customer.short_below * ordered - LEAST_KG
    in_a_row = site.short_in_a_row[number] = site.short_in_a_row.get(number, 0) + 1 if is_short else 0
    if customer.leaves_after is not None and in_a_row >= customer.leaves_after:
        site.gone[number] = site.desk.now
        site.journal.customers_left((number, site.desk.now, in_a_row, _a_week(customer)))


def _a_week(customer: Customer) -> float:
    """What it usually ordered in a week [kg]."""
    assert not isinstance(customer.takes, str)
    mixed = customer.mixed.amount if customer.mixed is not None else 0.0
    return customer.days_asked * (total(customer.takes.values()) + mixed)


def _not_ordered(site: Site, customer: Customer, number: int, order: Order) -> None:
    for strain, kg in order.items():
        name = _first_of(customer.mixed) if strain == MIXED else strain
        site.journal.not_ordered((number, site.strain_number[name], site.desk.now, kg))
