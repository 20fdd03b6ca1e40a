"""What cannot be told to a lender, and why: found before anything is simulated, all of it at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from farmsim.errors import FarmsimError
from farmsim.money.loan import days, later
from farmsim.money.states import years_between
from farmsim.scenario.delayed import chain, dates, expansion
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.loans import A_YEAR, Loan
from farmsim.scenario.read import load
from farmsim.scenario.request import Request
from farmsim.study.books import MONTHS_A_YEAR, MOST_YEARS, can_be_kept


class NoPack(FarmsimError, ValueError):
    """What is asked for cannot be told to a lender; says all that is missing."""

    exit_code = 2


def can_be_told(base: Farm, expanded: Farm, change: Path, years: int, file: Path | None = None) -> Request:
    """What is asked for, if it is a dated expansion of this farm.

    change: file of the change set; file: that of the farm without the expansion, where it is known
    Goes wrong when it is not (NoPack), or books cannot be kept (NoBooks).
    """
    of = base_file(base, change)
    if of is None and file is not None and _is_below(change, file):
        raise NoPack(_wrong_order(change, file))
    faults = [*_not_of_this_farm(base, change, of)]
    faults += [] if of is None else _no_date(expanded, change, of)
    faults += _nothing_asked(change) if expanded.request is None else _years(expanded, expanded.request, years)
    if faults or expanded.request is None:
        raise NoPack("\n".join(faults))
    can_be_kept(base)
    can_be_kept(expanded)
    return expanded.request


def base_file(base: Farm, change: Path) -> Path | None:
    """That of the files which a change set is based on, directly or not, that makes this farm; None when none does.

    The farthest one: a change set that only says what is asked makes a farm that no run tells from that below it.
    """
    wanted = fingerprint(base, 1, 0)
    return next((file for file, _ in reversed(chain(change)[1:]) if fingerprint(load(file), 1, 0) == wanted), None)


def _is_below(change: Path, file: Path) -> bool:
    """Whether what was named as the farm is based on what was named as the change set."""
    return change.resolve() in [path.resolve() for path, _ in chain(file)[1:]]


def _wrong_order(change: Path, file: Path) -> str:
    """Two files that were exchanged: what else is found of them is not meant of them."""
    return (
        f"{file.name} is based on {change.name}, so it is the expansion and not the farm: change the order of the two, "
        f"{change.name} first."
    )


def _not_of_this_farm(base: Farm, change: Path, of: Path | None) -> Iterator[str]:
    """The change set is to be based on the farm it is put beside."""
    below = [path for path, _ in chain(change)[1:]]
    if of is not None:
        return
    if not below:
        yield f"{change.name} is no change set: it is based on no farm. Name the farm's file first, the change set second."
    else:
        names = [path.name for path in below]
        also = "".join(f", that on {name}" for name in names[1:])
        yield (
            f"{change.name} is based on {names[0]}{also}, and {base.farm.name} is another farm, so what differs would not be "
            f"the expansion. Name {' or '.join(names)} as the farm."
        )


def _no_date(expanded: Farm, change: Path, of: Path) -> Iterator[str]:
    """An expansion comes on days of its own."""
    if not expanded.changes or not dates(expansion(change, of), expanded.farm.start):
        yield (
            f"{change.name} changes the farm on no day, as if all of it stood from the start on. Write a [[phase]] with name "
            "and from for each step: building, opening, filling up."
        )


def _nothing_asked(change: Path) -> Iterator[str]:
    yield (
        f'{change.name} asks for nothing. Add [add.request] with purpose = "a fifth fruiting room", loan = the name of its '
        "new [[loan]], and opens = the Monday on which the new part takes its first blocks."
    )


# --- years ------------------------------------------------------------------------------------------------------------


def _years(expanded: Farm, request: Request, years: int) -> Iterator[str]:
    """What is asked for has to be seen at work in the books, and a year of its payments with it.

    Both take more years of books, so it is said once how many; unless no number of them is enough for the payments.
    """
    start = expanded.farm.start
    end = _end(start, years)
    books = f"{'1 year' if years == 1 else f'{years} years'} of books end on {end}"
    loan = next((each for each in expanded.loan if each.name == request.loan), None)
    needed = years if loan is None else _first_whole_year(loan, start)
    if request.opens > end:
        is_ever = needed <= MOST_YEARS
        opened = max(years_between(start, request.opens) + 1, needed if is_ever else 0)
        yield f"{request.purpose} opens on {request.opens}, but {books}. {_mend(opened, 'let it open earlier')}"
        if is_ever:
            return
    if loan is None or needed <= years:
        return
    yield (
        f"No year of the books holds a whole year of payments of {loan.name}, the first of which is due on "
        f"{next(iter(days(loan)))}, and {books}. {_mend(needed, 'let it begin earlier')}"
    )


def _end(start: date, years: int) -> date:
    """The last day of so many years of books."""
    return later(start, MONTHS_A_YEAR * years, start.day) - timedelta(days=1)


def _mend(needed: int, else_: str) -> str:
    return f"Ask for {needed} years." if needed <= MOST_YEARS else f"At most {MOST_YEARS} can be told: {else_}."


def _first_whole_year(loan: Loan, start: date) -> int:
    """The first year of the books in which as many payments are due as a year has, those of interest only too."""
    years = [years_between(start, day) + 1 for day in days(loan)]
    whole = min(A_YEAR[loan.every], len(years))
    return next((year for year in years if years.count(year) >= whole), max(years))
