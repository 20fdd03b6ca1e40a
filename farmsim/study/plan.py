"""What to start each week, and on which days, so that customers get what they were promised and least is thrown out.

A plan is worked out by averages, then tried in a few runs beside the farm as it is and put right strain by strain, until
nothing is left to change or a number of tries is used up. The best that was seen is judged by runs that no try has used: all
on common luck. The best is the plan that misses least of its targets, surely; of those that miss nothing, the one that throws
out least.

What is promised: all verdicts told, on the plan and on the farm as it is, hold together as surely as `SURE`. The judging runs
also choose between the two farms, and whether a plan that aims higher is judged in a second turn; so each verdict bears its
share of the risk among targets, times two farms, times turns. The differences told share it by figures, times turns.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from farmsim.errors import FarmsimError
from farmsim.model.plan import week_of
from farmsim.record.measures import RunTables
from farmsim.scenario.averages import Need
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import a_week
from farmsim.scenario.sales import Start
from farmsim.study import bounds, plan_seen, start_numbers
from farmsim.study.compare import Compared, Comparison, Difference, difference
from farmsim.study.headlines import (
    AT_STALLS,
    BLOCKS_FRUITED,
    OVERTIME,
    PAID,
    PAST_DATE,
    PICKED,
    SOLD,
    TO_OUTLET,
    Headline,
    by_run,
    money_judged,
)
from farmsim.study.plan_answers import Planned, Started, Tried
from farmsim.study.precision import DUST, SURE, half_width
from farmsim.study.sell_or_fruit import planned_share, sell_or_fruit
from farmsim.study.start_numbers import asked, by_arithmetic, fitted, put_right, refused, seen, started, with_starts
from farmsim.study.start_sheet import start_sheet
from farmsim.study.targets import SERVICE, Kept, Target, judge
from farmsim.study.trials import Brief, Case, Trials
from farmsim.study.weekdays import Weekdays, as_started, days_with, weekdays, with_days

TRIAL_RUNS = 6  # of each plan that is tried
TRIES = 5  # plans after the farm as it is
JUDGED = 2  # times the best is judged: once more when the first was not surely enough
FARMS = 2  # that are judged in each turn: the farm as it is and the plan
MOST_GIVE = 0.03  # above a target that a plan aims for the sake of sureness [share]
LESS = 0.97  # of all starts, after a plan under which the farm fills up
SMALL = 0.01  # of a strain's orders: what is missing is no reason to change
OF_FRESH, OF_BLOCKS = ("delivered", "whole orders"), ("blocks delivered",)
"""Targets that are kept better by aiming higher: at more mushrooms, at more blocks to sell. All others only get worse."""
TABLES = ("weekly", "money", "money_strains", "strains", "days", "stalls", "deliveries", "customers", "months",
          "strain_hours", "places", "crews", "duties", "hours_of_week")  # fmt: skip
THROWN_OUT = Headline("thrown out", "kg/week", ("culls_kg", "past_date_kg", "stall_lost_kg"))
TOLD = (THROWN_OUT, PAST_DATE, PICKED, SOLD, AT_STALLS, TO_OUTLET, BLOCKS_FRUITED,
        Headline("blocks thrown out too old", "blocks/week", ("blocks_lost_too_old",)), PAID, OVERTIME)  # fmt: skip
"""What is told of a plan beside the farm as it is, and after it the money by which farms are judged."""


class NotPlannable(FarmsimError, ValueError):
    """A farm whose starts cannot be planned."""

    exit_code = 2


def default_targets(farm: Farm, given: Sequence[Target] = ()) -> tuple[Target, ...]:
    """What has to be kept: what is asked for, and the usual targets on what is not named there."""
    named = {each.name for each in given}
    usual = [target for target in SERVICE if target.name not in named]
    wants = asked(farm).values()
    known = {"delivered": any(each.orders for each in wants), "blocks delivered": any(each.blocks for each in wants)}
    return (*given, *(each for each in usual if known[each.name]))


def plan(
    farm: Farm,
    given: Sequence[Target] = (),
    runs: int = 20,
    tries: int = TRIES,
    ahead: int = 8,
    brief: Brief | None = None,
) -> Planned:
    """The starts of a farm, planned.

    given: what has to be kept, besides the usual targets
    runs: by which the plan is judged, beside as many of the farm as it is [runs]
    tries: plans that are tried at most; ahead: weeks of the start sheet
    Goes wrong when the farm changes on a date, begins empty or promises nobody anything: NotPlannable.
    """
    runs = bounds.whole("runs", runs, bounds.FEWEST_TO_JUDGE, bounds.MOST_RUNS)
    tries = bounds.whole("tries", tries, 1, bounds.MOST_TRIES)
    ahead = bounds.whole("ahead", ahead, 1, bounds.MOST_AHEAD)
    brief = brief or Brief()
    _see_that_it_can_be_planned(farm)
    keep = default_targets(farm, given)
    with Trials(farm, brief) as trials:
        trials.expect(expected_runs(runs, tries))
        search = _Search(farm, keep, trials, runs)
        search.look(tries)
        return search.judged(brief.seed, ahead)


def expected_runs(runs: int, tries: int) -> int:
    """About how many runs a plan takes."""
    return TRIAL_RUNS * (tries + 1) + 2 * runs


def _see_that_it_can_be_planned(farm: Farm) -> None:
    about = farm.farm
    if farm.changes:
        raise NotPlannable(
            f"{about.name} changes on dates, and one plan of its starts cannot be right before and after. Plan a file "
            "without from = ... and [[phase]], such as the farm as it will be"
        )
    if about.begin == "empty":
        raise NotPlannable(f'{about.name} begins empty; a plan is for a farm in full swing. Write begin = "full swing"')
    if not any(each.fresh or each.blocks for each in asked(farm).values()):
        raise NotPlannable(f"{about.name} promises nobody anything: there is nothing to plan for")


@dataclass(frozen=True, eq=False)
class _Try:
    """A plan with what its runs saw."""

    farm: Farm
    runs: Sequence[RunTables]
    told: Tried

    @property
    def rank(self) -> tuple[bool, float, float]:
        """Less is better: a farm that fills up never keeps for long what it keeps now."""
        return self.told.fills_up, round(self.told.missing, 3), self.told.thrown_out


@dataclass
class _Search:
    """The tries of one plan."""

    farm: Farm
    keep: tuple[Target, ...]
    trials: Trials
    runs: int
    tried: list[_Try] = field(default_factory=list)
    refused: tuple[Need, ...] = ()
    stopped: str = ""
    days: tuple[Weekdays, ...] = ()
    days_tried: bool | None = None

    # --- looking ----------------------------------------------------------------------------------------------------

    def look(self, tries: int) -> None:
        """Try the farm as it is, the plan of averages, and what comes of putting it right."""
        self.days = weekdays(self.farm)
        base = with_days(self.farm, self.days)
        self._try(self.farm, "the farm as it is")
        wanted: Mapping[str, float] = by_arithmetic(base, *self._aims())
        for number in range(1, tries + 1):
            found = self._new(base, wanted)
            if found is None:
                break
            last = self._try(found, _called(number))
            wanted = self._put_right(last)
        self.stopped = self.stopped or ("1 plan was tried" if tries == 1 else f"{tries} plans were tried")
        self._confirm_days()

    def _put_right(self, last: _Try) -> dict[str, float]:
        """What comes next after a plan; less of everything where the farm filled up under it."""
        wanted = put_right(seen(last.farm, last.runs, self.trials.weeks), *self._aims(last.runs))
        if not last.told.fills_up:
            return wanted
        self.refused = tuple(refused(with_starts(last.farm, wanted))) or self.refused
        return {name: min(wanted[name], LESS * blocks) for name, blocks in last.told.blocks.items()}

    def _new(self, base: Farm, wanted: Mapping[str, float]) -> Farm | None:
        """A plan that was not tried yet: as wanted, or as what was tried already would have it; None ends the search."""
        passed: list[_Try] = []
        while True:
            found = self._fitted(base, wanted)
            known = next((each for each in self.tried if each.farm.start == found.start), None)
            if known is None:
                break
            if known in passed:
                self.stopped = "nothing was left to change"
                return None
            passed.append(known)
            wanted = self._put_right(known)
        if start_numbers.can_be_read(found):
            return found
        self.stopped = "what averages leave room for is less than a farm's file may promise"
        return None

    def _fitted(self, base: Farm, wanted: Mapping[str, float]) -> Farm:
        """A plan cut to what averages leave room for; what they refuse is kept to be told."""
        over = refused(with_starts(base, wanted))
        if not over:
            return with_starts(base, wanted)
        self.refused = tuple(over)
        return with_starts(base, fitted(base, wanted), down=True)

    def _confirm_days(self) -> None:
        """Whether the best plan is better on other weekdays than on the farm's own."""
        best = self.best
        own = best.farm.but(
            start=tuple(line.but(days=was.days) for line, was in zip(best.farm.start, self.farm.start, strict=True))
        )
        if own.start == best.farm.start or own.start == self.farm.start:
            self.days_tried = False if any(each.matters for each in self.days) else None
            return
        self._try(own, "the best on the weekdays as they are")
        self.days_tried = self.best.farm is best.farm

    def _try(self, farm: Farm, what: str) -> _Try:
        runs = self._take(farm, range(TRIAL_RUNS))
        self.tried.append(_Try(farm, runs, self._told(farm, runs, what)))
        return self.tried[-1]

    def _take(self, farm: Farm, numbers: range) -> list[RunTables]:
        return self.trials.take([Case(farm, number) for number in numbers], TABLES)

    @property
    def best(self) -> _Try:
        """The best that was seen, the earlier of equals."""
        return min(self.tried, key=lambda each: each.rank)

    # --- how a plan stands ------------------------------------------------------------------------------------------

    def _told(self, farm: Farm, runs: Sequence[RunTables], what: str) -> Tried:
        figures = {each.name: _values(each, runs) for each in self.keep}
        missing = sum(self._lacking(target, figures[target.name]) / (target.bound or 1.0) for target in self.keep)
        fresh, blocks = self._bounds()
        by_strain = seen(farm, runs, self.trials.weeks).values()
        missing += sum(short for each in by_strain if (short := each.short(fresh, blocks)) > SMALL)
        thrown = _mean(by_run(THROWN_OUT, runs) or [0.0])
        means = {name: _mean(values) for name, values in figures.items()}
        return Tried(what, started(farm), means, missing, thrown, plan_seen.fills_up(farm, runs, self.trials.weeks))

    def _lacking(self, target: Target, values: Sequence[float]) -> float:
        """How much is missing until a target is surely kept [unit of the figure]."""
        lacks = target.short(_mean(values)) + self._give(values)
        return lacks if lacks > DUST else 0.0

    def _give(self, values: Sequence[float]) -> float:
        """How far off a mean of the judging runs may be, to one side, when they spread like these."""
        return half_width(values, 2 * self._sure - 1, self.runs)

    @property
    def _sure(self) -> float:
        """How sure each verdict has to be, so that all hold together.

        The runs that are told also decide which farm is told and whether there is another turn: so the risk is shared by all
        verdicts there may be, of both farms and in every turn (Bonferroni).
        """
        return 1 - (1 - SURE) / (FARMS * JUDGED * len(self.keep))

    def _bounds(self) -> tuple[float, float]:
        """What every strain should get of its mushrooms and its blocks [share]."""
        named = {each.name: each.bound for each in self.keep}
        usual = [target.bound for target in SERVICE]
        return named.get("delivered", usual[0]), named.get("blocks delivered", usual[1])

    def _aims(self, runs: Sequence[RunTables] = (), more: Mapping[str, float] | None = None) -> tuple[float, float]:
        """What a plan aims at: so much above the bounds that the runs by which it is judged will surely keep them.

        more: what was not surely kept, by target; each raises the aim for what it is about, and no other [share]
        """
        fresh, blocks = self._bounds()
        gives = {each.name: self._give(_values(each, runs)) for each in self.keep} if runs else {}
        raised = [max(((more or {}).get(name, 0.0) for name in names), default=0.0) for names in (OF_FRESH, OF_BLOCKS)]
        fresh += min(MOST_GIVE, gives.get("delivered", 0.0)) + raised[0]
        blocks += min(MOST_GIVE, gives.get("blocks delivered", 0.0)) + raised[1]
        return min(1.0, fresh), min(1.0, blocks)

    # --- the verdict ------------------------------------------------------------------------------------------------

    def judged(self, seed: int, ahead: int) -> Planned:
        """The best plan, judged by runs that no try has used; the farm as it is, where it turns out as good after all."""
        best, numbers = self.best.farm, range(TRIAL_RUNS, TRIAL_RUNS + self.runs)
        for turn in range(JUDGED):
            before, after = self._take(self.farm, numbers), self._take(best, numbers)
            short = self._short(after)
            if not any(short.get(name) for name in (*OF_FRESH, *OF_BLOCKS)) or turn == JUDGED - 1 or best is self.farm:
                break
            again = self._more(best, after, short)
            if again is None:
                break
            best, numbers = again, range(numbers.stop, numbers.stop + self.runs)
        as_it_is, planned = (
            _Try(farm, runs, self._told(farm, runs, "")) for farm, runs in ((self.farm, before), (best, after))
        )
        if as_it_is.rank <= planned.rank:
            best, after = self.farm, before
        return self._answer(best, before, after, self._stand(after), seed, ahead)

    def _short(self, runs: Sequence[RunTables]) -> dict[str, float]:
        """How much is missing until each target is surely kept, by its name [unit of the figure]."""
        return {each.name: self._lacking(each, _values(each, runs)) for each in self.keep}

    def _more(self, best: Farm, after: Sequence[RunTables], short: Mapping[str, float]) -> Farm | None:
        """A plan that aims higher by what was not surely kept; None when averages leave no room for it or it is the same."""
        found = self._fitted(best, put_right(seen(best, after, self.trials.weeks), *self._aims(after, short)))
        is_new = all(each.farm.start != found.start for each in self.tried)
        if not is_new or not start_numbers.can_be_read(found):
            return None
        self.trials.expect(TRIAL_RUNS + 2 * self.runs)
        tried = self._try(found, "aimed higher")
        return found if tried.rank < next(each for each in self.tried if each.farm is best).rank else None

    def _stand(self, runs: Sequence[RunTables]) -> tuple[Kept, ...]:
        return tuple(judge(each, _values(each, runs), self._sure) for each in self.keep)

    def _answer(
        self,
        best: Farm,
        before: Sequence[RunTables],
        after: Sequence[RunTables],
        stand: tuple[Kept, ...],
        seed: int,
        ahead: int,
    ) -> Planned:
        weeks, trials = self.trials.weeks, self.trials
        own = as_started(best, self.farm)
        picks = plan_seen.picks_by_day(best, own, after, weeks)
        return Planned(
            before=self.farm, after=best, runs=self.runs, trial_runs=TRIAL_RUNS, seed=seed, lead_in=trials.lead_in,
            weeks=weeks, lines=_lines(self.farm, best), weekdays=own, days_tried=self.days_tried, targets=stand,
            targets_before=self._stand(before), served=plan_seen.served(best, before, after, weeks),
            compared=self._compared(before, after, seed), tried=tuple(each.told for each in self.tried),
            stopped=self.stopped, arithmetic=by_arithmetic(self.farm, *self._aims()), refused=self.refused,
            fills_up=plan_seen.fills_up(best, after, weeks), tight=plan_seen.tight(after, weeks), short=plan_seen.short(after),
            keeps_short=plan_seen.keeps_short(best), poorest=plan_seen.poorest_month(after),
            either=sell_or_fruit(best, after), groups=start_sheet(best, after, ahead), picks=picks,
            deliveries=plan_seen.deliveries_by_day(best, after, weeks), picking_days=days_with(best, "pick"), sure=SURE,
        )  # fmt: skip

    def _compared(self, before: Sequence[RunTables], after: Sequence[RunTables], seed: int) -> Compared:
        """The plan beside the farm as it is."""
        about, weeks = self.farm.farm, self.trials.weeks
        comparison = Comparison("the plan", weeks, 0, _differences(before, after))
        return Compared(about.name, about.units, about.currency, about.start.isoformat(), self.runs, seed,
                        self.trials.lead_in, SURE, (comparison,), pd.DataFrame())  # fmt: skip


