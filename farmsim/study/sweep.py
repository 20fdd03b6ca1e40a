"""One or two figures of a farm swept over values: what each brings, how surely, and from where on no more is gained.

Every value is a farm of its own, run on the same luck as all others. A value that the farm's rules forbid, or at which a
run cannot go on, is told with its reason, and the others stand. All intervals told hold together (the risk is shared out
over every figure at every value, and over the pairs of values from which it is told where more is no longer gained).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
import pandas as pd

from farmsim.errors import RunStuck, ScenarioFault
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.figure_at import Figures, NoSuchFigure
from farmsim.scenario.figure_range import Tried, is_own, own_said, tried
from farmsim.study import bounds
from farmsim.study.changes import in_force, weeks_before
from farmsim.study.compare import FEWEST_RUNS, TOO_FEW, Difference, difference, lines_told
from farmsim.study.headlines import BLOCKS_SOLD, DELIVERED, SOLD, Headline, by_run, money_judged
from farmsim.study.precision import SURE, half_width
from farmsim.study.trials import Brief, Case, NotComparable, Trials
from farmsim.units import HOURS_A_WEEK

FEWEST_POINTS, MOST_POINTS = 2, 100  # values, or pairs of values, of one sweep
FIELDS = 2
MUSHROOMS, BLOCKS = (SOLD, DELIVERED), (BLOCKS_SOLD,)
"""Figures of which more is better, as money is: from where on no more is gained is told; blocks where nothing else is sold."""


@dataclass(frozen=True)
class Axis:
    """One swept figure.

    name: its path; said: its values, without their unit; numbers: the same as numbers, None for words
    own: which of them is the farm's own, None when none is
    """

    name: str
    unit: str
    said: tuple[str, ...]
    numbers: tuple[float, ...] | None
    own: int | None
    own_said: str


@dataclass(frozen=True)
class Point:
    """One value, or pair of values, that was tried.

    at: which value of each axis; fault: why it is not possible, "" when it is
    differences: every figure against the base, in one order for all points; none when it is not possible
    """

    at: tuple[int, ...]
    fault: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class Best:
    """Where one figure is best, of which more is better [unit of the figure].

    unbeaten: points than which no other surely brings more
    means: average at each point, not a number where it is not possible
    gained: the first unbeaten point against the first possible one; None when that is the same point
    open: no point brings more than this above the first unbeaten one, surely
    """

    name: str
    unit: str
    unbeaten: tuple[int, ...]
    means: tuple[float, ...]
    gained: Difference | None
    open: float

    @property
    def says_nothing(self) -> bool:
        """Whether `open` is more than a difference of shares can be at all."""
        return self.unit == "share" and self.open > 1.0


@dataclass(frozen=True)
class Swept:
    """Everything a sweep found.

    base: the point all others are held against; is_own: whether it is the farm as its file has it
    sure: all intervals together hold so surely [1]
    figures: every run's figures, one row a point and run, each with its unit in brackets behind its name
    nobody_buys: whether no farm that was tried has a customer in the weeks told
    """

    farm: str
    system: str
    currency: str
    start: str
    runs: int
    weeks: int
    since: int
    seed: int
    lead_in: int
    sure: float
    axes: tuple[Axis, ...]
    points: tuple[Point, ...]
    base: int
    is_own: bool
    best: tuple[Best, ...]
    intervals: int
    figures: pd.DataFrame
    nobody_buys: bool = False

    def said(self, at: int) -> tuple[str, ...]:
        """The values of a point in words."""
        return tuple(axis.said[place] for axis, place in zip(self.axes, self.points[at].at, strict=True))

    @property
    def possible(self) -> list[int]:
        """The points that could be run."""
        return [at for at, point in enumerate(self.points) if not point.fault]

    @property
    def table(self) -> pd.DataFrame:
        """One row a point and figure: its average, the difference to the base and where it surely lies."""
        rows: list[dict[str, object]] = []
        for at, point in enumerate(self.points):
            values = {
                key: told
                for axis, said in zip(self.axes, self.said(at), strict=True)
                for key, told in ((axis.name, said), (f"{axis.name} unit", axis.unit))
                if key == axis.name or axis.unit
            }
            about: dict[str, object] = {**values, "base": "yes" if at == self.base else "no", "fault": point.fault}
            rows += [{**about, **_row(line)} for line in point.differences] or [about]
        return pd.DataFrame(rows)

    @property
    def as_plain(self) -> dict[str, object]:
        """Everything but the single runs, as JSON holds it."""
        about = {"farm": self.farm, "start": self.start, "weeks": self.weeks, "from_week": self.since + 1}
        ran = {"runs": self.runs, "seed": self.seed, "lead_in": self.lead_in, "sure": self.sure}
        axes = [
            {"figure": axis.name, "unit": axis.unit, "values": list(axis.said), "own": axis.own_said}
            for axis in self.axes
        ]
        points = [
            {
                "values": list(self.said(at)),
                "fault": point.fault or None,
                "figures": [_row(line) for line in point.differences],
            }
            for at, point in enumerate(self.points)
        ]
        best = [
            {
                "figure": one.name,
                "unit": one.unit,
                "no_other_is_surely_better": [list(self.said(at)) for at in one.unbeaten],
                "any_other_at_most_more": None if one.says_nothing else one.open,
                "note": TOO_FEW if one.says_nothing else "",
            }
            for one in self.best
        ]
        base = {"base": list(self.said(self.base)), "base_is_the_farms_own": self.is_own}
        return {**about, **ran, **base, "swept": axes, "points": points, "best": best}


def _row(line: Difference) -> dict[str, object]:
    told = {"figure": line.name, "unit": line.unit, "average": line.change, "difference": line.mean}
    return {**told, **line.lies, "runs_needed": line.needed}


@dataclass(frozen=True)
class Grid:
    """What a sweep tries: farms at every value or pair of values, a reason where there is none."""

    base: Farm
    swept: tuple[Tried, ...]
    places: tuple[tuple[int, ...], ...]
    farms: tuple[Farm | str, ...]

    @property
    def possible(self) -> int:
        """How many of the farms can be run."""
        return sum(not isinstance(farm, str) for farm in self.farms)


def grid(figures: Figures, fields: Sequence[str]) -> Grid:
    """The farms of a sweep.

    fields: one or two figures with their values, "crew.pickers.people=2:5:1"
    Goes wrong when a figure or its values make no sense (NoSuchFigure), or nothing at all can be run (ScenarioFault).
    """
    if not 1 <= len(fields) <= FIELDS:
        raise NoSuchFigure(f"one or two figures are swept at once, not {len(fields)}")
    swept = tuple(tried(figures, field) for field in fields)
    if len({each.spot.name for each in swept}) < len(swept):
        raise NoSuchFigure(f"{swept[0].spot.name} is swept twice; name two figures, or one")
    places = tuple(product(*(range(len(each.values)) for each in swept)))
    if len(places) > MOST_POINTS:
        sizes = " x ".join(str(len(each.values)) for each in swept)
        raise NoSuchFigure(
            f"{sizes} values make {len(places):,} farms; at most {MOST_POINTS} are tried. Take larger steps"
        )
    farms: list[Farm | str] = []
    last: ScenarioFault | None = None
    for at in places:
        try:
            farms.append(
                figures.farm_with(
                    [(each.spot, each.values[place].written) for each, place in zip(swept, at, strict=True)]
                )
            )
        except ScenarioFault as fault:
            farms.append(str(fault.faults[0]))
            last = last or fault
    if last is not None and all(isinstance(farm, str) for farm in farms):
        raise last
    return Grid(figures.farm, swept, places, tuple(farms))


def sweep(tries: Grid, runs: int = 20, brief: Brief | None = None) -> Swept:
    """Simulate every farm of a sweep on the same luck and put them side by side.

    runs: how many of each farm [runs]
    Goes wrong when fewer than two farms can be run: NotComparable; when a number is out of bounds: NotAllowed.
    """
    runs, brief = bounds.whole("runs", runs, FEWEST_RUNS, bounds.MOST_RUNS), brief or Brief()
    _enough(tries.possible, tries.farms)
    with Trials(tries.base, brief) as trials:
        trials.expect(runs * tries.possible)
        found = [farm if isinstance(farm, str) else _runs(trials, farm, runs) for farm in tries.farms]
        weeks, lead_in = trials.weeks, trials.lead_in
    ran = {at: each for at, each in enumerate(found) if not isinstance(each, str)}
    _enough(len(ran), found)
    before = max(weeks_before(farm, weeks) for farm in (tries.base, *tries.farms) if isinstance(farm, Farm))
    lines = _known(lines_told(ran.values()), ran, before)
    values = {at: {line: _one_a_run(line, each, before) for line in lines} for at, each in ran.items()}
    axes = tuple(_axis(each) for each in tries.swept)
    own = tuple(axis.own for axis in axes)
    base = next((at for at in values if tries.places[at] == own), min(values))
    answers = _answers(lines, money_judged([tables for each in ran.values() for tables in each]))
    told = len(lines) * (len(values) - 1) + len(answers) * math.comb(len(values), 2)
    points = tuple(
        Point(tries.places[at], each, ()) if isinstance(each, str)
        else Point(tries.places[at], "", tuple(difference(line, values[base][line], values[at][line], told) for line in lines))
        for at, each in enumerate(found)
    )  # fmt: skip
    best = tuple(_best(line, {at: each[line] for at, each in values.items()}, len(found), told) for line in answers)
    about = tries.base.farm
    return Swept(about.name, about.units, about.currency, about.start.isoformat(), runs, weeks - before, before, brief.seed,
                 lead_in, SURE, axes, points, base, tries.places[base] == own, best, told,
                 _figures(axes, tries.places, values), _nobody_buys(tries.farms, before))  # fmt: skip


def _nobody_buys(tried: Sequence[Farm | str], before: int) -> bool:
    states = [in_force(farm, before * HOURS_A_WEEK) for farm in tried if isinstance(farm, Farm)]
    return not any(state.has_customers for state in states)


def _enough(possible: int, tried: Sequence[object]) -> None:
    """See that there are farms to put side by side; those that cannot be run stand as the reason why."""
    if possible < FEWEST_POINTS:
        reason = next(each for each in tried if isinstance(each, str))
        all_of = f"only {possible} of {len(tried)} farms can be run, so nothing can be put side by side"
        raise NotComparable(f"{all_of}. {reason}")


def _runs(trials: Trials, farm: Farm, runs: int) -> list[RunTables] | str:
    """The runs of a farm, or why they cannot go on."""
    try:
        return trials.take([Case(farm, number) for number in range(runs)])
    except RunStuck as stuck:
        return stuck.message


def _known(lines: Sequence[Headline], ran: dict[int, list[RunTables]], before: int) -> list[Headline]:
    """The figures that every run of every farm has; a share of nothing is left out."""
    return [line for line in lines if all(by_run(line, runs, before) is not None for runs in ran.values())]


def _one_a_run(line: Headline, runs: Sequence[RunTables], before: int) -> list[float]:
    return by_run(line, runs, before) or []


def _answers(lines: Sequence[Headline], money: Headline) -> list[Headline]:
    """What is to be as much as can be, as far as the farm knows it."""
    found = [line for line in (money, *MUSHROOMS) if line in lines]
    return found or [line for line in BLOCKS if line in lines]


def _axis(one: Tried) -> Axis:
    numbers = tuple(value.number for value in one.values if value.number is not None)
    own = next((at for at, value in enumerate(one.values) if is_own(one, value)), None)
    return Axis(one.spot.name, one.unit, tuple(value.said for value in one.values),
                numbers if one.is_ordered else None, own, own_said(one))  # fmt: skip


def _best(line: Headline, values: dict[int, list[float]], points: int, told: int) -> Best:
    """Where a figure is best: judged by every pair of points.

    values: one a run, by point; told: intervals that are to hold together
    """
    sure = 1 - (1 - SURE) / told
    beaten: set[int] = set()
    above: dict[tuple[int, int], float] = {}
    for one, other in combinations(values, 2):
        pairs = np.subtract(values[other], values[one])
        mean, give = float(pairs.mean()), half_width(pairs, sure)
        above[one, other], above[other, one] = mean + give, give - mean
        if mean - give > 0:
            beaten.add(one)
        elif mean + give < 0:
            beaten.add(other)
    unbeaten = tuple(at for at in values if at not in beaten)
    start, first = min(values), unbeaten[0]
    means = tuple(math.fsum(values[at]) / len(values[at]) if at in values else math.nan for at in range(points))
    gained = difference(line, values[start], values[first], told) if first != start else None
    return Best(line.name, line.unit, unbeaten, means, gained, max(above[first, at] for at in values if at != first))


def _figures(
    axes: Sequence[Axis], places: Sequence[tuple[int, ...]], values: dict[int, dict[Headline, list[float]]]
) -> pd.DataFrame:
    parts = []
    for at, lines in values.items():
        part = pd.DataFrame({f"{line.name} [{line.unit}]": each for line, each in lines.items()})
        part.insert(0, "run", range(len(part)))
        for place, (axis, which) in enumerate(zip(axes, places[at], strict=True)):
            part.insert(place, axis.name, axis.said[which])
        parts.append(part)
    return pd.concat(parts, ignore_index=True)
