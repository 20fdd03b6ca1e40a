"""What customers want, drawn by name: so an order is the same whoever asks for it, and whenever.

Also who is served before whom when there is not enough, and what is kept back for orders that are known already.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, TypeAlias

from farmsim.model.calendar import DAY, WEEK, ticks
from farmsim.model.rota import WEEKDAYS
from farmsim.model.site import Site
from farmsim.model.stock_out import FIRSTS
from farmsim.model.to_order import Key
from farmsim.model.total import total
from farmsim.scenario.buyer import FIRM
from farmsim.scenario.fresh_sales import GOES_SHORT
from farmsim.scenario.rules import KEEP_BACK
from farmsim.scenario.sales import Customer

MIXED: Final = ""
"""Stands for the mixed part of an order, among its strains."""
Order: TypeAlias = dict[str, float]
Turn: TypeAlias = tuple[float, ...]


def rounds(site: Site, customer: Customer, monday: int) -> Iterator[tuple[int, float]]:
    """The customer's rounds of a week on which the farm delivers: (day of the week, when it leaves [h])."""
    for weekday, name in enumerate(WEEKDAYS):
        if name in customer.days and monday * 7 + weekday not in site.shut["deliveries"]:
            yield weekday, ticks(monday * WEEK + weekday * DAY + customer.leave_by)


def orders(site: Site, customer: Customer, monday: int) -> list[tuple[float, Order]]:
    """What the customer orders in a week: (when it leaves [h], kg by strain). Kept, for what is known is often looked at."""
    key = site.customer_number[customer.name], monday
    found = site.ordered.get(key)
    if found is None:
        found = site.ordered[key] = list(_orders(site, customer, monday))
    return found


def forget_orders(site: Site, monday: int) -> None:
    """Let go of what is kept of the weeks before."""
    site.ordered = {key: found for key, found in site.ordered.items() if key[1] >= monday}


def _orders(site: Site, customer: Customer, monday: int) -> Iterator[tuple[float, Order]]:
    of_week = _of_week(site, customer, monday)
    called = _calls(site, customer, monday)
    for weekday, due in rounds(site, customer, monday):
        if called[weekday]:
            factor = site.farm.months.orders[site.year.month(due)]
            yield due, {strain: amounts[weekday] * factor for strain, amounts in of_week.items()}


def _of_week(site: Site, customer: Customer, monday: int) -> dict[str, list[float]]:
    """What the customer wants on each weekday, if it wants any [kg]."""
    assert not isinstance(customer.takes, str)
    usual = [(strain, strain, kg, customer.varies) for strain, kg in customer.takes.items()]
    if customer.mixed is not None:
        usual.append((MIXED, "mixed order", customer.mixed.amount, customer.mixed.varies))
    found = {}
    for key, name, kg, varies in usual:
        days = site.luck.days(varies, "order", f"{customer.name}, {name}", monday)
        found[key] = [kg * day for day in days]
    return found


def _calls(site: Site, customer: Customer, monday: int) -> list[bool]:
    """On which weekdays it calls, if they are among its days."""
    if customer.kind != "call-off":
        return [True] * len(WEEKDAYS)
    return [u < customer.calls for u in site.luck.of_days("call", customer.name, monday)]


def brings(site: Site, stall: Customer, monday: int) -> Iterator[tuple[float, Order, Order]]:
    """The market days of a week: (when it leaves [h], what is to be taken there, what is asked for there [kg])."""
    assert not isinstance(stall.takes, str)
    asked = {
        strain: site.luck.draw(vary, "asked for", f"{stall.name}, {strain}", monday, 7).tolist()
        for strain, vary in stall.sells.items()
    }
    for weekday, out in rounds(site, stall, monday):
        factor = site.farm.months.orders[site.year.month(out)]
        wanted = {strain: kg * factor for strain, kg in stall.takes.items()}
        yield out, wanted, {strain: asked[strain][weekday] * factor for strain in wanted}


def turn(site: Site, customer: Customer, size: float) -> Turn:
    """When it is served: the smaller goes first. An outlet comes after all others.

    size: how much is ordered [kg]
    """
    number = float(site.customer_number[customer.name])
    if customer.kind == "outlet":
        return (1.0, 0.0, 0.0, number)
    short = customer.goes_short or ("first" if customer.kind == "market stall" else "in turn")
    served_first, first = site.farm.rules.served_first, 0.0
    if served_first == "largest first":
        first = -size
    elif served_first == "firmest first":
        first = float(FIRM.index(customer.firm))
    return (0.0, float(GOES_SHORT.index(short)), first, number)


def spare(site: Site, strain: str, after: Turn) -> float:
    """Firsts that are not kept back for those served before `after` who have ordered for later [kg]."""
    if site.farm.rules.keep_back == KEEP_BACK[0]:
        return float("inf")
    stock, kept = site.stock[strain, FIRSTS], 0.0
    for due, kg in sorted(_known(site, strain, after), reverse=True):
        fresh_then = total([parcel.kg - parcel.kept for parcel in stock if parcel.dies > due])
        kept = min(kept + kg, fresh_then)
    return max(0.0, stock.free - kept)


def _known(site: Site, strain: str, after: Turn) -> Iterator[tuple[float, float]]:
    """Orders for a strain that are known and not due yet, of those served first: (when it leaves [h], kg)."""
    now = site.desk.now
    for customer in site.farm.customer:
        number = site.customer_number[customer.name]
        if not customer.orders or number in site.gone:
            continue
        first, last = int(now // WEEK), int((now + customer.notice) // WEEK)
        for monday in range(first, last + 1) if customer.notice else ():
            for due, order in orders(site, customer, monday):
                if now < due <= now + customer.notice and turn(site, customer, total(order.values())) < after:
                    yield due, order.get(strain, 0.0) - _set_aside(site, (number, due, False, strain))
        for (whose, due), short in site.carried.items():
            if whose == number and due > now and turn(site, customer, total(short.values())) < after:
                yield due, short.get(strain, 0.0) - _set_aside(site, (number, due, True, strain))


def _set_aside(site: Site, key: Key) -> float:
    """What is packed already, or on the table, for an order: nobody else gets it anyway [kg]."""
    order = site.to_pack.known.get(key)
    return 0.0 if order is None else order.packed + order.being_packed
