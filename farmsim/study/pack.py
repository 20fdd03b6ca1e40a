"""An expansion beside the farm without it, for the lender's pack: everything from runs on common luck.

Without the expansion and with it each run has the same luck and the same lead-in, so what differs is the expansion. Blows are
simulated again on the luck of the first runs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from farmsim.scenario import outlook
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.request import Request
from farmsim.study import bounds, history, pack_beside, pack_given, pack_matter, pack_sold, tight
from farmsim.study.books import MOST_YEARS, weeks_of
from farmsim.study.headroom import headroom, only_ones, over_asked
from farmsim.study.own_year import OwnYear
from farmsim.study.pack_answers import Headroom, Matters, Pack, Stressed, Unmoved
from farmsim.study.pack_asked import asked, past
from farmsim.study.pack_blown import blown, both_and_blown
from farmsim.study.pack_comes import arrivals, hired
from farmsim.study.pack_refused import can_be_told
from farmsim.study.pack_sides import Side, states
from farmsim.study.pack_steps import steps
from farmsim.study.replicate import months_of
from farmsim.study.trials import Brief, Trials
from farmsim.study.versions import versions

TOLD_YEAR = 3  # the year that sentences are of, where the books go so far
FEWEST = 2


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
    Goes wrong when it is no dated expansion of this farm, asks for nothing, opens or is repaid too late (NoPack), or books
    cannot be kept (NoBooks).
    """
    runs = bounds.whole("runs", runs, FEWEST, bounds.MOST_RUNS)
    stress_runs = min(runs, bounds.whole("stress runs", stress_runs, FEWEST, bounds.MOST_RUNS))
    request = can_be_told(base, expanded, change, bounds.whole("years", years, 1, MOST_YEARS))
    weeks = weeks_of(base, years)
    brief = replace(brief, weeks=weeks)
    question = pack_matter.asked(change, brief) if matters else None
    of_blows = blown(base, expanded, change, request, weeks)
    with Trials(base, brief) as trials:
        of_matter = 0 if question is None or question.plan is None else question.plan.runs
        trials.expect(
            2 * runs + stress_runs * (len(of_blows.first) + 1) + of_matter + _runs_of_history(base, weeks, runs)
        )
        both, first = both_and_blown(trials, expanded, of_blows.first, runs, stress_runs, brief.seed)
        rows = of_blows.told(trials, both, first, stress_runs)
    found = pack_matter.Found() if question is None else pack_matter.matter(question)
    more = _More(
        told_year=min(years, TOLD_YEAR),
        stress=rows.stress,
        hoped=rows.hoped,
        planned=rows.planned,
        history=_own_year(both[0], runs, brief),
        matter=found.matter,
        of_matter=found.of_matter,
        why_none_matters=found.why_none,
        unmoved=found.unmoved,
        warnings=tuple(_warnings(both[1], found.why_none if found.failed else "")),
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
    of_matter: int
    why_none_matters: str
    unmoved: tuple[Unmoved, ...]
    warnings: tuple[str, ...]


def _whole(both: tuple[Side, Side], request: Request, stress_runs: int, years: int, seed: int, more: _More) -> Pack:
    """Everything together: what follows from the runs of the two farms, and what took more."""
    base, expanded = both
    about, last = base.farm.farm, [state for _, state in states(expanded.farm)][-1]
    seen = seen_of(base, expanded)
    assumptions, topics = pack_given.assumptions(expanded.farm), pack_given.topics(last)
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
        hired=hired(base.farm, expanded.farm),
        arrivals=arrivals(base.farm, expanded.farm),
        lives_on_draw=_lives_on_draw(expanded.farm),
        headroom=_headroom(base, expanded),
        tight_before=seen[0].tight,
        tight_after=seen[1].tight,
        tight_weeks=(base.told, expanded.told),
        seen=seen,
        over_asked=tuple(over_asked(last)),
        past=tuple(past(expanded.farm)),
        assumptions=assumptions,
        counts=pack_given.counts(assumptions),
        cautions=topics,
        marks=_marks(base, expanded),
        **more._asdict(),
    )


def _lives_on_draw(farm: Farm) -> bool:
    """Whether what the family lives on is not given, so that the owner's draw is counted as that."""
    every = (state.costs for _, state in states(farm))
    return any(costs is not None and costs.family_living is None and costs.owner_draw > 0 for costs in every)


def seen_of(base: Side, expanded: Side) -> tuple[tight.Seen, tight.Seen]:
    """What looks tight without it and with it; a place that is there in both farms has one name."""
    names = only_ones(base.farm, expanded.farm)
    before, after = (tight.as_called(tight.seen(side.tables, side.told), names) for side in (base, expanded))
    return before, after


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
