"""How many blocks a week the farm carries before deliveries, waste or overtime break their targets, and what breaks first.

All lines are scaled together, their mix kept, and with them what customers want (unless that is to stay): else nothing
would be missing. Of a farm that changes or grows every state is scaled, and figures are of the weeks since its last change.
Places, people, vans and house rules stay. Whole blocks; how they are cut into lots is the model's affair.

How the level is searched for, and what is promised of it: `climb.py`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import pandas as pd

from farmsim.model.plan import week_of
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.scaled import blocks_a_week, scaled
from farmsim.study import bounds, frames, tight
from farmsim.study.ceiling_answers import Ceiling, Level, MoreLots, Why, how_far
from farmsim.study.ceiling_range import Asked, span_of
from farmsim.study.changes import in_force, weeks_before
from farmsim.study.climb import FEWEST, Climbed, Rung, climb
from farmsim.study.headlines import of_run
from farmsim.study.precision import SURE
from farmsim.study.targets import USUAL, NoTarget, Target
from farmsim.study.trials import Brief, Case, Trials
from farmsim.units import HOURS_A_WEEK

__all__ = ["Asked", "Ceiling", "ceiling"]

EXPECTED = 5  # times the most runs at one level: about what a search takes
LOOKED_AT = 10  # runs in which it is seen what is tight


def ceiling(farm: Farm, asked: Asked | None = None, brief: Brief | None = None) -> Ceiling:
    """Search for the most blocks a week at which the farm keeps its targets.

    brief: luck, length, workers, store
    Goes wrong when the range is empty or a number out of bounds: NotAllowed; when the farm has no such figure: NoTarget.
    """
    asked, brief = asked or Asked(), brief or Brief()
    bounds.whole("runs", asked.runs, FEWEST, bounds.MOST_RUNS)
    with Trials(farm, brief) as trials:
        before = weeks_before(farm, trials.weeks)
        now = blocks_a_week(in_force(farm, before * HOURS_A_WEEK))
        span = span_of(farm, now, asked)
        shop = _Shop(farm, now, asked.orders_grow, trials, before)
        trials.expect(EXPECTED * asked.runs)
        begin = span.nearest(now)
        targets, unknown = _known(shop, begin, asked)
        climbed = climb(span.levels(now), begin, shop.look(targets), targets, asked.runs)
        why = _why(shop, climbed)
        levels = tuple(shop.level(rung) for rung in climbed.rungs)
    about, guess = farm.farm, None if climbed.guess is None else int(climbed.guess)
    return Ceiling(about.name, about.units, about.start.isoformat(), trials.weeks, before, trials.lead_in, brief.seed,
                   asked.runs, SURE, now, _states(farm, trials.weeks), targets, not asked.targets, unknown, asked.orders_grow,
                   span, levels, climbed.low, climbed.high, guess, why)  # fmt: skip


def _states(farm: Farm, weeks: int) -> int:
    """States of the farm within the measured weeks [count]."""
    return 1 + sum(since < weeks * HOURS_A_WEEK for since, _ in farm.changes)


# --- what is seen at a level ----------------------------------------------------------------------------------------


class _Shop:
    """The farm at any level, and its runs there."""

    def __init__(self, farm: Farm, now: int, grow: bool, trials: Trials, before: int) -> None:
        self._farm, self._started, self._grow, self._trials, self.before = farm, now, grow, trials, before
        self._farms: dict[int, Farm] = {}
        self._runs: dict[int, list[RunTables]] = {}

    def at(self, blocks: int) -> Farm:
        """The farm at a level; one and the same each time."""
        if blocks not in self._farms:
            as_it_is = blocks == self._started
            self._farms[blocks] = (
                self._farm if as_it_is else scaled(self._farm, Fraction(blocks, self._started), self._grow)
            )
        return self._farms[blocks]

    def told(self, blocks: int) -> Farm:
        """The state of the farm at a level of which the figures are told."""
        return in_force(self.at(blocks), self.before * HOURS_A_WEEK)

    def runs(self, blocks: int, count: int) -> list[RunTables]:
        """The first runs of a level."""
        have = self._runs.setdefault(blocks, [])
        if len(have) < count:
            have += self._trials.take([Case(self.at(blocks), number) for number in range(len(have), count)])
        return have[:count]

    def look(self, targets: Sequence[Target]) -> _Looking:
        """What a search is told of a level."""
        return _Looking(self, targets)

    def level(self, rung: Rung) -> Level:
        """A level with what else is to be told of it."""
        weekly = [pd.DataFrame(tables["weekly"]) for tables in self._runs[rung.level]]
        found = [float(each["customers_left"][each["week"] > self.before].sum()) for each in weekly]
        return Level(rung.level, rung.runs, rung.kept, rung.verdict, rung.leans, sum(found) / len(found))

    def seen(self, blocks: int) -> tight.Seen:
        """What was seen at the farm's places and crews at a level."""
        cases = [Case(self.at(blocks), number) for number in range(min(LOOKED_AT, len(self._runs[blocks])))]
        tables = frames.frames(self._trials.take(cases, tight.TABLES))
        return tight.seen(tables, self._trials.weeks - self.before)


