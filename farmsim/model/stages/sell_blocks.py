"""Selling blocks ready to fruit: orders come with notice, and are filled from the lots of the right age on their day.

Steps of an order: from its notice on its blocks are promised (and kept back from the rooms, where the house rule says
so); on its day, when the round leaves, lots are taken, those not called to a room yet before the others, by the house
rule ripe longest or ripe last; of the last lot only a part. Who finishes the ripening is given lots that are colonised
and not ripe yet. Where blocks are boxed, only what is boxed leaves; where no part of an order is taken, nothing leaves
until all of it is there. What cannot be delivered is lost, or follows as long as the customer has patience.

Blocks that fail later are known by luck when they leave: they are credited, or owed with the customer's next order.
Ripe blocks that nobody is promised and whose time is nearly over go to an outlet, where the house rule says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from farmsim.model import blocks, boxes
from farmsim.model.calendar import DAY, WEEK, ticks
from farmsim.model.lot import Lot
from farmsim.model.luck import out_of
from farmsim.model.promised import Piece, amount, may_be_given
from farmsim.model.rota import WEEKDAYS
from farmsim.model.site import Site
from farmsim.model.year import next_day
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.values import MONTHS

Orders = dict[str, list[Piece]]


def week(site: Site, monday: int) -> None:
    """Take note of the orders whose notice falls in this week, and of the outlets' days in it."""
    begin = monday * WEEK
    _forget_those_gone(site)
    for customer in site.farm.block_customer:
        if customer.kind == "outlet":
            for weekday, name in enumerate(WEEKDAYS):
                if name in customer.days and _comes(site, customer, monday * 7 + weekday):
                    due = ticks(begin + weekday * DAY + customer.leave_by)
                    site.desk.at(due, partial(_outlet_due, site, customer))
            continue
        for due, orders in orders_between(site, customer, begin + customer.notice, begin + WEEK + customer.notice):
            known = {strain: [Piece(due, wanted)] for strain, wanted in orders.items()}
            site.desk.at(ticks(due - customer.notice), partial(promise, site, customer, due, known))


def _comes(site: Site, customer: BlockCustomer, day: int) -> bool:
    """Whether the customer buys in the month of this day, and deliveries do not stand still on it."""
    month = site.year.month(day * DAY)
    return MONTHS[month] in customer.months and customer.season[month] > 0.0 and day not in site.shut["deliveries"]


