"""Between which values a figure that nobody measured may well lie: spans for guesses, each with where it comes from.

A "*" in a path stands for a name. What has no span of its own is taken to lie between 20 % less and 20 % more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from farmsim.scenario.fields import MEMORY, PLACEHOLDER


@dataclass(frozen=True, slots=True)
class Span:
    """Where a figure may well lie, and where that comes from.

    low, high: as a farm's file would write them; or as factors of the figure, "x0.8"
    """

    low: str
    high: str
    source: str

    @property
    def is_factor(self) -> bool:
        """Whether it goes by the figure's own value."""
        return self.low.startswith("x")


USUAL: Final = Span("x0.8", "x1.2", f"{PLACEHOLDER}: 20 % less to 20 % more")
WIDE: Final = Span("x0.5", "x1.5", f"{PLACEHOLDER}: half as much to half as much again")

SPANS: Final[Mapping[str, Span]] = {
    "farm.round": Span("0.5 h", "2 h", PLACEHOLDER),
    "walk_in.*.half_cooling": Span("1 h", "10 h", "P: forced air 1-10 h (Thompson et al. 1998)"),
    "crew.*.absence": Span("0 %", "6 %", PLACEHOLDER),
    "round.*.called": Span("15 min", "60 min", PLACEHOLDER),
    "round.*.late_at_most": Span("1 h", "4 h", PLACEHOLDER),
    "block_customer.*.leave_by": Span("09:00", "15:00", PLACEHOLDER),
    "strain.*.overripe.loses": Span("1 % a day", "6 % a day", PLACEHOLDER),
    "strain.*.overripe.trim": Span("15 s a block", "60 s a block", PLACEHOLDER),
    "strain.*.overripe.thrown_out_after": Span("7 d", "21 d", PLACEHOLDER),
    "strain.*.contaminated.mean": Span("3 %", "5 %", f"{PLACEHOLDER}: one opinion"),
    "strain.*.contaminated.cv": Span("0.5", "1.5", PLACEHOLDER),
    "strain.*.contaminated.shows": WIDE,
    "strain.*.cold_shock.loses": Span("2 % a day", "8 % a day", PLACEHOLDER),
    "strain.*.soak.load": Span("60 blocks/h", "120 blocks/h", f"{MEMORY}: 0.5-1 min a block"),
    "strain.*.soak.unload": Span("60 blocks/h", "120 blocks/h", f"{MEMORY}: 0.5-1 min a block"),
    "strain.*.soak.loses": Span("1 % an hour", "4 % an hour", PLACEHOLDER),
    "strain.*.open.pace": Span("60 blocks/h", "120 blocks/h", f"{MEMORY}: 0.5-1 min a block"),
    "strain.*.open.strip_takes": Span("10 s a block", "40 s a block", PLACEHOLDER),
    "strain.*.open.flip_takes": WIDE,
    "strain.*.picking.look": Span("3 s a block", "8 s a block", f"{MEMORY}: 3-8 s a block"),
    "strain.*.picking.window": Span("1 d", "2 d", f"{MEMORY}: about 1-2 days"),
    "strain.*.picking.gain": Span("5 % a day", "30 % a day", PLACEHOLDER),
    "strain.*.warm_costs": Span("2", "5", PLACEHOLDER),
    "strain.*.spread": WIDE,
}


def span_of(pattern: str) -> Span:
    """The span of the figure at a path with "*" for its name."""
    return SPANS.get(pattern, USUAL)
