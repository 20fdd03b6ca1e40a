"""What comes month after month whatever is grown: fixed costs, draw, taxes. Each is spread over its month's days."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from farmsim.money.days import days_of
from farmsim.money.states import States
from farmsim.record.measures.cuts import days_measured
from farmsim.record.measures.declare import Flow
from farmsim.record.tables import Figures, Record
from farmsim.scenario.costs import Costs
from farmsim.scenario.farm import Farm
from farmsim.units import HOURS_A_DAY

DRAW, TAXES, LIVING, ELSEWHERE = "owner's draw", "taxes", "family living", "income from elsewhere"


def fixed_costs(record: Record, states: States) -> Iterator[tuple[str, Flow]]:
    """Each fixed cost by its name; one that is not there yet, or no more, costs nothing."""
    for name in dict.fromkeys(each.name for farm in states.farms for each in farm.fixed_cost):

        def said(farm: Farm, name: str = name) -> float:
            return sum(each.a_month for each in farm.fixed_cost if each.name == name)

        yield name, _spread(record, states, said, "fixed")


def of_the_family(record: Record, states: States) -> dict[str, Flow]:
    """What goes to the owner's family and in taxes, and what lenders count of the family's own money."""
    asked: dict[str, Callable[[Costs], float]] = {
        DRAW: lambda costs: costs.owner_draw,
        TAXES: lambda costs: costs.taxes,
        LIVING: lambda costs: costs.owner_draw if costs.family_living is None else costs.family_living,
        ELSEWHERE: lambda costs: costs.off_farm_income,
    }
    return {name: _spread(record, states, partial(_of_costs, ask), "family") for name, ask in asked.items()}


def _of_costs(ask: Callable[[Costs], float], farm: Farm) -> float:
    """A figure of what a farm pays; of one that says nothing of it, what is usual."""
    return ask(farm.costs or Costs())


def _spread(record: Record, states: States, a_month: Callable[[Farm], float], drift: str) -> Flow:
    """So much a month, in equal parts on its days."""
    when: Figures = record.start + HOURS_A_DAY * np.arange(days_measured(record), dtype=np.float64)
    days = days_of(record.first_day, when)
    of_month = days.of_month[days.at(when)]
    amounts = np.array([a_month(farm) for farm in states.farms])
    return Flow(when, amounts[states.at(when)] / of_month * states.drift(when, drift))
