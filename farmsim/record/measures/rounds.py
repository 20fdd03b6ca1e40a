"""Rounds and market days: whether they went, and on time; what the van took; and why orders were short.

A round counts on the day it was due, once it has left or was called off.
"""

from __future__ import annotations

import numpy as np

from farmsim.record.columns import ROUND_ENDS, WHY_SHORT
from farmsim.record.measures.cuts import added, measured
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.measures.promises import short_kg
from farmsim.record.tables import Figures, Flags, Record, once

WENT, TOO_LATE, NOTHING_THERE, STILL_OUT = range(len(ROUND_ENDS))
PER = "week, month, round"


@once
def _decided(record: Record) -> Flags:
    """Rounds that have left, or were called off."""
    left, back = record.figures("rounds", "left"), record.figures("rounds", "back")
    return ~(np.isnan(left) & np.isnan(back))


def _went(record: Record) -> Flags:
    return ~np.isnan(record.figures("rounds", "left"))


@once
def _late(record: Record) -> Figures:
    """How late each round left [h]; 0 for those that did not go."""
    return np.where(_went(record), record.figures("rounds", "left") - record.figures("rounds", "due"), 0.0)


def _count(record: Record, which: Flags) -> Flow:
    return Flow(record.figures("rounds", "due"), which.astype(float))


@measure(
    name="rounds_due",
    unit="rounds",
    meaning="rounds due that have left or were called off",
    denominator="none",
    per=PER,
)
def rounds_due(record: Record) -> Flow:
    return _count(record, _decided(record))


@measure(name="rounds_on_time", unit="rounds", meaning="of rounds_due, left at their hour", denominator="none", per=PER)
def rounds_on_time(record: Record) -> Flow:
    return _count(record, _went(record) & (_late(record) <= 0))


@measure(name="rounds_late", unit="rounds", meaning="of rounds_due, left later", denominator="none", per=PER)
def rounds_late(record: Record) -> Flow:
    return _count(record, _went(record) & (_late(record) > 0))


@measure(
    name="rounds_not_gone",
    unit="rounds",
    meaning="of rounds_due, did not go: people or van came too late",
    denominator="none",
    per=PER,
)
def rounds_not_gone(record: Record) -> Flow:
    return _count(record, record.numbers("rounds", "how") == TOO_LATE)


@measure(
    name="rounds_empty",
    unit="rounds",
    meaning="of rounds_due, did not go: nothing was there to bring",
    denominator="none",
    per=PER,
)
def rounds_empty(record: Record) -> Flow:
    return _count(record, record.numbers("rounds", "how") == NOTHING_THERE)


def _short_for(record: Record, why: int) -> Flow:
    lost = record.figures("shorts", "kg") - record.figures("shorts", "carried")
    amount = np.where(record.numbers("shorts", "why") == why, lost, 0.0)
    return Flow(record.figures("shorts", "due"), amount, record.numbers("shorts", "strain"))


@measure(
    name="short_not_there_kg",
    unit="kg",
    meaning="of short_kg, what was not there when the order left",
    denominator="none",
    per="week, month, strain",
)
def short_not_there_kg(record: Record) -> Flow:
    parts = [short_kg(record), *(_short_for(record, why) for why in range(len(WHY_SHORT)))]
    strains = [part.strain for part in parts if part.strain is not None]
    amounts = [parts[0].amount, *(-part.amount for part in parts[1:])]
    return Flow(np.concatenate([part.when for part in parts]), np.concatenate(amounts), np.concatenate(strains))


@measure(
    name="short_not_packed_kg",
    unit="kg",
    meaning="of short_kg, what was there but not packed in time in the form that is wanted",
    denominator="none",
    per="week, month, strain",
)
def short_not_packed_kg(record: Record) -> Flow:
    return _short_for(record, 0)


@measure(
    name="short_no_room_kg",
    unit="kg",
    meaning="of short_kg, what was there but had no room in the van",
    denominator="none",
    per="week, month, strain",
)
def short_no_room_kg(record: Record) -> Flow:
    return _short_for(record, 1)


