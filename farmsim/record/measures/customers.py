"""Customers: what stalls sold, what was dried, what was given instead, and who has left."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from farmsim.record.measures.cuts import added, measured
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.measures.harvest import left_stock
from farmsim.record.measures.promises import TINY, delivered_kg, promised_kg, short_kg, whole_orders
from farmsim.record.tables import Figures, Record
from farmsim.units import HOURS_A_DAY, HOURS_A_WEEK

PER = "week, month, strain"
FIRM = ("signed", "by habit", "letter", "hoped for", "not told")


@measure(name="stall_kg", unit="kg", meaning="mushrooms sold at market stalls", denominator="none", per=PER)
def stall_kg(record: Record) -> Flow:
    return left_stock(record, "stall")


@measure(
    name="stall_lost_kg",
    unit="kg",
    meaning="mushrooms not sold at a market stall and lost there; what came back past its date is in past_date_kg",
    denominator="none",
    per=PER,
)
def stall_lost_kg(record: Record) -> Flow:
    return left_stock(record, "lost at the stall")


@measure(name="to_dry_kg", unit="kg", meaning="fresh mushrooms laid out to dry", denominator="none", per=PER)
def to_dry_kg(record: Record) -> Flow:
    return left_stock(record, "to dry")


@measure(name="dried_kg", unit="kg", meaning="what they weigh once they are dry", denominator="none", per=PER)
def dried_kg(record: Record) -> Flow:
    return Flow(record.figures("dried", "when"), record.figures("dried", "kg"), record.numbers("dried", "strain"))


@measure(
    name="substituted_kg",
    unit="kg",
    meaning="of delivered_kg, what was delivered of another strain, told under the strain that was short",
    denominator="none",
    per=PER,
)
def substituted_kg(record: Record) -> Flow:
    return _substituted(record, "strain")


@measure(
    name="customers_left",
    unit="customers",
    meaning="customers who order no more after too many short deliveries",
    denominator="none",
    per="week, month",
)
def customers_left(record: Record) -> Flow:
    when = record.figures("customers_left", "when")
    return Flow(when, np.ones(len(when)))


@measure(
    name="not_ordered_kg",
    unit="kg",
    meaning="mushrooms that customers who have left would have ordered; not in promised_kg",
    denominator="none",
    per=PER,
)
def not_ordered_kg(record: Record) -> Flow:
    figures = record.figures("not_ordered", "due"), record.figures("not_ordered", "kg")
    return Flow(*figures, record.numbers("not_ordered", "strain"))


MEASURES = (stall_kg, stall_lost_kg, to_dry_kg, dried_kg, substituted_kg, customers_left, not_ordered_kg)


def _substituted(record: Record, strain: str) -> Flow:
    table = "substituted"
    return Flow(record.figures(table, "when"), record.figures(table, "kg"), record.numbers(table, strain))


def instead(record: Record) -> Flow:
    """What was delivered instead of another strain: to the strain that was short, and with a minus from the one given."""
    short, given = _substituted(record, "strain"), _substituted(record, "instead")
    assert short.strain is not None and given.strain is not None
    return Flow(
        np.concatenate([short.when, given.when]),
        np.concatenate([short.amount, -given.amount]),
        np.concatenate([short.strain, given.strain]),
    )


STALL_SUMS = ("wanted", "brought", "asked", "sold", "came_back", "lost")


def by_stall(record: Record) -> dict[str, list[str] | Figures]:
    """Market days by stall and strain: what was brought, sold, came back and was lost."""
    names, table = record.names, "market_days"
    kept = np.flatnonzero(measured(record, record.figures(table, "back")))
    strains = max(1, len(names.strains))
    key = record.numbers(table, "customer")[kept] * strains + record.numbers(table, "strain")[kept]
    which, slot = np.unique(key, return_inverse=True)
    sums = {name: added(slot, record.figures(table, name)[kept], len(which)) for name in STALL_SUMS}
    there = record.figures(table, "brought")[kept] > TINY
    sold_out = there & (record.figures(table, "asked")[kept] > record.figures(table, "sold")[kept] + TINY)
    return {
        "stall": [names.customers[at] for at in which // strains],
        "strain": [names.strains[at] for at in which % strains],
        "market_days": added(slot, np.ones(len(kept)), len(which)),
        **sums,
        "days_there": added(slot, there.astype(float), len(which)),
        "sold_out_days": added(slot, sold_out.astype(float), len(which)),
    }


def left(record: Record) -> dict[str, list[str] | Figures]:
    """Customers who left in the measured time, in the order in which they left."""
    table = "customers_left"
    when = record.figures(table, "when")
    kept = np.flatnonzero(measured(record, when))
    days = [record.first_day + timedelta(days=int(hour // HOURS_A_DAY)) for hour in when[kept].tolist()]
    return {
        "customer": [record.names.customers[at] for at in record.numbers(table, "customer")[kept]],
        "date": [day.isoformat() for day in days],
        "week": np.floor((when[kept] - record.start) / HOURS_A_WEEK) + 1,
        "short_deliveries": record.figures(table, "short")[kept],
        "a_week": record.figures(table, "a_week")[kept],
    }


def by_firmness(record: Record) -> dict[str, list[str] | Figures]:
    """Promised and delivered mushrooms by how firm the customer is; what nobody was promised is left out."""
    firm = _firmness(record)
    due, customer = record.figures("orders", "due"), record.numbers("orders", "customer")
    kept = np.flatnonzero(measured(record, due) & (record.figures("orders", "promised") > TINY))
    of_line = firm[customer[kept]]
    orders = whole_orders(record, "orders")
    counted = measured(record, orders.due)
    of_order = firm[orders.customer[counted]]
    there = np.unique(of_line)
    flows = {"promised": promised_kg, "delivered": delivered_kg, "short": short_kg}
    return {
        "firm": [FIRM[at] for at in there],
        **{name: added(of_line, flow(record).amount[kept], len(FIRM))[there] for name, flow in flows.items()},
        "orders": added(of_order, np.ones(len(of_order)), len(FIRM))[there],
        "orders_complete": added(of_order, orders.complete[counted].astype(float), len(FIRM))[there],
    }


def _firmness(record: Record) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """How firm each customer is, by number, as it was at first; of a record put together from pieces it is not told."""
    said: dict[str, str] = {}
    if record.farm is not None:
        for state in (record.farm, *(state for _, state in record.farm.changes)):
            for customer in state.customer:
                said.setdefault(customer.name, customer.firm)
    return np.array([FIRM.index(said.get(name, FIRM[-1])) for name in record.names.customers], dtype=np.int64)
