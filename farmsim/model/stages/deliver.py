"""Selling fresh mushrooms: each customer's order on its days, from what is packed, when the round leaves.

Steps at a leave-by hour: what is past its date is thrown out; orders due now are served in the house's order, first
expired first out; a mixed order is filled from what there is most of; where a strain is short, those the customer takes
instead are given; what still cannot be delivered is lost or carried to the next day. A customer who was served short so
often in a row that it has had enough orders no more.

Goes wrong when too little is ripe in a bad month: who leaves then is not there when there is plenty.
"""

from __future__ import annotations

from functools import partial

from farmsim.model.site import Site
from farmsim.model.stock_out import FIRSTS, LEAST_KG, SOLD, take, throw_out
from farmsim.model.wants import MIXED, Order, Turn, orders, spare, turn
from farmsim.model.year import next_day
from farmsim.scenario.fresh_sales import Mixed
from farmsim.scenario.sales import Customer


def week(site: Site, monday: int) -> None:
    """Set the week's rounds."""
    for customer in site.farm.customer:
        if customer.orders:
            number = site.customer_number[customer.name]
            for due, order in orders(site, customer, monday):
                site.desk.at(due, partial(_orders_due, site, customer, number, order))


def day(site: Site) -> None:
    """Each midnight: throw out what is past its date."""
    site.counter.due((-1.0,), partial(throw_out, site))


def _orders_due(site: Site, customer: Customer, number: int, order: Order, is_second: bool = False) -> None:
    if number in site.gone and not is_second:
        _not_ordered(site, customer, number, order)
        return
    place = turn(site, customer, sum(order.values()))
    site.counter.due(place, partial(serve, site, customer, number, order, place, is_second))


def serve(site: Site, customer: Customer, number: int, order: Order, place: Turn, is_second: bool = False) -> None:
    """Fill one customer's order as far as the stock goes. What was carried over once (`is_second`) is then lost."""
    throw_out(site)
    short: Order = {}
    missing = 0.0
    for strain, promised, delivered in _filled(site, customer, number, order, place):
        lacks = promised - delivered
        may_carry = customer.unfilled == "next day" and not is_second and lacks > LEAST_KG
        carried = lacks if may_carry else 0.0
        missing += max(lacks, 0.0)
        first = _first_of(customer.mixed) if strain == MIXED else strain
        if carried:
            short[strain] = carried
        site.journal.orders((number, site.strain_number[first], site.desk.now, promised, delivered, carried))
    if short:
        carry(site, customer, number, short, next_day(site.desk.now, site.shut["deliveries"]))
    if customer.leaves_after is not None and not is_second:
        _bear_in_mind(site, customer, number, sum(order.values()), missing)


def _filled(site: Site, customer: Customer, number: int, order: Order, place: Turn) -> list[tuple[str, float, float]]:
    """The lines of an order: strain, promised, delivered [kg]; own strains first, then a mixed part, then others instead."""
    lines = [
        (strain, promised, take(site, strain, FIRSTS, min(promised, spare(site, strain, place)), SOLD, number))
        for strain, promised in order.items()
        if strain != MIXED
    ]
    if customer.substitutes:
        lines = [
            (strain, promised, got + _instead(site, customer, number, strain, promised - got, place))
            for strain, promised, got in lines
        ]
    if MIXED in order and customer.mixed is not None:
        lines += _mix(site, customer.mixed, number, order[MIXED], place)
    return lines


def _instead(site: Site, customer: Customer, number: int, strain: str, missing: float, place: Turn) -> float:
    """Other strains for what is missing of one; returns how much [kg]."""
    given = 0.0
    for other in customer.substitutes.get(strain, ()):
        if missing - given > LEAST_KG:
            kg = take(site, other, FIRSTS, min(missing - given, spare(site, other, place)), SOLD, number)
            if kg > 0.0:
                numbers = number, site.strain_number[strain], site.strain_number[other]
                site.journal.substituted((*numbers, site.desk.now, kg))
            given += kg
    return given


def _mix(site: Site, mixed: Mixed, number: int, wanted: float, place: Turn) -> list[tuple[str, float, float]]:
    """A mixed order: most of what there is most of, none more than its share; what is missing is a line of its own."""
    there = {strain: min(site.stock[strain, FIRSTS].level, spare(site, strain, place)) for strain in mixed.of}
    most, left, lines = wanted / mixed.at_least, wanted, []
    for strain in sorted(mixed.of, key=lambda name: -there[name]):
        kg = take(site, strain, FIRSTS, min(most, left, there[strain]), SOLD, number)
        if kg > 0.0:
            lines.append((strain, kg, kg))
        left -= kg
    return [*lines, (MIXED, left, 0.0)] if left > LEAST_KG else lines


def _first_of(mixed: Mixed | None) -> str:
    """The strain under which what is missing of a mixed order is written down: the one it names first."""
    if mixed is None:
        raise AssertionError("a mixed order of a customer who wants none")
    return mixed.of[0]


def carry(site: Site, customer: Customer, number: int, short: Order, due: float) -> None:
    """What is missing is delivered the next day with deliveries, as far as it can be."""
    key = (number, due)
    site.carried[key] = short
    site.desk.at(due, lambda: _orders_due(site, customer, number, site.carried.pop(key), is_second=True))


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
    return customer.days_asked * (sum(customer.takes.values()) + mixed)


def _not_ordered(site: Site, customer: Customer, number: int, order: Order) -> None:
    for strain, kg in order.items():
        name = _first_of(customer.mixed) if strain == MIXED else strain
        site.journal.not_ordered((number, site.strain_number[name], site.desk.now, kg))
