"""How a measure is declared: its one definition, with name, unit, meaning, denominator and what there is one of it for.

    @measure(name="culls_kg", unit="kg", meaning="thrown out at picking", denominator="none", per="strain, week")
    def culls_kg(record: Record) -> Flow: ...

The declared function is a `Measure`: it is called like the function, and carries its declaration. Each topic lists its
measures at the end of its file; `registry.py` puts the lists one after another.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeVar

from farmsim.record.tables import Figures, Numbers

Of = TypeVar("Of", contravariant=True)
Found = TypeVar("Found", covariant=True)


class Flow(NamedTuple):
    """Amounts that pass, each with its moment; summed by week, month or strain wherever it is shown."""

    when: Figures
    amount: Figures
    strain: Numbers | None = None
    """Number of the strain; None when the amount belongs to no strain."""


@dataclass(frozen=True)
class Declared:
    """What is said about a measure, for the page of measures."""

    name: str
    unit: str
    meaning: str
    denominator: str
    per: str


@dataclass(frozen=True)
class Measure(Declared, Generic[Of, Found]):
    """A measure: its declaration and the function that works it out."""

    of: Callable[[Of], Found]

    def __call__(self, seen: Of) -> Found:
        return self.of(seen)


def measure(
    *, name: str, unit: str, meaning: str, denominator: str, per: str
) -> Callable[[Callable[[Of], Found]], Measure[Of, Found]]:
    """Declare the function below as the one definition of a measure.

    name: as the column is called wherever it is shown
    unit: of the result
    denominator: what it is divided by or counted out of; "none" for a plain sum
    per: what there is one figure of it for
    """

    def declared(of: Callable[[Of], Found]) -> Measure[Of, Found]:
        return Measure(name, unit, meaning, denominator, per, of)

    return declared
