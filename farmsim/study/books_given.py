"""What the books of a farm do not hold because nothing is given of it, and where the figures that they hold come from.

Both over all states of the farm: what is given only from a dated change on, or no longer, is told as such.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from farmsim.scenario import prices
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer, Customer

FOR_PART = "for part of the time"
NOT_SAID = "no source and no day is given"


def gaps(farm: Farm) -> Iterator[str]:
    """What the books do not hold because nothing is given of it, for all of the time or for part of it."""
    states = [state for _, state in _states(farm)]
    crews = list(dict.fromkeys(name for state in states for name in prices.not_paid(state)))
    if crews:
        yield f"no wage for {', '.join(crews)}"
    missing = [list(_missing(state)) for state in states]
    for gap in dict.fromkeys(gap for each in missing for gap in each):
        yield gap if all(gap in each for each in missing) else f"{gap} {FOR_PART}"
    if farm.balance is None:
        yield "no opening balance sheet, so cash is counted from 0"


def _states(farm: Farm) -> Iterator[tuple[date, Farm]]:
    """The farm as it begins and as its dated changes make it, each with its first day."""
    yield farm.farm.start, farm
    for since, state in farm.changes:
        yield farm.farm.start + timedelta(hours=since), state


def _missing(farm: Farm) -> Iterator[str]:
    """What one state of the farm gives nothing of."""
    materials = farm.materials
    if farm.energy is None:
        yield "no power and fuel"
    if materials is None:
        yield "no materials, blocks bought in or packaging"
    elif any(line.made == "here" for line in farm.start) and materials.substrate is None:
        yield "no substrate"
    elif any(line.made == "bought" for line in farm.start) and materials.bought is None:
        yield "no price of blocks bought in"
    if not farm.fixed_cost:
        yield "no fixed costs"
    if farm.costs is None:
        yield "no on-costs of wages, owner's draw, family living or taxes"


def sources(farm: Farm) -> Iterator[tuple[str, str]]:
    """Where figures come from and of which day they are, as the farm's file says; anew when a dated change says otherwise."""
    said: dict[str, str] = {}
    for since, state in _states(farm):
        for what, told in _said(state):
            if said.get(what) != told:
                yield (f"{what} from {since} on" if what in said else what), told
                said[what] = told


def _said(farm: Farm) -> Iterator[tuple[str, str]]:
    """Where the figures of one state come from."""
    customers: tuple[Customer | BlockCustomer, ...] = (*farm.customer, *farm.block_customer)
    for what, source, day in (
        *((f"prices of {each.name}", each.prices_from, each.prices_of) for each in customers),
        *(("power and fuel", part.bills_from, part.bills_of) for part in (farm.energy,) if part is not None),
        *((each.name, each.costs_from, each.costs_of) for each in farm.fixed_cost),
        *((f"loan {loan.name}", loan.terms_from, loan.terms_of) for loan in farm.loan),
        *((f"cost of {item.name}", item.costs_from, item.costs_of) for item in farm.capital),
        *(("credit line", line.terms_from, line.terms_of) for line in (farm.credit_line,) if line is not None),
        *(("materials", part.prices_from, part.prices_of) for part in (farm.materials,) if part is not None),
        *(("on-costs, draw and taxes", part.books_from, part.books_of) for part in (farm.costs,) if part is not None),
        *(("opening balance sheet", part.books_from, part.books_of) for part in (farm.balance,) if part is not None),
    ):
        told = ", ".join(each for each in (source or "", "" if day is None else f"of {day}") if each)
        yield what, told or NOT_SAID
