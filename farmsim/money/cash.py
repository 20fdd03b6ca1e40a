"""Cash day by day, in whole cents: what is drawn on the credit line and paid back, and what nothing covers."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from farmsim.money.loan import cents
from farmsim.record.tables import Flags, Numbers
from farmsim.scenario.loans import CreditLine

DAYS_OF_INTEREST = 365  # over which a bank spreads the interest of a year, leap years too


class Cash(NamedTuple):
    """Each evening's cash and what is owed on the line, and what the line brings, takes and costs on each day [cents]."""

    cash: Numbers
    drawn: Numbers
    taken_up: Numbers
    paid_back: Numbers
    line_accrued: Numbers
    """Interest on the line that the day costs."""
    line_interest: Numbers
    """Interest on the line paid on the day: on the last day of each month."""

    @property
    def own(self) -> Numbers:
        """Cash of each evening with what is owed on the line taken off, so less than 0 where the line stands in for it."""
        own: Numbers = self.cash - self.drawn
        return own


def follow(opening: int, net: Numbers, line: CreditLine | None, month_ends: Flags, per: int) -> Cash:
    """Follow cash through the days.

    net: what comes in less what goes out on each day, all but the credit line [cents]
    month_ends: days on which a month ends: interest on the line is paid
    Where the line is at its limit, or there is none, cash falls below its least, and below 0: that nothing covers.
    """
    terms = line or CreditLine(limit=0.0, rate=0.0)
    limit, keeps = cents(terms.limit, per), cents(terms.keeps, per)
    cash, drawn, exact, charged, accrued = opening, cents(terms.drawn, per), 0.0, 0, 0
    rows = []
    for amount, is_end in zip(net.tolist(), month_ends.tolist(), strict=True):
        exact += drawn * terms.rate / DAYS_OF_INTEREST
        of_day, accrued = round(exact) - accrued, round(exact)
        interest = accrued - charged if is_end else 0
        charged += interest
        cash += amount - interest
        up = min(max(0, limit - drawn), max(0, keeps - cash))
        back = min(drawn, max(0, cash - keeps))
        cash, drawn = cash + up - back, drawn + up - back
        rows.append((cash, drawn, up, back, of_day, interest))
    return Cash(*np.array(rows, dtype=np.int64).reshape(-1, 6).T)
