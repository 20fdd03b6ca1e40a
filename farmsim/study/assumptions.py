"""Every figure of a farm with where it comes from, as a table; the guesses first, since they want measuring first."""

from __future__ import annotations

import pandas as pd

from farmsim.scenario.assumed import assumed
from farmsim.scenario.farm import Farm

COLUMNS = ("figure", "value", "meaning", "source", "guess")


def assumptions(farm: Farm) -> pd.DataFrame:
    """One row for each figure that has a say in this farm."""
    rows = [(".".join(each.path), each.value, each.meaning, each.source, each.is_guess) for each in assumed(farm)]
    rows.sort(key=lambda row: not row[-1])
    return pd.DataFrame([(*row[:-1], "yes" if row[-1] else "no") for row in rows], columns=list(COLUMNS))
