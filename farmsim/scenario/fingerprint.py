"""A farm in forty letters: the same for the same farm everywhere, another one as soon as any figure differs."""

from __future__ import annotations

import hashlib

from farmsim.scenario.farm import Farm
from farmsim.scenario.stress import Stress

LETTERS = 40
SILENT = "-"  # stands for a name, of which no run hears


def fingerprint(farm: Farm, weeks: int, lead_in: int) -> str:
    """What tells this farm from every other, as it is run.

    weeks: measured length of a run; lead_in: weeks before it [weeks]
    How the farm is called and shown, its own books, what is asked of a lender and what may go wrong have no say in a run and
    none here.
    """
    return hashlib.sha256(repr(_heard(farm, weeks, lead_in)).encode()).hexdigest()[:LETTERS]


def _heard(farm: Farm, weeks: int, lead_in: int) -> Farm:
    """The farm with all that no run hears set alike, its later states too."""
    about = farm.farm.but(name=SILENT, units="us", weeks=weeks, lead_in=lead_in)
    later = tuple((since, _heard(state, weeks, lead_in)) for since, state in farm.changes)
    return farm.but(farm=about, history=None, request=None, past_year=(), stress=Stress(), changes=later)
