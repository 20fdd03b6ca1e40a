"""What a study has to tell of each strain: plain numbers, nothing to be computed any more."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Step:
    """One step in the life of a typical lot [days].

    usual: half of the lots are done with it by then; slow: 9 in 10 are
    lots: lots that were seen to end it, in all runs
    """

    name: str
    usual: float
    slow: float
    lots: float


@dataclass(frozen=True)
class Life:
    """The life of a typical lot of a strain: its steps one after another, and the whole, from start to cleared."""

    strain: str
    steps: tuple[Step, ...]
    whole: Step | None


@dataclass(frozen=True)
class Work:
    """Hours of one kind of work for a strain: a week, and for each kg of saleable mushrooms; None when there are none."""

    duty: str
    a_week: float
    a_kg: float | None


@dataclass(frozen=True)
class Takes:
    """What a strain takes and brings, a week on average. A ratio is None where there is nothing to divide by.

    saleable: firsts and seconds [kg/week]; fruited, sold: blocks put on a shelf, and sold ready to fruit [blocks/week]
    shelf_weeks: shelf places its blocks hold, on average [block weeks a week]
    kg_a_shelf_week: saleable for each week of a block on a shelf [kg]
    shelf_weeks_a_block: how long a fruited block stands on a shelf [weeks]; shelf_weeks_a_kg: for each saleable kg
    block_hours_a_block: work on making and inspecting, for each block fruited or sold [h]
    hours_a_kg: all work for each saleable kg [h]; of the work on blocks what falls to those fruited here
    hours_a_fruited_block: the same for each block fruited [h]
    """

    strain: str
    saleable: float
    fruited: float
    sold: float
    shelf_weeks: float
    kg_a_shelf_week: float | None
    shelf_weeks_a_block: float | None
    shelf_weeks_a_kg: float | None
    block_hours_a_block: float | None
    hours_a_kg: float | None
    hours_a_fruited_block: float | None
    work: tuple[Work, ...]