def _called(number: int) -> str:
    """Which try it was, in words."""
    return {1: "by averages", 2: "put right once", 3: "put right twice"}.get(number, f"put right {number - 1} times")


def _values(target: Target, runs: Sequence[RunTables]) -> list[float]:
    values = by_run(target.figure, runs)
    if values is None:
        raise NotPlannable(
            f'"{target.name}" cannot be a target here: the runs have no such figure, or a share of nothing'
        )
    return values


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _differences(before: Sequence[RunTables], after: Sequence[RunTables]) -> tuple[Difference, ...]:
    lines = (*TOLD, money_judged([*before, *after]))
    pairs = [(line, by_run(line, before), by_run(line, after)) for line in lines]
    known = [(line, ours, theirs) for line, ours, theirs in pairs if ours is not None and theirs is not None]
    known = [(line, ours, theirs) for line, ours, theirs in known if any(ours) or any(theirs)]
    return tuple(difference(line, ours, theirs, JUDGED * len(known)) for line, ours, theirs in known)


def _lines(before: Farm, after: Farm) -> tuple[Started, ...]:
    return tuple(
        Started(line.name, line.strain, line.made, line.blocks, then.blocks, line.days, then.days, line.months,
                planned_share(after, line.strain), _by_day(then, after.farm.lot))
        for line, then in zip(before.start, after.start, strict=True)
        if a_week(line) or a_week(then)
    )  # fmt: skip


def _by_day(line: Start, lot: float) -> tuple[int, ...]:
    """Blocks of a line on each day of the week, Mon to Sun."""
    slots = week_of(line, int(lot), None)
    return tuple(sum(slot.blocks for slot in slots if slot.weekday == day) for day in range(7))
