"""What a study hands on of customers: stalls, who has left, promises by how firm they are."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Stall:
    """One strain at one market stall, a week on average [kg].

    sold_out: share of its market days on which more was asked for than was brought
    """

    stall: str
    strain: str
    brought: float
    asked: float
    sold: float
    came_back: float
    lost: float
    sold_out: float


@dataclass(frozen=True)
class Left:
    """A customer who orders no more: in how many runs, in which week usually, and what it ordered a week [kg]."""

    customer: str
    runs: int
    week: int
    a_week: float


@dataclass(frozen=True)
class Firmness:
    """What was promised to customers of one firmness, and what they got, a week on average [kg]."""

    firm: str
    promised: float
    delivered: float
