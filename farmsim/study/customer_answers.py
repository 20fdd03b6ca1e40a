"""What a study hands on of customers: stalls, who has left, promises by how firm they are."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Stall:
    """One strain at one market stall, a week on average [kg].

    sold_out: of the market days on which some was brought, the share on which more was asked for
    missed: share of its market days on which none was brought
    """

    stall: str
    strain: str
    brought: float
    asked: float
    sold: float
    came_back: float
    lost: float
    sold_out: float
    missed: float = 0.0


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


@dataclass(frozen=True)
class RoundKept:
    """One round or market day over all runs: how many were due, left on time, left late, did not go [rounds].

    van_used: share of the van's room that was taken, on average of those that went; None without limits
    """

    name: str
    due: float
    on_time: float
    late: float
    not_gone: float
    empty: float
    van_used: float | None


@dataclass(frozen=True)
class WhyShort:
    """What was short of orders for mushrooms, a week on average, by why [kg]."""

    not_there: float
    not_packed: float
    no_room: float
    not_gone: float
