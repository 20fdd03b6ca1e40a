"""A number of runs of one farm, put side by side."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path

import pandas as pd

from farmsim.scenario.farm import Farm
from farmsim.study import bounds, frames, pool
from farmsim.study.answers import Answers, Study
from farmsim.study.assumptions import assumptions
from farmsim.study.changes import changes, in_force, weeks_before
from farmsim.study.job import one_run
from farmsim.units import HOURS_A_WEEK

Progress = Callable[[int, int], None]
RARE = ("money", "growth", "own_year")  # answers that only some farms have: left out where there are none


@dataclass(frozen=True)
class Result:
    """What a study found. Of a farm with a dated change, a week is told of those since the last one (`study.before`).

    tables: pandas tables by name, all runs under one another, the first column tells the run
    answers: everything the screen and the pictures tell, as plain numbers
    """

    farm: Farm
    tables: Mapping[str, pd.DataFrame]
    answers: Answers

    @property
    def summary(self) -> pd.DataFrame:
        """Every weekly measure: a thin, usual and fat week, the average week, and how far off each may be (95 %)."""
        rows = {
            name: {f"{part}{what}": getattr(getattr(week, part), field)
                   for part in ("thin", "usual", "fat", "mean") for what, field in (("", "value"), ("_give", "give"))}
            for name, week in self.answers.weeks.items()
        }  # fmt: skip
        return pd.DataFrame.from_dict(rows, orient="index")

    def write(self, folder: Path) -> None:
        """The tables as CSV files and the answers as summary.json, into a folder that is there."""
        state = in_force(self.farm, self.answers.study.before * HOURS_A_WEEK)
        frames.write({**self._tables(), "assumptions": assumptions(state)}, folder)
        told = {name: value for name, value in asdict(self.answers).items() if value is not None or name not in RARE}
        text = json.dumps(_plain(told), indent=1, ensure_ascii=False, allow_nan=False)
        (folder / "summary.json").write_text(text + "\n", encoding="utf-8", newline="\n")

    def _tables(self) -> Mapping[str, pd.DataFrame]:
        """The tables as they are written: of a farm that grows, each week with its phase; with the farm's own months."""
        from farmsim.study import history
        from farmsim.study.growth import with_phases

        tables, growth, own_year = dict(self.tables), self.answers.growth, self.answers.own_year
        if growth is not None:
            tables["weekly"] = with_phases(tables["weekly"], growth)
        if own_year is not None:
            tables["history"] = history.table(own_year)
        return tables


def replicate(
    farm: Farm,
    runs: int = 20,
    seed: int = 1,
    weeks: int | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> Result:
    """Simulate a farm so many times and sum up.

    runs: how many [runs]; seed: the luck of all of them
    weeks: measured length of each [weeks]; None takes the farm's own
    workers: processes [count]; None takes one for each processor, 1 stays in this one
    progress: told (runs done, runs in all)
    Goes wrong when one of these is no whole number within its bounds: NotAllowed, a ValueError, says which.
    """
    from farmsim.study import history
    from farmsim.study.digest import digest

    runs, seed = bounds.whole("runs", runs, 1, bounds.MOST_RUNS), bounds.whole("seed", seed, 0, bounds.MOST_SEED)
    length = farm.farm.weeks if weeks is None else bounds.whole("weeks", weeks, 1, bounds.MOST_WEEKS)
    hands = pool.usable() if workers is None else bounds.whole("workers", workers, 1, bounds.MOST_WORKERS)
    of = history.stretch(farm, length)
    done = _Counted(runs if of is None or of.is_own else 2 * runs, progress)
    tables = frames.frames(pool.gather(partial(one_run, farm, seed, length), range(runs), hands, done.landed))
    answers = digest(farm, _study(farm, length, runs, seed), tables)
    if of is not None:
        besides = (
            tables if of.is_own else frames.frames(pool.gather(history.job(of, seed), range(runs), hands, done.landed))
        )
        answers = replace(answers, own_year=history.compare(farm, besides["months"], of))
    return Result(farm, tables, answers)


def _study(farm: Farm, weeks: int, runs: int, seed: int) -> Study:
    about = farm.farm
    start, before = about.start.isoformat(), weeks_before(farm, weeks)
    return Study(about.name, about.units, about.currency, start, weeks, runs, seed, changes(farm), before)


@dataclass
class _Counted:
    """Counts runs that are done and passes the count on."""

    runs: int
    progress: Progress | None
    done: int = 0

    def landed(self, number: int) -> None:
        self.done += 1
        if self.progress is not None:
            self.progress(self.done, self.runs)


def _plain(value: object) -> object:
    """The same without figures that are not numbers, which JSON cannot hold."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return None if isinstance(value, float) and value != value else value
