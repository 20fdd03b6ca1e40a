"""From the tables of all runs to finished answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from farmsim.scenario import assumed, averages, flow, outlook
from farmsim.scenario.farm import Farm
from farmsim.study import losses, promises, settle, tight
from farmsim.study import weeks as spread
from farmsim.study.answers import Answers, Averages, Settled, Study

SERIES = ("picked_kg", "blocks_inside")  # what has to stand still before a farm counts as settled


def digest(farm: Farm, study: Study, tables: Mapping[str, pd.DataFrame]) -> Answers:
    """Everything there is to tell about a study."""
    weekly, hours = _with_sums(tables["weekly"]), tables["hours_of_week"]
    of_weeks = spread.weeks(weekly)
    places = tight.places(tables["places"], tables["duties"], hours, study.weeks)
    crews = tight.crews(tables["crews"], tables["duties"], hours, study.weeks)
    return Answers(
        study=study,
        settled=settled(farm, weekly),
        weeks=of_weeks,
        totals=spread.totals(weekly),
        months=spread.months(tables["months"], farm.farm.start),
        promises=(
            *promises.promises(tables["deliveries"], "kg", study.weeks),
            *promises.promises(tables["block_deliveries"], "blocks", study.weeks),
        ),
        gap=promises.gap(tables["deliveries"], "kg"),
        block_gap=promises.gap(tables["block_deliveries"], "blocks"),
        places=places,
        crews=crews,
        tight=tight.looks_tight(places, crews),
        losses=losses.losses(of_weeks, tables["strains"]),
        flow=losses.flow(of_weeks),
        averages=on_averages(farm),
        guesses=tuple((meaning, len(found)) for meaning, found in assumed.grouped(assumed.guesses(farm))),
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


def settled(farm: Farm, weekly: pd.DataFrame) -> Settled:
    """Whether the measured weeks are those of a farm in full swing."""
    lead_in = averages.lead_in_weeks(farm)
    if farm.farm.begin == "empty":
        return Settled("starts empty", lead_in)
    rows = {name: weekly.pivot(index="run", columns="week", values=name).to_numpy(float) for name in SERIES}
    return replace(settle.judge(rows), lead_in=lead_in)
