"""From the tables of all runs to finished answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from farmsim.scenario import assumed, averages, flow, outlook
from farmsim.scenario.farm import Farm
from farmsim.study import customers, losses, money, promises, settle, strains, tight
from farmsim.study import weeks as spread
from farmsim.study.answers import Answers, Averages, Settled, Study
from farmsim.study.changes import in_force
from farmsim.study.growth import growth
from farmsim.study.year import year
from farmsim.units import HOURS_A_WEEK

SERIES = ("picked_kg", "blocks_inside")  # what has to stand still before a farm counts as settled
STOCK, PAST_DATE = "stock_kg", "past_date_kg"  # what may still move, and is then told beside the rest


def digest(farm: Farm, study: Study, tables: Mapping[str, pd.DataFrame]) -> Answers:
    """Everything there is to tell about a study.

    The tables by week and month hold all measured weeks, the others those since the last change (`study.before`).
    """
    weekly, hours = _with_sums(tables["weekly"]), tables["hours_of_week"]
    told = weekly[weekly["week"] > study.before]
    state = in_force(farm, study.before * HOURS_A_WEEK)
    of_weeks = spread.weeks(told)
    places = tight.places(tables["places"], tables["duties"], hours, study.told)
    crews = tight.crews(tables["crews"], tables["duties"], hours, study.told)
    looks_tight = tight.looks_tight(places, crews)
    return Answers(
        study=study,
        settled=settled(farm, told, study.before),
        weeks=of_weeks,
        totals=spread.totals(weekly),
        months=spread.months(tables["months"], farm.farm.start),
        promises=promises.promises(tables["customers"], study.runs, study.told),
        gap=promises.gap(tables["deliveries"], "kg"),
        block_gap=promises.gap(tables["block_deliveries"], "blocks"),
        places=places,
        crews=crews,
        tight=looks_tight,
        rooms=tight.together(looks_tight, places),
        losses=losses.losses(of_weeks, tables["strains"]),
        mushrooms=losses.mushrooms(of_weeks),
        flow=losses.flow(of_weeks),
        averages=on_averages(state),
        money=money.money(state, study, tables),
        year=year(farm, state, study.weeks),
        lives=strains.lives(tables["days"]),
        takes=strains.takes(tables["strains"], tables["strain_hours"], study.runs * study.told),
        of_nobody=strains.of_nobody(tables["strain_hours"], study.runs * study.told),
        guesses=tuple((meaning, len(found)) for meaning, found in assumed.grouped(assumed.guesses(state))),
        growth=growth(farm, study.weeks, weekly, tables),
        stalls=customers.stalls(tables["stalls"], study.runs, study.told),
        rounds=customers.rounds(tables["rounds"]),
        why_short=customers.why_short(of_weeks),
        left=customers.left(tables["customers_left"]),
        firmness=customers.firmness(tables["firmness"], study.runs, study.told),
        nobody_buys=not state.has_customers,
    )


def on_averages(farm: Farm) -> Averages:
    """What averages alone say of the plan."""
    needs = sorted(((need.name, need.share) for need in averages.needs(farm)), key=lambda need: (-need[1], need[0]))
    over = (promise.name for promise in outlook.promises(farm) if promise.promised > promise.brings)
    return Averages(sum(each.saleable for each in flow.flows(farm)), tuple(needs), tuple(over))


def _with_sums(weekly: pd.DataFrame) -> pd.DataFrame:
    """The weekly table with what is spoken of as one: blocks that come in, and blocks lost."""
    lost = weekly["blocks_lost_contaminated"] + weekly["blocks_lost_too_old"]
    return weekly.assign(blocks_in=weekly["blocks_made"] + weekly["blocks_bought"], blocks_lost=lost)


def settled(farm: Farm, weekly: pd.DataFrame, before: int) -> Settled:
    """Whether the weeks that are told are those of a farm in full swing; `before` them lies a change [weeks]."""
    lead_in = averages.lead_in_weeks(farm)
    if farm.farm.begin == "empty" and not before:
        return Settled("starts empty", lead_in)
    if farm.differs_by_month:
        return Settled("months differ", lead_in)
    judged = replace(settle.judge({name: _rows(weekly, name) for name in SERIES}), lead_in=lead_in)
    stock = settle.drift(_rows(weekly, STOCK))
    return judged if stock is None else replace(judged, stock=stock, past_date=settle.ends(_rows(weekly, PAST_DATE)))


def _rows(weekly: pd.DataFrame, name: str) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """A weekly measure, one row a run, one column a week."""
    return weekly.pivot(index="run", columns="week", values=name).to_numpy(float)
