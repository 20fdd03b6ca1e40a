"""On which weekdays to start a line, so that it ripens when somebody picks, and is picked shortly before it leaves.

By arithmetic: from a start on a weekday follow, hour by hour of the week, when a lot is ripe, when people are there to soak
and open it, and on which mornings its mushrooms ripen. Only the day of the week is asked for, so weeks are folded into one.
Waiting for a shelf is left out. Times that spread over more than a week wash the weekday out, and then it hardly matters.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from farmsim.model.luck import draw
from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import LAST_OF_A_LOT
from farmsim.scenario.sales import Start
from farmsim.scenario.staffing import duty_hours_of
from farmsim.scenario.strain import Strain
from farmsim.scenario.values import DAYS, MONTHS
from farmsim.scenario.vary import Fixed, MeanCv, RangeMean, Vary
from farmsim.units import HOURS_A_DAY, HOURS_A_WEEK

WEEK, DAY = int(HOURS_A_WEEK), int(HOURS_A_DAY)
POINTS = 480  # of a spread, equally likely
NOON = 12  # a task of the morning is taken to be done by then [h of the day]
LOST_MATTERS, WAIT_MATTERS = 0.01, 0.5  # share of the weight; days in the cooler
ALIKE = 1e-9
Chances = NDArray[np.float64]
"""Chance of each hour, or each day, of a week; they add up to 1."""


@dataclass(frozen=True)
class StartDay:
    """What comes of starting on one weekday, by arithmetic.

    lost: of the weight, graded down for a late picking or past its date before the next delivery [share]
    waits: from the day of picking to the day of delivery [days]
    """

    lost: float
    waits: float


@dataclass(frozen=True)
class Weekdays:
    """The weekdays of one line: as they are, the proposed ones, and what either costs.

    spread: of the time from start to first pick, standard deviation [days]
    by_day: what comes of a start on Mon ... Sun; None: nobody could start it then
    ripe: for a start on Mon ... Sun, on which weekdays it ripens, Mon to Sun [share]
    """

    line: str
    strain: str
    now: tuple[str, ...]
    proposed: tuple[str, ...]
    spread: float
    by_day: tuple[StartDay | None, ...]
    ripe: tuple[tuple[float, ...], ...]

    @property
    def picks(self) -> tuple[float, ...]:
        """On which weekdays what the proposed days bring ripens, Mon to Sun [share]."""
        of_days = [self.ripe[DAYS.index(day)] for day in self.proposed]
        return tuple(sum(each[at] for each in of_days) / len(of_days) for at in range(7))

    @property
    def uneven(self) -> float:
        """The weekday on which most ripens, over the least, after a start on one day [ratio; 1: the weekday is washed out]."""
        return max(max(each) / max(min(each), 1e-6) for each in self.ripe)

    @property
    def matters(self) -> bool:
        """Whether the days were worth a change."""
        return self.now != self.proposed

    def of(self, days: Sequence[str]) -> StartDay:
        """What comes of starting on several days, each alike."""
        return _mean([each for day in days if (each := self.by_day[DAYS.index(day)]) is not None])


def weekdays(farm: Farm) -> tuple[Weekdays, ...]:
    """The weekdays of every line, in the order of the file; each line's are kept unless a change is worth it."""
    found = as_started(farm, farm)
    return tuple(_with(one, _proposed(farm, at, one.by_day)) for at, one in enumerate(found))


def as_started(farm: Farm, was: Farm) -> tuple[Weekdays, ...]:
    """The weekdays on which a farm's lines are started, whatever they were before."""
    found = []
    for line, before in zip(farm.start, was.start, strict=True):
        able = {*able_days(farm, line), *line.days, *before.days}
        ripe = tuple(ripe_days(farm, line, day) for day in range(7))
        value = _values(farm, line.strain)
        by_day = tuple(_cost(ripe[day], value) if DAYS[day] in able else None for day in range(7))
        told = tuple(tuple(float(share) for share in each) for each in ripe)
        found.append(Weekdays(line.name, line.strain, before.days, line.days, spread_days(farm, line), by_day, told))
    return tuple(found)


