"""What a block brings when it is sold ready to fruit, against the same block fruited here.

Until it is ripe a block costs the same either way. Fruited here it takes a shelf for some weeks and hours of opening, picking,
packing and clearing, and brings mushrooms; sold it brings its price, and costs its boxing. What a block earns is defined in
`earns`, before wages; here the wages from ripe on are taken off, since these differ.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import flow
from farmsim.study import earns, frames
from farmsim.study.answers import Total
from farmsim.study.books_answers import Earns
from farmsim.study.strains import ON_BLOCKS

TABLES = ("weekly", "strains", "strain_hours")
BOX = "box"


@dataclass(frozen=True)
class Either:
    """One strain, block by block. What is not known, or of nothing, is None.

    of_100: of 100 good blocks, those sold ready to fruit, as runs saw it
    brings: saleable mushrooms of a fruited block [kg]; shelf_weeks: it takes; hours: of work after it is ripe [h]
    fruited: what a fruited block earns less the wages for that work [currency]; sold: what a sold one earns, less its boxing
    earns: what the strain earns before wages, as the books tell it; None of a farm without prices
    """

    strain: str
    of_100: float
    brings: float | None
    shelf_weeks: float | None
    hours: float | None
    fruited: float | None
    sold: float | None
    earns: Earns | None = None

    @property
    def a_shelf_week(self) -> float | None:
        """Saleable mushrooms for each week on a shelf [kg]."""
        return self.brings / self.shelf_weeks if self.brings is not None and self.shelf_weeks else None

    @property
    def an_hour(self) -> float | None:
        """Saleable mushrooms for each hour of work after it is ripe [kg]."""
        return self.brings / self.hours if self.brings is not None and self.hours else None


def sell_or_fruit(farm: Farm, runs: Sequence[RunTables]) -> tuple[Either, ...]:
    """Every strain, as runs of the farm saw it; paid as they were paid, wages as in its file with what goes on top.

    runs: their tables, those of TABLES among them, and `earns.TABLE` of a farm with prices
    """
    wanted = [name for name in (*TABLES, earns.TABLE) if name in runs[0]]
    every = frames.frames([{name: tables[name] for name in wanted} for tables in runs])
    told = earns.earns(every[earns.TABLE], len(runs[0]["weekly"]["week"])) if earns.TABLE in every else []
    earned = {each.strain: each for each in told}
    sums = every["strains"].drop(columns="run").groupby("strain", sort=False).sum()
    return tuple(
        _either(
            farm, {str(column): float(value) for column, value in row.items()}, every, str(name), earned.get(str(name))
        )
        for name, row in sums.to_dict("index").items()
        if row["blocks_fruited"] or row["blocks_sold"]
    )


def _either(
    farm: Farm, row: Mapping[str, float], every: Mapping[str, pd.DataFrame], name: str, earned: Earns | None
) -> Either:
    fruited, sold = row["blocks_fruited"], row["blocks_sold"] + row["blocks_sold_cheap"]
    hours = every["strain_hours"].query("strain == @name").groupby("duty", sort=False)["strain_hours"].sum()
    work = {str(duty): float(spent) for duty, spent in hours.items() if duty not in ON_BLOCKS}
    boxing = work.pop(BOX, 0.0) * _wage(farm, BOX)
    wages = sum(spent * _wage(farm, duty) for duty, spent in work.items())
    paid = _paid(every, name)
    return Either(
        strain=name,
        of_100=100 * sold / (fruited + sold),
        brings=(row["firsts_kg"] + row["seconds_kg"]) / fruited if fruited else None,
        shelf_weeks=row["shelf_weeks"] / fruited if fruited else None,
        hours=sum(work.values()) / fruited if fruited else None,
        fruited=_less(None if earned is None else earned.block_fruited, wages, fruited) if paid["mushrooms"] else None,
        sold=_less(None if earned is None else earned.block_sold, boxing, sold) if paid["blocks"] else None,
        earns=earned,
    )


def _paid(every: Mapping[str, pd.DataFrame], name: str) -> Mapping[str, bool]:
    """Whether anything is paid for a strain's mushrooms, and for its blocks."""
    table = every.get(earns.TABLE)
    rows = None if table is None else table[table["strain"] == name]
    return {what: rows is not None and bool(rows[what].any()) for what in ("mushrooms", "blocks")}


def _less(earned: Total | None, wages: float, blocks: float) -> float | None:
    """What a block earns, less wages for so many blocks [currency]."""
    return earned.mean.value - wages / blocks if earned is not None and blocks else None


def _wage(farm: Farm, duty: str) -> float:
    """Wage of the crew that a duty goes to, with what goes on top of all wages; nothing where none is given [currency/h]."""
    crew, costs = averages.first_for(farm, duty), farm.costs
    wage = 0.0 if crew is None or crew.wage is None else crew.wage
    return wage * (1.0 + (0.0 if costs is None else costs.on_costs))


def planned_share(farm: Farm, name: str) -> float:
    """Of all good blocks of a strain, those promised ready to fruit, on averages [share]."""
    usual = flow(farm, name)
    good = usual.sold + usual.fruited
    return usual.sold / good if good else 0.0
