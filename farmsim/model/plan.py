"""The start plan in lots: which lots a line starts in a week, on which day, and in which sterilizer load they travel."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from farmsim.model.rota import WEEKDAYS
from farmsim.scenario.sales import Start


class Slot(NamedTuple):
    """One lot of the weekly plan."""

    position: int  # in the week, from 0
    weekday: int  # 0 is Monday
    blocks: int
    load: int  # ordinal in the week of the load it is made in


def week_of(start: Start, lot: int, load: int | None) -> list[Slot]:
    """The lots of one week.

    start: the line, with its blocks a week and its days
    lot: blocks that travel together [blocks]
    load: most blocks in one sterilizer load; None when a day's blocks come as one load (bought in) [blocks]
    """
    slots: list[Slot] = []
    ordinal = -1
    for weekday, blocks in _by_day(start):
        room = 0
        for size in _cut(blocks, lot):
            if size > room:
                ordinal += 1
                room = blocks if load is None else load
            room -= size
            slots.append(Slot(len(slots), weekday, size, ordinal))
    return slots


def _by_day(start: Start) -> list[tuple[int, int]]:
    """Whole blocks for each of the line's days; what does not divide evenly goes to the first days."""
    days = [day for day, name in enumerate(WEEKDAYS) if name in start.days]
    each, over = divmod(round(start.blocks), len(days))
    return [(day, each + (index < over)) for index, day in enumerate(days) if each + (index < over)]


def _cut(blocks: int, lot: int) -> list[int]:
    whole, rest = divmod(blocks, lot)
    return [lot] * whole + ([rest] if rest else [])


def by_day(slots: Sequence[Slot]) -> list[tuple[int, list[list[Slot]]]]:
    """The slots of a week by the day they are started on, and of a day by their load."""
    days = [(weekday, list(group)) for weekday, group in groupby(slots, key=lambda slot: slot.weekday)]
    return [(weekday, [list(load) for _, load in groupby(day, key=lambda slot: slot.load)]) for weekday, day in days]
