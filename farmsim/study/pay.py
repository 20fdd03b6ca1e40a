"""What the crews of a farm cost in a run: their paid hours at their wages, or the hours themselves."""

from __future__ import annotations

from dataclasses import dataclass

from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import not_paid
from farmsim.study.headlines import PAID, Headline

WAGES = Headline("wages", "currency/week", ())


@dataclass(frozen=True)
class Pay:
    """How the cost of crews is counted.

    no_wage: crews paid by the hour that have no wage; if there are any, hours are counted instead of money
    """

    no_wage: tuple[str, ...]

    @classmethod
    def of(cls, farm: Farm) -> Pay:
        """At wages if every crew that is paid by the hour has one."""
        return cls(tuple(not_paid(farm)))

    @property
    def line(self) -> Headline:
        """The figure that is the cost: wages or paid hours a week."""
        return PAID if self.no_wage else WAGES

    def of_run(self, farm: Farm, tables: RunTables, weeks: int) -> float:
        """Cost of one run of the farm, overtime paid with it at the same wage [see line].

        tables: the run's "crews"
        """
        hours = dict(zip(tables["crews"]["crew"], tables["crews"]["paid_h"], strict=True))
        each = {crew.name: 1.0 if self.no_wage else crew.wage or 0.0 for crew in farm.crew}
        return sum(float(hours[name]) * price for name, price in each.items()) / weeks
