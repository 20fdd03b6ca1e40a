"""The farm's own twelve months beside the model's: plain numbers, as everything that a study hands on."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Beside:
    """One figure of the farm's own beside that of the runs: their mean, and where nine in ten of them lie.

    verdict: "inside", "model too high", "model too low" or "too few runs"
    """

    own: float
    mean: float
    low: float
    high: float
    verdict: str

    @property
    def is_outside(self) -> bool:
        """Whether it lies where fewer than one run in ten lies."""
        return self.verdict.startswith("model")


@dataclass(frozen=True)
class Compared:
    """One of the five totals of the farm's own books [kg, blocks or h, see unit].

    usual_outside: months of the twelve that lie outside on average when the model is right
    most_outside: no more lie outside in 19 runs of 20; None when there are too few runs to tell
    """

    name: str
    unit: str
    whole: Beside
    months: tuple[Beside, ...]
    usual_outside: float
    most_outside: int | None

    @property
    def outside(self) -> int:
        """Months that lie outside."""
        return sum(one.is_outside for one in self.months)


@dataclass(frozen=True)
class OwnYear:
    """Twelve months of the farm's own books beside the same months of the runs.

    is_own: the months lie in the study's own weeks; else they were simulated besides, from `start` on
    """

    months: tuple[str, ...]
    runs: int
    is_own: bool
    start: str
    figures: tuple[Compared, ...]
