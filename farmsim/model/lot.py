"""What travels through the farm, and what it carries with it: names, place in the order, and the places it holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from farmsim.model.places import Request, Stay


class Memory(NamedTuple):
    """What a standing lot had asked for when a run ended, so that another run can go on from there."""

    asked: float  # when it asked for what it waits for [h]
    left: float = 0.0  # of the task it waits for, still to do [h]
    in_hand: bool = False  # that task was begun in an earlier shift


class Traveller:
    """Anything that asks for places or people: a lot of blocks, a steriliser load, a parcel of crates.

    `rank` is its step in the farm's one list of stages, counted with its flush; whoever is further on goes first.
    """

    __slots__ = ("flush", "key", "memory", "number", "rank", "request", "started", "stays")

    def __init__(self, key: str, started: float, number: int = -1) -> None:
        self.key = key
        self.started = started
        self.number = number
        self.rank = 0
        self.flush = 0
        self.stays: dict[str, Stay] = {}
        self.request: Request | None = None
        self.memory: Memory | None = None

    def turn(self, asked: float) -> tuple[int, float, float, str]:
        """Who goes first: further on, then who has waited longest, then started earlier, then by key."""
        return (-self.rank, asked, self.started, self.key)

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self.key}>"
