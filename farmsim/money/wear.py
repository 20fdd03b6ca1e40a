"""Capital items day by day: bought, paid for by whom, and worn out evenly over their life, in whole cents."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

import numpy as np

from farmsim.money.loan import cents
from farmsim.record.tables import Numbers
from farmsim.scenario.capital import OWNER, Capital

DAYS_A_YEAR_OF_LIFE = 365.25  # lives of many years hold leap years


class Worn(NamedTuple):
    """All items: what they were worth the evening before the first day, then each day [cents]."""

    opening: int
    bought: Numbers
    worn: Numbers
    """Depreciation of the day, in equal parts over the life (straight line), down to the salvage."""
    from_owner: Numbers
    """Money the owner brings in for what is bought."""


def worn(items: Sequence[Capital], first: date, days: int, per: int) -> Worn:
    """The items over so many days from the first on; what is bought later is not among them."""
    opening, bought, depreciation, from_owner = 0, *(np.zeros(days, np.int64) for _ in range(3))
    for item in items:
        day, spent = (item.bought - first).days, cents(item.spent, per)
        if day >= days:
            continue
        so_far = _so_far(item, day, days, per)
        depreciation += np.diff(so_far)
        if day < 0:
            opening += spent - int(so_far[0])
        else:
            bought[day] += spent
            from_owner[day] += cents(item.payers.get(OWNER, 0.0), per)
    return Worn(opening, bought, depreciation, from_owner)


def _so_far(item: Capital, day: int, days: int, per: int) -> Numbers:
    """Depreciation from the day it was bought until each evening, the one before the first day coming first."""
    age = np.arange(-1, days) + 1 - day
    share = np.clip(age / (item.life * DAYS_A_YEAR_OF_LIFE), 0.0, 1.0)
    return np.rint(share * cents(item.spent - item.salvage, per)).astype(np.int64)
