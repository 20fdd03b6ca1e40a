"""What a search for crews found, in plain numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import pandas as pd

from farmsim.scenario.values import DAYS
from farmsim.study.answers import Crew, Settled
from farmsim.study.compare import Difference, EarnedBeside
from farmsim.study.selection import Fate
from farmsim.study.targets import Kept, Target
from farmsim.study.tight import by_day

FULL = 0.9  # share of its hours at work from which on a crew has nothing left for a bad week
Ended = Literal["nothing cheaper", "rounds used up", "nothing dearer left"]


@dataclass(frozen=True)
class Lost:
    """Why crews were not chosen.

    target: which target they miss, or cannot be told to keep; None when they are dearer than others
    by: how much dearer, or how much of the target is missing, on average of their runs [unit of the cost or target]
    surely: at least so much of it, by the first runs of a round alone, all such figures together as sure as the answer; None
    when nothing is sure
    """

    target: Target | None
    by: float
    surely: float | None


@dataclass(frozen=True)
class Tried:
    """Crews that were tried, as they differ from the farm's own.

    round: in which round, from 1; runs: how many of them
    changes: phrases such as "pickers 2 people instead of 3"; none for the farm's own crews
    beside: the same beside the best crews when the round began; none for these
    cost, figures: averages of these runs [unit of the cost; of each target]
    """

    round: int
    changes: tuple[str, ...]
    beside: tuple[str, ...]
    runs: int
    cost: float
    figures: tuple[float, ...]
    fate: Fate
    lost: Lost | None


@dataclass(frozen=True)
class Staffed:
    """The crews that were found.

    targets, slacks: what has to be kept, and how much more than kept crews must be to be surely found
    unit: of the cost, "currency/week" or "h/week"; no_wage: crews for which no wage is given
    overtime_more, on_costs: what goes on top of the wage for overtime, and on top of all wages [1]
    zone: difference of cost that does not matter [see unit]
    sure: how sure the choice is [1]; is_complete: whether everything was told apart within the runs allowed
    meets: whether the crews surely keep every target; if not they are those that come closest
    changes: how they differ from the farm's own
    lines: the farm's own crews beside them on luck that had no say in the choice, the cost first; None when they are the same
    kept: their targets on that luck; now: those of the farm's own crews
    settled: whether the farm with these crews was in full swing in the weeks that are told
    load: how busy each crew is; change_set: the text of a file that makes the crews so, "" when nothing changes
    earned: what each strain earns with them, on that luck; empty without prices, and when they are the same
    """

    farm: str
    system: str
    currency: str
    start: str
    weeks: int
    lead_in: int
    seed: int
    runs: int
    targets: tuple[Target, ...]
    slacks: tuple[float, ...]
    unit: str
    no_wage: tuple[str, ...]
    overtime_more: float
    on_costs: float
    zone: float
    sure: float
    is_complete: bool
    rounds: int
    ended: Ended
    meets: bool
    changes: tuple[str, ...]
    cost: float
    lines: tuple[Difference, ...] | None
    kept: tuple[Kept, ...]
    now: tuple[Kept, ...]
    tried: tuple[Tried, ...]
    settled: Settled
    load: tuple[Crew, ...]
    sizes: tuple[str, ...]
    change_set: str
    earned: tuple[EarnedBeside, ...] = ()

    @property
    def table(self) -> pd.DataFrame:
        """Everything that was tried, a row each, in the order of the rounds."""
        return pd.DataFrame([self._row(each) for each in self.tried])

    @property
    def runners_up(self) -> tuple[Tried, ...]:
        """Those that lost, each as it was tried last: the last round first, in it the cheapest; not those that were found."""
        last = {each.changes: each for each in self.tried}
        lost = [each for changes, each in last.items() if changes != self.changes]
        return tuple(sorted(lost, key=lambda each: (-each.round, each.cost)))

    @property
    def full(self) -> tuple[str, ...]:
        """Crews that are at work in nearly all of their hours, by name."""
        return tuple(crew.name for crew in self.load if crew.used > FULL)

    @property
    def by_day(self) -> tuple[tuple[float | None, ...], ...]:
        """For each crew, the share of those there who are at work, by weekday; None on days without shift."""
        found = (by_day(crew.hours) for crew in self.load)
        return tuple(tuple(days.get(day) for day in DAYS) for days in found)

    @property
    def earned_table(self) -> pd.DataFrame:
        """What each strain earns with the crews found, beside the farm's own; without a row where nothing is told."""
        return pd.DataFrame([row for each in self.earned for row in each.rows])

    @property
    def load_table(self) -> pd.DataFrame:
        """How busy each crew is by hour of the week, empty where nobody is there."""
        rows = [(crew.name, hour, used) for crew in self.load for hour, used in enumerate(crew.hours)]
        return pd.DataFrame(rows, columns=["crew", "hour", "used"])

    @property
    def as_plain(self) -> dict[str, object]:
        """Everything, as JSON holds it."""
        about = {
            "farm": self.farm, "start": self.start, "weeks": self.weeks, "runs": self.runs, "seed": self.seed,
            "lead_in": self.lead_in, "sure": self.sure, "cost_unit": self.unit, "cost_that_does_not_matter": self.zone,
            "no_wage": list(self.no_wage), "overtime_more": self.overtime_more, "on_costs": self.on_costs,
            "rounds": self.rounds, "ended": self.ended,
            "everything_was_told_apart": self.is_complete, "settled": self.settled.verdict,
        }  # fmt: skip
        targets = [
            {"target": kept.target.name, "side": kept.target.side, "bound": kept.target.bound, "slack": slack,
             "now": own.mean, "found": kept.mean,
             "give": None if kept.too_few_alike else kept.give}
            for kept, own, slack in zip(self.kept, self.now, self.slacks, strict=True)
        ]  # fmt: skip
        load = {crew.name: list(crew.hours) for crew in self.load}
        tried = [self._row(each) for each in self.tried]
        return {**about, "meets_the_targets": self.meets, "changes": list(self.changes), "cost": self.cost,
                "cost_less": self.saved, "targets": targets, "tried": tried, "load_by_hour": load,
                **({"earned_by_strain": [each.as_plain for each in self.earned]} if self.earned else {})}  # fmt: skip

    @property
    def saved(self) -> dict[str, float] | None:
        """How much less they cost than the farm's own, and where that surely lies [see unit]; None: they are the same."""
        if self.lines is None:
            return None
        cost = self.lines[0]
        return {"mean": -cost.mean, "low": -cost.high, "high": -cost.low}

    def _row(self, each: Tried) -> dict[str, object]:
        lost = each.lost
        figures = {kept.target.name: value for kept, value in zip(self.kept, each.figures, strict=True)}
        why = "" if lost is None else (lost.target.name if lost.target is not None else "dearer")
        return {
            "round": each.round, "crews": "; ".join(each.changes) or "as now",
            "beside_best": "; ".join(each.beside), "runs": each.runs, "cost": each.cost,
            **figures, "fate": each.fate, "lost_by": why, "how_much": None if lost is None else lost.by,
            "surely": None if lost is None else lost.surely,
        }  # fmt: skip
