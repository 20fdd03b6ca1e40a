"""The books of one run, day by day in whole cents: what was earned and used up, what came in and went out, what is owed.

Earned and used up is told when it happens (accrual); cash follows when customers pay and bills are paid. Sums over any days are
exact. Books cover the whole years from the start, a year being twelve months; of a run that is shorter all of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from farmsim.money import by_month
from farmsim.money.cash import Cash, follow
from farmsim.money.days import month_ends
from farmsim.money.ledger import FIXED, ON_TOP, PAID, TAKEN, Line, in_cents
from farmsim.money.loan import cents
from farmsim.money.materials import MATERIALS, SPENT_SOLD
from farmsim.money.owed import Owed, in_all, none, owed, year_ends
from farmsim.money.states import States
from farmsim.money.wear import Worn, worn
from farmsim.record.measures.blocks import blocks_fruited
from farmsim.record.measures.cuts import by_day, days_measured
from farmsim.record.tables import Figures, Numbers, Record
from farmsim.scenario.balance import Balance
from farmsim.scenario.buyer import SIGNED
from farmsim.scenario.costs import Costs
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.units import HOURS_A_DAY, cents_of

SALES = (*TAKEN, SPENT_SOLD)
COSTS = (*MATERIALS, *PAID, *ON_TOP, FIXED)
"""Lines of the books that are earned, and those that cost something, in the order in which they are told."""


@dataclass(frozen=True)
class Books:
    """Rows of one amount a day [cents], and what there was the evening before the first day.

    earned, spent: by line
    signed: of what was earned, that of customers who have signed
    received: what customers paid
    bills: what was paid of what was spent
    elsewhere, living: income from elsewhere and family living, which lenders count
    stocks, land, other_debts: the same all the time
    replaces: share of the day's depreciation that is to be spent to replace what wears out [1]
    kg: mushrooms brought to customers [kg]; fruited: blocks placed on a shelf for their first flush
    """

    first: date
    per: int
    earned: Mapping[str, Numbers]
    spent: Mapping[str, Numbers]
    signed: Numbers
    received: Numbers
    bills: Numbers
    draw: Numbers
    taxes: Numbers
    living: Numbers
    elsewhere: Numbers
    items: Worn
    loans: tuple[Owed, ...]
    cash: Cash
    opening_cash: int
    opening_line: int
    opening_receivables: int
    opening_payables: int
    stocks: int
    land: int
    other_debts: int
    replaces: Figures
    kg: Figures
    fruited: Figures

    @property
    def days(self) -> int:
        """How many days they cover."""
        return len(self.draw)

    @property
    def ends(self) -> list[int]:
        """Days after which a year is over; of books of less than a year their last."""
        return year_ends(self.first, self.days) or [self.days]

    @property
    def opening_equity(self) -> int:
        """What was owned less what was owed the evening before the first day [cents]."""
        owns = self.opening_cash + self.opening_receivables + self.stocks + self.items.opening + self.land
        owes = self.opening_payables + self.opening_line + self.other_debts
        return owns - owes - sum(loan.opening + loan.opening_interest for loan in self.loans)


def books(record: Record, lines: Sequence[Line]) -> Books:
    """The books of a run; of a farm without an opening balance sheet cash is counted from nothing."""
    assert record.farm is not None
    farm, first, per = record.farm, record.first_day, cents_of(record.farm.farm.currency)
    days = (year_ends(first, days_measured(record)) or [days_measured(record)])[-1]
    states, opening = States(record), farm.balance or Balance(cash=0.0)
    earned, spent = _by_line(lines, SALES, days), _by_line(lines, COSTS, days)
    family = {name: in_cents(record, flow)[:days] for name, flow in by_month.of_the_family(record, states).items()}
    items = worn(farm.capital, first, days, per)
    loans = tuple(owed(loan, first, days, per) for loan in farm.loan)
    receivables, payables = cents(opening.receivables, per), cents(opening.payables, per)
    received = _received(record, lines, days, states) + _evenly(receivables, opening.receivables_in, days)
    bills = _bills(record, spent, days, states) + _evenly(payables, opening.payables_in, days)
    net = received - bills - family[by_month.DRAW] - family[by_month.TAXES] + items.from_owner - items.bought
    net += sum((loan.received - loan.interest - loan.principal for loan in loans), start=none(days))
    line = farm.credit_line
    return Books(
        first=first,
        per=per,
        earned=earned,
        spent=spent,
        signed=_signed(record, lines, days, states),
        received=received,
        bills=bills,
        draw=family[by_month.DRAW],
        taxes=family[by_month.TAXES],
        living=family[by_month.LIVING],
        elsewhere=family[by_month.ELSEWHERE],
        items=items,
        loans=loans,
        cash=follow(cents(opening.cash, per), net, line, month_ends(first, days), per),
        opening_cash=cents(opening.cash, per),
        opening_line=0 if line is None else cents(line.drawn, per),
        opening_receivables=receivables,
        opening_payables=payables,
        stocks=cents(opening.stocks, per),
        land=cents(opening.land, per),
        other_debts=cents(opening.other_debts, per),
        replaces=np.array([(each.costs or Costs()).replaces for each in states.farms])[
            states.at(_mornings(record, days))
        ],
        kg=_goods(lines, "kg", days),
        fruited=by_day(record, blocks_fruited(record))[:days],
    )


def _by_line(lines: Sequence[Line], names: Iterable[str], days: int) -> dict[str, Numbers]:
    return {name: _added([line for line in lines if line.what == name], days) for name in names}


def _added(lines: Sequence[Line], days: int) -> Numbers:
    return sum((line.cents[:days] for line in lines), start=none(days))


def _goods(lines: Sequence[Line], unit: str, days: int) -> Figures:
    found: Figures = np.zeros(days)
    for line in lines:
        if line.unit == unit:
            found = found + line.priced[:days] + line.not_priced[:days]
    return found


def _signed(record: Record, lines: Sequence[Line], days: int, states: States) -> Numbers:
    """Sales to customers for mushrooms or blocks on the days on which they have signed."""
    found, state = none(days), states.at(_mornings(record, days))
    for line in lines:
        if line.what in SALES:
            has_signed = [_has_signed(farm, line) for farm in states.farms]
            found += line.cents[:days] * np.array(has_signed)[state]
    return found


def _has_signed(farm: Farm, line: Line) -> bool:
    """Whether who pays has signed for what is sold in a state of the farm."""
    customers = farm.block_customer if line.unit == "blocks" else farm.customer
    return any(each.name == line.who and each.firm == SIGNED for each in customers)


# --- when money comes and goes ----------------------------------------------------------------------------------------


def _received(record: Record, lines: Sequence[Line], days: int, states: States) -> Numbers:
    """What customers paid, each so long after its delivery as it does at that time."""
    found = none(days)
    for line in lines:
        if line.what in SALES:
            after = [_pays_after(farm, line.who) for farm in states.farms]
            found += _later(line.cents[:days], _by_day(record, after, days, states))
    return found


def _pays_after(farm: Farm, name: str) -> float:
    customers: tuple[Customer | BlockCustomer, ...] = (*farm.customer, *farm.block_customer)
    return next((each.pays_after or 0.0 for each in customers if each.name == name), 0.0)


def _bills(record: Record, spent: Mapping[str, Numbers], days: int, states: States) -> Numbers:
    """What was paid of what was spent: materials when their bills are, everything else on its day."""
    after = [0.0 if farm.materials is None else farm.materials.paid_after for farm in states.farms]
    late = _by_day(record, after, days, states)
    return sum(
        (_later(amounts, late) if name in MATERIALS else amounts for name, amounts in spent.items()), start=none(days)
    )


def _by_day(record: Record, hours: Sequence[float], days: int, states: States) -> Numbers:
    """A stretch of time that each state of the farm gives [h], in days begun, for each day."""
    whole: Numbers = np.ceil(np.array(hours) / HOURS_A_DAY).astype(np.int64)[states.at(_mornings(record, days))]
    return whole


def _mornings(record: Record, days: int) -> Figures:
    """The midnight with which each day begins [h]."""
    when: Figures = record.start + HOURS_A_DAY * np.arange(days, dtype=np.float64)
    return when


def _later(amounts: Numbers, by: Numbers) -> Numbers:
    """Amounts so many days later; what comes after the last day is not among them."""
    at = np.arange(len(amounts)) + by
    kept, found = at < len(amounts), none(len(amounts))
    np.add.at(found, at[kept], amounts[kept])
    return found


def _evenly(amount: int, within: float, days: int) -> Numbers:
    """An amount in equal parts on the days of a stretch of time [h] from the first on."""
    last = max(1, round(within / HOURS_A_DAY))
    so_far = np.rint(amount * np.minimum(np.arange(days + 1) / last, 1.0)).astype(np.int64)
    found: Numbers = np.diff(so_far)
    return found


def opening_equity(farm: Farm) -> float:
    """What is owned less what is owed on the evening before the start [currency]."""
    first, per, opening = farm.farm.start, cents_of(farm.farm.currency), farm.balance or Balance(cash=0.0)
    loans = [owed(loan, first, 1, per) for loan in farm.loan]
    line = 0.0 if farm.credit_line is None else farm.credit_line.drawn
    owns = (
        opening.cash
        + opening.receivables
        + opening.stocks
        + opening.land
        - opening.payables
        - opening.other_debts
        - line
    )
    items = worn(farm.capital, first, 1, per).opening
    return owns + (items - sum(loan.opening + loan.opening_interest for loan in loans)) / per


def interest(found: Books) -> Numbers:
    """Interest that each day costs, of loans and of the credit line [cents]."""
    return in_all(found.loans, "accrued", found.days) + found.cash.line_accrued
