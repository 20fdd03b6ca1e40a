"""Who comes with an expansion, as the pack tells it on the days of its time line: in words, with nothing to compute."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Hired:
    """People who come with the expansion, in words.

    day: from which on; people, before: how many there are then and were until then
    works: on which days and from when to when; pays: what one of them is paid; learns: how slow new ones are at first, or ""
    """

    day: str
    crew: str
    people: int
    before: int
    works: str
    pays: str
    learns: str


@dataclass(frozen=True)
class Arrival:
    """A customer who comes with the expansion, or takes another amount, in words.

    day: from which on; takes: how much; before: how much until then, "" of one who is new; days: on which it is delivered
    pays: its price and how late; firm: as of a `Buyer`; source: where the terms come from and of which day, or ""
    """

    day: str
    name: str
    takes: str
    before: str
    days: str
    pays: str
    firm: str
    source: str
