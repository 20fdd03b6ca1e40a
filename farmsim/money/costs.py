"""What the farm pays for hours, with what goes on top of wages, and for energy."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from farmsim.money.states import States
from farmsim.record.measures.crews import Paid, paid_as_overtime, paid_in_shifts
from farmsim.record.measures.cuts import days_measured
from farmsim.record.measures.declare import Flow
from farmsim.record.tables import Figures, Record
from farmsim.scenario.costs import Costs
from farmsim.scenario.farm import Farm
from farmsim.units import HOURS_A_DAY, HOURS_A_WEEK

DAYS_A_WEEK = HOURS_A_WEEK / HOURS_A_DAY


def shift_wages(record: Record, states: States) -> Flow:
    """The hours of everybody present, break left out, at their wage; they are paid whether there is work or not.

    Whoever was sent home is paid the hours there or the shortest shift; owner and family are not paid by the hour.
    """
    return _paid(record, states, paid_in_shifts(record))


def overtime_wages(record: Record, states: States) -> Flow:
    """Hours paid as overtime, at the same wage, in the week of the shift: after its end, or above the crew's hours a week."""
    return _paid(record, states, paid_as_overtime(record))


def _paid(record: Record, states: States, paid: Paid) -> Flow:
    hours, crew = paid

    def wage(farm: Farm, name: str) -> list[float] | None:
        found = next((each for each in farm.crew if each.name == name), None)
        return None if found is None else [found.wage or 0.0]

    if not record.names.crews:
        return Flow(hours.when, np.zeros(len(hours.when)))
    wages = states.values(record.names.crews, wage)
    return Flow(hours.when, hours.amount * wages[crew, states.at(hours.when), 0] * states.drift(hours.when, "wages"))


def on_top_of_overtime(overtime: Flow, states: States) -> Flow:
    """What hours paid as overtime cost on top of their wage."""
    return Flow(overtime.when, overtime.amount * _share(states, overtime.when, "overtime_more"))


def on_costs(wages: Sequence[Flow], states: States) -> Flow:
    """Payroll taxes, insurance and benefits: a share of all wages."""
    when = np.concatenate([flow.when for flow in wages])
    amount = np.concatenate([flow.amount for flow in wages])
    return Flow(when, amount * _share(states, when, "on_costs"))


def _share(states: States, when: Figures, name: str) -> Figures:
    shares = np.array([getattr(farm.costs or Costs(), name) for farm in states.farms])
    found: Figures = shares[states.at(when)]
    return found


def energy(record: Record, states: States) -> Flow:
    """Power and fuel, day by day: a seventh of an average week, as that month is."""
    when: Figures = record.start + HOURS_A_DAY * np.arange(days_measured(record), dtype=np.float64)
    a_week = np.array([farm.energy.in_all if farm.energy is not None else 0.0 for farm in states.farms])
    factors = states.factors(when, lambda farm: farm.months.energy)
    return Flow(when, a_week[states.at(when)] / DAYS_A_WEEK * factors * states.drift(when, "energy"))
