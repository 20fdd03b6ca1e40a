"""Who takes fresh mushrooms, read back: what each is promised, what becomes of the rest, and who goes short first."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario.fresh_sales import Customer, Dries
from farmsim.scenario.rules import KEEP_BACK, Rules
from farmsim.scenario.say import Say, days_said, joined

SERVED = {
    "file order": "in the order of the file",
    "largest first": "the largest order first",
    "firmest first": "the firmest first (signed, by habit, letter, hoped for)",
}
HOW_FIRM = {
    "signed": "Its orders are signed",
    "by habit": "It buys by habit",
    "letter": "It has given a letter of intent",
    "hoped for": "It is only hoped for",
}


def customer_sentence(customer: Customer, say: Say) -> str:
    """All about one customer."""
    when = f"on {days_said(customer.days)}, leaving by {say.clock(customer.leave_by)}"
    if customer.kind == "market stall":
        return f"{_stall(customer, say, when)}{''.join(_wishes(customer, say))}"
    if customer.kind == "outlet":
        return f"{_outlet(customer, say, when)}{''.join(_wishes(customer, say))}"
    calls = f"calls on {say.amount(customer.calls, 'fraction')} of its days for" if customer.kind == "call-off" else ""
    text = f"{customer.name} {calls or 'is promised'} {joined(list(_takes(customer, say)))} a delivery, {when}"
    varies = ""
    if customer.takes:
        varies = (
            f"; orders vary by {say.amount(customer.varies, 'fraction')}"
            if customer.varies
            else "; every order the same"
        )
    short = "is lost" if customer.unfilled == "lost" else "follows the next day"
    return f"{text}{varies}; what is short {short}.{''.join(_wishes(customer, say))}"


def _takes(customer: Customer, say: Say) -> Iterator[str]:
    assert not isinstance(customer.takes, str)
    yield from (f"{say.amount(kg, 'kg')} of {strain}" for strain, kg in customer.takes.items())
    mixed = customer.mixed
    if mixed is not None:
        least = f"at least {mixed.at_least} of " if mixed.at_least < len(mixed.of) else ""
        varies = f", varying by {say.amount(mixed.varies, 'fraction')}" if mixed.varies else ""
        yield f"{say.amount(mixed.amount, 'kg')} mixed ({least}{joined(list(mixed.of))}, whatever there is most of{varies})"


def _stall(customer: Customer, say: Say, when: str) -> str:
    brings = joined(list(_takes(customer, say)))
    asked = joined([f"{strain} ({say.vary(vary, 'kg')})" for strain, vary in customer.sells.items()])
    text = f"{customer.name} is a market stall that takes {brings} along, {when}, and is asked for {asked}"
    if customer.unsold == "lost" or customer.back_at is None:
        return f"{text}; what it does not sell is lost."
    older = say.amount(customer.comes_back_older, "h")
    back = say.clock(customer.back_at)
    return f"{text}; the rest is back at {back} and has lost {older} of shelf life on top of the hours away."


def _outlet(customer: Customer, say: Say, when: str) -> str:
    left = customer.takes_firsts_left
    old = f", and firsts with at most {say.amount(left, 'h')} of shelf life left" if left is not None else ""
    return f"{customer.name} takes any seconds{old}, {when}.{_dries(customer.dries, say)}"


def _dries(dries: Dries | None, say: Say) -> str:
    if dries is None:
        return ""
    work = (
        f"; one person lays out {say.amount(dries.pace, 'kg/h')}" if dries.pace is not None else "; no work is counted"
    )
    return f" They are dried: {dries.ratio:g} lb fresh make 1 lb{work}."


def _wishes(customer: Customer, say: Say) -> Iterator[str]:
    """What a customer wants besides, each in a sentence of its own."""
    if customer.form != "any":
        ahead = say.amount(customer.pack_ahead, "h")
        yield f" It is packed to order as {customer.form}, begun {ahead} before at the earliest."
    for strain, others in customer.substitutes.items():
        yield f" When {strain} is short it takes {', else '.join(others)}."
    if customer.notice:
        yield f" Its orders are known {say.amount(customer.notice, 'h')} before."
    if customer.goes_short == "in turn":
        yield " It goes short in turn."
    elif customer.goes_short is not None:
        yield f" It goes short {customer.goes_short}."
    if "firm" in customer.given:
        yield f" {HOW_FIRM[customer.firm]}."
    if customer.leaves_after is not None:
        below = say.amount(customer.short_below, "fraction")
        times = (
            f"{customer.leaves_after} short deliveries in a row" if customer.leaves_after > 1 else "one short delivery"
        )
        yield f" After {times} (less than {below} of what it ordered) it orders no more."


def served_sentences(rules: Rules) -> Iterator[str]:
    """Who is served first, and what is kept back."""
    yield f"Customers are served {SERVED[rules.served_first]}."
    if rules.keep_back != KEEP_BACK[0]:
        yield "What is known to be ordered is kept back from those who go short before it."
