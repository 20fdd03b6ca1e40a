"""The farm in a picture: what flows where, and what of it the expansion makes larger."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Contents, NewPage, Part, Picture, Words
from farmsim.report.pack import headings
from farmsim.report.words import count, listed, size, tidy, upper
from farmsim.study.pack_answers import Headroom, Pack

CREW = "crew"


def parts(pack: Pack) -> Iterator[Part]:
    """The picture, with what is new in it."""
    from farmsim.report.figures import farm_map

    yield NewPage()
    yield Contents()
    yield headings.FARM
    yield Words(
        "Blocks begin on the left, ripen on the racks, fruit in the rooms, and leave as mushrooms on the right. Each box "
        "is a place with how much it holds, without the expansion and with it."
    )
    yield Picture(
        "farm_map",
        lambda: farm_map.draw(pack),
        f"{tidy(pack.base_name)}: what flows where",
        f"Boxes in the order in which blocks and mushrooms go through the farm, customers last: {in_order(pack)}.",
        f"{upper(listed(grown(pack)))}." if grown(pack) else "No place and no crew grows.",
    )


def is_crew(one: Headroom) -> bool:
    """Whether these are people's hours and no place."""
    return one.kind == CREW


def holds(capacity: float | None, one: Headroom) -> str:
    """How much there is of it: 2,000 blocks, 1 tank, 133 h a week; a place that holds any number says so."""
    if capacity is None:
        return "none"
    if is_crew(one):
        return f"{count(capacity)} h a week"
    return "any number" if capacity == float("inf") or capacity != capacity else size(capacity, one.unit)


def in_order(pack: Pack) -> str:
    """All places by name."""
    return ", ".join(tidy(one.name) for one in pack.headroom if not is_crew(one))


def grown(pack: Pack) -> list[str]:
    """What is new, larger or smaller with the expansion, with its size."""
    found = []
    for one in pack.headroom:
        before, after = (None if level is None else level.capacity for level in (one.before, one.after))
        name = tidy(one.name)
        if before is None and after is not None:
            found.append(f"{name} is new ({holds(after, one)})")
        elif before is not None and after is None:
            found.append(f"{name} is no longer there")
        elif before is not None and after is not None and before != after:
            found.append(f"{name} {holds(after, one)} instead of {count(before)}")
    return found