def _with(one: Weekdays, days: tuple[str, ...]) -> Weekdays:
    return one if days == one.proposed else replace(one, proposed=days)


def with_days(farm: Farm, chosen: Sequence[Weekdays]) -> Farm:
    """The farm with the proposed days."""
    return farm.but(start=tuple(line.but(days=one.proposed) for line, one in zip(farm.start, chosen, strict=True)))


def able_days(farm: Farm, line: Start) -> tuple[str, ...]:
    """Days on which the line can be started: somebody mixes, or inoculates; bought blocks: anybody is there."""
    duty = "mix" if farm.mix is not None else "inoculate" if farm.clean_bench is not None else None
    return days_with(farm, None if line.made == "bought" else duty)


def days_with(farm: Farm, duty: str | None) -> tuple[str, ...]:
    """Days of the week on which somebody has a duty; None: on which anybody is there."""
    return tuple(
        day
        for day in DAYS
        for there in [[crew for crew in farm.crew if day in averages.days_worked(crew)]]
        if (any(duty_hours_of(crew, day, duty) for crew in there) if duty else there)
    )


# --- when it ripens -------------------------------------------------------------------------------------------------


def ripe_days(farm: Farm, line: Start, start: int) -> Chances:
    """Chance that what a start on a weekday brings ripens on Mon, ..., Sun, by weight over all flushes.

    start: 0 is Monday
    """
    strain, found = farm.strain[line.strain], np.zeros(7)
    for factor in _month_factors(farm, line):
        ripe = _rolled(_until_ripe(farm, line, factor), start * DAY + _made_at(farm, line, start))
        shelved = _counted(_shelving(farm, strain), 7, ripe)
        found += _over_flushes(strain, shelved, factor)
    whole: Chances = found / found.sum()
    return whole


def _counted(at: NDArray[np.int64], bins: int, weights: Chances | None = None) -> Chances:
    """Share of each bin; all alike without weights."""
    found = np.bincount(at.ravel(), None if weights is None else weights.ravel(), bins).astype(np.float64)
    whole: Chances = found / found.sum()
    return whole


def _month_factors(farm: Farm, line: Start) -> list[float]:
    """Factors of the days in the months in which the line is started; once each when all are alike."""
    factors = [farm.months.days[at] for at, month in enumerate(MONTHS) if month in line.months]
    return sorted(set(factors)) if len(set(factors)) == 1 else factors


def _made_at(farm: Farm, line: Start, start: int) -> int:
    """Hours from the midnight of its start until its clocks run: delivery, or mixed, steamed, cooled and inoculated."""
    if line.made == "bought":
        return round(line.arrives)
    ready = NOON
    if farm.sterilizer is not None:
        ready = math.ceil(NOON + farm.sterilizer.cycle + farm.sterilizer.cool)
    if farm.clean_bench is None:
        return ready
    return _next(_open_hours(farm, "inoculate"), start * DAY + ready) - start * DAY


def _until_ripe(farm: Farm, line: Start, factor: float) -> Chances:
    """Hours from the beginning of its clocks until ripe, folded into a week."""
    strain = farm.strain[line.strain]
    if line.made == "bought":
        parts: tuple[Vary, ...] = (line.ripe_in or Fixed(0.0),)
    else:
        parts = (strain.colonise, strain.ripen)
    found = _rolled(np.eye(WEEK)[0], 0)
    for part in parts:
        hours = np.rint(points(part) * factor).astype(np.int64) % WEEK
        found = _added(found, _counted(hours, WEEK))
    return found


def points(vary: Vary) -> Chances:
    """Equally likely values of a time, from its low to its high end [h]."""
    at = (np.arange(POINTS) + 0.5) / POINTS
    return np.sort(draw(MeanCv(vary.mean, vary.sd / vary.mean) if isinstance(vary, RangeMean) else vary, at))


