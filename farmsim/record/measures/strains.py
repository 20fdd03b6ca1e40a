"""What each strain takes of the farm: shelf places and hours of work.

A task on a lot is its strain's. The rest is shared out, each kind of work by what decides how long it takes:

- a round of picking or packing goes to the strain that came out of it, known by the moment at which it ended; where rounds
  of several strains end at one moment, by the hours their weights take at the strains' pace
- mixing, done for a whole load, by the blocks made; inspection, done for many lots, by the weeks blocks stood on racks
- whatever is not told so (chores, cleaning an empty room) is nobody's
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from farmsim.record.measures import blocks, crews, harvest
from farmsim.record.measures.cuts import added, by_strain, measured
from farmsim.record.measures.declare import Flow, measure
from farmsim.record.measures.standing import stay_of_freed
from farmsim.record.tables import HOURS_A_WEEK, Figures, Numbers, Record, once

NOBODY = "no one strain"
THOUSANDTHS = 1000.0


class Worked(NamedTuple):
    """Hours of one duty: strain by strain, and those of no one strain."""

    duty: int
    by_strain: Figures
    rest: float


@measure(
    name="shelf_weeks",
    unit="block weeks",
    meaning="weeks on the shelves of fruiting rooms, block by block: ten blocks for three weeks are thirty",
    denominator="none",
    per="strain",
)
def shelf_weeks(record: Record) -> Figures:
    return _weeks_in(record, "shelf")


@measure(
    name="rack_weeks",
    unit="block weeks",
    meaning="weeks on the racks, block by block: ten blocks for three weeks are thirty",
    denominator="none",
    per="strain",
)
def rack_weeks(record: Record) -> Figures:
    return _weeks_in(record, "racks")


@measure(
    name="strain_hours",
    unit="h",
    meaning="hours of work for the strain: on its lots, on what was picked and packed of it; mixing shared by blocks made, "
    "inspection by weeks on racks",
    denominator="none",
    per="strain and duty",
)
def strain_hours(record: Record) -> list[Worked]:
    worked, lot = crews.worked_h(record), record.numbers("tasks", "lot")
    kept = measured(record, worked.when)
    duties = record.numbers("tasks", "duty")
    found = []
    for number, name in enumerate(record.names.duties):
        rows = np.flatnonzero(kept & (duties == number))
        shared = rows[lot[rows] < 0]
        mine = _of_lots(record, rows[lot[rows] >= 0], worked.amount)
        part = _of_many(record, name, shared, worked.amount)
        found.append(Worked(number, mine + part, float(worked.amount[shared].sum() - part.sum())))
    return found


MEASURES = (shelf_weeks, rack_weeks, strain_hours)


def by_duty(record: Record) -> dict[str, list[str] | Figures]:
    """Hours by strain and duty, those that were done; what is no one strain's comes last."""
    every, strains = strain_hours(record), len(record.names.strains)
    hours = np.array([[*each.by_strain, each.rest] for each in every]).reshape(len(every), strains + 1).T
    hours[np.abs(hours) < 1e-6] = 0.0  # what is left of sums that come to nothing
    names = [*record.names.strains, NOBODY]
    strain, duty = np.nonzero(hours)
    return {
        "strain": [names[at] for at in strain],
        "duty": [record.names.duties[every[at].duty] for at in duty],
        strain_hours.name: hours[strain, duty],
    }


def _of_lots(record: Record, rows: Numbers, hours: Figures) -> Figures:
    """Work on single lots."""
    strain = record.numbers("lots", "strain")[record.numbers("tasks", "lot")[rows]]
    return added(strain, hours[rows], len(record.names.strains))


def _of_many(record: Record, duty: str, rows: Numbers, hours: Figures) -> Figures:
    """Work on several lots, a load or crates, as far as it can be told whose it was."""
    if duty == "pick":
        return _rounds(record, rows, hours, harvest.picked_kg(record), _pace(record, "pick"))
    if duty == "pack":
        return _rounds(record, rows, hours, harvest.packed_kg(record), _pace(record, "pack"))
    if duty == "pack orders":
        when, kg = record.figures("packed_orders", "when"), record.figures("packed_orders", "kg")
        packed = Flow(when, kg, record.numbers("packed_orders", "strain"))
        return _rounds(record, rows, hours, packed, _pace(record, "pack"))
    weights = np.zeros(len(record.names.strains))
    if duty == "mix":
        weights = by_strain(record, blocks.blocks_made(record))
    elif duty == "inspect":
        weights = _weeks_in(record, "racks")
    shared: Figures = weights / (weights.sum() or 1.0) * hours[rows].sum()
    return shared


def _rounds(record: Record, rows: Numbers, hours: Figures, came: Flow, pace: Figures) -> Figures:
    """Rounds, each given to what came out at the moment it ended."""
    strains, ended = len(record.names.strains), record.figures("tasks", "ended")[rows]
    if not len(came.when) or came.strain is None:
        return np.zeros(strains)
    moments, of_came = np.unique(came.when, return_inverse=True)
    needs = came.amount / pace[came.strain]
    whole = added(of_came, needs, len(moments))
    at = np.minimum(np.searchsorted(moments, ended), len(moments) - 1)
    told = moments[at] == ended
    done = added(at[told], hours[rows][told], len(moments))
    share = np.divide(needs, whole[of_came], out=np.zeros_like(needs), where=whole[of_came] > 0)
    return added(came.strain, done[of_came] * share, strains)


def _pace(record: Record, duty: str) -> Figures:
    """How much of each strain one person does in an hour; the same for all where the farm is not known [kg/h]."""
    farm = record.farm  # a strain may come only by a dated change
    states = () if farm is None else (farm, *(state for _, state in farm.changes))
    known = [next((each.strain[name] for each in states if name in each.strain), None) for name in record.names.strains]
    return np.array([1.0 if one is None else one.picking.pace if duty == "pick" else one.pack for one in known])


def _weeks_in(record: Record, kind: str) -> Figures:
    """Weeks of the measured time spent in places of one kind, block by block [block weeks]."""
    strain, came, until, held = _stood(record, kind)
    span = np.clip(until, record.start, record.end) - np.clip(came, record.start, record.end)
    weeks = np.maximum(0.0, span) * held / THOUSANDTHS / HOURS_A_WEEK
    return added(strain, weeks, len(record.names.strains))


@once
def _stood(record: Record, kind: str) -> tuple[Numbers, Figures, Figures, Figures]:
    """Strain of each stay of lots in places of one kind, when they came and left, and how much they held [thousandths]."""
    is_of_kind = np.array([of_kind == kind for _, of_kind, _ in record.names.places], dtype=np.bool_)
    came, left = record.figures("stays", "came"), record.figures("stays", "left")
    of_freed = stay_of_freed(record)
    part = np.flatnonzero(of_freed >= 0)
    row = np.concatenate([np.arange(len(came)), of_freed[part]])
    until = np.concatenate([np.where(np.isnan(left), np.inf, left), record.figures("freed", "when")[part]])
    held = np.concatenate([record.figures("stays", "amount"), record.figures("freed", "amount")[part]])
    lot, place = record.numbers("stays", "lot")[row], record.numbers("stays", "place")[row]
    here = np.flatnonzero(is_of_kind[place] & (lot >= 0) & ~np.isnan(came[row]))
    return record.numbers("lots", "strain")[lot[here]], came[row[here]], until[here], held[here]
