"""Rules about what is asked of a lender, and about the past years that stand beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from datetime import date, timedelta
from itertools import pairwise

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.part import NotKnown
from farmsim.scenario.request import Request

LEAST_DAYS = 364  # between the ends of two years: books of 52 weeks are a year too


def the_loan_is_known(farm: Farm) -> Iterator[Fault]:
    """The loan that is asked for is one of the farm's."""
    names = [loan.name for loan in farm.loan]
    if farm.request is not None and farm.request.loan not in names:
        wanted = farm.request.loan
        allowed = f"needs one of {listed(names)}" if names else "needs a loan that is asked for"
        mend = nearest(wanted, names, "Write the name of the new loan, or add the [[loan]].")
        yield Fault(("request", "loan"), f'there is no loan "{wanted}"', allowed, mend, misses=("loan", wanted))


def the_loan_is_new(farm: Farm) -> Iterator[Fault]:
    """A loan from before the start is owed already; nobody asks for it."""
    request, start = farm.request, farm.farm.start
    for loan in farm.loan:
        if request is not None and loan.name == request.loan and loan.from_ < start:
            found = f"{loan.name} is from {loan.from_}, before the start"
            mend = "Name the new loan, or give this one a later day."
            yield Fault(("request", "loan"), found, f"needs a loan from {start} on", mend)


def it_opens_on_a_monday(farm: Farm) -> Iterator[Fault]:
    """Changes of a farm take effect on Mondays."""
    if farm.request is not None and farm.request.opens.weekday():
        found = f"{farm.request.opens} is a {farm.request.opens.strftime('%A')}"
        yield Fault(("request", "opens"), found, "needs a Monday", "Take the Monday of that week.")


def it_opens_within_the_weeks(farm: Farm) -> Iterator[Fault]:
    """Before the start there is nothing to pay for yet, after the last week nothing would be seen of it."""
    if farm.request is None:
        return
    opens, start = farm.request.opens, farm.farm.start
    last = start + timedelta(weeks=farm.farm.weeks - 1)
    allowed = f"needs a Monday after {start} and until {last}, within the weeks that are simulated"
    if opens <= start:
        found = f"the expansion opens on {opens}, the farm starts on {start}"
        mend = "Move it to a later Monday, or let the farm start earlier."
        yield Fault(("request", "opens"), found, allowed, mend)
    elif opens > last:
        mend = "Move it to an earlier Monday, or give the farm more weeks."
        yield Fault(("request", "opens"), f"the expansion opens on {opens}", allowed, mend)


def past_years_are_past(farm: Farm) -> Iterator[Fault]:
    """What lies after the start is simulated."""
    for at, year in enumerate(farm.past_year):
        if year.ends > farm.farm.start:
            found = f"is {year.ends}, the farm starts on {farm.farm.start}"
            mend = "Leave this year out, or let the farm start later."
            yield Fault(("past_year", at, "ends"), found, "needs a year that ends by the start", mend)


def past_years_follow_one_another(farm: Farm) -> Iterator[Fault]:
    """Each year is of twelve months; a change set adds its own behind those of the farm, so they may stand in any order."""
    years = sorted(enumerate(farm.past_year), key=lambda each: each[1].ends)
    for (_, before), (at, year) in pairwise(years):
        if (year.ends - before.ends).days < LEAST_DAYS:
            found = f"is {year.ends}, the year before it ends on {before.ends}"
            mend = "Write each year once, with the last day of its twelve months."
            yield Fault(("past_year", at, "ends"), found, "needs years of twelve months, one after another", mend)


def it_opens_when_something_changes(request: Request, days: Mapping[date, str]) -> Iterator[Fault]:
    """The new part is something that comes on a day; of a farm that never changes there is no such day to name.

    days: on which the farm changes, with the names of phases
    """
    if request.opens in days or not days:
        return
    before = max((day for day in days if day < request.opens), default=None)
    after = min((day for day in days if day > request.opens), default=None)
    nearest = " or ".join(
        f"{day}{f' ({days[day]})' if days[day] else ''}" for day in (before, after) if day is not None
    )
    found = f"the expansion opens on {request.opens}, a day on which nothing of the farm changes"
    mend = f"Write {nearest}, or give this Monday to a phase."
    yield Fault(("request", "opens"), found, "needs the Monday on which the new part comes", mend)


RULES = (
    the_loan_is_known,
    the_loan_is_new,
    it_opens_on_a_monday,
    it_opens_within_the_weeks,
    past_years_are_past,
    past_years_follow_one_another,
)


def checks(farm: Farm) -> Iterator[Iterable[Fault]]:
    """The faults of every rule; a rule that needs a figure which could not be read says nothing."""
    for rule in RULES:
        with suppress(NotKnown):
            yield list(rule(farm))
