"""What the farm pays, owns and owes read back, with the day and the source of every figure that changes with the times."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from farmsim.scenario.balance import Balance
from farmsim.scenario.capital import OWNER, Capital
from farmsim.scenario.costs import Costs, Drift, Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import CreditLine, Loan
from farmsim.scenario.price_form import Prices
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.say import Say, joined
from farmsim.scenario.seasons import AS_USUAL
from farmsim.units import number

A_MONTH = "currency/month"


def books_sentences(farm: Farm, say: Say) -> Iterator[str]:
    """Everything of the books that is given; of a farm that gives nothing of it nothing."""
    yield from _own_months(farm)
    yield from _own_spread(farm)
    yield from _late_payers(farm, say)
    if farm.materials is not None:
        yield from _materials(farm.materials, say)
    yield from _fixed(farm, say)
    if farm.costs is not None:
        yield from _costs(farm.costs, say)
    if farm.drift is not None:
        yield from _drift(farm.drift)
    for item in farm.capital:
        yield _item(item, farm.farm.start, say)
    for loan in farm.loan:
        yield _loan(loan, say)
    if farm.credit_line is not None:
        yield _line(farm.credit_line, say)
    if farm.balance is not None:
        yield _balance(farm.balance, say)


def _own_months(farm: Farm) -> Iterator[str]:
    for each in _customers(farm):
        if each.price_months != AS_USUAL:
            factors = ", ".join(number(100 * factor) for factor in each.price_months)
            yield f"{each.name} pays by the month, % of its price from January on: {factors}."


def _own_spread(farm: Farm) -> Iterator[str]:
    told = [f"{each.name} {number(100 * each.price_varies)} %" for each in _customers(farm) if each.price_varies]
    if told:
        yield f"By luck prices differ from one quarter to the next (standard deviation over mean): {joined(told)}."


def _late_payers(farm: Farm, say: Say) -> Iterator[str]:
    late = [each for each in _customers(farm) if each.pays_after is not None]
    told = [f"{each.name} {say.amount(each.pays_after or 0.0, 'h')}" for each in late]
    if told:
        yield f"Customers pay after the delivery: {joined(told)}; others at once."


def _customers(farm: Farm) -> tuple[Customer | BlockCustomer, ...]:
    return (*farm.customer, *farm.block_customer)


def _materials(materials: Materials, say: Say) -> Iterator[str]:
    figures = type(materials).figures
    said = {
        "substrate": "substrate of a block made here",
        "spawn": "its spawn",
        "bag": "its bag",
        "bought": "a block bought in",
        "packaging": "packaging by weight",
        "crate": "packaging by the crate",
        "block_box": "packaging of a block that is sold",
        "spent": "disposal of a block",
    }
    costs = [
        f"{what} {_price(getattr(materials, name), figures[name].unit, say)}"
        for name, what in said.items()
        if getattr(materials, name) is not None
    ]
    if costs:
        paid = f", paid {say.amount(materials.paid_after, 'h')} later" if materials.paid_after else ""
        yield f"Costs: {'; '.join(costs)}{paid}{source_of(materials.prices_of, materials.prices_from)}."
    if materials.spent_brings is not None:
        yield f"A spent block brings {_price(materials.spent_brings, figures['spent_brings'].unit, say)}."


def _price(prices: Prices | None, unit: str, say: Say) -> str:
    if isinstance(prices, dict):
        return joined([f"{say.amount(price, unit)} for {strain}" for strain, price in prices.items()])
    return say.amount(prices or 0.0, unit)


def _fixed(farm: Farm, say: Say) -> Iterator[str]:
    if farm.fixed_cost:
        each = [
            f"{cost.name} {say.amount(cost.a_month, A_MONTH)}{source_of(cost.costs_of, cost.costs_from)}"
            for cost in farm.fixed_cost
        ]
        yield f"Fixed costs: {joined(each)}."


def _costs(costs: Costs, say: Say) -> Iterator[str]:
    told = []
    if costs.on_costs:
        told.append(f"on top of wages come {100 * costs.on_costs:g} %")
    if costs.overtime_more:
        told.append(f"overtime is paid {100 * costs.overtime_more:g} % more")
    if costs.owner_draw:
        told.append(f"the owner takes out {say.amount(costs.owner_draw, A_MONTH)}")
    if costs.family_living is not None:
        told.append(f"the family lives on {say.amount(costs.family_living, A_MONTH)}")
    if costs.off_farm_income:
        told.append(f"{say.amount(costs.off_farm_income, A_MONTH)} come from elsewhere, not to the farm")
    if costs.taxes:
        told.append(f"taxes are {say.amount(costs.taxes, A_MONTH)}")
    if told:
        text = "; ".join(told)
        yield f"{text[:1].upper()}{text[1:]}{source_of(costs.books_of, costs.books_from)}."


def _drift(drift: Drift) -> Iterator[str]:
    rates = [f"{name} {100 * getattr(drift, name):+g} %" for name in type(drift).figures if getattr(drift, name)]
    if rates:
        yield f"From year to year, on each anniversary of the start: {joined(rates)}."


def _item(item: Capital, start: datetime.date, say: Say) -> str:
    life = f"{item.life:g} years of use, then worth {say.money(item.salvage)}"
    source = source_of(item.costs_of, item.costs_from)
    if item.bought < start:
        return f"{item.name}: owned, bought on {_day(item.bought)} for {say.money(item.spent)}; {life}{source}."
    more = f" and {100 * item.contingency:g} % of contingency" if item.contingency else ""
    by = joined([f"{_payer(name)} pays {say.money(amount)}" for name, amount in item.payers.items()])
    bought = f"to be bought on {_day(item.bought)} for {say.money(item.cost)}{more}"
    return f"{item.name}: {bought}; {by}; {life}{source}."


def _payer(name: str) -> str:
    return {OWNER: "the owner"}.get(name, name)


def _loan(loan: Loan, say: Say) -> str:
    kind = "level payments" if loan.kind == "level" else "equal parts of principal"
    amount = f"{say.money(loan.amount)} from {_day(loan.from_)} at {100 * loan.rate:g} % a year"
    terms = f"{amount}, {loan.years:g} years of {kind}"
    more = [f"one every {loan.every}"]
    if loan.interest_only:
        more.append(f"the first {loan.interest_only} of interest only")
    if loan.as_over is not None:
        more.append(f"reckoned over {loan.as_over:g} years, the rest with the last")
    if loan.balloon:
        more.append(f"{say.money(loan.balloon)} with the last")
    if loan.working_money:
        more.append(f"{say.money(loan.working_money)} of it for working money")
    if loan.security is not None:
        worth = "" if loan.security_worth is None else f" worth {say.money(loan.security_worth)}"
        more.append(f"secured by {loan.security}{worth}")
    return f"{loan.name}: {terms}, {', '.join(more)}{_terms(loan.terms_of, loan.terms_from)}."


def _line(line: CreditLine, say: Say) -> str:
    drawn = f", {say.money(line.drawn)} drawn at the start" if line.drawn else ""
    keeps = f" to keep {say.money(line.keeps)} in cash" if line.keeps else ""
    limit = f"up to {say.money(line.limit)} at {100 * line.rate:g} % a year"
    return f"Credit line: {limit}, drawn when needed{keeps}{drawn}{_terms(line.terms_of, line.terms_from)}."


def _balance(balance: Balance, say: Say) -> str:
    owned = {
        "cash": balance.cash,
        "owed by customers": balance.receivables,
        "stocks": balance.stocks,
        "land": balance.land,
    }
    owed = {"bills": balance.payables, "other debts": balance.other_debts}
    has, owes = (
        joined([f"{what} {say.money(amount)}" for what, amount in each.items() if amount or what == "cash"])
        for each in (owned, owed)
    )
    debts = f"; owed besides loans: {owes}" if owes else ""
    source = source_of(balance.books_of, balance.books_from)
    return f"At the start there is, besides what is listed above: {has}{debts}{source}."


def _terms(day: datetime.date | None, source: str | None) -> str:
    """Terms of lending without a day and a source say so: they change."""
    return source_of(day, source) or " (no day and no source is given for these terms)"


def source_of(day: datetime.date | None, source: str | None) -> str:
    """Where a figure comes from and of which day it is, in brackets; nothing when neither is given."""
    told = ", ".join(each for each in (source or "", "" if day is None else f"of {_day(day)}") if each)
    return f" ({told})" if told else ""


def _day(day: datetime.date) -> str:
    return f"{day.day} {day:%b %Y}"
