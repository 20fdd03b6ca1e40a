"""Selling fresh mushrooms: each customer's order on its days, from what is packed, when the round leaves.

Steps at a leave-by hour: what is past its date is thrown out; orders due now are served in the house's order, first
expired first out; what cannot be delivered is lost or carried to the next day. An outlet then takes the seconds, and
firsts that are near their date, whatever the amount.
"""

from __future__ import annotations

from functools import partial

from farmsim.model.calendar import DAY, WEEK, ticks
from farmsim.model.luck import draw
from farmsim.model.rota import WEEKDAYS
from farmsim.model.site import Site
from farmsim.model.stock import Parcel
from farmsim.model.year import next_day
from farmsim.record.columns import GRADES, WHYS
from farmsim.scenario.sales import Customer
from farmsim.scenario.vary import MeanCv

FIRSTS, SECONDS = range(len(GRADES))
SOLD, PAST_DATE, OUTLET = range(len(WHYS))
NOBODY = -1
LEAST_KG = 1e-9


def week(site: Site, monday: int) -> None:
    """Set the week's rounds."""
    for customer in site.farm.customer:
        number = site.customer_number[customer.name]
        of_week = _orders(site, customer, monday)
        for weekday, name in enumerate(WEEKDAYS):
            if name in customer.days and monday * 7 + weekday not in site.shut["deliveries"]:
                due = ticks(monday * WEEK + weekday * DAY + customer.leave_by)
                if customer.kind == "outlet":
                    site.desk.at(due, partial(_outlet_due, site, customer, number))
                else:
                    factor = site.farm.months.orders[site.year.month(due)]
                    orders = {strain: amounts[weekday] * factor for strain, amounts in of_week.items()}
                    site.desk.at(due, partial(_orders_due, site, customer, number, orders))


def day(site: Site) -> None:
    """Each midnight: throw out what is past its date."""
    site.counter.due((-1.0,), partial(throw_out, site))


def throw_out(site: Site) -> None:
    """What is past its date leaves the stock."""
    now = site.desk.now
    for (strain, grade), stock in site.stock.items():
        for parcel in stock.past(now):
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


def _orders_due(site: Site, customer: Customer, number: int, orders: dict[str, float], is_second: bool = False) -> None:
    size = sum(orders.values())
    turn = (0.0, -size if site.farm.rules.served_first == "largest first" else 0.0, float(number))
    site.counter.due(turn, partial(serve, site, customer, number, orders, is_second))


def serve(site: Site, customer: Customer, number: int, orders: dict[str, float], is_second: bool = False) -> None:
    """Fill one customer's order as far as the stock goes. What was carried over once (`is_second`) is then lost."""
    throw_out(site)
    short: dict[str, float] = {}
    for strain, promised in orders.items():
        delivered = _take(site, strain, FIRSTS, promised, SOLD, number)
        missing = promised - delivered
        may_carry = customer.unfilled == "next day" and not is_second and missing > LEAST_KG
        carried = missing if may_carry else 0.0
        if carried:
            short[strain] = carried
        site.journal.orders((number, site.strain_number[strain], site.desk.now, promised, delivered, carried))
    if short:
        carry(site, customer, number, short, next_day(site.desk.now, site.shut["deliveries"]))


def carry(site: Site, customer: Customer, number: int, short: dict[str, float], due: float) -> None:
    """What is missing is delivered the next day with deliveries, as far as it can be."""
    key = (number, due)
    site.carried[key] = short
    site.desk.at(due, lambda: _orders_due(site, customer, number, site.carried.pop(key), is_second=True))


def _outlet_due(site: Site, customer: Customer, number: int) -> None:
    site.counter.due((1.0, 0.0, float(number)), partial(_serve_outlet, site, customer, number))


def _serve_outlet(site: Site, customer: Customer, number: int) -> None:
    throw_out(site)
    soon = site.desk.now + (customer.takes_firsts_left or 0.0)
    for strain in site.strains:
        _take(site, strain, SECONDS, float("inf"), OUTLET, number)
        old = sum(parcel.kg for parcel in site.stock[strain, FIRSTS] if parcel.dies <= soon)
        if old > LEAST_KG and customer.takes_firsts_left:
            _take(site, strain, FIRSTS, old, OUTLET, number)


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
    whole = site.stock[strain, grade].first is not parcel  # of the last one taken a part may stay
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
