"""Block customers, and the house rules on ripe blocks, read back as sentences."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.farm import Farm
from farmsim.scenario.readback_customers import HOW_FIRM
from farmsim.scenario.rules import ON_MOVING_DAYS, SOLD_FIRST, SURPLUS, Rules
from farmsim.scenario.say import Say, days_said, joined
from farmsim.scenario.seasons import AS_USUAL
from farmsim.scenario.values import MONTHS
from farmsim.units import number


def block_customer(customer: BlockCustomer, say: Say) -> str:
    """Who it is, what it takes and when, and on which terms."""
    when = f"on {days_said(customer.days)}, leaving by {say.clock(customer.leave_by)}"
    if customer.kind == "outlet":
        return f"{customer.name} takes surplus blocks, any number, {when}." + "".join(_when_it_buys(customer, say))
    takes = joined([f"{say.amount(blocks, 'blocks')} of {strain}" for strain, blocks in customer.promised.items()])
    notice = f"known {say.amount(customer.notice, 'h')} before"
    varies = f"orders vary by {say.amount(customer.varies, 'fraction')}" if customer.varies else "every order the same"
    ripe = "ready to fruit" if customer.age is None else "colonised"
    told = f"{customer.name} is promised {takes} a week, {ripe}, {when}, {notice}; {varies}; {_short(customer, say)}."
    return told + "".join((*_when_it_buys(customer, say), *_terms(customer, say)))


def _short(customer: BlockCustomer, say: Say) -> str:
    """What becomes of what is short."""
    if customer.follows == "lost":
        return "what is short is lost"
    until = "" if customer.patience is None else f", for {say.amount(customer.patience, 'h')} at most"
    return f"what is short follows the {customer.follows}{until}"


def _when_it_buys(customer: BlockCustomer, say: Say) -> Iterator[str]:
    if customer.months != MONTHS:
        yield f" It buys in {joined([month.title() for month in customer.months])}."
    if customer.season != AS_USUAL:
        months = [
            f"{month.title()} {number(round(100 * part, 1))}"
            for month, part in zip(MONTHS, customer.season, strict=True)
        ]
        yield f" Its season, % of usual: {', '.join(months)}."
    if customer.age is not None:
        yield f" Blocks {_age(customer, say)}, never before they are colonised."


def _age(customer: BlockCustomer, say: Say) -> str:
    """From which age to which, as a grower says it."""
    assert customer.age is not None
    return f"{_side(customer.age.low, say)} to {_side(customer.age.high, say)}"


def _side(hours: float, say: Say) -> str:
    if hours == 0.0:
        return "ripe"
    return f"{say.amount(abs(hours), 'h')} {'before' if hours < 0 else 'after'} they are ripe"


def _terms(customer: BlockCustomer, say: Say) -> Iterator[str]:
    if not customer.part_deliveries:
        yield " Nothing leaves until the whole order is there."
    if customer.boxing is not None:
        pace, lead = say.amount(customer.boxing, "blocks/h"), say.amount(customer.boxed_from, "h")
        yield f" Boxed, {pace} a person, from {lead} before they leave; what is not boxed stays."
    if customer.fails:
        share = say.amount(customer.fails, "fraction")
        good = "credited" if customer.made_good == "credit" else "replaced with the next order"
        yield f" {share} of them fail later and are {good}."
    if "firm" in customer.given:
        yield f" {HOW_FIRM[customer.firm]}."


def block_rules(farm: Farm, say: Say) -> Iterator[str]:
    """Who gets ripe blocks, which go first, what becomes of surplus, and when a lot is called in."""
    rules = farm.rules
    yield f"Ripe blocks: {rules.ripe_blocks}."
    if rules.sold_first != SOLD_FIRST[0]:
        yield "Of ripe blocks the freshest are sold first."
    if rules.surplus_blocks != SURPLUS[0]:
        yield _surplus(rules, say)
    if rules.call_in == ON_MOVING_DAYS:
        yield f"A ripe lot is called in on moving days, {days_said(rules.moving_days)}, when a shelf is free."
    else:
        yield f"A ripe lot is called in {'as soon as it is ripe (push)' if rules.call_in == 'push' else rules.call_in}."


def _surplus(rules: Rules, say: Say) -> str:
    left = say.amount(rules.surplus_left, "h")
    if rules.surplus_blocks == "fruit":
        return f"Ripe blocks with at most {left} of their time left go to our own rooms, even if they are promised."
    if rules.surplus_blocks == "sell cheap":
        return f"Ripe blocks with at most {left} of their time left, and promised to nobody, are sold cheap."
    return "Surplus blocks wait on the rack and are not held cold."
