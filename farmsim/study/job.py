"""What is done for one run, wherever it is done: simulate, check, and sum up. Loads neither pandas nor pictures."""

from __future__ import annotations

from dataclasses import replace

from farmsim.errors import RecordBroken
from farmsim.model.run import run
from farmsim.money.tables import summarise as in_money
from farmsim.record.balance import faults
from farmsim.record.measures import RunTables, summarise
from farmsim.scenario.farm import Farm
from farmsim.study.changes import weeks_before
from farmsim.study.phases import by_phase
from farmsim.units import HOURS_A_WEEK

WHOLE = (
    "weekly",
    "months",
    "places_weeks",
    "crews_weeks",
    "checks",
    "customers_left",
)  # tables that hold all measured weeks, also those before a change


def one_run(farm: Farm, seed: int, weeks: int, number: int) -> RunTables:
    """All tables of one run of a study; of a farm that changes, what is no table by date is of the time since then.

    seed: the study's luck; number: which run of the study, from 0
    weeks: measured length [weeks]
    Goes wrong when the run's record does not add up: RecordBroken tells every broken invariant.
    """
    record = run(farm, seed, number, weeks)
    broken = faults(record)
    if broken:
        told = "\n".join(broken)
        raise RecordBroken(f"run {number + 1} (seed {seed}) does not add up, a mistake in farmsim:\n{told}")
    tables, before = summarise(record), weeks_before(farm, weeks)
    if not before:
        return tables | in_money(record) | by_phase(record, farm, weeks)
    begin = before * HOURS_A_WEEK
    since = summarise(replace(record, start=begin))
    whole = {name: tables[name] for name in WHOLE}
    return {**since, **whole, **in_money(record, begin), **by_phase(record, farm, weeks)}