def orders_between(site: Site, customer: BlockCustomer, begin: float, end: float) -> list[tuple[float, dict[str, int]]]:
    """The customer's orders due from `begin` up to `end`: (due [h], blocks by strain)."""
    found = []
    for week_number in range(int(begin // WEEK) - 1, int(end // WEEK) + 1):
        of_week: dict[str, list[float]] | None = None
        for weekday, name in enumerate(WEEKDAYS):
            due = ticks(week_number * WEEK + weekday * DAY + customer.leave_by)
            if name in customer.days and begin <= due < end and _comes(site, customer, week_number * 7 + weekday):
                of_week = of_week or _orders(site, customer, week_number)
                month = site.year.month(due)
                factor = site.farm.months.block_orders[month] * customer.season[month]
                found.append((due, {strain: round(blocks[weekday] * factor) for strain, blocks in of_week.items()}))
    return found


def _orders(site: Site, customer: BlockCustomer, week_number: int) -> dict[str, list[float]]:
    """What the customer wants in a week, by strain and weekday [blocks]."""
    orders = {}
    for strain, a_week in customer.promised.items():
        days = site.luck.days(customer.varies, "block order", f"{customer.name}, {strain}", week_number)
        a_day = a_week / len(customer.days)
        orders[strain] = [a_day * day for day in days]
    return orders


def promise(site: Site, customer: BlockCustomer, due: float, orders: Orders) -> None:
    """The blocks are promised from now on, and asked for when they are due."""
    number = site.block_customer_number[customer.name]
    for strain, pieces in orders.items():
        site.promised_blocks[strain] += amount(pieces)
        site.ripe.count_again(strain)
    own = site.block_orders.setdefault((number, due), orders)
    if own is not orders:  # what was carried over and the day's own order are filled as one
        for strain, pieces in orders.items():
            own[strain] = sorted([*own.get(strain, ()), *pieces])
        boxes.ask(site, customer)
        return
    if customer.boxing is not None:
        site.desk.at(ticks(max(due - customer.boxed_from, site.desk.now)), partial(boxes.ask, site, customer))
    turn = (0.0, float(number), due)
    site.desk.at(max(due, site.desk.now), lambda: site.counter.due(turn, partial(serve, site, customer, number, due)))


# --- a round leaves -------------------------------------------------------------------------------------------------


def serve(site: Site, customer: BlockCustomer, number: int, due: float) -> None:
    """Fill one order as far as blocks go, with what is owed for blocks that failed."""
    orders = site.block_orders.pop((number, due))
    owed = {strain: blocks for (whose, strain), blocks in site.owed_blocks.items() if whose == number and blocks}
    orders.update((strain, []) for strain in owed if strain not in orders)
    whole = None if customer.part_deliveries else _whole_orders(site, customer, number, orders)
    goes_on = _next_round(site, customer, due)
    short: Orders = {}
    for strain, pieces in orders.items():
        of_orders, of_owed = amount(pieces), owed.get(strain, 0)
        site.promised_blocks[strain] -= of_orders + of_owed
        site.ripe.count_again(strain)
        may_go = [piece for piece in pieces if whole is None or piece.since in whole]
        delivered = _deliver(site, customer, number, strain, amount(may_go) + of_owed)
        left = sorted([*_rest(may_go, delivered), *(piece for piece in pieces if piece not in may_go)])
        carried = [piece for piece in left if goes_on <= piece.since + _patience(customer)]
        if carried:
            short[strain] = carried
        replaced = max(0, delivered - amount(may_go))
        row = (number, site.strain_number[strain], site.desk.now, float(of_orders + of_owed), float(delivered))
        site.journal.block_orders((*row, float(amount(carried) + of_owed - replaced)))
        _make_good(site, customer, number, strain, due, (delivered, of_owed, replaced))
    if short:
        promise(site, customer, goes_on, short)
    boxes.ask(site, customer)
    _look_at_the_rooms(site)


def _patience(customer: BlockCustomer) -> float:
    """How long after its day a piece may still follow [h]."""
    if customer.follows == "lost":
        return -float("inf")
    return float("inf") if customer.patience is None else customer.patience


def _next_round(site: Site, customer: BlockCustomer, due: float) -> float:
    """When what is short would follow: on the next day, or the next on which the carrier comes [h]."""
    following = next_day(due, site.shut["deliveries"])
    while customer.follows == "next carrier day" and WEEKDAYS[int(following // DAY) % 7] not in customer.days:
        following = next_day(following, site.shut["deliveries"])
    return following


def _whole_orders(site: Site, customer: BlockCustomer, number: int, orders: Orders) -> set[float]:
    """The orders, by their first day, of which all there is of every strain can leave; the oldest first."""
    there = {strain: _there(site, customer, number, strain) for strain in orders}
    whole: set[float] = set()
    for since in sorted({piece.since for pieces in orders.values() for piece in pieces}):
        wanted = {strain: amount(p for p in pieces if p.since == since) for strain, pieces in orders.items()}
        if all(wanted[strain] <= there[strain] for strain in orders):
            whole.add(since)
            there = {strain: there[strain] - wanted[strain] for strain in orders}
    return whole


def _there(site: Site, customer: BlockCustomer, number: int, strain: str) -> int:
    """Blocks of a strain that could leave now: there, of the right age, and boxed where they are boxed."""
    there = sum([lot.blocks for lot in may_be_given(site, customer, strain, site.desk.now)])
    return there if customer.boxing is None else min(there, site.boxed.get((number, strain), 0))


def _deliver(site: Site, customer: BlockCustomer, number: int, strain: str, wanted: int) -> int:
    """Blocks leave, as far as there are and as they are boxed; what was ready but for its box is written down."""
    if customer.boxing is None:
        return _take(site, customer, strain, wanted, number)
    boxed = site.boxed.get((number, strain), 0)
    if boxed < wanted:
        ready = sum([lot.blocks for lot in may_be_given(site, customer, strain, site.desk.now)])
        not_boxed = min(wanted, ready) - boxed
        if not_boxed > 0:
            site.journal.unboxed((number, site.strain_number[strain], site.desk.now, float(not_boxed)))
    delivered = _take(site, customer, strain, min(wanted, boxed), number)
    site.boxed[number, strain] = boxed - delivered
    return delivered


def _rest(pieces: list[Piece], delivered: int) -> list[Piece]:
    """What is left of the pieces when `delivered` blocks have gone to the oldest of them."""
    left = []
    for piece in pieces:
        gone = min(piece.blocks, delivered)
        delivered -= gone
        if piece.blocks > gone:
            left.append(Piece(piece.since, piece.blocks - gone))
    return left


def _take(site: Site, customer: BlockCustomer, strain: str, wanted: int, number: int) -> int:
    """Sell up to `wanted` blocks; returns how many there were."""
    taken = 0
    for lot in may_be_given(site, customer, strain, site.desk.now) if wanted > 0 else ():
        if taken >= wanted:
            break
        part = min(lot.blocks, wanted - taken)
        _sell(site, lot, part, number)
        taken += part
    return taken


def _look_at_the_rooms(site: Site) -> None:
    for place in site.booked:
        site.places.touch(place)  # lots kept back for this order may be called now


def _sell(site: Site, lot: Lot, part: int, customer: int, what: str = "sold") -> None:
    """Sell a part of a lot, or all of it. A part gets a key of its own; its blocks keep the luck they had."""
    if part == lot.blocks:
        blocks.note(site, lot, what, part, customer)
        blocks.end(site, lot)
        return
    lot.parts += 1
    row = (f"{lot.key}/{lot.parts}", site.line_number[lot.line], site.strain_number[lot.strain])
    sold = Lot(row[0], lot.started, (), lot.line, lot.strain, lot.monday, lot.position)
    sold.number = site.journal.lot((*row, lot.monday * WEEK, lot.position, lot.started, float(part), lot.load))
    _give_blocks(lot, part)
    blocks.note(site, sold, what, part, customer)
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


# --- blocks that fail later -----------------------------------------------------------------------------------------


def _make_good(
    site: Site, customer: BlockCustomer, number: int, strain: str, due: float, what: tuple[int, int, int]
) -> None:
    """How many of a delivery fail later, by luck; credited, or owed from now on. `what`: delivered, owed, replaced."""
    delivered, owed, replaced = what
    failed = 0
    if customer.fails > 0.0 and delivered > 0:
        week_number, weekday = divmod(int(due // DAY), 7)
        u = site.luck.of_days("blocks fail", f"{customer.name}, {strain}", week_number)[weekday]
        failed = out_of(delivered, customer.fails, u)
    if not failed and not owed:
        return
    credited = failed if customer.made_good == "credit" else 0
    still_owed = owed - replaced + failed - credited
    site.owed_blocks[number, strain] = still_owed
    site.promised_blocks[strain] += still_owed
    site.ripe.count_again(strain)
    row = (float(failed), float(credited), float(replaced))
    site.journal.block_claims((number, site.strain_number[strain], site.desk.now, *row))


def owe(site: Site, owed: Mapping[tuple[int, str], int]) -> None:
    """Blocks that are owed as a run begins from standing lots."""
    for (number, strain), count in owed.items():
        site.owed_blocks[number, strain] = count
        site.promised_blocks[strain] += count


def _forget_those_gone(site: Site) -> None:
    """Who is no customer any more is owed nothing."""
    here = {site.block_customer_number[customer.name] for customer in site.farm.block_customer}
    for number, strain in [key for key in site.owed_blocks if key[0] not in here]:
        site.promised_blocks[strain] -= site.owed_blocks.pop((number, strain))
        site.ripe.count_again(strain)


# --- surplus --------------------------------------------------------------------------------------------------------


def _outlet_due(site: Site, customer: BlockCustomer) -> None:
    number = site.block_customer_number[customer.name]
    site.counter.due((1.0, float(number), 0.0), partial(_sell_surplus, site, customer, number))


def _sell_surplus(site: Site, customer: BlockCustomer, number: int) -> None:
    """Ripe blocks whose time is nearly over go to the outlet, as many as nobody is promised."""
    if site.farm.rules.surplus_blocks != "sell cheap":
        return
    for strain in site.strains:
        spare = site.ripe.free_blocks(strain, site.calls.count) - int(site.promised_blocks[strain])
        for lot in may_be_given(site, customer, strain, site.desk.now):
            if spare > 0 and "booked" not in lot.stays and blocks.is_surplus(site, lot):
                part = min(lot.blocks, spare)
                _sell(site, lot, part, number, "sold cheap")
                spare -= part
    _look_at_the_rooms(site)
