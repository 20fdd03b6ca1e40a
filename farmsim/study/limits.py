"""What limits a farm: what one natural step more of every place and crew brings, and what limits next once that is relieved.

Asked twice: of the farm, and of the farm with the step that surely brings most (or, where no place and no crew holds it back,
with more blocks started, more asked for, or both). The second time every step is asked anew, since what was never full may be
full now, and in other runs, since those of the first have chosen the farm that is asked about.

What "sold" means here: what customers asked for and were given, orders and market stalls together. An outlet takes anything,
so what goes there is no sign that more is wanted; it is counted only where a farm has no other customer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.one_more import BOTH, CREW, OUTSIDE, Step, one_more
from farmsim.study import bounds, earns, frames, tight
from farmsim.study.answers import Crew, Place
from farmsim.study.changes import weeks_before
from farmsim.study.compare import Difference, EarnedBeside, difference, strains_beside
from farmsim.study.gains import REMAINS, Race, Raced, Rules, race
from farmsim.study.headlines import ALL_SOLD, BLOCKS_SOLD, Headline, by_run, money_judged
from farmsim.study.limits_answers import Asked, Gain, Held, Limits
from farmsim.study.precision import SURE
from farmsim.study.trials import Brief, Case, NotComparable, Trials
from farmsim.units import HOURS_A_WEEK

FEWEST, USUAL_RUNS = 4, 14
WORTH = 0.01  # of what is sold: steps that surely bring less are not followed up; placeholder: less than a farm's books show
RACES = 2
WEEKS_TOLD_AS_YEAR = 52  # as the screen of a run tells 52 weeks as a year
SEEN = ("weekly", "money", earns.TABLE, "places", "crews", "duties", "hours_of_week")
SOLD = Headline("sold to orders and at stalls", "kg/week", ("sold_kg", "stall_kg"))
A_YEAR = "currency/year"
BASE = ""


def limits(farm: Farm, runs: int = USUAL_RUNS, brief: Brief | None = None, fuller: bool = False) -> Limits:
    """Ask what limits a farm.

    runs: of the steps that may bring most; the others get fewer [runs]
    brief: luck, length, workers, store
    fuller: ask it of the farm with more blocks started and more asked for
    Goes wrong when a number is out of bounds: NotAllowed; when the farm's rules do not allow it to be fuller, or nobody ever
    buys, so that a step cannot be judged: NotComparable.
    """
    runs, brief = bounds.whole("runs", runs, FEWEST, bounds.MOST_RUNS), brief or Brief()
    _see_that_somebody_buys(farm)
    base = _fuller(farm) if fuller else farm
    steps = one_more(base, told_from(base, brief.weeks))
    with Trials(farm, brief) as trials:
        trials.expect(about(steps, runs))
        seen = trials.take([Case(base, number) for number in range(first(runs))], SEEN)
        now = _Question(trials, base, steps, _figures(farm, seen), seen)
        rules = Rules(first(runs), runs, len(now.figures), RACES, WORTH)
        asked = now.ask(rules)
        then = _next(trials, asked, now, runs)
        before, weeks = now.before, trials.weeks
    places, crews, held = _seen(seen, weeks - before, _not_there(base, steps))
    about_ = farm.farm
    return Limits(
        farm=about_.name,
        system=about_.units,
        currency=about_.currency,
        start=about_.start.isoformat(),
        weeks=weeks - before,
        since=before,
        seed=brief.seed,
        lead_in=trials.lead_in,
        first=first(runs),
        runs=runs,
        sure=SURE,
        worth=WORTH,
        fuller=fuller,
        figure=now.figures[0].name,
        now=asked,
        then=then,
        relieved=relieved(asked),
        earned=now.earned(len(rules.looks)),
        places=places,
        crews=crews,
        held=held,
        not_asked=tuple((step.name, step.why_not) for step in steps if step.farm is None),
    )


def told_from(farm: Farm, weeks: int | None) -> float:
    """Since when the weeks are told: the last change of a farm that changes within the measured weeks [h].

    weeks: measured length; None: the farm's own [weeks]
    """
    return HOURS_A_WEEK * weeks_before(farm, weeks or farm.farm.weeks)


def _not_there(farm: Farm, steps: Sequence[Step]) -> frozenset[str]:
    """Places and crews that come later, or were there only before."""
    return frozenset(step.where for step in one_more(farm)) - {step.where for step in steps}


def first(runs: int) -> int:
    """Runs that every step gets."""
    return max(FEWEST, runs // 2)


def again(runs: int) -> int:
    """Runs that every step gets the second time."""
    return max(FEWEST, -(-runs // 3))


def about(steps: Sequence[Step], runs: int, remain: int = 3) -> int:
    """About how many runs it takes, if so many steps are followed up [runs]."""
    farms = 1 + sum(step.farm is not None for step in steps)
    return farms * (first(runs) + again(runs)) + (1 + remain) * (runs - first(runs))


def _see_that_somebody_buys(farm: Farm) -> None:
    if not any(state.has_customers for state in (farm, *(state for _, state in farm.changes))):
        raise NotComparable(
            f"{farm.farm.name} has no customer, so it cannot be told what limits it: a step is judged by how much more is "
            "sold, and nobody buys. Give the farm the customers it has or hopes for, and ask again"
        )


def _fuller(farm: Farm) -> Farm:
    step = next(step for step in one_more(farm) if step.where == BOTH)
    if step.farm is None:
        raise NotComparable(f"{farm.farm.name} cannot be fuller: {step.why_not}")
    return step.farm


def _figures(farm: Farm, seen: Sequence[RunTables]) -> tuple[Headline, ...]:
    """What is told of each step, what is judged first; blocks and money of farms that have them."""
    states = (farm, *(state for _, state in farm.changes))
    customers = [each for state in states for each in state.customer]
    told = [SOLD] if any(each.kind != "outlet" for each in customers) else ([ALL_SOLD] if customers else [])
    told += [BLOCKS_SOLD] if any(state.block_customer for state in states) else []
    money = money_judged(seen)
    return (*told, *([replace(money, unit=A_YEAR)] if by_run(money, seen) is not None else []))


@dataclass
class _Question:
    """What one step more brings, asked of one base.

    of_base: runs of it that are known, the first first; since: the number of the first run
    """

    trials: Trials
    base: Farm
    steps: Sequence[Step]
    figures: tuple[Headline, ...]
    of_base: Sequence[RunTables] = ()
    since: int = 0

    def __post_init__(self) -> None:
        self.before = weeks_before(self.base, self.trials.weeks)
        self.by_name = {step.name: step for step in self.steps if step.farm is not None}
        self.found: dict[str, list[RunTables]] = {BASE: list(self.of_base)}

    def ask(self, rules: Rules) -> Asked:
        """Ask it."""
        inside = [name for name, step in self.by_name.items() if step.kind != OUTSIDE]
        outside = [name for name, step in self.by_name.items() if step.kind == OUTSIDE]
        raced = race(BASE, inside, self._runs, self.figures[0], rules, outside)
        gains = [self._gain(step, raced) for step in raced.steps]
        best = raced.best
        return Asked(
            base=sum(raced.base) / len(raced.base),
            steps=tuple(gain for gain in gains if gain.kind != OUTSIDE),
            outside=tuple(gain for gain in gains if gain.kind == OUTSIDE),
            best=None if best is None else best.name,
            not_told_apart=() if best is None else _other_places(best, raced, self.by_name),
            open=_open(raced) if best is None else (),
        )

    def _runs(self, names: Sequence[str], numbers: Sequence[int]) -> Mapping[str, Sequence[float]]:
        """The judged figure of the named in those runs; what is known of them already is not asked again."""
        wanted = [(name, at) for at in numbers for name in names if at >= len(self.found.setdefault(name, []))]
        told = self.trials.take([Case(self._farm(name), self.since + at) for name, at in wanted])
        for (name, _), tables in zip(wanted, told, strict=True):
            self.found[name].append(tables)
        return {name: [self._values(name, self.figures[0])[at] for at in numbers] for name in names}

    def _farm(self, name: str) -> Farm:
        if name == BASE:
            return self.base
        farm = self.by_name[name].farm
        assert farm is not None
        return farm

    def _values(self, name: str, figure: Headline) -> list[float]:
        values = by_run(figure, self.found[name], self.before)
        assert values is not None
        return [WEEKS_TOLD_AS_YEAR * value for value in values] if figure.unit == A_YEAR else values

    def _gain(self, raced: Raced, of: Race) -> Gain:
        """Every figure that is told of a step, over the runs it had."""
        step, count = self.by_name[raced.name], len(raced.values)
        others = tuple(self._difference(raced.name, figure, count, of.told) for figure in self.figures[1:])
        return Gain(step.where, step.kind, step.more, raced.name, count, raced.stands, (raced.gain, *others))

    def earned(self, looks: int) -> dict[str, tuple[EarnedBeside, ...]]:
        """What each strain earns with each step, over the runs it had; empty without prices.

        looks: at how many numbers of runs a step may have ended
        """
        told = strains_beside(self.found, dict.fromkeys(self.found, self.trials.weeks - self.before), looks)
        return {name: told[name] for name in self.by_name if told.get(name)}

    def _difference(self, name: str, figure: Headline, count: int, told: int) -> Difference:
        return difference(figure, self._values(BASE, figure)[:count], self._values(name, figure)[:count], told)


def _other_places(best: Raced, raced: Race, steps: Mapping[str, Step]) -> tuple[str, ...]:
    """Steps that may bring as much as the best, at another place or crew than it."""
    where = steps[best.name].where
    return tuple(step.name for step in raced.not_told_apart if steps[step.name].where != where)


def _open(raced: Race) -> tuple[str, ...]:
    """Steps of which it is not known that they bring too little to matter, those that may bring most first.

    What surely brings less than another step is settled with that other.
    """
    small = WORTH * abs(math.fsum(raced.base) / len(raced.base))
    may = [step for step in raced.steps if step.stands == REMAINS and step.gain.high >= small]
    return tuple(step.name for step in sorted(may, key=lambda step: -step.gain.high))


def relieved(asked: Asked) -> str | None:
    """The step that relieves what limits now: the best, else the most of what is no place of the farm.

    None: nothing was found that does, or some place or crew may yet be found to limit.
    """
    if asked.best is not None or asked.open:
        return asked.best
    sure = [gain for gain in asked.outside if gain.judged.verdict == "more"]
    alone = [gain for gain in sure if gain.where != BOTH]
    most = max(alone or sure, key=lambda gain: gain.judged.mean, default=None)
    return None if most is None else most.name


def _next(trials: Trials, asked: Asked, now: _Question, runs: int) -> Asked | None:
    """The question asked again of the farm with what limits it relieved; None when nothing was found that does."""
    name = relieved(asked)
    if name is None:
        return None
    base = now.by_name[name].farm
    assert base is not None
    more, figures = one_more(base, HOURS_A_WEEK * now.before), now.figures[:1]
    trials.expect((1 + len(more)) * again(runs))
    return _Question(trials, base, more, figures, since=runs).ask(Rules(again(runs), runs, len(figures), RACES, WORTH))


def _seen(
    runs: Sequence[RunTables], weeks: int, not_there: frozenset[str]
) -> tuple[tuple[Place, ...], tuple[Crew, ...], tuple[Held, ...]]:
    """What was seen of every place and crew in the runs of the base, but of those that were not there."""
    tables = frames.frames(runs)
    places = tight.places(tables["places"], tables["duties"], tables["hours_of_week"], weeks)
    crews = tight.crews(tables["crews"], tables["duties"], tables["hours_of_week"], weeks)
    held = (*_held(tables["places"], "place"), *_held(tables["crews"], CREW))
    return (
        tuple(place for place in places if place.name not in not_there),
        tuple(crew for crew in crews if crew.name not in not_there),
        tuple(each for each in held if each.name not in not_there),
    )


def _held(table: pd.DataFrame, what: str) -> tuple[Held, ...]:
    """How long each was active and held the others up, averaged over runs."""
    columns = ["active_share", "sole_share", "shifting_share", "active_mean_h"]
    means = table.groupby(what, sort=False)[columns].mean()
    return tuple(
        Held(str(name), what, active, sole, shifting, mean)
        for name, (active, sole, shifting, mean) in zip(means.index, means.to_numpy(float).tolist(), strict=True)
    )
