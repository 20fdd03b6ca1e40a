"""Fresh mushrooms of one strain as the house handles them just now: plain figures, and the stock of each grade.

A table, a cooler and a counter look at these tens of thousands of times a year, so they are not looked up in the farm's
file each time: `build.come_into_force` writes them down anew when a dated change is due.
"""

from __future__ import annotations

from typing import final

from farmsim.model.stock import Stock
from farmsim.record.columns import GRADES
from farmsim.scenario.strain import Strain

NOT_KNOWN = float("nan")


@final
class Goods:
    """What is known of a strain's mushrooms once they are picked; not numbers until the strain is one of the farm's.

    is_kept: whether anything is ever packed to order, and kept for it
    """

    __slots__ = ("costs_on_top", "crate", "divides_life", "life", "name", "number", "pack", "stocks")

    def __init__(self, name: str, number: int, is_kept: bool) -> None:
        self.name = name
        self.number = number  # in the journal
        self.stocks = [Stock(is_kept) for _ in GRADES]
        self.pack = NOT_KNOWN  # [kg/h]
        self.crate = NOT_KNOWN  # [kg]
        self.life = NOT_KNOWN  # how long it keeps cold [h]
        self.costs_on_top = NOT_KNOWN  # shelf life that a warm hour costs besides itself [h/h]
        self.divides_life = NOT_KNOWN  # what is never cold keeps so many times less long [1]

    def be_handled_as(self, strain: Strain) -> None:
        """From now on it is handled by these figures."""
        self.pack, self.crate, self.life = strain.pack, strain.crate, strain.shelf_life
        self.costs_on_top = strain.warm_costs - 1.0
        self.divides_life = max(1.0, strain.warm_costs)
