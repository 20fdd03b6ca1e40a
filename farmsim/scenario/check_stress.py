"""Rules about what may go wrong: blows that come together are known, each named once, and looked at at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.part import NotKnown
from farmsim.scenario.stress import BLOWS, Stress

Row = tuple[str, ...]
Path = tuple[str | int, ...]
LEAST = 2
LEAVE_OUT = "Leave one of the two out."


def blows_are_known(stress: Stress, row: Row, path: Path) -> Iterator[Fault]:
    """Blows are called by the names of their figures."""
    for name in dict.fromkeys(row):
        if name not in BLOWS:
            yield Fault(
                path, f'"{name}" is no blow', f"needs {listed(BLOWS)}", nearest(name, BLOWS, "Write one of these.")
            )


def each_stands_once(stress: Stress, row: Row, path: Path) -> Iterator[Fault]:
    """A blow does not fall twice, and the same ones together are looked at once."""
    for name in dict.fromkeys(row):
        if row.count(name) > 1:
            yield Fault(path, f'names "{name}" twice', "needs each blow once", LEAVE_OUT)
    at = int(path[-1])
    same = next((before for before, other in enumerate(stress.together[:at]) if set(other) == set(row)), None)
    if same is not None:
        yield Fault(path, f"names the same blows as together {same + 1}", "needs other ones", LEAVE_OUT)


def several_come_together(stress: Stress, row: Row, path: Path) -> Iterator[Fault]:
    """One blow by itself is looked at anyway."""
    if len(row) < LEAST:
        found = f'names "{row[0]}" alone' if row else "is an empty list"
        yield Fault(
            path, found, "needs at least two blows", "Add another, or leave it out: each is looked at by itself."
        )


def what_comes_together_is_looked_at(stress: Stress, row: Row, path: Path) -> Iterator[Fault]:
    """A blow of 0 does nothing beside another; what is together by default says nothing of what the file leaves out."""
    for name in dict.fromkeys(row) if "together" in stress.given else ():
        if name in BLOWS and not stress.size(name):
            none = "false" if name == "largest_customer" else "0"
            mend = f"Change {name}, or leave it out here."
            yield Fault(path, f'"{name}" is not looked at: it is {none}', "needs blows that are looked at", mend)


RULES = (blows_are_known, each_stands_once, several_come_together, what_comes_together_is_looked_at)


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about what may go wrong, asked of every row of what comes together."""
    with suppress(NotKnown):
        for at, row in enumerate(farm.stress.together):
            yield from (rule(farm.stress, row, ("stress", "together", at)) for rule in RULES)
