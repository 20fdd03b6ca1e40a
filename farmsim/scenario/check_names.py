"""Rules about names: what stands side by side in the results can be told apart."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm

PLACES = ("sterilizer", "cooling floor", "clean benches", "racks", "walk-in", "soak tanks", "opening benches", "van")
"""What the places of every farm are called in the results, whether this farm has them or not."""

OWN_NAMES = (
    "room",
    "crew",
    "start",
    "customer",
    "block_customer",
    "shut",
    "chore",
    "round",
    "fixed_cost",
    "capital",
    "loan",
)  # kinds of things in lists, each with a name


def names_differ(farm: Farm, kind: str) -> Iterator[Fault]:
    """Things of one kind have names of their own, and names can stand in a lot's code."""
    seen: list[str] = []
    for at, item in enumerate(getattr(farm, kind)):
        name = item.name
        if name in seen:
            yield Fault(
                (kind, at, "name"), f'"{name}" stands twice', "needs names that differ", "Rename one of the two."
            )
        if "/" in name:
            mend = 'Write it with "-" or "and" instead.'
            yield Fault((kind, at, "name"), f'"{name}" holds "/"', "needs a name without it", mend)
        seen.append(name)


def names_differ_in_the_results(farm: Farm) -> Iterator[Fault]:
    """Rooms and crews stand beside all other places in the results, under their names alone."""
    taken = {name: f"the {name}" for name in PLACES}
    taken |= {f"walk-in {name}".casefold(): f"the walk-in {name}" for name in farm.walk_in}
    taken |= {f"van {name}".casefold(): f"the van {name}" for name in farm.van}
    taken |= {f"{room.name}, promised".casefold(): f"the places promised in room {room.name}" for room in farm.room}
    for at, room in enumerate(farm.room):
        yield from _clash("room", at, room.name, taken)
    taken |= {room.name.casefold(): f"room {room.name}" for room in farm.room}
    for at, crew in enumerate(farm.crew):
        yield from _clash("crew", at, crew.name, taken)


def _clash(kind: str, at: int, name: str, taken: dict[str, str]) -> Iterator[Fault]:
    other = taken.get(name.casefold())
    if other is not None:
        found = f'"{name}" is what the results call {other}'
        yield Fault((kind, at, "name"), found, "needs a name of its own", f"Rename the {kind}.")


def names_of_past_years_differ(farm: Farm) -> Iterator[Fault]:
    """Past years stand side by side; those without a name are told apart by their last day."""
    seen: list[str | None] = []
    for at, year in enumerate(farm.past_year):
        if year.name and year.name in seen:
            found = f'"{year.name}" stands twice'
            yield Fault(("past_year", at, "name"), found, "needs names that differ", "Rename one of the two.")
        seen.append(year.name)


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about names."""
    yield from (names_differ(farm, kind) for kind in OWN_NAMES)
    yield names_differ_in_the_results(farm)
    yield names_of_past_years_differ(farm)