def _shelving(farm: Farm, strain: Strain) -> NDArray[np.int64]:
    """For each hour of the week at which a lot may become ripe, the weekday on which it is opened and shelved."""
    opens, soaks = _open_hours(farm, "open"), _open_hours(farm, "soak")
    return np.array([_shelved(strain, hour, opens, soaks) // DAY % 7 for hour in range(WEEK)], dtype=np.int64)


def _shelved(strain: Strain, ripe: int, opens: Chances, soaks: Chances) -> int:
    """The hour at which a lot that is ripe is opened: called so that soak and opening fall on days with people."""
    called = ripe
    for _ in range(8):
        ahead = called
        if "cold shock" in strain.steps and strain.cold_shock is not None:
            ahead += round(strain.cold_shock.usual)
        filled = ahead
        if "soak" in strain.steps and strain.soak is not None:
            filled = _next(soaks, ahead)
            ahead = _next(soaks, filled + math.ceil(strain.soak.least)) if filled // DAY == ahead // DAY else ahead
        opened = _next(opens, ahead)
        if opened // DAY == ahead // DAY and (filled // DAY == ahead // DAY or ahead > filled):
            return opened
        called = (called // DAY + 1) * DAY
    return called


def _over_flushes(strain: Strain, shelved: Chances, factor: float) -> Chances:
    """Weekdays on which the weight of all flushes ripens, from those of shelving."""
    found, begun = np.zeros(7), shelved
    for at, share in enumerate(strain.flushes.share):
        until = points(strain.first_pick if at == 0 else strain.next_pick)
        ripe = _added(begun, _mornings(until, strain.spread, factor))
        found += share * ripe
        between = strain.flushes.rest + LAST_OF_A_LOT * strain.spread + DAY * strain.flushes.soak_again
        begun = np.roll(_added(begun, _mornings(until, 0.0, factor)), round(between / DAY))
    return found


def _mornings(until: Chances, spread: float, factor: float) -> Chances:
    """Whole mornings after shelving on which blocks of a lot ripen, folded into a week."""
    apart = _normal_points() * spread if spread > 0 else np.zeros(1)
    days = np.maximum(1, np.rint(np.rint((until[:, None] + apart[None, :]) / DAY) * factor)).astype(np.int64) % 7
    return _counted(days, 7)


def _normal_points() -> Chances:
    from scipy.special import ndtri

    return np.asarray(ndtri((np.arange(24) + 0.5) / 24), dtype=float)


def _added(one: Chances, other: Chances) -> Chances:
    """The spread of the sum of two times, round the week."""
    both = np.maximum(np.fft.irfft(np.fft.rfft(one) * np.fft.rfft(other), len(one)), 0.0)
    whole: Chances = both / both.sum()
    return whole


def _rolled(chances: Chances, hours: int) -> Chances:
    return np.roll(chances, hours % len(chances))


def _open_hours(farm: Farm, duty: str) -> Chances:
    """1 in every hour of the week that begins with somebody there for the duty; everybody's days off left out."""
    found = np.zeros(WEEK)
    for crew in farm.crew:
        for day in averages.days_worked(crew):
            for begin, end in duty_hours_of(crew, day, duty):
                for hour in range(math.ceil(begin), math.ceil(end)):
                    found[(DAYS.index(day) * DAY + hour) % WEEK] = 1.0
    return found


def _next(hours: Chances, when: int) -> int:
    """The first of these hours at or after a moment; the moment itself when there is none at all [h]."""
    return next((hour for hour in range(when, when + WEEK) if hours[hour % WEEK]), when)


def spread_days(farm: Farm, line: Start) -> float:
    """How far starts of a line spread until their first pick [days], standard deviation."""
    strain = farm.strain[line.strain]
    ripe = [line.ripe_in or Fixed(0.0)] if line.made == "bought" else [strain.colonise, strain.ripen]
    return math.sqrt(sum(each.sd**2 for each in (*ripe, strain.first_pick)) + strain.spread**2) / DAY


# --- what it costs --------------------------------------------------------------------------------------------------


def _values(farm: Farm, name: str) -> list[StartDay]:
    """What becomes of what ripens on Mon, ..., Sun: picked on the next day with pickers, out with the next delivery."""
    strain, picks, packs = farm.strain[name], _open_hours(farm, "pick"), _open_hours(farm, "pack")
    found = []
    for day in range(7):
        picked = _next(picks, day * DAY) // DAY
        grades = strain.picking.late
        late = max(0, picked - day - max(0, int(strain.picking.window // DAY) - 1))
        lost = 1 - grades[min(late, len(grades) - 1)].firsts / (grades[0].firsts or 1.0)
        ready = max((hour + 1 for hour in range(picked * DAY, picked * DAY + DAY) if packs[hour % WEEK]), default=None)
        leaves = _next_delivery(farm, name, picked * DAY + DAY if ready is None else ready)
        if leaves is None:
            found.append(StartDay(lost, 0.0))
            continue
        if leaves - (picked * DAY + NOON) > strain.shelf_life:
            lost = 1.0
        found.append(StartDay(lost, float(int(leaves // DAY) - picked)))
    return found


def _next_delivery(farm: Farm, name: str, ready: float) -> float | None:
    """When the strain next leaves for somebody who is promised it, or for a stall [h]; None when nobody takes any."""
    hours = [
        DAYS.index(day) * DAY + customer.leave_by
        for customer in farm.customer
        if customer.kind != "outlet" and name in customer.may_take
        for day in customer.days
    ]
    return min((hour + WEEK * math.ceil((ready - hour) / WEEK) for hour in hours), default=None)


def _cost(picks: Chances, values: Sequence[StartDay]) -> StartDay:
    lost = sum(float(chance) * each.lost for chance, each in zip(picks, values, strict=True))
    return StartDay(lost, sum(float(chance) * each.waits for chance, each in zip(picks, values, strict=True)))


def _mean(each: Sequence[StartDay]) -> StartDay:
    return StartDay(sum(one.lost for one in each) / len(each), sum(one.waits for one in each) / len(each))


# --- the choice -----------------------------------------------------------------------------------------------------


def _proposed(farm: Farm, at: int, by_day: Sequence[StartDay | None]) -> tuple[str, ...]:
    """The days to start a line on: its own, unless others lose clearly less or leave clearly sooner, and can be made."""
    line = farm.start[at]
    known = {day: each for day, each in zip(DAYS, by_day, strict=True) if each is not None}
    best = min(known.values(), key=_rank)
    good = [day for day, each in known.items() if _as_good(each, best)]
    own_first = sorted(good, key=lambda day: (day not in line.days, _rank(known[day]), DAYS.index(day)))
    chosen = tuple(sorted(own_first[: len(line.days)], key=DAYS.index))
    now, then = _mean([known[day] for day in line.days]), _mean([known[day] for day in chosen])
    is_worth_it = now.lost - then.lost >= LOST_MATTERS or (
        now.waits - then.waits >= WAIT_MATTERS and then.lost <= now.lost + ALIKE
    )
    return chosen if is_worth_it and _can_be_made(farm, at, chosen) else line.days


def _rank(each: StartDay) -> tuple[float, float]:
    return round(each.lost, 3), each.waits


def _as_good(each: StartDay, best: StartDay) -> bool:
    return each.lost < best.lost + LOST_MATTERS and each.waits < best.waits + WAIT_MATTERS


def _can_be_made(farm: Farm, at: int, days: tuple[str, ...]) -> bool:
    """Whether, with a line on these days, no day mixes longer than people are there and steams more than fits."""
    lines = [line.but(days=days) if other == at else line for other, line in enumerate(farm.start)]
    if lines[at].made == "bought":
        return True
    for day in days:
        blocks = sum(line.blocks / len(line.days) for line in lines if line.made == "here" and day in line.days)
        if farm.mix is not None and blocks / farm.mix.pace > _hours_on(farm, day, "mix"):
            return False
    return averages.loads_a_week(farm.but(start=tuple(lines))) * (farm.sterilizer.cycle if farm.sterilizer else 0) <= (
        HOURS_A_WEEK * (farm.sterilizer.count if farm.sterilizer else 1)
    )


def _hours_on(farm: Farm, day: str, duty: str) -> float:
    """Hours of people with a duty on one day of the week [h]."""
    return sum(
        crew.people * averages.worked_hours(crew, crew.hours[day])
        for crew in farm.crew
        if day in averages.days_worked(crew) and duty_hours_of(crew, day, duty)
    )
