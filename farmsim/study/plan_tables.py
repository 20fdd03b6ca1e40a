"""A plan of the starts as tables and as plain values for other programs."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from farmsim.scenario.values import DAYS
from farmsim.study import start_sheet
from farmsim.study.books_answers import Earns
from farmsim.study.earns import FIGURES
from farmsim.study.plan_answers import Planned
from farmsim.study.targets import Kept


def tables(planned: Planned) -> Mapping[str, pd.DataFrame]:
    """Every table, by the name of its file."""
    return {
        "plan": pd.DataFrame(_lines(planned)),
        "start-sheet": start_sheet.table(planned.groups),
        "differences": planned.compared.table,
        "served": pd.DataFrame(_served(planned)),
        "sell-or-fruit": pd.DataFrame(_either(planned)),
        "tried": pd.DataFrame(_tried(planned)),
    }


def as_plain(planned: Planned) -> dict[str, object]:
    """Everything but the start sheet, as JSON holds it."""
    poorest = planned.poorest
    return {
        "farm": planned.name,
        "runs": planned.runs,
        "runs_of_a_try": planned.trial_runs,
        "seed": planned.seed,
        "weeks": planned.weeks,
        "lead_in": planned.lead_in,
        "sure": planned.sure,
        "kept": planned.is_kept,
        "as_it_is": planned.is_as_before,
        "lines": _lines(planned),
        "targets": [_target(each) for each in planned.targets],
        "targets_now": [_target(each) for each in planned.targets_before],
        "customers": _served(planned),
        "compared": planned.compared.as_plain["changes"],
        "tried": _tried(planned),
        "stopped": planned.stopped,
        "by_averages": dict(planned.arithmetic),
        "refused_by_averages": [
            {"name": each.name, "unit": each.unit, "needs": each.need, "there_is": each.have}
            for each in planned.refused
        ],
        "fills_up": planned.fills_up,
        "looks_tight": list(planned.tight),
        "poorest_month": None if poorest is None else {"month": poorest[0], "delivered": poorest[1]},
        "sell_or_fruit": _either(planned),
        "weekdays": [
            {
                "line": each.line,
                "spread_days": each.spread,
                "lost": [None if day is None else day.lost for day in each.by_day],
                "waits_days": [None if day is None else day.waits for day in each.by_day],
            }
            for each in planned.weekdays
        ],
        "ripens_kg": dict(zip(DAYS, planned.picks, strict=True)),
        "leaves_kg": dict(zip(DAYS, planned.deliveries, strict=True)),
    }


def _lines(planned: Planned) -> list[dict[str, object]]:
    return [
        {
            "line": each.line,
            "strain": each.strain,
            "made": each.made,
            "blocks": each.blocks,
            "blocks_now": each.before,
            "days": ", ".join(each.days),
            "days_now": ", ".join(each.days_before),
            "sold_of_good_blocks": each.sold,
        }
        for each in planned.lines
    ]


def _served(planned: Planned) -> list[dict[str, object]]:
    return [
        {
            "customer": each.customer,
            "kind": "stall" if each.is_stall else "orders",
            "unit": each.unit,
            "asked_a_week": each.promised,
            "share_now": each.before,
            "share": each.after,
        }
        for each in planned.served
    ]


def _either(planned: Planned) -> list[dict[str, object]]:
    return [
        {
            "strain": each.strain,
            "sold_of_100": each.of_100,
            "kg_a_fruited_block": each.brings,
            "shelf_weeks_a_fruited_block": each.shelf_weeks,
            "hours_a_fruited_block": each.hours,
            "kg_a_shelf_week": each.a_shelf_week,
            "kg_an_hour": each.an_hour,
            "earned_fruited": each.fruited,
            "earned_sold": each.sold,
            **_before_wages(each.earns),
        }
        for each in planned.either
    ]


def _before_wages(earned: Earns | None) -> dict[str, object]:
    """What the strain earns, as the books tell it; nothing of a farm without prices."""
    if earned is None:
        return {}
    told = {name: getattr(earned, name) for name in FIGURES}
    return {f"before_wages_{name}": None if each is None else each.mean.value for name, each in told.items()}


def _tried(planned: Planned) -> list[dict[str, object]]:
    return [
        {
            "plan": each.what,
            **{f"blocks of {name}": blocks for name, blocks in each.blocks.items()},
            **each.figures,
            "missing": each.missing,
            "thrown_out_kg": each.thrown_out,
            "fills_up": each.fills_up,
        }
        for each in planned.tried
    ]


def _target(each: Kept) -> dict[str, object]:
    return {
        "target": each.target.name,
        "side": each.target.side,
        "bound": each.target.bound,
        "figure": each.mean,
        "give": None if each.too_few_alike else each.give,
        "verdict": each.verdict,
    }
