"""How a loan is repaid: dated payments in whole cents, each with its interest, its principal and what is left.

Interest of a period is the yearly rate over the payments of a year, on what was left. What is left is carried unrounded and
rounded once, where it is told; a level payment is the same to the cent every time, and the last payment clears what is left.
"""

from __future__ import annotations

import datetime
from calendar import monthrange
from collections.abc import Iterator
from typing import NamedTuple

from farmsim.scenario.loans import A_YEAR, Loan

MONTHS_A_YEAR = 12
AS_NONE = 1e-9  # interest of a period so small that the formula of a level payment loses its digits


class Payment(NamedTuple):
    """One payment: when it is due, its parts and what is left after it [cents]."""

    due: datetime.date
    interest: int
    principal: int
    left: int

    @property
    def whole(self) -> int:
        """What is paid [cents]."""
        return self.interest + self.principal


def level_payment(amount: float, rate: float, payments: int, balloon: float = 0.0) -> float:
    """The level payment that repays an amount but for a balloon, not rounded [the unit of the amount].

    rate: interest of one period [1]; the balloon is left after the last of the payments
    """
    if rate < AS_NONE:
        return (amount - balloon) / payments
    import numpy_financial as npf

    return float(-npf.pmt(rate, payments, amount, -balloon))


def principal_part(amount: float, rate: float, payments: int, number: int) -> float:
    """How much of a level payment repays principal, not rounded; number: which payment, from 1."""
    import numpy_financial as npf

    return float(-npf.ppmt(rate, number, payments, amount))


def schedule(loan: Loan, per: int = 100) -> list[Payment]:
    """Every payment of a loan, in order.

    per: into how many of its smallest part the currency is divided
    """
    level = round(_level(loan) * per)
    before, found = cents(loan.amount, per), list[Payment]()
    for due, (interest, left) in zip(days(loan), _exact(loan), strict=True):
        principal, charged = before - cents(left, per), cents(interest, per)
        is_level = loan.kind == "level" and principal and len(found) + 1 < loan.payments
        found.append(Payment(due, max(0, level - principal) if is_level else charged, principal, before - principal))
        before -= principal
    return found


def _exact(loan: Loan) -> Iterator[tuple[float, float]]:
    """Interest of each period and what is left after its payment, not rounded [currency]."""
    rate, left, level = loan.rate / A_YEAR[loan.every], loan.amount, _level(loan)
    part = (loan.amount - loan.balloon) / (_reckoned(loan) - loan.interest_only)
    for number in range(1, loan.payments + 1):
        interest = left * rate
        if number == loan.payments:
            left = 0.0
        elif number > loan.interest_only:
            left -= part if loan.kind == "equal principal" else level - interest
        yield interest, left


def _level(loan: Loan) -> float:
    """The level payment, not rounded [currency]; as good as none for other kinds."""
    repaying = _reckoned(loan) - loan.interest_only
    return level_payment(loan.amount, loan.rate / A_YEAR[loan.every], repaying, loan.balloon)


def _reckoned(loan: Loan) -> int:
    """The payments over which those of principal are reckoned, with those of interest only before them."""
    return loan.payments if loan.as_over is None else round(loan.as_over * A_YEAR[loan.every])


def days(loan: Loan) -> list[datetime.date]:
    """The day of every payment; where a month is too short, its last day."""
    apart = MONTHS_A_YEAR // A_YEAR[loan.every]
    first = loan.first_payment or later(loan.from_, apart, loan.from_.day)
    return [later(first, apart * at, _day_of_month(loan)) for at in range(loan.payments)]


def _day_of_month(loan: Loan) -> int:
    return (loan.first_payment or loan.from_).day


def later(day: datetime.date, months: int, of_month: int) -> datetime.date:
    """The day so many months later that has this number, or the last one of its month."""
    at = day.year * MONTHS_A_YEAR + day.month - 1 + months
    year, month = at // MONTHS_A_YEAR, at % MONTHS_A_YEAR + 1
    return datetime.date(year, month, min(of_month, monthrange(year, month)[1]))


def cents(money: float, per: int) -> int:
    """Money in whole parts of its currency."""
    return round(money * per)
