"""What becomes of blocks and mushrooms, and what is lost to what: a week on average, so that the figures add up."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from farmsim.study.answers import Flow, Loss, Mushrooms, Week


def flow(weeks: Mapping[str, Week]) -> Flow:
    """Where the blocks of an average week come from and go."""
    mean = {name: week.mean.value for name, week in weeks.items()}
    came = mean["blocks_made"] + mean["blocks_bought"]
    lost = mean["blocks_lost_contaminated"] + mean["blocks_lost_too_old"]
    sold = mean["blocks_sold"] + mean["blocks_sold_cheap"]
    return Flow(
        made=mean["blocks_made"],
        bought=mean["blocks_bought"],
        contaminated=mean["blocks_lost_contaminated"],
        too_old=mean["blocks_lost_too_old"],
        sold=sold,
        fruited=mean["blocks_fruited"],
        more_standing=came - lost - sold - mean["blocks_fruited"],
        sold_cheap=mean["blocks_sold_cheap"],
    )


def mushrooms(weeks: Mapping[str, Week]) -> Mushrooms:
    """What becomes of the mushrooms of an average week."""
    mean = {name: week.mean.value for name, week in weeks.items()}
    saleable = mean["firsts_kg"] + mean["seconds_kg"]
    gone = [mean[name] for name in ("stall_kg", "to_dry_kg", "stall_lost_kg")]
    return Mushrooms(
        picked=mean["picked_kg"],
        firsts=mean["firsts_kg"],
        seconds=mean["seconds_kg"],
        culls=mean["culls_kg"],
        saleable=saleable,
        sold=mean["sold_kg"],
        outlet=mean["outlet_kg"],
        past_date=mean["past_date_kg"],
        into_stock=saleable - mean["sold_kg"] - mean["outlet_kg"] - mean["past_date_kg"] - sum(gone),
        stall=gone[0],
        to_dry=gone[1],
        stall_lost=gone[2],
    )


def losses(weeks: Mapping[str, Week], strains: pd.DataFrame) -> tuple[Loss, ...]:
    """Every cause of loss with its share of what it was lost from; what never happened is left out.

    strains: the "strains" table of all runs
    """
    mean = {name: week.mean.value for name, week in weeks.items()}
    saleable = mean["firsts_kg"] + mean["seconds_kg"]
    rows = (
        ("contaminated", "blocks", "blocks_lost_contaminated", mean["blocks_in"], "blocks"),
        ("too old", "blocks", "blocks_lost_too_old", mean["blocks_in"], "blocks"),
        ("culls", "kg", "culls_kg", mean["picked_kg"], "picked"),
        ("past date", "kg", "past_date_kg", saleable, "saleable"),
        ("lost at the stall", "kg", "stall_lost_kg", saleable, "saleable"),
    )
    found = []
    for cause, unit, name, whole, of in rows:
        if mean[name] > 0:
            by_strain = strains.groupby("strain", sort=False)[name].sum()
            most, part = str(by_strain.idxmax()), float(by_strain.max() / by_strain.sum())
            found.append(Loss(cause, unit, mean[name], mean[name] / whole if whole else 1.0, of, most, part))
    return tuple(found)
