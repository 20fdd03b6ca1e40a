"""What was promised and what was delivered, in kg and orders of mushrooms, and in blocks ready to fruit.

What is missing and carried to the next day counts as promised on the day it is carried to: nothing is promised twice.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from farmsim.record.measures.cuts import added, measured
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import Figures, Flags, Numbers, Record, layout_of, once

TINY = 1e-6
"""Less than this is not missing: what is left of sums of rounded weights [kg or blocks]."""
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
PER = "week, month, strain"


def _lines(record: Record, table: str, amount: Figures) -> Flow:
    return Flow(record.figures(table, "due"), amount, record.numbers(table, "strain"))


@once
def _promised(record: Record, table: str) -> Figures:
    return record.figures(table, "promised") - record.figures(table, "carried")


@once
def _short(record: Record, table: str) -> Figures:
    return np.maximum(_promised(record, table) - record.figures(table, "delivered"), 0.0)


@once
def line_complete(record: Record, table: str) -> Flags:
    """Order lines of which nothing was missing when the round left."""
    return record.figures(table, "delivered") >= record.figures(table, "promised") - TINY


class Orders(NamedTuple):
    """Whole orders: when each was due, whose it was, and whether nothing of it was missing."""

    due: Figures
    customer: Numbers
    complete: Flags


@once
def whole_orders(record: Record, table: str) -> Orders:
    """All lines of a customer for one round are one order."""
    kept = np.flatnonzero(record.figures(table, "promised") > TINY)
    due, customer = record.figures(table, "due")[kept], record.numbers(table, layout_of(table).columns[0].name)[kept]
    order = np.lexsort((due, customer))
    due, customer = due[order], customer[order]
    first = np.flatnonzero(np.r_[True, (np.diff(due) != 0) | (np.diff(customer) != 0)][: len(due)])
    complete = line_complete(record, table)[kept][order]
    return Orders(due[first], customer[first], np.logical_and.reduceat(complete, first) if len(first) else complete)


@measure(
    name="promised_kg",
    unit="kg",
    meaning="mushrooms promised for a round; what is carried to the next day counts there",
    denominator="none",
    per=PER,
)
def promised_kg(record: Record) -> Flow:
    return _lines(record, "orders", _promised(record, "orders"))


@measure(name="delivered_kg", unit="kg", meaning="of promised_kg, what was delivered", denominator="none", per=PER)
def delivered_kg(record: Record) -> Flow:
    return _lines(record, "orders", record.figures("orders", "delivered"))


@measure(name="short_kg", unit="kg", meaning="of promised_kg, what was never delivered", denominator="none", per=PER)
def short_kg(record: Record) -> Flow:
    return _lines(record, "orders", _short(record, "orders"))


@measure(
    name="orders",
    unit="orders",
    meaning="orders for mushrooms due: all a customer is promised for one round",
    denominator="none",
    per="week, month",
)
def orders(record: Record) -> Flow:
    due = whole_orders(record, "orders").due
    return Flow(due, np.ones(len(due)))


@measure(
    name="orders_complete",
    unit="orders",
    meaning="of these orders, those of which nothing was missing when the round left",
    denominator="none",
    per="week, month",
)
def orders_complete(record: Record) -> Flow:
    every = whole_orders(record, "orders")
    return Flow(every.due, every.complete.astype(float))


@measure(
    name="blocks_promised",
    unit="blocks",
    meaning="blocks ready to fruit promised for a round; what is carried to the next day counts there",
    denominator="none",
    per=PER,
)
def blocks_promised(record: Record) -> Flow:
    return _lines(record, "block_orders", _promised(record, "block_orders"))


@measure(
    name="blocks_delivered",
    unit="blocks",
    meaning="of blocks_promised, what was delivered",
    denominator="none",
    per=PER,
)
def blocks_delivered(record: Record) -> Flow:
    return _lines(record, "block_orders", record.figures("block_orders", "delivered"))


@measure(
    name="blocks_short",
    unit="blocks",
    meaning="of blocks_promised, what was never delivered",
    denominator="none",
    per=PER,
)
def blocks_short(record: Record) -> Flow:
    return _lines(record, "block_orders", _short(record, "block_orders"))


@measure(
    name="blocks_not_boxed",
    unit="blocks",
    meaning="blocks that could have left with a round and stayed because they were not boxed; what follows counts again",
    denominator="none",
    per=PER,
)
def blocks_not_boxed(record: Record) -> Flow:
    return Flow(
        record.figures("unboxed", "when"), record.figures("unboxed", "blocks"), record.numbers("unboxed", "strain")
    )


def _claims(record: Record, column: str) -> Flow:
    table = "block_claims"
    return Flow(record.figures(table, "when"), record.figures(table, column), record.numbers(table, "strain"))


@measure(
    name="blocks_failed",
    unit="blocks",
    meaning="of blocks_delivered, those that failed later, counted when they were delivered",
    denominator="none",
    per=PER,
)
def blocks_failed(record: Record) -> Flow:
    return _claims(record, "failed")


@measure(
    name="blocks_credited",
    unit="blocks",
    meaning="of blocks_failed, those credited to the customer; the others are owed with the next order",
    denominator="none",
    per=PER,
)
def blocks_credited(record: Record) -> Flow:
    return _claims(record, "credited")


@measure(
    name="blocks_replaced",
    unit="blocks",
    meaning="of blocks_delivered, those given in place of blocks that had failed: nobody pays for them",
    denominator="none",
    per=PER,
)
def blocks_replaced(record: Record) -> Flow:
    return _claims(record, "replaced")


MEASURES = (
    promised_kg,
    delivered_kg,
    short_kg,
    orders,
    orders_complete,
    blocks_promised,
    blocks_delivered,
    blocks_short,
    blocks_not_boxed,
    blocks_failed,
    blocks_credited,
    blocks_replaced,
)


def by_round(record: Record, table: str, customers: tuple[str, ...]) -> dict[str, list[str] | Figures]:
    """Promised and delivered by customer, strain and weekday; a line is what an order holds of one strain."""
    due = record.figures(table, "due")
    kept = np.flatnonzero(measured(record, due) & (record.figures(table, "promised") > TINY))
    strains = record.names.strains
    day: Numbers = (due[kept] // 24 % 7).astype(np.int64)
    customer, strain = (
        record.numbers(table, layout_of(table).columns[0].name)[kept],
        record.numbers(table, "strain")[kept],
    )
    which, slot = np.unique((customer * len(strains) + strain) * 7 + day, return_inverse=True)

    def summed(amount: Figures) -> Figures:
        return added(slot, amount[kept], len(which))

    return {
        "customer": [customers[at] for at in which // 7 // max(1, len(strains))],
        "strain": [strains[at] for at in which // 7 % max(1, len(strains))],
        "weekday": [DAYS[at] for at in which % 7],
        "promised": summed(_promised(record, table)),
        "delivered": summed(record.figures(table, "delivered")),
        "short": summed(_short(record, table)),
        "lines": summed(np.ones(len(due))),
        "lines_complete": summed(line_complete(record, table).astype(float)),
    }


def by_customer(record: Record) -> dict[str, list[str] | Figures]:
    """Promised and delivered by customer, in whole orders and in their lines; those for mushrooms first."""
    names = record.names
    mushrooms = _by_customer(record, "orders", "kg", names.customers)
    blocks = _by_customer(record, "block_orders", "blocks", names.block_customers)
    texts = {name: [*mushrooms[0][name], *blocks[0][name]] for name in mushrooms[0]}
    return {**texts, **{name: np.concatenate([mushrooms[1][name], blocks[1][name]]) for name in mushrooms[1]}}


def _by_customer(
    record: Record, table: str, unit: str, names: tuple[str, ...]
) -> tuple[dict[str, list[str]], dict[str, Figures]]:
    """Texts and figures of the customers of one table; those that were promised nothing are left out."""
    due = record.figures(table, "due")
    kept = np.flatnonzero(measured(record, due) & (record.figures(table, "promised") > TINY))
    customer = record.numbers(table, layout_of(table).columns[0].name)[kept]
    orders = whole_orders(record, table)
    counted = measured(record, orders.due)
    of_order, complete = orders.customer[counted], orders.complete[counted].astype(float)
    whose = np.unique(customer)

    def summed(group: Numbers, amount: Figures) -> Figures:
        return added(group, amount, len(names))[whose]

    lines = line_complete(record, table)[kept].astype(float)
    texts = {"customer": [names[at] for at in whose], "unit": [unit] * len(whose)}
    return texts, {
        "promised": summed(customer, _promised(record, table)[kept]),
        "delivered": summed(customer, record.figures(table, "delivered")[kept]),
        "short": summed(customer, _short(record, table)[kept]),
        "orders": summed(of_order, np.ones(len(of_order))),
        "orders_complete": summed(of_order, complete),
        "lines": summed(customer, np.ones(len(customer))),
        "lines_complete": summed(customer, lines),
    }
