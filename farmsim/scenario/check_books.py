"""Rules about the books: loans, capital items and the opening balance sheet must add up, what is sold must have a price."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import chain

from farmsim.errors import Fault
from farmsim.scenario.capital import CASH, OWNER, Capital
from farmsim.scenario.check_prices import of_strains
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.loans import A_YEAR, Loan
from farmsim.scenario.part import NotKnown
from farmsim.scenario.prices import lacks_price
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.say import Say

Path = tuple[str | int, ...]
CENT = 0.005


def _books_are_kept(farm: Farm) -> str:
    """Because of what books are kept, in words; nothing when they are not."""
    if farm.balance is not None:
        return "with [balance] books are kept"
    return "" if farm.request is None else "with [request] books are kept"


def what_is_sold_has_its_price(farm: Farm) -> Iterator[Fault]:
    """Where books are kept, a customer without a price would take goods for nothing."""
    books = _books_are_kept(farm)
    if not books:
        return
    of_kinds: dict[str, Sequence[Customer | BlockCustomer]] = {
        "customer": farm.customer,
        "block_customer": farm.block_customer,
    }
    for kind, customers in of_kinds.items():
        for at, customer in enumerate(customers):
            yield from _lacks_prices(farm, customer, (kind, at), books)


def _lacks_prices(farm: Farm, customer: Customer | BlockCustomer, path: Path, books: str) -> Iterator[Fault]:
    """A strain that is taken beside others with prices is told where it is taken: that line is the new one."""
    allowed = f"needs one for all it takes: {books}"
    like = "$9/lb" if path[0] == "customer" else "$9 a block"
    beside: list[str] = []
    for strain in lacks_price(farm, customer):
        if isinstance(customer.price, dict) and strain in customer.takes:
            mend = f'Add it to price, such as "{like}", or "$0" for a gift.'
            yield Fault((*path, "takes", strain), "has no price", allowed, mend)
        else:
            beside.append(strain)
    if beside:
        found = f"gives no price for {', '.join(beside)}"
        yield Fault((*path, "price"), found, allowed, f'Add it, such as "{like}", or "$0" for a gift.')


def crews_have_wages(farm: Farm) -> Iterator[Fault]:
    """Where books are kept, hours without a wage would be worked for nothing."""
    books = _books_are_kept(farm)
    for at, crew in enumerate(farm.crew):
        if books and crew.wage is None and crew.paid != "as owner":
            mend = 'Add wage = "$18/h", or write paid = "as owner".'
            allowed = f"needs one for all who are paid by the hour: {books}"
            yield Fault(("crew", at, "wage"), "is not given", allowed, mend)


def materials_are_of_strains(farm: Farm) -> Iterator[Fault]:
    """A price for a strain that the farm has not costs nothing."""
    if farm.materials is not None:
        for name, figure in type(farm.materials).figures.items():
            if figure.form.name.startswith("price"):
                yield from of_strains(farm, getattr(farm.materials, name), ("materials", figure.name))


# --- loans ------------------------------------------------------------------------------------------------------------


def payments_are_whole(loan: Loan, path: Path) -> Iterator[Fault]:
    """A loan has a whole number of payments."""
    for key, years in (("years", loan.years), ("as_over", loan.as_over)):
        exact = (years or 0.0) * A_YEAR[loan.every]
        if abs(exact - round(exact)) > 1e-6 or (years is not None and round(exact) < 1):
            found = f"{years:g} years are {exact:g} payments, one every {loan.every}"
            yield Fault((*path, key), found, "needs a whole number of payments", "Change years or every.")


def terms_fit_together(loan: Loan, path: Path, say: Say) -> Iterator[Fault]:
    """Payments begin after the loan, interest-only ones leave room for principal, a balloon is part of the loan."""
    if loan.first_payment is not None and loan.first_payment <= loan.from_:
        found = f"is {loan.first_payment}, the loan is from {loan.from_}"
        yield Fault((*path, "first_payment"), found, "needs a later day", "Write a later one, or leave it out.")
    if loan.interest_only >= loan.payments:
        found = f"is {loan.interest_only} of {loan.payments} payments"
        mend = "Make them fewer; to repay all at the end write balloon."
        yield Fault((*path, "interest_only"), found, "needs at least one that repays", mend)
    if loan.balloon > loan.amount:
        found = f"is {say.money(loan.balloon)} of {say.money(loan.amount)}"
        yield Fault((*path, "balloon"), found, "needs to be part of the amount", "Make it smaller.")
    if loan.as_over is not None and loan.balloon:
        found = "is given beside as_over, which leaves what it leaves"
        yield Fault((*path, "balloon"), found, "needs one of the two", "Take one of the two out.")
    if loan.as_over is not None and loan.as_over < loan.years:
        found = f"is {loan.as_over:g} years, the loan runs {loan.years:g}"
        yield Fault(
            (*path, "as_over"), found, "needs at least the years of the loan", "Make it longer, or leave it out."
        )


def uses_and_sources_add_up(farm: Farm, loan: Loan, path: Path, say: Say) -> Iterator[Fault]:
    """What capital items take from a new loan, and what it gives for working money, is the loan."""
    taken = sum(item.payers.get(loan.name, 0.0) for item in farm.capital)
    uses = taken + loan.working_money
    is_new = loan.from_ >= farm.farm.start
    if not is_new and (taken or loan.working_money):
        found = f"is from {loan.from_}, before the start, and pays for something new"
        mend = "Give it a later day, or let something else pay."
        yield Fault((*path, "from"), found, f"needs a day from {farm.farm.start} on", mend)
    elif is_new and abs(uses - loan.amount) > CENT:
        working = f" and {say.money(loan.working_money)} of working money" if loan.working_money else ""
        found = f"is {say.money(loan.amount)}, but it pays for {say.money(taken)} of capital items{working}"
        mend = "Change the amount, what items are paid from it, or working_money."
        yield Fault((*path, "amount"), found, "needs uses and sources that add up", mend)


# --- capital items ----------------------------------------------------------------------------------------------------


def an_item_is_paid_for(farm: Farm, item: Capital, path: Path, say: Say) -> Iterator[Fault]:
    """Who pays for an item pays all of it, and is known."""
    if item.salvage > item.spent:
        found = f"is {say.money(item.salvage)} of {say.money(item.spent)}"
        yield Fault((*path, "salvage"), found, "needs at most what it cost", "Make it smaller.")
    if item.paid is None:
        return
    if item.bought < farm.farm.start:
        found = f"is given, but it was bought on {item.bought}, before the start"
        yield Fault((*path, "paid"), found, "needs something new", "Leave it out: what is owned already is paid for.")
        return
    known = [CASH, OWNER, *(loan.name for loan in farm.loan)]
    for name in item.paid:
        if name not in known:
            mend = nearest(name, known, "Write one of these, or add the [[loan]].")
            yield Fault((*path, "paid", name), f'"{name}" pays', f"needs one of {listed(known)}", mend)
    for loan in farm.loan:
        if item.paid.get(loan.name) and loan.from_ > item.bought:
            found = f"{loan.name} pays, which is from {loan.from_}, and it is bought on {item.bought}"
            mend = "Let the loan come earlier or buy it later, or let something else pay."
            yield Fault((*path, "paid", loan.name), found, "needs a loan that is there by that day", mend)
    paid = sum(item.paid.values())
    if abs(paid - item.spent) > CENT:
        with_more = f" with {100 * item.contingency:g} % of contingency" if item.contingency else ""
        found = f"adds up to {say.money(paid)}, it costs {say.money(item.spent)}{with_more}"
        mend = "Change what is paid, the cost or the contingency."
        yield Fault((*path, "paid"), found, "needs uses and sources that add up", mend)


# --- the balance sheet ------------------------------------------------------------------------------------------------


def books_have_an_opening(farm: Farm) -> Iterator[Fault]:
    """Cash can only be followed from what there is."""
    for kind, given in (
        ("loan", farm.loan),
        ("capital", farm.capital),
        ("credit_line", farm.credit_line),
        ("request", farm.request),
    ):
        if given and farm.balance is None:
            path: Path = (kind, 0) if isinstance(given, tuple) else (kind,)
            mend = 'Add [balance] with cash = "$12,000" and what else is owned and owed.'
            yield Fault(path, "there is no [balance]", "needs the opening balance sheet", mend, misses=("balance",))


def the_line_is_within_its_limit(farm: Farm, say: Say) -> Iterator[Fault]:
    """No more is owed than may be."""
    line = farm.credit_line
    if line is not None and line.drawn > line.limit:
        found = f"is {say.money(line.drawn)} of {say.money(line.limit)}"
        yield Fault(("credit_line", "drawn"), found, "needs at most the limit", "Change one of the two.")


def something_changes_with_the_drift(farm: Farm) -> Iterator[Fault]:
    """A drift of prices without prices is not heard."""
    drift = farm.drift
    if drift is None:
        return
    for key, value, there in (
        ("materials", drift.materials, farm.materials is not None),
        ("energy", drift.energy, farm.energy is not None),
        ("fixed", drift.fixed, bool(farm.fixed_cost)),
        ("family", drift.family, farm.costs is not None),
    ):
        if value and not there:
            yield Fault(
                ("drift", key), "is given, but nothing of it costs anything", "needs such costs", "Leave it out."
            )


def _of_each(farm: Farm, say: Say) -> Iterator[Iterator[Fault]]:
    for at, loan in enumerate(farm.loan):
        path: Path = ("loan", at)
        yield payments_are_whole(loan, path)
        yield terms_fit_together(loan, path, say)
        yield uses_and_sources_add_up(farm, loan, path, say)
    for at, item in enumerate(farm.capital):
        yield an_item_is_paid_for(farm, item, ("capital", at), say)


def checks(farm: Farm) -> Iterator[Iterable[Fault]]:
    """The faults of every rule; a rule that needs a figure which could not be read says nothing."""
    rules = (
        what_is_sold_has_its_price,
        crews_have_wages,
        materials_are_of_strains,
        books_have_an_opening,
        something_changes_with_the_drift,
    )
    with suppress(NotKnown):
        say = Say(farm.farm.units, farm.farm.currency)
        for faults in chain((rule(farm) for rule in rules), [the_line_is_within_its_limit(farm, say)]):
            with suppress(NotKnown):
                yield list(faults)
        for faults in _of_each(farm, say):
            with suppress(NotKnown):
                yield list(faults)
