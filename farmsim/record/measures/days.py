"""How long the steps of a lot took, strain by strain. A span counts if it ended in the measured time."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from farmsim.record.measures.cuts import measured, quantile
from farmsim.record.measures.declare import measure
from farmsim.record.tables import Figures, Numbers, Record
from farmsim.units import HOURS_A_DAY

PER = "strain and span"
TO_FIRST_PICK = "start to first pick"
ON_THE_SHELF = "shelved to cleared"
WHOLE_LIFE = "start to cleared"
OF = "lots whose span ended in the measured time"


class Span(NamedTuple):
    """From one moment of each lot to a later one; not a number where the lot never came so far."""

    name: str
    begin: Figures
    end: Figures


@measure(name="n", unit="lots", meaning="lots whose span ended in the measured time", denominator="none", per=PER)
def lots(days: Figures) -> float:
    return float(len(days))


@measure(name="mean", unit="days", meaning="mean length of the span", denominator=OF, per=PER)
def mean_days(days: Figures) -> float:
    return float(days.mean()) if len(days) else float("nan")


@measure(name="p10", unit="days", meaning="1 lot of 10 was quicker", denominator=OF, per=PER)
def quick_days(days: Figures) -> float:
    return quantile(days, 0.1)


@measure(name="p50", unit="days", meaning="half of the lots were quicker", denominator=OF, per=PER)
def middle_days(days: Figures) -> float:
    return quantile(days, 0.5)


@measure(name="p90", unit="days", meaning="9 lots of 10 were quicker", denominator=OF, per=PER)
def slow_days(days: Figures) -> float:
    return quantile(days, 0.9)


MEASURES = (lots, mean_days, quick_days, middle_days, slow_days)


def spans(record: Record) -> list[Span]:
    """The spans of a lot's life: to ripeness, onto the shelf, to first pick, flush to flush, to clearing; and the whole."""
    started = record.figures("lots", "started")
    racks, shelf = _stays_at(record, "racks"), _stays_at(record, "shelf")
    shelved, cleared = _first(record, shelf, "came"), _last(record, shelf, "left")
    ripe = _last(record, racks, "ready")
    called = np.where(np.isnan(shelved), np.nan, _last(record, racks, "left"))
    picks = _first_picks(record)
    first = picks[0] if picks else _of_no_lot(record, np.nan)
    between = pairwise(picks)
    last = np.fmax.reduce(picks) if picks else first
    return [
        Span("start to ripe", started, ripe),
        Span("ripe to called in", ripe, called),
        Span("called in to shelved", called, shelved),
        Span("shelved to first pick", shelved, first),
        Span(TO_FIRST_PICK, started, first),
        *(Span(f"first pick of flush {at} to {at + 1}", *pair) for at, pair in enumerate(between, 1)),
        Span("first pick of the last flush to cleared", last, cleared),
        Span(ON_THE_SHELF, shelved, cleared),
        Span(WHOLE_LIFE, started, cleared),
    ]


def is_step(span: str) -> bool:
    """Whether a span is one of those that follow one another, from a lot's start to its clearing."""
    return span not in (TO_FIRST_PICK, ON_THE_SHELF, WHOLE_LIFE)


def days_of(record: Record, span: Span, strain: int) -> Figures:
    """How long the span was, lot by lot [days]."""
    kept = (record.numbers("lots", "strain") == strain) & measured(record, span.end) & ~np.isnan(span.begin)
    days: Figures = (span.end - span.begin)[kept] / HOURS_A_DAY
    return days


def by_strain(record: Record, every: Sequence[Span]) -> dict[str, list[str] | Figures]:
    """The spans strain by strain, those that came to an end."""
    rows = [
        (strain, span.name, [figure(days) for figure in MEASURES])
        for number, strain in enumerate(record.names.strains)
        for span in every
        if len(days := days_of(record, span, number))
    ]
    figures = {figure.name: np.array([row[2][at] for row in rows]) for at, figure in enumerate(MEASURES)}
    return {"strain": [row[0] for row in rows], "span": [row[1] for row in rows], **figures}


def _stays_at(record: Record, kind: str) -> Numbers:
    """Rows of the stays of lots in places of one kind; not of those that were all thrown out there."""
    places = [number for number, (_, of_kind, _) in enumerate(record.names.places) if of_kind == kind]
    there = np.isin(record.numbers("stays", "place"), places) & ~np.isnan(record.figures("stays", "came"))
    return np.flatnonzero(there & (record.numbers("stays", "lot") >= 0) & (record.numbers("stays", "amount") > 0))


def _first(record: Record, rows: Numbers, column: str) -> Figures:
    found = _of_no_lot(record, np.inf)
    np.minimum.at(found, record.numbers("stays", "lot")[rows], record.figures("stays", column)[rows])
    return _known(found)


def _last(record: Record, rows: Numbers, column: str) -> Figures:
    """The last of several moments; unknown if one of them has not come."""
    found = _of_no_lot(record, -np.inf)
    when = record.figures("stays", column)[rows]
    np.maximum.at(found, record.numbers("stays", "lot")[rows], np.where(np.isnan(when), np.inf, when))
    return _known(found)


def _first_picks(record: Record) -> list[Figures]:
    """For each flush in turn, when it was first picked, lot by lot."""
    lot, flush, when = record.numbers("picks", "lot"), record.numbers("picks", "flush"), record.figures("picks", "when")
    found = []
    for number in np.unique(flush):
        first, rows = _of_no_lot(record, np.inf), np.flatnonzero(flush == number)
        np.minimum.at(first, lot[rows], when[rows])
        found.append(_known(first))
    return found


def _of_no_lot(record: Record, value: float) -> Figures:
    return np.full(len(record.tables["lots"]["key"]), value)


def _known(when: Figures) -> Figures:
    """Moments, those that never came set to "not a number"."""
    return np.where(np.isinf(when), np.nan, when)
