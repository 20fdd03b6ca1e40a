"""What is done for one run, wherever it is done: simulate, check, and sum up. Loads neither pandas nor pictures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from farmsim.errors import RecordBroken
from farmsim.model.run import lead_in, run
from farmsim.money.tables import summarise as in_money
from farmsim.record.balance import faults
from farmsim.record.measures import RunTables, summarise
from farmsim.record.measures.summary import TABLES
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.heard import as_simulated
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
    return one_run_in_monies((farm,), seed, weeks, number)[0]


def one_run_in_monies(farms: Sequence[Farm], seed: int, weeks: int, number: int) -> list[RunTables]:
    """The tables of one run of each of these farms, which differ in money only: simulated once, put in money for each.

    The model is given the farm without its money, so what it does cannot depend on whose money comes after.
    seed, weeks, number: as of one run
    Goes wrong as one run does, and when the farms differ in more than money: ValueError.
    """
    heard = as_simulated(farms[0])
    if len(farms) > 1 and len({fingerprint(as_simulated(farm), weeks, lead_in(farm)) for farm in farms}) > 1:
        raise ValueError("farms that are simulated once have to be alike in all but money")
    record = run(heard, seed, number, weeks)
    broken = faults(record)
    if broken:
        told = "\n".join(broken)
        raise RecordBroken(f"run {number + 1} (seed {seed}) does not add up, a mistake in farmsim:\n{told}")
    before = weeks_before(heard, weeks)
    begin, whole = before * HOURS_A_WEEK, summarise(record, WHOLE if before else None)
    record = replace(record)  # lets go of the courses of its places, which take much memory
    if before:
        whole = summarise(replace(record, start=begin), TABLES.keys() - set(WHOLE)) | whole
    phases, since = by_phase(record, heard, weeks, whole["weekly"]), begin if before else None
    return [whole | in_money(replace(record, farm=farm), since) | phases for farm in farms]
