"""A loan day by day over the time of the books, and what is owed on it at first, in whole cents."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from farmsim.money.loan import Payment, cents, later, schedule
from farmsim.record.tables import Numbers
from farmsim.scenario.loans import Loan

MONTHS_AHEAD = 12


class Owed(NamedTuple):
    """One loan: what is owed the evening before the first day, then what happens on each day [cents].

    received: paid out to the farm; accrued: interest that a day costs; interest, principal: paid on the day
    soon: what of the principal falls due within a year from the evening of each day, the evening before the first coming first
    """

    name: str
    opening: int
    opening_interest: int
    received: Numbers
    accrued: Numbers
    interest: Numbers
    principal: Numbers
    soon: Numbers

    @property
    def left(self) -> Numbers:
        """What is owed on each evening, without interest [cents]."""
        left: Numbers = self.opening + np.cumsum(self.received - self.principal)
        return left


@lru_cache(maxsize=64)
def owed(loan: Loan, first: date, days: int, per: int) -> Owed:
    """The loan over so many days from the first on; of one that is paid out later nothing.

    Luck has no say in it, so it is worked out once for all runs; nobody may change what is in it.
    """
    payments = schedule(loan, per)
    amount = cents(loan.amount, per)
    before = [each for each in payments if each.due < first]
    opening = 0 if loan.from_ >= first else before[-1].left if before else amount
    received, interest, principal = (np.zeros(days, np.int64) for _ in range(3))
    if 0 <= (at := (loan.from_ - first).days) < days:
        received[at] = amount
    for each in payments:
        if 0 <= (at := (each.due - first).days) < days:
            interest[at] += each.interest
            principal[at] += each.principal
    so_far = _accrued(loan, payments, first, days)
    paid_before = sum(each.interest for each in before)
    soon = _soon(loan, payments, first, days)
    return Owed(loan.name, opening, int(so_far[0]) - paid_before, received, np.diff(so_far), interest, principal, soon)


def _accrued(loan: Loan, payments: Sequence[Payment], first: date, days: int) -> Numbers:
    """Interest that has come up from the loan's first day until each evening, the one before the first day coming first."""
    evenings = np.arange(-1, days)
    starts = [(loan.from_ - first).days, *((each.due - first).days for each in payments)]
    so_far = np.cumsum([0, *(each.interest for each in payments)])
    found: Numbers = np.rint(np.interp(evenings, starts, so_far)).astype(np.int64)
    return found


def _soon(loan: Loan, payments: Sequence[Payment], first: date, days: int) -> Numbers:
    """Principal that falls due within a year, evening by evening; nothing before the loan is paid out."""
    evenings = [first + timedelta(days=at) for at in range(-1, days)]
    since = np.array([each.toordinal() for each in (loan.from_, *(each.due for each in payments))])
    left = np.array([payments[0].left + payments[0].principal, *(each.left for each in payments)], dtype=np.int64)
    now = np.searchsorted(since, [day.toordinal() for day in evenings], side="right") - 1
    ahead = [later(day, MONTHS_AHEAD, day.day).toordinal() for day in evenings]
    then = np.searchsorted(since, ahead, side="right") - 1
    found: Numbers = np.where(now >= 0, left[now] - left[then], 0)
    return found


def none(days: int) -> Numbers:
    """Nothing on each day."""
    return np.zeros(days, np.int64)


def in_all(loans: Sequence[Owed], name: str, days: int) -> Numbers:
    """One of the rows of all loans added up."""
    found = none(days)
    for each in loans:
        found = found + getattr(each, name)
    return found


def year_ends(first: date, days: int) -> list[int]:
    """Days after which each whole year from the first day is over, as far as they lie within so many days."""
    ends = [0]
    while (end := (later(first, MONTHS_AHEAD * len(ends), first.day) - first).days) <= days:
        ends.append(end)
    return [after for _, after in pairwise(ends)]
