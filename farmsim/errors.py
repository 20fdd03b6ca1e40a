"""What can go wrong, as one family.

FarmsimError                    anything farmsim says itself; its text is meant for the person at the screen
|-- ScenarioFault               the farm's file cannot be used; holds ALL its faults, each a Fault
|-- RunStuck                    a run that cannot go on; holds who waits for what
|-- RecordBroken                a run whose record does not add up: a mistake in farmsim, never in the farm's file
|-- CannotWrite                 a result that could not be written where it was asked for
|-- NotAllowed                  an argument from Python out of its bounds (study)
|-- WorkersLost                 processes that work out runs were ended from outside, or a cluster was lost (study)
|-- NoCluster                   the cluster that was named cannot be reached (study)
|-- NotTranslated               the model could not be made machine code; it runs as plain Python (machine_code)
|-- NoPdf                       a PDF cannot be made here (report)
|-- VersionsDiffer              workers of a cluster would give other figures (study)
`-- QuantityFault               one written quantity that cannot be read (inside the reader only; becomes a Fault)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a farm's file: where it stands, what was found, what is allowed, how to mend it.

    `misses` is what the farm lacks, if that is the fault: ("strain", "oyster"), or ("crew",) where any might do.
    """

    path: tuple[str | int, ...]
    found: str
    allowed: str
    mend: str
    place: str = ""
    about: str = ""
    misses: tuple[str, ...] = ()

    def at(self, place: str, about: str) -> Fault:
        """The same fault, now knowing its file:line and the spoken name of its figure."""
        return replace(self, place=place, about=about)

    def __str__(self) -> str:
        head = ", ".join(piece for piece in (self.place, self.about or spoken(self.path)) if piece)
        return (
            f"{head}: {self.found}; {self.allowed}. {self.mend}"
            if head
            else f"{self.found}; {self.allowed}. {self.mend}"
        )


def spoken(path: tuple[str | int, ...]) -> str:
    """A path such as ("room", 0, "holds") as a short spoken name: room 1, holds."""
    words: list[str] = []
    for piece in path:
        if isinstance(piece, int) and words:
            words[-1] = f"{words[-1]} {piece + 1}"
        else:
            words.append(str(piece))
    return ", ".join(words)


class FarmsimError(Exception):
    """Anything farmsim says itself."""

    exit_code = 1


class ScenarioFault(FarmsimError):
    """The farm's file cannot be used; `faults` holds every fault found, in the order of the file."""

    exit_code = 2

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[ScenarioFault], tuple[tuple[Fault, ...]]]:
        return (type(self), (self.faults,))


class RunStuck(FarmsimError):
    """A run that cannot go on; `waiting` holds one line for each lot that waits, saying for what."""

    exit_code = 3

    def __init__(self, message: str, waiting: Sequence[str] = ()) -> None:
        self.message = message
        self.waiting = tuple(waiting)
        super().__init__("\n".join((message, *self.waiting)))

    def __reduce__(self) -> tuple[type[RunStuck], tuple[str, tuple[str, ...]]]:
        return (type(self), (self.message, self.waiting))


class RecordBroken(FarmsimError):
    """A record that does not add up (blocks, lb or hours): a mistake in farmsim, not in the farm's file."""

    exit_code = 4


class CannotWrite(FarmsimError):
    """A result that could not be written where it was asked for."""

    exit_code = 2


class QuantityFault(FarmsimError, ValueError):
    """One written quantity that cannot be read; `at` names the key inside the figure, if any."""

    def __init__(self, found: str, allowed: str, mend: str, at: tuple[str | int, ...] = ()) -> None:
        self.found = found
        self.allowed = allowed
        self.mend = mend
        self.at = at
        super().__init__(f"{found}; {allowed}. {mend}")

    def inside(self, *keys: str | int) -> QuantityFault:
        """The same fault, seen from the table that holds the key."""
        return QuantityFault(self.found, self.allowed, self.mend, (*keys, *self.at))
