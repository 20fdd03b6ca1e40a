"""What customers pay: each delivery at the price of its strain, its grade, its day."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from farmsim.money.price_luck import by_luck
from farmsim.money.states import NONE, States
from farmsim.record.columns import GRADES, WHATS
from farmsim.record.tables import Figures, Flags, Numbers, Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import fresh_price, price_of
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.seasons import AS_USUAL


class Sales(NamedTuple):
    """All that one customer was brought, delivery by delivery."""

    customer: str
    unit: str
    """"kg" of mushrooms, or "blocks"."""
    when: Figures
    strain: Numbers
    goods: Figures
    money: Figures
    """What it brought [currency]; 0 where no price is given."""
    has_price: Flags


def fresh_sales(record: Record, states: States) -> list[Sales]:
    """Mushrooms, customer by customer: every parcel that left the stock for one."""
    strains, customers = record.names.strains, record.names.customers
    if not customers or not strains:
        return []

    def paid(farm: Farm, name: str) -> list[float] | None:
        customer = next((each for each in farm.customer if each.name == name), None)
        if customer is None:
            return None
        return [_known(fresh_price(customer, strain, grade == "seconds")) for strain in strains for grade in GRADES]

    prices = states.values(customers, paid)
    out = {name: record.numbers("stock_out", name) for name in ("customer", "strain", "grade")}
    when, kg = record.figures("stock_out", "when"), record.figures("stock_out", "kg")
    kept = np.flatnonzero(out["customer"] >= 0)
    when, kg = when[kept], kg[kept]
    who, which = out["customer"][kept], out["strain"][kept] * len(GRADES) + out["grade"][kept]
    price = prices[who, states.at(when), which] * states.factors(when, lambda farm: farm.months.prices)
    price = price * states.drift(when, "prices") * _own_months(states, customers, who, when)
    price = price * by_luck(record, states, "customer", customers, who, when)
    strain = out["strain"][kept]
    return [_of(name, "kg", who == number, when, strain, kg, price) for number, name in enumerate(customers)]


def block_sales(record: Record, states: States) -> list[Sales]:
    """Blocks ready to fruit, customer by customer; those an outlet takes as surplus too.

    Blocks that failed later and were credited, and those given in place of such blocks, are not paid for.
    """
    strains, customers = record.names.strains, record.names.block_customers
    if not customers or not strains:
        return []

    def paid(farm: Farm, name: str) -> list[float] | None:
        customer = next((each for each in farm.block_customer if each.name == name), None)
        return None if customer is None else [_known(price_of(customer.price, strain)) for strain in strains]

    prices = states.values(customers, paid)
    when, who, which, blocks, unpaid = (
        np.concatenate(both) for both in zip(_sold(record), _claimed(record), strict=True)
    )
    price = prices[who, states.at(when), which] * states.factors(when, lambda farm: farm.months.block_prices)
    price = price * states.drift(when, "prices") * _own_months(states, customers, who, when)
    price = price * by_luck(record, states, "block_customer", customers, who, when)
    each = enumerate(customers)
    return [_of(name, "blocks", who == number, when, which, blocks, price, unpaid) for number, name in each]


def _own_months(states: States, customers: Sequence[str], who: Numbers, when: Figures) -> Figures:
    """What the calendar makes of each customer's own prices."""
    found = np.ones(len(when))
    for number, name in enumerate(customers):
        twelve = [_months_of(name, farm) for farm in states.farms]
        if any(each != AS_USUAL for each in twelve):
            kept = np.flatnonzero(who == number)
            found[kept] = states.factors(when[kept], partial(_months_of, name))
    return found


def _months_of(name: str, farm: Farm) -> tuple[float, ...]:
    """The twelve factors of a customer's prices; of one that is gone as usual."""
    customers: tuple[Customer | BlockCustomer, ...] = (*farm.customer, *farm.block_customer)
    return next((each.price_months for each in customers if each.name == name), AS_USUAL)


Rows = tuple[Figures, Numbers, Numbers, Figures, Figures]
"""When, customer, strain, blocks brought, blocks that are not paid for."""


def _sold(record: Record) -> Rows:
    sold = np.isin(record.numbers("blocks", "what"), [WHATS.index("sold"), WHATS.index("sold cheap")])
    kept = np.flatnonzero(sold & (record.numbers("blocks", "customer") >= 0))
    when, brought = record.figures("blocks", "when")[kept], record.figures("blocks", "blocks")[kept]
    who, which = record.numbers("blocks", "customer")[kept], record.numbers("blocks", "strain")[kept]
    return when, who, which, brought, np.zeros_like(brought)


def _claimed(record: Record) -> Rows:
    when, credited, replaced = (record.figures("block_claims", name) for name in ("when", "credited", "replaced"))
    who, which = record.numbers("block_claims", "customer"), record.numbers("block_claims", "strain")
    return when, who, which, np.zeros_like(when), credited + replaced


def _known(price: float | None) -> float:
    return NONE if price is None else price


def _of(
    name: str,
    unit: str,
    kept: Flags,
    when: Figures,
    strain: Numbers,
    goods: Figures,
    price: Figures,
    unpaid: Figures | float = 0.0,
) -> Sales:
    has_price = ~np.isnan(price[kept])
    money = (goods - unpaid)[kept] * np.where(has_price, price[kept], 0.0)
    return Sales(name, unit, when[kept], strain[kept], goods[kept], money, has_price)
