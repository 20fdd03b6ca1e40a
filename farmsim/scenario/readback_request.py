"""What is asked of a lender read back: what for, when it opens, who asks for which coverage; and the past years given."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from farmsim.scenario.farm import Farm
from farmsim.scenario.readback_books import source_of
from farmsim.scenario.request import Request
from farmsim.scenario.say import Say, joined


def request_sentences(farm: Farm, say: Say) -> Iterator[str]:
    """What is asked for, and which past years stand beside it; nothing where neither is given."""
    if farm.request is not None:
        yield _asked(farm, farm.request, say)
        if farm.request.why is not None:
            yield f"Why, in the farm's own words: {farm.request.why.strip().rstrip('.')}."
        yield _coverage(farm.request)
        yield from _owner(farm.request)
    if farm.past_year:
        years = [
            f"{_day(year.ends)} {say.money(year.sales)}" for year in sorted(farm.past_year, key=lambda year: year.ends)
        ]
        several = "s" if len(years) > 1 else ""
        told = joined([*dict.fromkeys(year.books_from for year in farm.past_year if year.books_from)])
        source = f" ({told})" if told else " (no source is given)"
        yield f"Sales of the past year{several} to {joined(years)}{source}; no run reads them."


def looks(farm: Farm) -> Iterator[str]:
    """An opening of a farm that never changes."""
    request = farm.request
    if request is not None and not farm.changes:
        yield (
            f"The request says that the new part takes its first blocks on {_day(request.opens)}, but nothing of the "
            "farm changes on that day, nor on any other: give that Monday to a phase."
        )


def _asked(farm: Farm, request: Request, say: Say) -> str:
    loan = next((each for each in farm.loan if each.name == request.loan), None)
    amount = "" if loan is None else f", {say.money(loan.amount)}"
    by = "" if request.prepared_by is None else f" by {request.prepared_by}"
    on = "" if request.prepared_on is None else f" on {_day(request.prepared_on)}"
    prepared = f"; prepared{by}{on}" if by or on else ""
    return (
        f"A lender is asked for {request.loan}{amount}, for {request.purpose}, which takes its first blocks on "
        f"{_day(request.opens)}{prepared}."
    )


def _coverage(request: Request) -> str:
    if request.needs is None:
        return "It is not said which coverage of its payments the lender asks for."
    source = source_of(request.terms_of, request.terms_from) or " (nobody and no day is given for it)"
    return f"The lender asks for a {request.needs_of} of at least {request.needs:g}{source}."


def _owner(request: Request) -> Iterator[str]:
    if request.discount is not None:
        yield f"The owner wants money to earn {100 * request.discount:g} % a year: present values are reckoned with it."


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"
