"""The names in a journal: what its numbers stand for."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Names:
    """What the numbers in the journal stand for, each list in the order of the farm's file."""

    places: tuple[tuple[str, str, str], ...] = ()
    """Name, kind (one of `columns.KINDS`) and unit of each place."""
    crews: tuple[str, ...] = ()
    duties: tuple[str, ...] = ()
    strains: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    rooms: tuple[str, ...] = ()
    customers: tuple[str, ...] = ()
    block_customers: tuple[str, ...] = ()
    rounds: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()
