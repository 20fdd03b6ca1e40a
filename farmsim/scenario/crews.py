"""How the work of a new farm is shared out among one to four crews."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from farmsim.scenario.people import Duty

When = Literal["work", "pick", "both"]


@dataclass(frozen=True, slots=True)
class CrewShape:
    """A crew: its name, its duties, first things first, and on which of the farm's days it comes."""

    name: str
    duties: tuple[Duty, ...]
    comes: When


_MAKE: Final[tuple[Duty, ...]] = ("inoculate", "mix", "inspect")
_GROW: Final[tuple[Duty, ...]] = ("soak", "open", "box", "clear", "clean", "chores", "dry")
_MAKERS: Final = CrewShape("block makers", _MAKE, "work")
_GROWERS: Final = CrewShape("growers", _GROW, "work")
_PICKERS: Final = CrewShape("pickers", ("pick", "pack"), "pick")
_FOUR: Final = (CrewShape("pickers", ("pick", "open"), "pick"), CrewShape("packers", ("pack", "pick"), "pick"))

CREWS: Final[Mapping[str, tuple[tuple[CrewShape, ...], ...]]] = {
    "here": (
        (
            CrewShape(
                "everyone", ("pack", "pick", "soak", "open", "box", *_MAKE, "clear", "clean", "chores", "dry"), "both"
            ),
        ),
        (_MAKERS, CrewShape("growers and pickers", ("pack", "pick", *_GROW), "both")),
        (_MAKERS, _GROWERS, _PICKERS),
        (_MAKERS, _GROWERS, *_FOUR),
    ),
    "bought": (
        (CrewShape("everyone", ("pack", "pick", *_GROW), "both"),),
        (_GROWERS, _PICKERS),
        (_GROWERS, *_FOUR),
    ),
}
"""By whether blocks are made here or bought: the crews of a farm with one crew, with two, and so on."""

SHARED_BY: Final = (2, 5, 9)
"""Up to so many people do everything together, work in two crews, in three; more work in as many as there are."""
