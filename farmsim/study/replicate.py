"""A number of runs of one farm, put side by side."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from farmsim.scenario.farm import Farm
from farmsim.study import bounds, frames
from farmsim.study.answers import Answers, Study
from farmsim.study.assumptions import assumptions
from farmsim.study.changes import changes, in_force, weeks_before
from farmsim.study.headlines import JUDGED, each_run
from farmsim.study.trials import Brief, Case, Trials
from farmsim.study.until import Figure, Stopped, Until, Watched, seek
from farmsim.units import HOURS_A_WEEK

if TYPE_CHECKING:
    from farmsim.record.measures import RunTables
    from farmsim.study.history import Stretch

RARE = ("money", "growth", "own_year")  # answers that only some farms have: left out where there are none
ASKED = "stopped"  # how the number of runs was found belongs to what was asked, not to what so many runs tell


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
        (folder / "summary.json").write_text(self.as_json, encoding="utf-8", newline="\n")

    @property
    def as_json(self) -> str:
        """Everything there is to tell, for other programs: the text of summary.json."""
        answers = asdict(replace(self.answers, stopped=None))
        del answers[ASKED]
        told = {name: value for name, value in answers.items() if value is not None or name not in RARE}
        return json.dumps(_plain(told), indent=1, ensure_ascii=False, allow_nan=False) + "\n"

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


def replicate(farm: Farm, runs: int | Until = 20, brief: Brief | None = None) -> Result:
    """Simulate a farm so many times and sum up.

    runs: how many [runs], or until what is known; the result is then that of the number of runs it took
    brief: luck, length, workers, store
    Goes wrong when one of these is no whole number within its bounds: NotAllowed, a ValueError, says which.
    """
    from farmsim.study import history
    from farmsim.study.digest import digest

    brief = brief or Brief()
    if not isinstance(runs, Until):
        runs = bounds.whole("runs", runs, 1, bounds.MOST_RUNS)
    with Trials(farm, brief) as trials:
        of = history.stretch(farm, trials.weeks)
        found, stopped = _runs(farm, runs, trials, brief.where.hands, of is not None and not of.is_own)
    tables = frames.frames(found)
    answers = digest(farm, _study(farm, trials.weeks, len(found), brief.seed), tables)
    if of is not None:
        months = tables["months"] if of.is_own else months_of(of, len(found), brief)
        answers = replace(answers, own_year=history.compare(farm, months, of))
    return Result(farm, tables, replace(answers, stopped=stopped))


def _runs(
    farm: Farm, runs: int | Until, trials: Trials, hands: int, twice: bool
) -> tuple[list[RunTables], Stopped | None]:
    """The tables of all runs that are used, and how their number was found if it had to be.

    twice: as many runs again follow over other weeks
    """
    found: list[RunTables] = []
    before = weeks_before(farm, trials.weeks)

    def take(numbers: range, about: int) -> Watched:
        trials.expect(2 * about + len(found) if twice else about)
        found.extend(trials.take([Case(farm, number) for number in numbers], None))
        lines = [(line, each_run(line, found, before)) for line in JUDGED]
        return Watched(tuple(Figure(line.name, line.unit, each, None if line.whole else each) for line, each in lines))

    if not isinstance(runs, Until):
        take(range(runs), runs)
        return found, None
    stopped = seek(runs, hands, take)
    return found[: stopped.runs], stopped


def months_of(of: Stretch, runs: int, brief: Brief) -> pd.DataFrame:
    """The months of other weeks than the study's own."""
    with Trials(of.farm, replace(brief, weeks=of.weeks)) as trials:
        found = trials.take([Case(of.farm, number) for number in range(runs)], ("months",))
    return frames.frames(found)["months"]


def _study(farm: Farm, weeks: int, runs: int, seed: int) -> Study:
    about = farm.farm
    start, before = about.start.isoformat(), weeks_before(farm, weeks)
    return Study(about.name, about.units, about.currency, start, weeks, runs, seed, changes(farm), before)


def _plain(value: object) -> object:
    """The same without figures that are not numbers, which JSON cannot hold."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return None if isinstance(value, float) and value != value else value
