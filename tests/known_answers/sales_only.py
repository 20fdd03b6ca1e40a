"""A farm that only sells: every morning somebody puts mushrooms in the cooler, then its own stages deliver them.

No blocks, no people: what is put by is what a published case says. Stock, dates, orders and stalls are the farm's own.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import partial

from farmsim.model.calendar import ticks
from farmsim.model.close import close
from farmsim.model.heaps import Picked
from farmsim.model.luck import Luck, Spread
from farmsim.model.run import set_up
from farmsim.model.site import Site
from farmsim.model.stages import chill, deliver
from farmsim.model.wants import turn
from farmsim.record.balance import faults
from farmsim.record.tables import Record
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.rooms import Incubation, Opening, Uses, WalkIn
from farmsim.scenario.sales import Customer
from farmsim.scenario.strain import Flushes, HoldsRipe, Picking, Strain, Yield
from farmsim.scenario.values import Range
from farmsim.scenario.vary import Fixed

from .judge import SEED

MORNING, DAY, WEEK = 6.0, 24.0, 168.0


def sold(
    customer: Customer, life: float, up_to: float, number: int, weeks: int, orders: Spread | None = None
) -> Record:
    """What is seen in so many weeks of it.

    life: until when mushrooms put by at 06:00 can be sold [h]
    up_to: every morning the stock is brought up to this [kg]
    orders: what the customer orders each day at its hour; None: as its figures say
    """
    farm = Farm(
        farm=About(name=customer.name, start=datetime.date(2027, 1, 4), weeks=weeks, begin="empty"),
        incubation=Incubation(holds=1.0),
        opening=Opening(benches=1),
        walk_in={"fridge": WalkIn(holds=1e6, uses=Uses(fresh=1.0))},
        strain={"oyster": _keeps(life)},
        customer=(customer,),
    )
    site = set_up(farm, SEED, number, weeks)
    amounts = None if orders is None else Luck(SEED, number).stream(orders, "order", customer.name)
    for day in range(7 * weeks):
        site.desk.at(ticks(DAY * day + MORNING), partial(_stock_up, site, up_to))
        if amounts is not None:
            site.desk.at(ticks(DAY * day + customer.leave_by), _order(site, customer, amounts[day]))
    site.desk.run(until=site.end)
    record = close(site, farm)
    _sound(record, DAY * 7 * weeks)
    return record


def _keeps(life: float) -> Strain:
    """A strain that keeps so long; the rest of its figures have no say here."""
    return Strain(
        steps=("open", "fruit"),
        first_pick=Fixed(DAY),
        yield_=Yield(mean=1.0),
        flushes=Flushes(share=(1.0,)),
        picking=Picking(pace=1.0, window=DAY),
        pack=1.0,
        crate=1.0,
        shelf_life=life,
        warm_costs=1.0,
        range=Range(10.0, 20.0),
        holds_ripe=HoldsRipe(on_the_rack=DAY),
    )


def _stock_up(site: Site, up_to: float) -> None:
    missing = up_to - site.stock["oyster", 0].level
    if missing > 0.0:
        chill.put_by(site, Picked("oyster", site.desk.now, missing, 0.0), 0, missing)


def _order(site: Site, customer: Customer, kg: float) -> Callable[[], None]:
    place = turn(site, customer, kg)

    def due() -> None:
        order = deliver.Due(customer, 0, {"oyster": kg}, site.desk.now, place, False, None)
        site.counter.due(place, partial(deliver.serve, site, order))

    return due


def _sound(record: Record, end: float) -> None:
    """Nothing is picked here, so that sum cannot come out; every other must."""
    assert [fault for fault in faults(record) if "picked to be sold" not in fault] == []
