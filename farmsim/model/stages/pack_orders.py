"""Packing to order: small clusters, large clusters or caps for one customer, out of packed crates in stock.

Steps of an order: some hours before it leaves it may be begun; whoever has the duty packs it in rounds, what leaves first
first, then in the house's order, at the strain's pace for the form. It takes firsts that keep until the order leaves, the
earliest date first, and leaves those alone that are owed to orders in any form that leave sooner.

Goes wrong when hands or crates come late: what is not packed when the order leaves is short.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from farmsim.model.calendar import FOREVER, WEEK, ticks
from farmsim.model.site import Site
from farmsim.model.to_order import Key, Part, ToPack
from farmsim.model.total import total
from farmsim.model.wants import turn
from farmsim.model.work import WORTH_BEGINNING, Pool, Round
from farmsim.scenario.sales import Customer

Known = Callable[[Site, Customer, int], Iterable[tuple[float, dict[str, float]]]]
"""A customer's orders of a week: when each is due, and how much of which strain [kg]."""


class Wrapping(Pool):
    """The pool of packing to order: all that is known and lacks something."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self.heap = site.to_pack.open

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when no crates are there for any order, or there is no time to begin."""
        site = self._site
        for order in list(site.to_pack.open):
            long_enough = min(site.long_enough, most_hours, _until_it_leaves(order, site.desk.now))
            if long_enough < WORTH_BEGINNING:
                continue
            strain = site.strains[order.key[3]]
            pace = strain.pack_forms.get(order.form, strain.pack)  # what was carried over may want a form of the past
            parts = site.to_pack.set_aside(order, min(order.lacking, pace * long_enough), site.desk.now)
            if parts:
                hours = total([part.kg for part in parts]) / pace
                return Round(min(ticks(hours), most_hours), order.since, (order, parts))
        return None

    def done(self, round_: Round) -> None:
        """Put it by for its customer."""
        order, parts = _load(round_)
        site = self._site
        packed = site.to_pack.put_by(order, parts)
        number, due, _, strain = order.key
        site.journal.packed_orders((number, site.strain_number[strain], due, site.desk.now, packed))


def _until_it_leaves(order: ToPack, now: float) -> float:
    """A round ends when the order should leave, so that what is packed goes along; one that is late has all the time."""
    return order.leaves - now if order.leaves > now else FOREVER


def _load(round_: Round) -> tuple[ToPack, list[Part]]:
    assert isinstance(round_.load, tuple)
    return round_.load


def week(site: Site, monday: int, known: Known) -> None:
    """Take note of what is to be packed to order, as far as packing may begin before the next Monday."""
    begin = monday * WEEK
    wanted = {order.key: order for order in _to_pack(site, monday, known)}
    _take_back(site, wanted, begin)
    for key, order in wanted.items():
        if order.since < begin + WEEK and key not in site.to_pack.known:
            site.desk.at(max(order.since, begin), partial(_note, site, order))
    site.to_pack.owed = list(_owed(site, monday, known)) if wanted else []


def _to_pack(site: Site, monday: int, known: Known) -> Iterable[ToPack]:
    """Orders of this week and the next that are packed to order."""
    for customer in site.farm.customer:
        number = site.customer_number[customer.name]
        is_packed = customer.form != "any" and number not in site.gone
        for due, orders in _of_two_weeks(site, customer, monday, known) if is_packed else ():
            leaves = site.trips.hour(customer.name, due)
            _, *order = turn(site, customer, total(orders.values()))
            for place, (strain, kg) in enumerate(orders.items()):
                key, first = (number, due, False, strain), (leaves, *order, float(place))
                yield ToPack(key, customer.form, kg, leaves, ticks(leaves - _ahead(customer)), first)


def _ahead(customer: Customer) -> float:
    """How long before it leaves an order may begin to be packed: not before it is known, where that is said [h]."""
    return min(customer.pack_ahead, customer.notice) if customer.notice else customer.pack_ahead


Orders = Iterable[tuple[float, dict[str, float]]]


def _of_two_weeks(site: Site, customer: Customer, monday: int, known: Known) -> Orders:
    yield from known(site, customer, monday)
    yield from known(site, customer, monday + 1)


def _owed(site: Site, monday: int, known: Known) -> Iterable[tuple[float, str, float]]:
    for customer in site.farm.customer:
        if customer.form == "any":
            for due, orders in _of_two_weeks(site, customer, monday, known):
                yield from ((site.trips.hour(customer.name, due), strain, kg) for strain, kg in orders.items())


def _take_back(site: Site, wanted: dict[Key, ToPack], begin: float) -> None:
    """A dated change may have made another order of what is known already, or none at all."""
    for key, order in list(site.to_pack.known.items()):
        now = wanted.get(key)
        if key[2] or key[1] < begin:
            continue  # carried over, or waits for its round since before: as it was promised
        if now is None or now.form != order.form:
            site.to_pack.forget(order)
        else:
            order.wanted, order.leaves, order.turn = now.wanted, now.leaves, now.turn
            site.to_pack.look_at(order)


def _note(site: Site, order: ToPack) -> None:
    site.to_pack.add(order)
    site.people.look()
