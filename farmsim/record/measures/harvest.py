"""Mushrooms: picked by grade, packed, sold, thrown out."""

from __future__ import annotations

import numpy as np

from farmsim.record.columns import WHYS
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.tables import Figures, Numbers, Record, once

PER = "week, month, strain"


@once
def strain_of_picks(record: Record) -> Numbers:
    """The strain of each pick."""
    strain = record.numbers("lots", "strain")
    return strain[record.numbers("picks", "lot")] if len(strain) else np.empty(0, np.int64)


def _picked(record: Record, kg: Figures) -> Flow:
    return Flow(record.figures("picks", "when"), kg, strain_of_picks(record))


@once
def left_stock(record: Record, why: str) -> Flow:
    """Mushrooms that left the stock for one reason."""
    kept = np.flatnonzero(record.numbers("stock_out", "why") == WHYS.index(why))
    return Flow(
        record.figures("stock_out", "when")[kept],
        record.figures("stock_out", "kg")[kept],
        record.numbers("stock_out", "strain")[kept],
    )


def change(record: Record) -> Flow:
    """Saleable mushrooms picked, and with a minus all that left the stock."""
    picked = _picked(record, record.figures("picks", "firsts") + record.figures("picks", "seconds"))
    out = record.tables["stock_out"]
    return Flow(
        np.concatenate([picked.when, record.figures("stock_out", "when")]),
        np.concatenate([picked.amount, -record.figures("stock_out", "kg")]),
        np.concatenate([strain_of_picks(record), out["strain"].astype(np.int64)]),
    )


@measure(
    name="picked_kg", unit="kg", meaning="all that was picked: firsts, seconds, culls", denominator="none", per=PER
)
def picked_kg(record: Record) -> Flow:
    firsts, seconds, culls = (record.figures("picks", grade) for grade in ("firsts", "seconds", "culls"))
    return _picked(record, firsts + seconds + culls)


@measure(name="firsts_kg", unit="kg", meaning="firsts picked", denominator="none", per=PER)
def firsts_kg(record: Record) -> Flow:
    return _picked(record, record.figures("picks", "firsts"))


@measure(name="seconds_kg", unit="kg", meaning="seconds picked", denominator="none", per=PER)
def seconds_kg(record: Record) -> Flow:
    return _picked(record, record.figures("picks", "seconds"))


@measure(name="culls_kg", unit="kg", meaning="culls: thrown out at picking", denominator="none", per=PER)
def culls_kg(record: Record) -> Flow:
    return _picked(record, record.figures("picks", "culls"))


@measure(name="packed_kg", unit="kg", meaning="mushrooms packed", denominator="none", per=PER)
def packed_kg(record: Record) -> Flow:
    return Flow(record.figures("packs", "when"), record.figures("packs", "kg"), record.numbers("packs", "strain"))


@measure(name="sold_kg", unit="kg", meaning="mushrooms that left to fill an order", denominator="none", per=PER)
def sold_kg(record: Record) -> Flow:
    return left_stock(record, "sold")


@measure(name="outlet_kg", unit="kg", meaning="mushrooms taken by an outlet", denominator="none", per=PER)
def outlet_kg(record: Record) -> Flow:
    return left_stock(record, "outlet")


@measure(name="past_date_kg", unit="kg", meaning="mushrooms thrown out past their date", denominator="none", per=PER)
def past_date_kg(record: Record) -> Flow:
    return left_stock(record, "past date")


MEASURES = (picked_kg, firsts_kg, seconds_kg, culls_kg, packed_kg, sold_kg, outlet_kg, past_date_kg)
