"""The phases of a farm that grows: plain numbers, as everything that a study hands on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from farmsim.study.answers import Known, Promise, Total


@dataclass(frozen=True)
class Phase:
    """One phase of a farm that grows, the weeks of filling up included.

    number: which it is, from 1; first: its first day; week: the measured week it opens, from 1; weeks: how long it lasts
    a_week: every weekly measure, a week on average (levels: at its end) [unit of the measure]
    picked: over the whole phase, run by run [kg]
    fullest: the place or crew that averages say is fullest, with the share of it the plan needs
    tight: names of the places and crews that look tight in it, the worst first
    """

    number: int
    name: str
    first: str
    week: int
    weeks: int
    a_week: Mapping[str, Known]
    picked: Total
    promises: tuple[Promise, ...]
    fullest: tuple[str, float]
    tight: tuple[str, ...]

    def kept(self, unit: str) -> float | None:
        """Delivered of promised, of mushrooms (kg) or blocks; None when nothing was promised."""
        asked = [one for one in self.promises if one.unit == unit and one.promised > 0]
        promised = sum(one.promised for one in asked)
        return sum(one.delivered for one in asked) / promised if promised else None


@dataclass(frozen=True)
class Course:
    """One measure week by week over the runs: a tenth, half and nine tenths of them lie below [unit of the measure]."""

    thin: tuple[float, ...]
    usual: tuple[float, ...]
    fat: tuple[float, ...]


@dataclass(frozen=True)
class Growth:
    """The phases of a farm that grows, those that begin within the measured weeks, and its weeks one by one.

    after: phases that come after the measured weeks
    """

    phases: tuple[Phase, ...]
    weeks: Mapping[str, Course]
    after: int = 0
