"""Selling blocks ready to fruit: orders come with notice, and are filled from the ripe lots on their day.

Steps of an order: from its notice on its blocks are promised (and kept back from the rooms, where the house rule says
so); on its day, when the round leaves, ripe lots are taken, ripe longest first, those not called to a room yet before
the others; of the last lot only a part. What cannot be delivered is lost or carried to the next day.
"""

from __future__ import annotations

from functools import partial

from farmsim.model import blocks
from farmsim.model.calendar import DAY, WEEK, ticks
from farmsim.model.lot import Lot
from farmsim.model.luck import draw
from farmsim.model.rota import WEEKDAYS
from farmsim.model.site import Site
from farmsim.model.year import next_day
from farmsim.scenario.sales import BlockCustomer
from farmsim.scenario.vary import MeanCv


def week(site: Site, monday: int) -> None:
    """Take note of the orders whose notice falls in this week."""
    begin = monday * WEEK
    for customer in site.farm.block_customer:
        for due, orders in orders_between(site, customer, begin + customer.notice, begin + WEEK + customer.notice):
            site.desk.at(ticks(due - customer.notice), partial(promise, site, customer, due, orders))


def orders_between(site: Site, customer: BlockCustomer, begin: float, end: float) -> list[tuple[float, dict[str, int]]]:
    """The customer's orders due from `begin` up to `end`: (due [h], blocks by strain)."""
    found = []
    for week_number in range(int(begin // WEEK) - 1, int(end // WEEK) + 1):
        of_week: dict[str, list[float]] | None = None
        for weekday, name in enumerate(WEEKDAYS):
            due = ticks(week_number * WEEK + weekday * DAY + customer.leave_by)
            is_shut = week_number * 7 + weekday in site.shut["deliveries"]
            if name in customer.days and begin <= due < end and not is_shut:
                of_week = of_week or _orders(site, customer, week_number)
                factor = site.farm.months.block_orders[site.year.month(due)]
                found.append((due, {strain: round(blocks[weekday] * factor) for strain, blocks in of_week.items()}))
    return found


def _orders(site: Site, customer: BlockCustomer, week_number: int) -> dict[str, list[float]]:
    """What the customer wants in a week, by strain and weekday [blocks]."""
    orders = {}
    for strain, a_week in customer.takes.items():
        u = site.luck.uniforms("block order", f"{customer.name}, {strain}", week_number, 7)
        orders[strain] = (a_week / len(customer.days) * draw(MeanCv(1.0, customer.varies), u)).tolist()
    return orders


def promise(site: Site, customer: BlockCustomer, due: float, orders: dict[str, int]) -> None:
    """The blocks are promised from now on, and asked for when they are due."""
    number = site.block_customer_number[customer.name]
    for strain, wanted in orders.items():
        site.promised_blocks[strain] += wanted
        site.ripe.count_again(strain)
    own = site.block_orders.setdefault((number, due), orders)
    if own is not orders:  # what was carried over and the day's own order are filled as one
        for strain, wanted in orders.items():
            own[strain] = own.get(strain, 0) + wanted
        return
    turn = (0.0, float(number), due)
    site.desk.at(max(due, site.desk.now), lambda: site.counter.due(turn, partial(serve, site, customer, number, due)))


def serve(site: Site, customer: BlockCustomer, number: int, due: float) -> None:
    """Fill one order as far as ripe blocks go."""
    orders = site.block_orders.pop((number, due))
    short: dict[str, int] = {}
    for strain, wanted in orders.items():
        site.promised_blocks[strain] -= wanted
        site.ripe.count_again(strain)
        delivered = _take(site, strain, wanted, number)
        carried = wanted - delivered if customer.unfilled == "next day" else 0
        if carried:
            short[strain] = carried
        row = (number, site.strain_number[strain], site.desk.now, float(wanted), float(delivered), float(carried))
        site.journal.block_orders(row)
    if short:
        promise(site, customer, ticks(next_day(due, site.shut["deliveries"])), short)
    for place in site.booked:
        site.places.touch(place)  # lots kept back for this order may be called now


def _take(site: Site, strain: str, wanted: int, customer: int) -> int:
    """Sell up to `wanted` ripe blocks; returns how many there were."""
    taken = 0
    for lot in site.ripe.oldest_first(strain):
        if taken >= wanted:
            break
        if lot.is_overripe:
            continue
        part = min(lot.blocks, wanted - taken)
        _sell(site, lot, part, customer)
        taken += part
    return taken


def _sell(site: Site, lot: Lot, part: int, customer: int) -> None:
    """Sell a part of a lot, or all of it. A part gets a key of its own; its blocks keep the luck they had."""
    if part == lot.blocks:
        blocks.note(site, lot, "sold", part, customer)
        blocks.end(site, lot)
        return
    lot.parts += 1
    row = (f"{lot.key}/{lot.parts}", site.line_number[lot.line], site.strain_number[lot.strain])
    sold = Lot(row[0], lot.started, (), lot.line, lot.strain, lot.monday, lot.position)
    sold.number = site.journal.lot((*row, lot.monday * WEEK, lot.position, lot.started, float(part), lot.load))
    _give_blocks(lot, part)
    blocks.note(site, sold, "sold", part, customer)
    blocks.take_off(site, lot, part)


def _give_blocks(lot: Lot, part: int) -> None:
    """The part is taken from the end of the lot: what is left keeps its blocks' luck. Blocks thrown out before are skipped."""
    if lot.fates is None:
        raise AssertionError(f"{lot.key} has no fate")
    not_found = {block for _, block in lot.bad}
    while part > 0 and lot.top > 0:
        lot.top -= 1
        part -= lot.top in not_found or lot.fates.is_good(lot.row, lot.top)
    lot.bad = [(shows, block) for shows, block in lot.bad if block < lot.top]
