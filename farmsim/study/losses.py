"""What becomes of the blocks, and what is lost to what: a week on average, so that the figures add up."""

from __future__ import annotations

from collections.abc import Mapping

from farmsim.study.answers import Flow, Loss, Week


def flow(weeks: Mapping[str, Week]) -> Flow:
    """Where the blocks of an average week come from and go."""
    mean = {name: week.mean.value for name, week in weeks.items()}
    came = mean["blocks_made"] + mean["blocks_bought"]
    lost = mean["blocks_lost_contaminated"] + mean["blocks_lost_too_old"]
    return Flow(
        made=mean["blocks_made"],
        bought=mean["blocks_bought"],
        contaminated=mean["blocks_lost_contaminated"],
        too_old=mean["blocks_lost_too_old"],
        sold=mean["blocks_sold"],
        fruited=mean["blocks_fruited"],
        more_standing=came - lost - mean["blocks_sold"] - mean["blocks_fruited"],
    )


def losses(weeks: Mapping[str, Week]) -> tuple[Loss, ...]:
    """Every cause of loss with its share of what it was lost from; what never happened is left out."""
    mean = {name: week.mean.value for name, week in weeks.items()}
    blocks = mean["blocks_made"] + mean["blocks_bought"]
    saleable = mean["firsts_kg"] + mean["seconds_kg"]
    rows = (
        ("contaminated", "blocks", mean["blocks_lost_contaminated"], blocks, "all blocks"),
        ("too old before they had a place", "blocks", mean["blocks_lost_too_old"], blocks, "all blocks"),
        ("culls, thrown out at picking", "kg", mean["culls_kg"], mean["picked_kg"], "all picked"),
        ("past date in the cooler", "kg", mean["past_date_kg"], saleable, "all saleable"),
    )
    return tuple(Loss(cause, unit, lost, lost / whole, of) for cause, unit, lost, whole, of in rows if lost > 0)
