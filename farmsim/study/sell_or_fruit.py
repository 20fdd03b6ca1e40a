"""What a block brings when it is sold ready to fruit, against the same block fruited here.

Until it is ripe a block costs the same either way. Fruited here it takes a shelf for some weeks and hours of opening, picking,
packing and clearing, and brings mushrooms; sold it brings its price, and costs its boxing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

import pandas as pd

from farmsim.record.measures import RunTables
from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import flow
from farmsim.scenario.prices import fresh_price, is_told, price_of
from farmsim.study import frames
from farmsim.study.strains import ON_BLOCKS

TABLES = ("strains", "strain_hours", "deliveries", "stalls")
BOX = "box"


@dataclass(frozen=True)
class Either:
    """One strain, block by block. What is not known, or of nothing, is None.

    of_100: of 100 good blocks, those sold ready to fruit, as runs saw it
    brings: saleable mushrooms of a fruited block [kg]; shelf_weeks: it takes; hours: of work after it is ripe [h]
    fruited: what its mushrooms were paid, less the wages for them [currency]; sold: the price of a block, less its boxing
    """

    strain: str
    of_100: float
    brings: float | None
    shelf_weeks: float | None
    hours: float | None
    fruited: float | None
    sold: float | None

    @property
    def a_shelf_week(self) -> float | None:
        """Saleable mushrooms for each week on a shelf [kg]."""
        return self.brings / self.shelf_weeks if self.brings is not None and self.shelf_weeks else None

    @property
    def an_hour(self) -> float | None:
        """Saleable mushrooms for each hour of work after it is ripe [kg]."""
        return self.brings / self.hours if self.brings is not None and self.hours else None


def sell_or_fruit(farm: Farm, runs: Sequence[RunTables]) -> tuple[Either, ...]:
    """Every strain, as runs of the farm saw it; prices and wages as in its file, on average over the year.

    runs: their tables, those of TABLES among them
    """
    every = frames.frames([{name: tables[name] for name in TABLES} for tables in runs])
    sums = every["strains"].drop(columns="run").groupby("strain", sort=False).sum()
    return tuple(
        _either(farm, str(name), {str(column): float(value) for column, value in row.items()}, every)
        for name, row in sums.to_dict("index").items()
        if row["blocks_fruited"] or row["blocks_sold"]
    )


def _either(farm: Farm, name: str, row: Mapping[str, float], every: Mapping[str, pd.DataFrame]) -> Either:
    fruited, sold = row["blocks_fruited"], row["blocks_sold"] + row["blocks_sold_cheap"]
    hours = every["strain_hours"].query("strain == @name").groupby("duty", sort=False)["strain_hours"].sum()
    work = {str(duty): float(spent) for duty, spent in hours.items() if duty not in ON_BLOCKS}
    boxing = work.pop(BOX, 0.0)
    paid, priced = _income(farm, name, row, every), is_told(farm)
    wages = sum(spent * _wage(farm, duty) for duty, spent in work.items())
    return Either(
        strain=name,
        of_100=100 * sold / (fruited + sold),
        brings=(row["firsts_kg"] + row["seconds_kg"]) / fruited if fruited else None,
        shelf_weeks=row["shelf_weeks"] / fruited if fruited else None,
        hours=sum(work.values()) / fruited if fruited else None,
        fruited=(paid - wages) / fruited if priced and fruited and paid else None,
        sold=_block_price(farm, name, boxing / sold * _wage(farm, BOX) if sold else 0.0),
    )


def _income(farm: Farm, name: str, row: Mapping[str, float], every: Mapping[str, pd.DataFrame]) -> float:
    """What was paid for a strain's mushrooms: orders, stalls and outlets, at the average prices of the year [currency]."""
    delivered = every["deliveries"].query("strain == @name").groupby("customer")["delivered"].sum()
    at_stalls = every["stalls"].query("strain == @name").groupby("stall")["sold"].sum()
    paid = 0.0
    for customer in farm.customer:
        price = fresh_price(customer, name, is_seconds=False) or 0.0
        paid += price * float(delivered.get(customer.name, 0.0) + at_stalls.get(customer.name, 0.0))
    outlets = [fresh_price(each, name, is_seconds=True) or 0.0 for each in farm.customer if each.kind == "outlet"]
    paid += row["outlet_kg"] * (fmean(outlets) if outlets else 0.0)
    return paid * fmean(farm.months.prices)


def _wage(farm: Farm, duty: str) -> float:
    """Wage of the crew that a duty goes to; nothing where none is given [currency/h]."""
    crew = averages.first_for(farm, duty)
    return 0.0 if crew is None or crew.wage is None else crew.wage


def _block_price(farm: Farm, name: str, boxing: float) -> float | None:
    """What those who are promised blocks of a strain pay on average, less the boxing of one; None: nobody pays [currency]."""
    told = [
        (customer.promised[name], price)
        for customer in farm.block_customer
        if customer.promised.get(name) and (price := price_of(customer.price, name)) is not None
    ]
    blocks = sum(much for much, _ in told)
    if not blocks:
        return None
    return sum(much * price for much, price in told) / blocks * fmean(farm.months.block_prices) - boxing


def planned_share(farm: Farm, name: str) -> float:
    """Of all good blocks of a strain, those promised ready to fruit, on averages [share]."""
    usual = flow(farm, name)
    good = usual.sold + usual.fruited
    return usual.sold / good if good else 0.0
