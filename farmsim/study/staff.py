"""The cheapest crews that surely keep the targets: a search in rounds, each a selection on luck of its own.

A first look at the farm's own crews tells whether they seem to keep the targets, and who is busy when. In each round at most
`AT_ONCE` farms are put beside one another: the best so far, and others near it that are cheaper on averages (or dearer, as long
as the targets are not kept), coarse steps first. Which one is chosen, and how surely, is `selection.py`'s matter. What was good
in a round is tried together in the next; what surely missed a target is not tried again. The search ends when nothing is
left to try or the rounds are used up.

What is promised: every round has its own run numbers, so that what is tried may depend on what was seen before, and the
risk is shared out over all rounds there can be. With `SURE` in all of them together, the crews chosen keep every target, and
in each round nothing that was tried beside them is cheaper by `zone` or more and keeps the targets with their slack. The
search is local: of crews that were never tried nothing is said. The figures that are told at the end come from further luck.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from farmsim.errors import FarmsimError
from farmsim.record.measures import RunTables
from farmsim.scenario.crew_change import change_set, crew_sizes, differences
from farmsim.scenario.crew_choices import usual_pay
from farmsim.scenario.farm import Farm
from farmsim.scenario.staffing import is_owner
from farmsim.study import digest, earns, frames
from farmsim.study.compare import BASE, Difference, difference, strains_beside
from farmsim.study.headlines import HEADLINES, OVERTIME, PAID, by_run, money_judged
from farmsim.study.pay import Pay
from farmsim.study.precision import SURE
from farmsim.study.staff_effort import BLOCK, Effort
from farmsim.study.staff_found import Ended, Staffed
from farmsim.study.staff_search import TOLD, Search, load_of, of_run
from farmsim.study.targets import Target, judge
from farmsim.study.trials import Brief, Case, Trials


class NoSearch(FarmsimError, ValueError):
    """A farm whose crews cannot be searched for."""

    exit_code = 2


def staff(
    farm: Farm,
    targets: Sequence[Target] = (),
    effort: Effort | None = None,
    brief: Brief | None = None,
    file: str = "farm.toml",
) -> Staffed:
    """Search for the cheapest crews that surely keep all targets.

    targets: what has to be kept; none: `targets.SERVICE`, as far as the farm promises anything
    effort: how long to search, and what does not matter
    file: where the farm's file is found from where the change set will stand
    Goes wrong when the farm changes on a date or pays nobody by the hour: NoSearch; when a target has no figure: NoTarget.
    """
    effort, brief = effort or Effort(), brief or Brief()
    _see_that_it_can_be_searched(farm)
    with Trials(farm, brief) as trials:
        search = Search(farm, trials, effort, Pay.of(farm))
        search.look(targets)
        ended = search.go()
        return _told(search, ended, brief.seed, file)


def _see_that_it_can_be_searched(farm: Farm) -> None:
    name = farm.farm.name
    if farm.changes:
        raise NoSearch(
            f"{name} changes on a date, and crews are searched for a farm that stays as it is. "
            "Leave its phases and dates out, and ask for the farm as it is at first or in the end"
        )
    if all(is_owner(crew) for crew in farm.crew):
        raise NoSearch(f"{name} has no crew that is paid by the hour: there is no cost to search by")


def _told(search: Search, ended: Ended, seed: int, file: str) -> Staffed:
    """Run the crews found and the farm's own on further luck and tell both."""
    trials, now, best, runs = search.trials, search.now, search.best, search.effort.runs
    farms = [now] if best.crew == now.crew else [now, best]
    trials.expect(runs * len(farms))
    first = (search.effort.rounds + 1) * BLOCK
    found = trials.take(
        [Case(farm, first + number) for farm in farms for number in range(runs)], (*TOLD, "money", earns.TABLE)
    )
    before, after = found[:runs], found[-runs:]
    share = 1 - (1 - SURE) / (2 * len(search.targets))  # all that is told of targets holds together
    own, kept = (tuple(judge(target, [of_run(target, each) for each in tables], share) for target in search.targets)
                 for tables in (before, after))  # fmt: skip
    name = "cheaper crews" if search.is_sure and _is_less(search) else "other crews"
    return Staffed(
        farm=now.farm.name,
        system=now.farm.units,
        currency=now.farm.currency,
        start=now.farm.start.isoformat(),
        weeks=trials.weeks,
        lead_in=trials.lead_in,
        seed=seed,
        runs=runs,
        targets=search.targets,
        slacks=search.slacks,
        unit=search.pay.line.unit,
        no_wage=search.pay.no_wage,
        overtime_more=search.pay.overtime_more,
        on_costs=search.pay.on_costs,
        zone=search.zone,
        sure=SURE,
        is_complete=search.is_complete,
        rounds=search.made,
        ended=ended,
        meets=search.is_sure,
        changes=tuple(differences(now, best)),
        cost=float(np.mean(_costs(search, best, after))),
        lines=_beside(search, before, after) if len(farms) > 1 else None,
        kept=kept,
        now=own,
        tried=tuple(search.tried),
        settled=digest.settled(best, frames.frames([{"weekly": each["weekly"]} for each in after])["weekly"], 0),
        load=load_of(after, trials.weeks),
        sizes=tuple(crew_sizes(best)),
        change_set=change_set(now, best, file, name) if len(farms) > 1 else "",
        earned=strains_beside({BASE: before, name: after}, {BASE: trials.weeks, name: trials.weeks})[name]
        if len(farms) > 1
        else (),
    )


def _is_less(search: Search) -> bool:
    return usual_pay(search.best) < usual_pay(search.now)


def _costs(search: Search, farm: Farm, found: Sequence[RunTables]) -> list[float]:
    return [search.pay.of_run(farm, each, search.trials.weeks) for each in found]


def _beside(search: Search, before: Sequence[RunTables], after: Sequence[RunTables]) -> tuple[Difference, ...]:
    """What differs from the farm's own crews: the cost, then the targets, hours, what is picked and sold, and money."""
    figures = [target.figure for target in search.targets]
    figures += [line for line in HEADLINES if line in (PAID, OVERTIME) or line.unit == "kg/week"]
    figures.append(money_judged([*before, *after]))
    wanted = [line for line in dict.fromkeys(figures) if line is not search.pay.line]
    pairs = [(line, by_run(line, before), by_run(line, after)) for line in wanted]
    known = [(line, old, new) for line, old, new in pairs if old is not None and new is not None and any((*old, *new))]
    told = 1 + len(known)
    costs = _costs(search, search.now, before), _costs(search, search.best, after)
    return (
        difference(search.pay.line, *costs, told=told),
        *(difference(line, old, new, told) for line, old, new in known),
    )
