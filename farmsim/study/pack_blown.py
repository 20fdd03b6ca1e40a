"""The runs behind a pack's rows of what goes wrong: which farms, asked for together, and each row held against the plan."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from farmsim.money.states import years_between
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.heard import as_simulated
from farmsim.scenario.request import Request
from farmsim.scenario.stressed import LATE, Blow, blows, without_hoped
from farmsim.study import pack_sold
from farmsim.study.pack_answers import COLUMNS, Stressed, largest
from farmsim.study.pack_refused import base_file
from farmsim.study.pack_sides import TAKEN, Side, side
from farmsim.study.pack_stress import YEARS, stressed
from farmsim.study.trials import Case, Trials
from farmsim.units import HOURS_A_DAY

HOPED, PLANNED = "hoped", "planned"
Tables = dict[str, list[RunTables]]
"""By the key of a blow: the runs after it."""


class Rows(NamedTuple):
    """The plan itself over the runs of the blows, every blow, and what is left without those who are only hoped for."""

    planned: Stressed
    stress: tuple[Stressed, ...]
    hoped: Stressed | None


class Blown(NamedTuple):
    """The blows to an expansion.

    base: file of the farm without it; opens: year in which it opens, the first that a row may tell; by: the coverage by which
    the worst year is found; since: from then on the largest customer is gone [h]
    first: those that can be looked at before it is known who that is; hoped: whether the last of these is what is left without
    those who are only hoped for; heard: the expansion as its runs hear it
    """

    change: Path
    base: Path | None
    expanded: Farm
    opens: int
    by: str
    since: float
    first: list[Blow]
    hoped: bool
    heard: str

    def told(self, trials: Trials, both: tuple[Side, Side], first: Tables, runs: int) -> Rows:
        """Every row as it is told."""
        most = largest(pack_sold.buyers(*both))
        name = None if most is None else most.name
        late = next((blow.farm for blow in self.first if blow.key == LATE), None)
        every = blows(self.change, self.expanded, name, self.since, trials.weeks, self.base, late)
        others = [blow for blow in every if blow.key not in first]
        found = {**first, **_by_key(others, trials.take(_cases(others, runs), (YEARS,)))}
        plan = both[1].runs[:runs]
        hoped = self._one(self.first[-1], found, plan) if self.hoped else None
        planned = stressed(PLANNED, "As planned", plan, plan, self.opens, self.by, is_simulated=True)
        return Rows(planned, tuple(self._one(blow, found, plan) for blow in every), hoped)

    def _one(self, blow: Blow, found: Tables, plan: Sequence[RunTables]) -> Stressed:
        is_simulated = _as_heard(blow.farm) != self.heard
        return stressed(blow.key, blow.told, found[blow.key], plan, self.opens, self.by, is_simulated)


def _as_heard(farm: Farm) -> str:
    """What tells a farm from others that work otherwise; farms that differ in money only have it in common."""
    return fingerprint(as_simulated(farm), 1, 0)


def blown(base: Farm, expanded: Farm, change: Path, request: Request, weeks: int) -> Blown:
    """What goes wrong with this expansion, as far as it can be said before its runs are known."""
    start, hoped, file = expanded.farm.start, without_hoped(base, expanded), base_file(base, change)
    since = float((request.opens - start).days * HOURS_A_DAY)
    first = blows(change, expanded, None, since, weeks, file)
    if hoped is not None:
        first.append(Blow(HOPED, "Customers only hoped for never come", hoped))
    opens, by = years_between(start, request.opens) + 1, COLUMNS[request.needs_of]
    return Blown(change, file, expanded, opens, by, since, first, hoped is not None, _as_heard(expanded))


# --- runs -------------------------------------------------------------------------------------------------------------


def both_and_blown(
    trials: Trials, expanded: Farm, blown: Sequence[Blow], runs: int, stress_runs: int, seed: int
) -> tuple[tuple[Side, Side], Tables]:
    """The two farms, and blows; asked for at once, so that what differs in money only is simulated once."""
    cases = [Case(farm, number) for number in range(runs) for farm in (trials.base, expanded)]
    found = trials.take([*cases, *_cases(blown, stress_runs)], TAKEN)
    sides = tuple(
        side(farm, found[at : 2 * runs : 2], trials.weeks, seed, trials.lead_in)
        for at, farm in enumerate((trials.base, expanded))
    )
    return (sides[0], sides[1]), _by_key(blown, found[2 * runs :])


def _cases(blown: Sequence[Blow], runs: int) -> list[Case]:
    return [Case(blow.farm, number) for number in range(runs) for blow in blown]


def _by_key(blown: Sequence[Blow], found: Sequence[RunTables]) -> Tables:
    return {blow.key: list(found[at :: len(blown)]) for at, blow in enumerate(blown)}