@dataclass(frozen=True)
class _Looking:
    """One value a run of each target's figure, at a level."""

    shop: _Shop
    targets: Sequence[Target]

    def __call__(self, blocks: int, runs: int) -> Mapping[str, Sequence[float]]:
        found = self.shop.runs(blocks, runs)
        return {target.name: self._values(target, blocks, found) for target in self.targets}

    def _values(self, target: Target, blocks: int, found: Sequence[RunTables]) -> list[float]:
        """Of the runs that know the figure; a share of nothing is left out."""
        values = [of_run(target.figure, tables, self.shop.before) for tables in found]
        known = [value for value in values if value is not None]
        if len(known) < 2:
            raise NoTarget(
                f"at {blocks:,} blocks a week nothing is left of what {target.name} is a share of; "
                "search in a narrower range with --from and --to, or leave out this target"
            )
        return known


def _known(shop: _Shop, begin: int, asked: Asked) -> tuple[tuple[Target, ...], tuple[str, ...]]:
    """Targets that the farm has figures for; and the usual ones that it has none for."""
    found = shop.runs(begin, FEWEST)
    told = {
        target.name: sum(of_run(target.figure, tables, shop.before) is not None for tables in found) > 1
        for target in (asked.targets or USUAL)
    }
    unknown = tuple(name for name, is_known in told.items() if not is_known)
    if asked.targets and unknown:
        raise NoTarget(
            f"this farm has no figure for {unknown[0]}: it has nothing that this is counted or is a share of"
        )
    targets = tuple(target for target in (asked.targets or USUAL) if told[target.name])
    if not targets:
        raise NoTarget("this farm has no figure for any of the usual targets; give one with --target")
    return targets, unknown


# --- what fails first -----------------------------------------------------------------------------------------------


def _why(shop: _Shop, climbed: Climbed) -> Why | None:
    """What fails first at the lowest level that does, and what was seen there beside the level below."""
    leaning = [rung.level for rung in climbed.rungs if not rung.leans and rung.level >= (climbed.guess or 0)]
    failing = climbed.high or min(leaning, default=None)
    if failing is None:
        return None
    below = climbed.low or max((rung.level for rung in climbed.rungs if rung.level < failing), default=None)
    missed = sorted(climbed.at(failing).missed, key=lambda each: (each.target != climbed.first, -how_far(each)))
    seen = shop.seen(failing)
    if below is None:
        return Why(failing, None, missed[0], tuple(missed[1:]), seen, ())
    more = more_lots(shop.told(below), shop.told(failing))
    return Why(failing, below, missed[0], tuple(missed[1:]), worst_first(shop.seen(below), seen), more)


def worst_first(before: tight.Seen, after: tight.Seen) -> tight.Seen:
    """What looks tight, that first which got worst: places by hours that lots waited more, then crews by bad hours."""
    waited = {one.name: one.waited * one.wait for one in before.places}
    bad = {one.name: len(one.bad) + one.overtime for one in before.crews}
    worse = {one.name: one.waited * one.wait - waited.get(one.name, 0.0) for one in after.places}
    worse |= {one.name: len(one.bad) + one.overtime - bad.get(one.name, 0.0) for one in after.crews}
    crews = {one.name for one in after.crews}
    return replace(after, tight=tuple(sorted(after.tight, key=lambda name: (name in crews, -worse[name]))))


def more_lots(before: Farm, after: Farm) -> tuple[MoreLots, ...]:
    """Lines that are cut into more lots, or cooked in more loads, than at another level."""
    load = None if before.sterilizer is None else int(before.sterilizer.load)
    found = []
    for first, last in zip(before.start, after.start, strict=True):
        loads = load if first.made == "here" else None
        weeks = [week_of(each, int(after.farm.lot), loads) for each in (first, last)]
        lots = len(weeks[0]), len(weeks[1])
        cooked = (
            None if loads is None else (len({slot.load for slot in weeks[0]}), len({slot.load for slot in weeks[1]}))
        )
        if lots[1] > lots[0] or (cooked is not None and cooked[1] > cooked[0]):
            found.append(MoreLots(last.name, lots, cooked, min(slot.blocks for slot in weeks[1])))
    return tuple(found)
