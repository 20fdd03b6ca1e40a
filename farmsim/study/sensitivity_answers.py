"""What was found about a farm's guesses: what each does to the answers, as a table and as plain numbers."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from farmsim.scenario.doubt import Left
from farmsim.study.compare import TOO_FEW, Difference
from farmsim.study.effects import Effect, Share

End = Difference | str
"""What the farm does with a doubt at one end, or why it could not be run there."""


@dataclass(frozen=True)
class Asked:
    """One answer: its name, its unit, and what it is in the farm as its file has it."""

    name: str
    unit: str
    mean: float


@dataclass(frozen=True)
class Mover:
    """One doubt and what it does, answer by answer.

    things: of how many strains, crews or customers it is
    ends: the farm with it at its low and its high end against the farm as it is; shares: of each answer's spread
    Both are empty where it was not among the few that matter.
    """

    name: str
    meaning: str
    things: int
    low: str
    high: str
    now: str
    source: str
    is_guess: bool
    effects: tuple[Effect, ...]
    ends: tuple[tuple[End, End], ...] = ()
    shares: tuple[Share, ...] = ()

    @property
    def is_found(self) -> bool:
        """Whether it surely moves any answer."""
        return any(effect.is_found for effect in self.effects)


@dataclass(frozen=True)
class Sensed:
    """Everything that was found out about a farm's guesses.

    movers: those that matter first, the one that moves an answer most before all; then the others as they came
    left: guesses that were not moved, and why
    starts, lucks: starting points of the screening, runs of each farm; dropped: starting points at which a farm is not possible
    ends_lucks: runs of each farm at an end
    rows: rows behind the shares, 0 when the time was too short or too few rows are possible
    rows_runs: runs that the shares take at least; rows_dropped: rows of which a farm is not possible
    budget: about how many runs there was time for
    sure: all intervals of one part hold together so surely [1]
    """

    farm: str
    system: str
    currency: str
    start: str
    seed: int
    weeks: int
    since: int
    lead_in: int
    sure: float
    answers: tuple[Asked, ...]
    movers: tuple[Mover, ...]
    left: tuple[Left, ...]
    starts: int
    lucks: int
    dropped: int
    ends_lucks: int
    rows: int
    rows_runs: int
    budget: int
    rows_dropped: int = 0

    @property
    def found(self) -> tuple[Mover, ...]:
        """Those that surely move an answer."""
        return tuple(mover for mover in self.movers if mover.is_found)

    @property
    def table(self) -> pd.DataFrame:
        """One row a doubt and answer."""
        return pd.DataFrame([
            {
                "figure": mover.name, "meaning": mover.meaning, "now": mover.now, "low_end": mover.low, "high_end": mover.high,
                "range_from": mover.source, "guess": "yes" if mover.is_guess else "no", "answer": asked.name,
                "unit": asked.unit, **_plain(mover, at, asked.unit),
            }
            for mover in self.movers for at, asked in enumerate(self.answers)
        ])  # fmt: skip

    @property
    def as_plain(self) -> dict[str, object]:
        """Everything, as JSON holds it."""
        about = {
            "farm": self.farm,
            "start": self.start,
            "seed": self.seed,
            "weeks": self.weeks,
            "from_week": self.since + 1,
        }
        ran = {"lead_in": self.lead_in, "sure": self.sure, "starts": self.starts, "runs_of_each": self.lucks,
               "starts_not_possible": self.dropped, "runs_of_each_at_the_ends": self.ends_lucks, "rows": self.rows,
               "rows_not_possible": self.rows_dropped}  # fmt: skip
        movers = [
            {
                "figure": mover.name, "meaning": mover.meaning, "of": mover.things, "now": mover.now, "low_end": mover.low,
                "high_end": mover.high, "range_from": mover.source, "guess": mover.is_guess, "found": mover.is_found,
                "answers": {asked.name: _plain(mover, at, asked.unit) for at, asked in enumerate(self.answers)},
            }
            for mover in self.movers
        ]  # fmt: skip
        answers = [{"answer": asked.name, "unit": asked.unit, "as_it_is": asked.mean} for asked in self.answers]
        left = [{"figure": each.name, "meaning": each.meaning, "why": each.why} for each in self.left]
        first = [mover.name for mover in self.found if mover.is_guess]
        return {**about, **ran, "measure_first": first, "answers": answers, "figures": movers, "not_moved": left}


def _plain(mover: Mover, at: int, unit: str) -> dict[str, object]:
    """What a doubt does to one answer, which has this unit."""
    effect = mover.effects[at]
    is_open = effect.says_nothing(unit)
    found: dict[str, object] = {
        "over_its_range": effect.mean, "give": None if is_open else effect.give,
        "size": effect.size, "size_give": None if is_open else effect.size_give,
        "verdict": effect.kind, "note": TOO_FEW if is_open else "",
    }  # fmt: skip
    if mover.ends:
        for name, end in zip(("low", "high"), mover.ends[at], strict=True):
            if isinstance(end, str):
                found[f"at_{name}_verdict"] = f"left out: {end}"
                continue
            lies = end.lies
            found |= {f"at_{name}": end.mean, f"at_{name}_from": lies["low"], f"at_{name}_to": lies["high"]}
            found[f"at_{name}_verdict"] = f"{end.verdict}: {TOO_FEW}" if end.says_nothing else end.verdict
    if mover.shares:
        share = mover.shares[at]
        found |= {"share_alone": share.alone, "share_alone_give": share.alone_give}
        found |= {"share_total": share.total, "share_total_give": share.total_give}
    return found
