"""How many blocks of each strain to start: by arithmetic first, then put right by what came short or was too much in runs.

What is asked of a strain is what is promised of it, fresh and in blocks, and what market stalls sell of it. How much more than
that has to ripen follows from how unevenly it comes: of a supply r times what is asked, E[min(r, D)] is delivered, where D
is what is asked, 1 on average and lognormal. The spread of D is taken from what a run delivered at its own r.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import fmean

import numpy as np

from farmsim.record.measures import RunTables
from farmsim.scenario import averages, check
from farmsim.scenario.averages import Need
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import a_week, flow, promised_fresh, stalls_sell
from farmsim.scenario.stall import usually_sold
from farmsim.scenario.vary import MeanCv

Blocks = Mapping[str, float]
"""Blocks a week of the average year, by strain."""
FINE = 0.025  # of a line's blocks: lots are kept whole where a lot is no more than that
PARTS = (1, 2, 5, 10, 20, 50)  # of a lot, where a whole one is too coarse
MOST_CREWS = 8  # whose duties are looked at in all combinations
LEAST_STEP, MOST_STEP = 0.6, 1.5  # by which a strain is changed at once, at most
MOST_KEPT = 0.999  # delivered of what is asked: beyond it runs cannot tell how unevenly it comes
WIDEST = 3.0  # spread that is still believed, standard deviation over mean


@dataclass(frozen=True)
class Asked:
    """What is asked of a strain in a week of the average year: orders, stalls [kg/week], blocks to sell [blocks/week]."""

    orders: float
    stalls: float
    blocks: float

    @property
    def fresh(self) -> float:
        """Mushrooms, all together [kg/week]."""
        return self.orders + self.stalls


@dataclass(frozen=True)
class Seen:
    """What runs saw of one strain, a week on average [blocks or kg a week].

    fresh_kept: delivered and sold at stalls, of what is asked; blocks_kept: the same of blocks; None: nothing is asked [share]
    good: share of the blocks that do not go bad
    """

    started: float
    fruited: float
    sold: float
    firsts: float
    thrown_out: float
    asked: Asked
    fresh_kept: float | None
    blocks_kept: float | None
    good: float

    def short(self, fresh: float, blocks: float) -> float:
        """How much is missing to two bounds, of what is asked [share, fresh and blocks together]."""
        kept = ((self.fresh_kept, fresh), (self.blocks_kept, blocks))
        return sum(max(0.0, bound - share) for share, bound in kept if share is not None)


def asked(farm: Farm) -> dict[str, Asked]:
    """What is asked of every strain that is started."""
    return {
        name: Asked(promised_fresh(farm, name), stalls_sell(farm, name), flow(farm, name).promised)
        for name in dict.fromkeys(line.strain for line in farm.start)
    }


def started(farm: Farm) -> dict[str, float]:
    """Blocks of every strain that are started in a week of the average year [blocks/week]."""
    found = dict.fromkeys((line.strain for line in farm.start), 0.0)
    for line in farm.start:
        found[line.strain] += a_week(line)
    return found


def grain(blocks: float, lot: float) -> int:
    """In what steps a line of so many blocks is told: whole lots, or parts of one where that would be too coarse [blocks]."""
    parts = (round(lot / part) for part in PARTS if lot % part == 0)
    return next((part for part in parts if 1 <= part <= FINE * blocks), 1)


def with_starts(farm: Farm, blocks: Blocks, down: bool = False) -> Farm:
    """The farm with so many blocks of each strain; its lines keep their proportions, and are rounded up to whole steps.

    down: rounded down instead, never to nothing
    """
    now, lines = started(farm), []
    for line in farm.start:
        wanted = blocks.get(line.strain, now[line.strain])
        if now[line.strain] <= 0 or wanted == now[line.strain]:
            lines.append(line)
            continue
        exact = line.blocks * wanted / now[line.strain]
        step = grain(exact, farm.farm.lot)
        steps = max(1, math.floor(exact / step + 1e-6)) if down else math.ceil(exact / step - 1e-6)
        lines.append(line.but(blocks=float(steps * step)))
    return farm.but(start=tuple(lines))


# --- by arithmetic --------------------------------------------------------------------------------------------------


def supply_for(aim: float, spread: float) -> float:
    """How much has to ripen, of what is asked, so that the aim is delivered on average [share].

    aim: to be delivered of what is asked [share]; spread: of what is asked over what comes, standard deviation over mean
    """
    return _where(lambda supply: usually_sold(supply, MeanCv(1.0, spread)) - min(aim, MOST_KEPT), 0.0, 20.0)


def spread_of(supply: float, kept: float) -> float:
    """How uneven it must be when of a supply so much is delivered [standard deviation over mean]."""
    if kept >= min(supply, 1.0) - 1e-6:
        return 0.0
    return _where(lambda spread: kept - usually_sold(supply, MeanCv(1.0, spread)), 0.0, WIDEST)


def _where(rises: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function meets 0, by halving."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if rises(middle) < 0 else (low, middle)
    return high


def firsts_a_block(farm: Farm, name: str) -> float:
    """Firsts that a fruited block brings when all is picked in time [kg/block]."""
    strain = farm.strain[name]
    return strain.yield_.mean * fmean(farm.months.yield_) / strain.picking.saleable * strain.picking.late[0].firsts


def by_arithmetic(farm: Farm, fresh: float, blocks: float) -> dict[str, float]:
    """Blocks a week of each strain by averages: what is asked, mould and the unevenness of lots counted [blocks/week].

    fresh, blocks: to be delivered of what is asked [share]
    A strain of which nothing is asked stays as it is.
    """
    now, found = started(farm), {}
    for name, want in asked(farm).items():
        if want.fresh <= 0 and want.blocks <= 0:
            found[name] = now[name]
            continue
        firsts, strain = firsts_a_block(farm, name), farm.strain[name]
        lots = max(1.0, want.fresh / firsts / farm.farm.lot)
        fruited = want.fresh * supply_for(fresh, strain.yield_.cv_lot / math.sqrt(lots)) / firsts
        found[name] = (fruited + want.blocks * blocks) / (1 - strain.contaminated.mean)
    return found


# --- what averages refuse -------------------------------------------------------------------------------------------


def refused(farm: Farm) -> list[Need]:
    """Every place, and every group of people, of which averages need more than there is; the worst first."""
    found = [need for need in (*averages.place_needs(farm), *work_needs(farm)) if need.share > 1]
    return sorted(found, key=lambda need: -need.share)


def work_needs(farm: Farm) -> Iterator[Need]:
    """Hours of the duties that only some crews have, against all hours of these crews: no sharing out helps beyond that."""
    hours, crews = averages.duty_hours(farm), [(crew, averages.crew_hours(crew)) for crew in farm.crew]
    sizes = range(1, len(crews) + 1) if len(crews) <= MOST_CREWS else (1, len(crews))
    told: set[tuple[str, ...]] = set()
    for size in sizes:
        for group in combinations(crews, size):
            able = {crew.name for crew, _ in group}
            duties = tuple(duty for duty in hours if hours[duty] > 0 and _only(farm, duty, able))
            if duties and duties not in told:
                told.add(duties)
                need, have = sum(hours[duty] for duty in duties), sum(there for _, there in group)
                names, path = " and ".join(crew.name for crew, _ in group), ("crew",)
                yield Need(names, "hours a week", need, have, path, ", ".join(duties))


def _only(farm: Farm, duty: str, able: set[str]) -> bool:
    """Whether somebody has the duty, and nobody but these crews."""
    having = {crew.name for crew in farm.crew if duty in crew.all_duties}
    return bool(having) and having <= able


def fitted(farm: Farm, blocks: Blocks) -> dict[str, float]:
    """The same plan made as small as averages ask for: what needs too much of a place or crew is cut in proportion."""
    cut = dict(blocks)
    for _ in range(40):
        tried = with_starts(farm, cut)
        over = refused(tried)
        guilty, need = next(((who, need) for need in over if (who := _guilty(farm, cut, need))), ((), None))
        if need is None:
            return cut
        for name in guilty:
            cut[name] *= max(0.8, min(0.995, 0.998 / need.share))
    return cut


def _guilty(farm: Farm, blocks: Blocks, need: Need) -> tuple[str, ...]:
    """The strains of which fewer blocks would need less of it."""
    return tuple(
        name for name in blocks if _need_of(farm, {**blocks, name: 0.8 * blocks[name]}, need) < need.need - 1e-9
    )


def _need_of(farm: Farm, blocks: Blocks, need: Need) -> float:
    tried = with_starts(farm, blocks)
    every = (*averages.place_needs(tried), *work_needs(tried))
    return next((each.need for each in every if (each.name, each.unit) == (need.name, need.unit)), 0.0)


def can_be_read(farm: Farm) -> bool:
    """Whether no rule between figures is broken: a file with these starts would be taken."""
    return not check.faults(farm) and not check.plan_faults(farm)


# --- put right by runs ----------------------------------------------------------------------------------------------


def seen(farm: Farm, runs: Sequence[RunTables], weeks: int) -> dict[str, Seen]:
    """What runs of a farm saw, strain by strain.

    runs: their tables, "strains" among them; weeks: of each run [weeks]
    """
    found, now = {}, started(farm)
    span = len(runs) * weeks
    for name, want in asked(farm).items():
        row = {column: _sum(runs, name, column) / span for column in _COLUMNS}
        asked_for = Asked(row["promised_kg"], want.stalls, row["blocks_promised"])
        kept = (row["delivered_kg"] + min(row["stall_kg"], want.stalls)) / asked_for.fresh if asked_for.fresh else None
        blocks = row["blocks_delivered"] / asked_for.blocks if asked_for.blocks else None
        thrown = row["culls_kg"] + row["past_date_kg"] + row["stall_lost_kg"]
        good = 1 - farm.strain[name].contaminated.mean
        found[name] = Seen(now[name], row["blocks_fruited"], row["blocks_sold"], row["firsts_kg"], thrown, asked_for,
                           kept, blocks, good)  # fmt: skip
    return found


_COLUMNS = ("promised_kg", "delivered_kg", "stall_kg", "stall_lost_kg", "firsts_kg", "culls_kg", "past_date_kg",
            "blocks_promised", "blocks_delivered", "blocks_fruited", "blocks_sold")  # fmt: skip


def _sum(runs: Sequence[RunTables], strain: str, column: str) -> float:
    total = 0.0
    for tables in runs:
        table = tables["strains"]
        total += float(np.asarray(table[column], dtype=float)[list(table["strain"]).index(strain)])
    return total


def put_right(before: Mapping[str, Seen], fresh: float, blocks: float) -> dict[str, float]:
    """Blocks a week of each strain after what runs saw: more where it was short of the aims, fewer where there was more.

    fresh, blocks: aims, to be delivered of what is asked [share]
    """
    return {name: _put_right(one, fresh, blocks) for name, one in before.items()}


def _put_right(one: Seen, fresh: float, blocks: float) -> float:
    if one.fresh_kept is None and one.blocks_kept is None:
        return one.started
    more = 0.0
    if one.fresh_kept is not None and one.firsts > 0:
        supply = one.firsts / one.asked.fresh
        wanted = supply_for(fresh, spread_of(supply, min(one.fresh_kept, MOST_KEPT)))
        more += one.fruited * (wanted / supply - 1)
    elif one.fresh_kept is not None:
        more += one.started * (MOST_STEP - 1)  # nothing was picked: no run can tell how much it takes
    if one.blocks_kept is not None:
        spare = 0.0 if one.fresh_kept is not None else one.fruited  # nobody asks for its mushrooms
        more += max(0.0, blocks - one.blocks_kept) * one.asked.blocks - spare / 2 * (one.blocks_kept > blocks)
    step = 1 + more / one.good / one.started if one.started else 1.0
    return one.started * min(MOST_STEP, max(LEAST_STEP, step))
