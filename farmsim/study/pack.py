"""An expansion beside the farm without it, for the lender's pack: everything from runs on common luck.

Without the expansion and with it each run has the same luck and the same lead-in, so what differs is the expansion. Blows are
simulated again on the luck of the first runs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

from farmsim.errors import FarmsimError
from farmsim.money.loan import later
from farmsim.money.states import years_between
from farmsim.record.measures import RunTables
from farmsim.scenario import outlook
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.heard import as_simulated
from farmsim.scenario.lines import Table
from farmsim.scenario.read import load, tables
from farmsim.scenario.request import Request
from farmsim.scenario.stressed import Blow, blows, without_hoped
from farmsim.study import bounds, history, pack_beside, pack_given, pack_matter, pack_sold, tight
from farmsim.study.books import MONTHS_A_YEAR, MOST_YEARS, can_be_kept, weeks_of
from farmsim.study.headroom import headroom
from farmsim.study.own_year import OwnYear
from farmsim.study.pack_answers import Headroom, Matters, Pack, Stressed
from farmsim.study.pack_asked import asked, past
from farmsim.study.pack_sides import TAKEN, Side, side, states
from farmsim.study.pack_steps import steps
from farmsim.study.pack_stress import YEARS, stressed
from farmsim.study.replicate import months_of
from farmsim.study.trials import Brief, Case, Trials
from farmsim.study.versions import versions
from farmsim.units import HOURS_A_DAY

TOLD_YEAR = 3  # the year that stress rows are of, where the books go so far
FEWEST = 2
LATE, HOPED, PLANNED = "late", "hoped", "planned"


class NoPack(FarmsimError, ValueError):
    """What is asked for cannot be told to a lender; says all that is missing."""

    exit_code = 2


def pack(
    base: Farm,
    expanded: Farm,
    change: Path,
    runs: int,
    stress_runs: int,
    years: int,
    brief: Brief,
    matters: bool = True,
) -> Pack:
    """Put an expansion beside the farm without it.

    change: file of the change set that makes `expanded` of `base`
    runs: of both farms; stress_runs: of every blow, at most as many [runs]; years: of the books, from the start [years]
    brief: luck, workers, store; how long a run is follows from the years
    matters: whether it is also found out which guesses move the answer most
    Goes wrong when it is no dated expansion of this farm, asks for nothing or opens too late (NoPack), or books cannot be kept
    (NoBooks).
    """
    runs = bounds.whole("runs", runs, FEWEST, bounds.MOST_RUNS)
    stress_runs = min(runs, bounds.whole("stress runs", stress_runs, FEWEST, bounds.MOST_RUNS))
    request = _can_be_told(base, expanded, change, bounds.whole("years", years, 1, MOST_YEARS))
    weeks = weeks_of(base, years)
    brief = replace(brief, weeks=weeks)
    question = pack_matter.asked(change, brief) if matters else None
    blown = _blown(base, expanded, change, request, years, weeks)
    with Trials(base, brief) as trials:
        of_matter = 0 if question is None or question.plan is None else question.plan.runs
        trials.expect(2 * runs + stress_runs * (len(blown.first) + 1) + of_matter + _runs_of_history(base, weeks, runs))
        both, first = _both(trials, expanded, blown.first, runs, stress_runs, brief.seed)
        stress, hoped = blown.told(trials, both[1], first, stress_runs)
    found, why_none = ((), "") if question is None else pack_matter.matter(question)
    more = _More(
        told_year=blown.year,
        stress=stress,
        hoped=hoped,
        planned=stressed(PLANNED, "As planned", both[1].runs[:stress_runs], blown.year, True),
        history=_own_year(both[0], runs, brief),
        matter=found,
        warnings=tuple(_warnings(both[1], why_none)),
    )
    return _whole(both, request, stress_runs, years, brief.seed, more)


class _More(NamedTuple):
    """What took runs of other farms, or of other weeks, than the two; as in `Pack`."""

    told_year: int
    stress: tuple[Stressed, ...]
    hoped: Stressed | None
    planned: Stressed
    history: OwnYear | None
    matter: tuple[Matters, ...]
    warnings: tuple[str, ...]


def _whole(both: tuple[Side, Side], request: Request, stress_runs: int, years: int, seed: int, more: _More) -> Pack:
    """Everything together: what follows from the runs of the two farms, and what took more."""
    base, expanded = both
    about, last = base.farm.farm, [state for _, state in states(expanded.farm)][-1]
    assumptions, topics = pack_given.assumptions(last), pack_given.topics(last)
    return Pack(
        purpose=request.purpose,
        base_name=about.name,
        expanded_name=expanded.farm.farm.name,
        system=about.units,
        currency=about.currency,
        start=about.start.isoformat(),
        years=years,
        weeks=base.weeks,
        runs=len(base.runs),
        stress_runs=stress_runs,
        seed=seed,
        lead_in=base.kept.lead_in,
        asked=asked(request, base.farm, expanded.farm, expanded.kept.loans),
        base=base.kept,
        expanded=expanded.kept,
        beside=tuple(pack_beside.beside(base, expanded)),
        alone=tuple(pack_beside.alone(base, expanded)),
        grown=tuple(pack_sold.grown(base, expanded)),
        buyers=tuple(pack_sold.buyers(base, expanded)),
        worth=pack_beside.worth(base, expanded, request.discount),
        steps=steps(base.farm, expanded.farm),
        headroom=_headroom(base, expanded),
        tight_before=tight.seen(base.tables, base.told).tight,
        tight_after=tight.seen(expanded.tables, expanded.told).tight,
        past=tuple(past(expanded.farm)),
        assumptions=assumptions,
        counts=pack_given.counts(assumptions),
        cautions=topics,
        marks=_marks(base, expanded),
        safe_topics=topics,
        **more._asdict(),
    )


def _headroom(base: Side, expanded: Side) -> tuple[Headroom, ...]:
    """How much room is left in the last year of the books."""
    weeks = expanded.weeks_of(expanded.kept.years[-1])
    return headroom(base.tables, expanded.tables, weeks[0], weeks[-1], base.farm, expanded.farm)


def _marks(base: Side, expanded: Side) -> dict[str, str]:
    """By what these runs are found again: both farms as run, and the versions of everything that has a say in them."""
    lead_in = base.kept.lead_in
    return {
        "base": fingerprint(base.farm, base.weeks, lead_in),
        "expanded": fingerprint(expanded.farm, expanded.weeks, lead_in),
        **versions(),
    }


def _warnings(expanded: Side, why_none: str) -> Iterator[str]:
    """What to bear in mind: what the books do not hold, what deserves a second look in the farm as it will be."""
    yield from (f"Not in the books: {gap}." for gap in expanded.kept.gaps)
    yield from outlook.second_looks([state for _, state in states(expanded.farm)][-1])
    if why_none:
        yield why_none


# --- what is asked ----------------------------------------------------------------------------------------------------


def _can_be_told(base: Farm, expanded: Farm, change: Path, years: int) -> Request:
    """What is asked for, if it is a dated expansion of this farm."""
    faults = [*_not_of_this_farm(base, change), *_no_date(base, expanded, change)]
    faults += _nothing_asked(change) if expanded.request is None else _opens_too_late(expanded, expanded.request, years)
    if faults or expanded.request is None:
        raise NoPack("\n".join(faults))
    can_be_kept(base)
    can_be_kept(expanded)
    return expanded.request


def _not_of_this_farm(base: Farm, change: Path) -> Iterator[str]:
    """The change set is to be based on the farm it is put beside."""
    based_on = tables(change).get("based_on")
    if not isinstance(based_on, str):
        yield f"{change.name} is no change set: it is based on no farm. Name the farm's file first, the change set second."
    elif fingerprint(load(change.parent / based_on), 1, 0) != fingerprint(base, 1, 0):
        yield (
            f"{change.name} is based on {based_on}, and {base.farm.name} is another farm, so what differs would not be "
            f"the expansion. Name {based_on} as the farm."
        )


def _no_date(base: Farm, expanded: Farm, change: Path) -> Iterator[str]:
    """An expansion comes on days of its own, which may be days on which the farm changes without it too."""
    if not expanded.changes or not _dates(change, base.farm.start):
        yield (
            f"{change.name} changes the farm on no day, as if all of it stood from the start on. Write a [[phase]] with name "
            "and from for each step: building, opening, filling up."
        )


def _dates(change: Path, start: date) -> list[date]:
    """The days after the first on which a change set itself changes the farm."""
    table = tables(change)
    phases = table.get("phase", [])
    parts = [table, *(phases if isinstance(phases, list) else [phases])]
    days = (part.get("from") for part in parts if isinstance(part, Table))
    return [day for day in days if isinstance(day, date) and day > start]


def _nothing_asked(change: Path) -> Iterator[str]:
    yield (
        f'{change.name} asks for nothing. Add [add.request] with purpose = "a fifth fruiting room", loan = the name of its '
        "new [[loan]], and opens = the Monday on which the new part takes its first blocks."
    )


def _opens_too_late(expanded: Farm, request: Request, years: int) -> Iterator[str]:
    """What is asked for has to be seen at work in the books."""
    start = expanded.farm.start
    end = later(start, MONTHS_A_YEAR * years, start.day) - timedelta(days=1)
    if request.opens <= end:
        return
    needed = years_between(start, request.opens) + 1
    mend = (
        f"Ask for {needed} years."
        if needed <= MOST_YEARS
        else f"At most {MOST_YEARS} can be told: let it open earlier."
    )
    told = "1 year" if years == 1 else f"{years} years"
    yield f"{request.purpose} opens on {request.opens}, but {told} of books end on {end}. {mend}"


# --- runs -------------------------------------------------------------------------------------------------------------

Tables = dict[str, list[RunTables]]
"""By the key of a blow: the runs after it."""


def _both(
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


class _Blown(NamedTuple):
    """The blows to an expansion.

    year: that is told of all but one; delayed: that in which most of a delay would lie
    since: from then on the largest customer is gone [h]
    first: those that can be looked at before it is known who that is; hoped: whether the last of these is what is left without
    those who are only hoped for; heard: the expansion as its runs hear it
    """

    change: Path
    expanded: Farm
    year: int
    delayed: int
    since: float
    first: list[Blow]
    hoped: bool
    heard: str

    def told(
        self, trials: Trials, expanded: Side, first: Tables, runs: int
    ) -> tuple[tuple[Stressed, ...], Stressed | None]:
        """Every blow as it is told, and what is left without those who are only hoped for."""
        name = pack_sold.largest(expanded, expanded.kept.years[self.year - 1])
        every = blows(self.change, self.expanded, name, self.since, trials.weeks)
        others = [blow for blow in every if blow.key not in first]
        found = {**first, **_by_key(others, trials.take(_cases(others, runs), (YEARS,)))}
        hoped = self._one(self.first[-1], found) if self.hoped else None
        return tuple(self._one(blow, found) for blow in every), hoped

    def _one(self, blow: Blow, found: Tables) -> Stressed:
        year = self.delayed if blow.key == LATE else self.year
        return stressed(blow.key, blow.told, found[blow.key], year, _as_heard(blow.farm) != self.heard)


def _as_heard(farm: Farm) -> str:
    """What tells a farm from others that work otherwise; farms that differ in money only have it in common."""
    return fingerprint(as_simulated(farm), 1, 0)


def _blown(base: Farm, expanded: Farm, change: Path, request: Request, years: int, weeks: int) -> _Blown:
    start, hoped = expanded.farm.start, without_hoped(base, expanded)
    since = float((request.opens - start).days * HOURS_A_DAY)
    first = blows(change, expanded, None, since, weeks)
    if hoped is not None:
        first.append(Blow(HOPED, "Customers only hoped for never come", hoped))
    return _Blown(
        change,
        expanded,
        min(years, TOLD_YEAR),
        _delayed(expanded, request, years),
        since,
        first,
        hoped is not None,
        _as_heard(expanded),
    )


def _delayed(expanded: Farm, request: Request, years: int) -> int:
    """The year in which most of a delay lies: it opens at the end of one year when most of what it costs is in the next."""
    middle = request.opens + timedelta(weeks=expanded.stress.late / 2)
    return min(years, years_between(expanded.farm.start, middle) + 1)


# --- the farm's own months --------------------------------------------------------------------------------------------


def _runs_of_history(base: Farm, weeks: int, runs: int) -> int:
    """Runs that are needed besides, for months that do not lie in the weeks of the books."""
    of = history.stretch(base, weeks)
    return 0 if of is None or of.is_own else runs


def _own_year(base: Side, runs: int, brief: Brief) -> OwnYear | None:
    """The farm's own months beside those of the runs; None of a farm that gives none."""
    of = history.stretch(base.farm, base.weeks)
    if of is None:
        return None
    return history.compare(base.farm, base.tables["months"] if of.is_own else months_of(of, runs, brief), of)
