"""What limits a farm, as plain numbers: what each step brings, what was seen there, and what limits next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

import pandas as pd

from farmsim.study.answers import Crew, Place
from farmsim.study.compare import Difference, EarnedBeside


@dataclass(frozen=True)
class Gain:
    """What one step brings.

    where: the place or crew; kind: "place", "crew" or "outside"; more: what is added; name: where and more
    runs: how many it had; stands: how it stands beside the others (see `study/gains.py`)
    figures: what it does to each figure that is told, the judged one first [unit of each]
    """

    where: str
    kind: str
    more: str
    name: str
    runs: int
    stands: str
    figures: tuple[Difference, ...]

    @property
    def judged(self) -> Difference:
        """The figure by which steps are judged."""
        return self.figures[0]


@dataclass(frozen=True)
class Asked:
    """What was found of one base.

    base: its judged figure, average over runs [unit of the figure]
    steps: of places and crews, those that may be the best first; outside: of what is no place of the farm
    best: name of the step that surely brings something and most; None when none surely does
    not_told_apart: steps at other places that may bring as much
    open: steps that do not surely bring something, and may bring more than is worth following up, when none surely does
    """

    base: float
    steps: tuple[Gain, ...]
    outside: tuple[Gain, ...]
    best: str | None
    not_told_apart: tuple[str, ...]
    open: tuple[str, ...] = ()

    def gain(self, name: str) -> Gain:
        """The step of that name."""
        return next(gain for gain in (*self.steps, *self.outside) if gain.name == name)


@dataclass(frozen=True)
class Held:
    """A place or crew that held the others up, as shares of all time, and how long its active periods last [h]."""

    name: str
    kind: str
    active: float
    sole: float
    shifting: float
    mean: float


@dataclass(frozen=True)
class Limits:
    """What limits a farm.

    weeks, since: measured weeks that are told, and how many before them are not (a dated change) [weeks]
    first, runs: runs that every step had, and those that may be the best [runs]
    worth: steps that surely bring less than this share of what is sold were not followed up [share]
    fuller: asked of the farm with more started and more asked for
    figure: what is judged
    now: of the farm; then: of the farm with what limits it relieved, None when nothing was found that does
    relieved: the step by which it is relieved, see `then`
    not_asked: steps that the farm's own rules do not allow, and why
    earned: what each strain earns with each step (of the farm now), by the step's name; empty without prices
    """

    farm: str
    system: str
    currency: str
    start: str
    weeks: int
    since: int
    seed: int
    lead_in: int
    first: int
    runs: int
    sure: float
    worth: float
    fuller: bool
    figure: str
    now: Asked
    then: Asked | None
    relieved: str | None
    places: tuple[Place, ...]
    crews: tuple[Crew, ...]
    held: tuple[Held, ...]
    not_asked: tuple[tuple[str, str], ...]
    earned: Mapping[str, tuple[EarnedBeside, ...]] = field(default_factory=dict)

    @property
    def table(self) -> pd.DataFrame:
        """What every step brings, of the farm and then of the farm with what limits it relieved."""
        asked = [("now", self.now), *([("next", self.then)] if self.then is not None else [])]
        return pd.DataFrame(
            [
                {"asked": when, "where": gain.where, "step": gain.more, "figure": line.name, "unit": line.unit,
                 "base": line.base, "gain": line.mean, **line.lies, "runs": gain.runs, "stands": gain.stands}
                for when, found in asked for gain in (*found.steps, *found.outside) for line in gain.figures
            ]
        )  # fmt: skip

    @property
    def earned_table(self) -> pd.DataFrame:
        """What each strain earns with each step beside the farm as it is; without a row where the farm has no prices."""
        return pd.DataFrame(
            [{"step": name, **row} for name, strains in self.earned.items() for each in strains for row in each.rows]
        )

    @property
    def held_table(self) -> pd.DataFrame:
        """Active periods of places and crews, most first."""
        rows = [asdict(each) for each in sorted(self.held, key=lambda each: -each.sole - each.shifting)]
        return pd.DataFrame(rows, columns=list(Held.__dataclass_fields__)).rename(
            columns={
                "active": "active_share",
                "sole": "sole_share",
                "shifting": "shifting_share",
                "mean": "active_mean_h",
            }
        )

    @property
    def as_plain(self) -> dict[str, Any]:
        """Everything but the hours of the week, as JSON holds it."""
        told = asdict(self)
        told["earned"] = {name: [each.as_plain for each in strains] for name, strains in self.earned.items()}
        for name in ("places", "crews"):
            told[name] = [{key: value for key, value in each.items() if key not in HOURLY} for each in told[name]]
        return {name: _plain(value) for name, value in told.items()}


HOURLY = ("hours", "bad")


def _plain(value: object) -> object:
    """The same with None for what is not known, which JSON cannot hold."""
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return None if isinstance(value, float) and value != value else value
