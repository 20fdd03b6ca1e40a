"""What travels through the farm, and what it carries with it: names, place in the order, and the places it holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, NamedTuple

from farmsim.model.desk import Follower, Wait

if TYPE_CHECKING:
    from farmsim.model.crop import Bed
    from farmsim.model.fate import Fates, Mornings
    from farmsim.model.place import Request, Stay
    from farmsim.model.site import Site
    from farmsim.model.steps import Step
    from farmsim.model.stock import Parcel

FLUSH_STRIDE: Final = 20
"""More than there are stages, so that a later flush always ranks above an earlier one."""

FRESH_RANK: Final = 9
"""Crates are further on than any stage of the first flush."""


class Memory(NamedTuple):
    """What a standing lot had asked for when a run ended, so that another run can go on from there."""

    asked: float  # when it asked for what it waits for [h]
    left: float = 0.0  # of the task it waits for, still to do [h]
    in_hand: bool = False  # that task was begun in an earlier shift


class Traveller(Follower):
    """Anything that asks for places or people: a lot of blocks, a sterilizer load, crates.

    `rank` is its step in the farm's one list of stages, counted with its flush; whoever is further on goes first.
    """

    __slots__ = ("flush", "key", "memory", "number", "rank", "request", "started", "stays")

    def __init__(self, key: str, started: float, number: int = -1) -> None:
        self.key = key
        self.started = started
        self.number = number  # in the journal
        self.rank = 0
        self.flush = 0
        self.stays: dict[str, Stay] = {}
        self.request: Request | None = None
        self.memory: Memory | None = None

    def turn(self, asked: float) -> tuple[Any, ...]:
        """Who goes first: further on, then who has waited longest, then started earlier, then by key."""
        return (-self.rank, asked, self.started, self.key)

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self.key}>"


class Walker(Traveller):
    """A traveller with steps to go through. `at` is the step it is in, `since` when it came to it."""

    __slots__ = ("at", "gone", "since", "site", "steps")
    site: Site  # where it walks

    def __init__(self, key: str, started: float, steps: tuple[Step, ...]) -> None:
        super().__init__(key, started)
        self.steps = steps
        self.at = 0
        self.since = started
        self.gone = False  # sold or lost whole: it goes no further

    def follow(self) -> None:
        """What it waited for in the step it is in has happened: take the steps that follow."""
        self.go_on(self.site.desk.now)

    def go_on(self, since: float) -> None:
        """Take step after step until one has to be waited for.

        since: when it came to the first of them [h]
        """
        site, steps = self.site, self.steps
        now = site.desk.now
        last = len(steps) - 1
        self.since = since
        while self.at < last and not self.gone:
            self.at += 1
            step = steps[self.at]
            self.rank = self.flush * FLUSH_STRIDE + step.stage
            wait = step.take(site, self)
            if wait is not None:
                wait.follower = self
                return
            self.since = now


class Load(Walker):
    """A sterilizer load: lots of one strain that are mixed, steamed and cooled together."""

    __slots__ = ("blocks", "lots", "strain")

    def __init__(self, key: str, started: float, steps: tuple[Step, ...], strain: str, lots: list[Lot]) -> None:
        super().__init__(key, started, steps)
        self.strain = strain
        self.lots = lots
        self.blocks = sum([lot.blocks for lot in lots])


class Crates(Traveller):
    """A parcel in the cooler, or standing warm before it."""

    __slots__ = ("parcel",)

    def __init__(self, parcel: Parcel, number: int) -> None:
        super().__init__("crates", parcel.picked, number)
        self.parcel = parcel
        self.rank = FRESH_RANK

    def turn(self, asked: float) -> tuple[Any, ...]:
        """Picked earlier goes first, then by the parcel's key."""
        return (-self.rank, asked, self.started, self.parcel.key)


class Lot(Walker):
    """Blocks of one strain that travel together on one cart."""

    __slots__ = (
        "bad",
        "bed",
        "blocks",
        "colonised_at",
        "crop",
        "fates",
        "filled",
        "flush_over",
        "in_round",
        "is_overripe",
        "line",
        "load",
        "look",
        "monday",
        "mornings",
        "overripe",
        "parts",
        "position",
        "ripe",
        "ripe_at",
        "ripe_since",
        "room",
        "row",
        "share",
        "shelved",
        "strain",
        "top",
        "vigour",
    )

    def __init__(
        self, key: str, started: float, steps: tuple[Step, ...], line: str, strain: str, monday: int, position: int
    ) -> None:
        super().__init__(key, started, steps)
        self.line = line
        self.strain = strain
        self.monday = monday  # ordinal of the Monday of its start week
        self.position = position  # in that week
        self.blocks = 0
        self.top = 0  # blocks at this position and beyond were sold
        self.parts = 0  # how many parts were sold off
        self.load = ""
        self.fates: Fates | None = None
        self.row = 0  # where its luck stands in `fates`
        self.bad: list[tuple[float, int]] = []  # bad blocks not found yet
        self.colonised_at = float("inf")
        self.ripe_at = float("inf")
        self.is_overripe = False
        self.overripe = 0.0  # days past its hold when it was taken to be fruited
        self.filled = 0.0  # when it was in the water [h]
        self.room = -1  # number of the fruiting room it is called to
        self.vigour = 1.0  # what handling has left of its yield
        self.shelved = 0  # day from which mornings of this flush are counted
        self.crop: Mornings = []  # still to ripen in this flush
        self.ripe: Mornings = []  # (day, kg) ripe and not picked yet
        self.ripe_since = 0  # the day of the first morning that is not picked yet
        self.bed: Bed | None = None  # with whom it is picked
        self.in_round = False  # somebody is picking it
        self.share = 0.0  # how much of what is ripe that round takes [1]
        self.mornings = 0  # mornings of this flush that have not come yet
        self.look = 0.0  # share of its blocks not looked over since something ripened
        self.flush_over: Wait | None = None