@measure(
    name="short_not_gone_kg",
    unit="kg",
    meaning="of short_kg, what was promised on a round that did not go because people or van came too late",
    denominator="none",
    per="week, month, strain",
)
def short_not_gone_kg(record: Record) -> Flow:
    return _short_for(record, 2)


MEASURES = (rounds_due, rounds_on_time, rounds_late, rounds_not_gone, rounds_empty)
SHORTS = (short_not_there_kg, short_not_packed_kg, short_no_room_kg, short_not_gone_kg)


def by_name(record: Record) -> dict[str, list[str] | Figures]:
    """One row for each round that was due in the measured time."""
    names = record.names.rounds
    kept = measured(record, record.figures("rounds", "due")) & _decided(record)
    which, went = record.numbers("rounds", "round")[kept], _went(record)[kept]
    there = np.unique(which)

    def summed(amount: Figures) -> Figures:
        return added(which, amount, len(names))[there]

    def column(name: str) -> Figures:
        return np.where(went, np.nan_to_num(record.figures("rounds", name)[kept]), 0.0)

    gone, late = summed(went.astype(float)), _late(record)[kept]
    back = np.nan_to_num(record.figures("rounds", "back")[kept], nan=record.end)
    away = np.where(went, np.minimum(back, record.end) - column("left"), 0.0)
    used = record.figures("rounds", "used")[kept]
    return {
        "round": [names[at] for at in there],
        **{one.name: summed(one(record).amount[kept]) for one in MEASURES},
        "late_h": _share(summed(late), summed((late > 0).astype(float))),
        "most_late_h": np.array([late[which == at].max() for at in there]),
        "away_h": summed(column("people") * away),
        "crates": summed(column("crates")),
        "kg": summed(column("kg")),
        "left_behind_kg": summed(column("behind")),
        "van_used_share": _share(summed(np.nan_to_num(used)), summed((~np.isnan(used)).astype(float))),
        "van_full": summed((used >= 1.0 - 1e-9).astype(float)),
        "went": gone,
    }


def _share(part: Figures, whole: Figures) -> Figures:
    """A mean; not known of none."""
    share: Figures = np.divide(part, whole, out=np.full(len(whole), np.nan), where=whole > 0)
    return share


def shorts(record: Record) -> dict[str, list[str] | Figures]:
    """What every customer was short of, by strain and reason: one row for each pair of which anything was short."""
    customers, strains = record.names.customers, record.names.strains
    width = max(1, len(strains))
    due, promised = record.figures("orders", "due"), record.figures("orders", "promised")
    short = np.maximum(promised - record.figures("orders", "carried") - record.figures("orders", "delivered"), 0.0)
    pairs = _added(record, "orders", short, measured(record, due))
    lost = record.figures("shorts", "kg") - record.figures("shorts", "carried")
    why, kept = record.numbers("shorts", "why"), measured(record, record.figures("shorts", "due"))
    reasons = [_added(record, "shorts", lost, kept & (why == reason)) for reason in range(len(WHY_SHORT))]
    rows = np.flatnonzero(pairs > 1e-6)
    return {
        "customer": [customers[at] for at in rows // width],
        "strain": [strains[at] for at in rows % width],
        "short": pairs[rows],
        "not_there": _plain(pairs - sum(reasons))[rows],
        **{name: reason[rows] for name, reason in zip(("not_packed", "no_room", "not_gone"), reasons, strict=True)},
    }


def _plain(kg: Figures) -> Figures:
    """Nothing where only rounding is left."""
    return np.where(kg > 1e-6, kg, 0.0)


def _added(record: Record, table: str, amount: Figures, kept: Flags) -> Figures:
    """Amounts by customer and strain."""
    width = max(1, len(record.names.strains))
    pair = record.numbers(table, "customer") * width + record.numbers(table, "strain")
    return added(pair[kept], amount[kept], len(record.names.customers) * width)
