"""The house rules that lots ask again and again, as plain answers."""

from __future__ import annotations

from typing import final

from farmsim.scenario.rules import ON_MOVING_DAYS, Rules


@final
class House:
    """How the house does it as the farm is now: `build.come_into_force` makes a new one for each state of the farm."""

    __slots__ = ("fruits_surplus", "moving_days", "on_moving_days", "promised_first", "promises_shelves", "pushes")

    def __init__(self, rules: Rules) -> None:
        self.pushes = rules.call_in == "push"  # ripe lots go on at once
        self.promises_shelves = rules.call_in == "when a shelf is promised"  # the next lot is called before one is free
        self.on_moving_days = rules.call_in == ON_MOVING_DAYS
        self.moving_days = rules.moving_days
        self.promised_first = rules.ripe_blocks == "promised blocks first"
        self.fruits_surplus = rules.surplus_blocks == "fruit"
