"""What the crews of a farm cost in a run: their paid hours at their wages with all that goes on top, or the hours."""

from __future__ import annotations

from dataclasses import dataclass

from farmsim.record.measures import RunTables
from farmsim.scenario.costs import Costs
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import not_paid
from farmsim.study.headlines import PAID, Headline

WAGES = Headline("wages", "currency/week", ())


@dataclass(frozen=True)
class Pay:
    """How the cost of crews is counted.

    no_wage: crews paid by the hour that have no wage; if there are any, hours are counted instead of money
    overtime_more: on top of the wage for hours paid as overtime [1]
    on_costs: payroll taxes, insurance and benefits, on top of all wages, those for overtime with what is on top [1]
    """

    no_wage: tuple[str, ...]
    overtime_more: float
    on_costs: float

    @classmethod
    def of(cls, farm: Farm) -> Pay:
        """At wages, and what the farm says goes on top of them, if every crew that is paid by the hour has one."""
        costs = farm.costs or Costs()
        return cls(tuple(not_paid(farm)), costs.overtime_more, costs.on_costs)

    @property
    def line(self) -> Headline:
        """The figure that is the cost: wages or paid hours a week."""
        return PAID if self.no_wage else WAGES

    def of_run(self, farm: Farm, tables: RunTables, weeks: int) -> float:
        """Cost of one run of the farm [see line].

        tables: the run's "crews"
        """
        seen = tables["crews"]
        columns = (seen[name] for name in ("crew", "paid_h", "overtime_paid_h"))
        hours = {str(crew): (float(paid), float(overtime)) for crew, paid, overtime in zip(*columns, strict=True)}
        if self.no_wage:
            return sum(hours[crew.name][0] for crew in farm.crew) / weeks
        return (1 + self.on_costs) * sum(self._wages(crew.wage or 0.0, *hours[crew.name]) for crew in farm.crew) / weeks

    def _wages(self, wage: float, paid: float, overtime: float) -> float:
        """Wages for so many hours, those paid as overtime among them."""
        return wage * (paid + self.overtime_more * overtime)
