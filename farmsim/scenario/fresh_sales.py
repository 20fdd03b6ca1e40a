"""Who takes fresh mushrooms: standing orders, customers who call, market stalls, and outlets that take what is left."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import ClassVar, Literal

from farmsim.scenario import forms
from farmsim.scenario.buyer import (
    Firm,
    day_of_prices,
    how_firm,
    how_late_it_pays,
    how_prices_vary,
    own_price_months,
    source_of_prices,
)
from farmsim.scenario.fields import FARM, MEMORY, PLACEHOLDER, figure, one
from farmsim.scenario.pack_form import FORMS
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import PRICES, Prices
from farmsim.scenario.strain_forms import INSTEAD, STRAINS
from farmsim.scenario.vary import Vary
from farmsim.scenario.vary_form import VARY_BY_STRAIN

Unfilled = Literal["lost", "next day"]
KINDS = ("standing", "call-off", "market stall", "outlet")
GOES_SHORT = ("last", "in turn", "first")


class Mixed(Part):
    """A mixed order, such as two of these three strains, whatever there is most of."""

    of: tuple[str, ...] = figure(form=STRAINS, meaning="the strains it may be made up of")
    at_least: int = figure(
        "",
        1,
        form=forms.COUNT,
        least=1,
        most=20,
        meaning="how many different strains it needs: none is more than its share",
    )
    amount: float = figure("kg/delivery", meaning="how much of it at each delivery, all strains together")
    varies: float = figure(
        default=0.0, most=3, meaning="spread of the order: standard deviation over mean", source=FARM
    )


class Dries(Part):
    """What an outlet takes is dried instead of sold fresh."""

    ratio: float = figure(
        default=10.0,
        least=1,
        most=50,
        meaning="pounds of fresh mushrooms that make one pound dried",
        source=f"{MEMORY}: 8 to 12",
    )
    pace: float | None = figure(
        "kg/h",
        None,
        least=1e-3,
        meaning="fresh mushrooms one person lays out to dry in an hour; left out: no work counted",
    )


class Customer(Part):
    """Someone who takes fresh mushrooms."""

    lifts: ClassVar[Mapping[str, tuple[str, ...]]] = {"takes": ("varies",)}

    name: str = figure(form=forms.TEXT, meaning="its name")
    kind: Literal["standing", "call-off", "market stall", "outlet"] = figure(
        default="standing",
        form=forms.WORD,
        choices=KINDS,
        meaning="a standing order of firsts, one who calls on some of its days, a market stall, "
        "or an outlet that takes seconds and what is left",
    )
    takes: dict[str, float] | Literal["anything"] = figure(
        "kg/delivery",
        {},
        form=forms.TAKES,
        choices=("anything",),
        meaning="how much of which strain at each delivery; market stall: what is to be taken there",
    )
    varies: float = figure(default=0.0, most=3, meaning="spread of an order: standard deviation over mean", source=FARM)
    days: tuple[str, ...] = figure(form=forms.DAY_LIST, meaning="days of the week on which it is delivered")
    leave_by: float = figure(form=forms.CLOCK, meaning="time of day the delivery leaves the farm")
    unfilled: Unfilled = figure(
        default="lost",
        form=forms.WORD,
        choices=("lost", "next day"),
        meaning="what becomes of the part that was short: lost, or brought the next day, once",
    )
    takes_firsts_left: float | None = figure(
        "h", None, meaning="outlet: takes firsts that have so little shelf life left; left out: seconds only"
    )
    price: Prices | None = figure(
        "currency/kg",
        None,
        form=PRICES,
        meaning="what it pays, for all strains or by strain; outlet that dries: for the dried weight; left out: not counted",
    )
    price_of_seconds: Prices | None = figure(
        "currency/kg", None, form=PRICES, meaning="outlet: what it pays for seconds; left out: as for firsts"
    )
    price_months: tuple[float, ...] = own_price_months()
    price_varies: float = how_prices_vary()
    prices_of: datetime.date | None = day_of_prices()
    prices_from: str | None = source_of_prices()
    pays_after: float | None = how_late_it_pays()
    form: Literal["any", "large clusters", "small clusters", "caps"] = figure(
        default="any", form=forms.WORD, choices=FORMS, meaning="how it wants them packed"
    )
    pack_ahead: float = figure(
        "h",
        "24 h",
        least=0.25,
        most=168,
        meaning="a form other than any: how long before it leaves its order may begin to be packed",
        source=PLACEHOLDER,
    )
    mixed: Mixed | None = one(Mixed, None, meaning="a mixed order, filled from the strains there is most of")
    substitutes: dict[str, tuple[str, ...]] = figure(
        default={},
        form=INSTEAD,
        meaning="which strains it takes instead of one that is short, first choice first",
    )
    notice: float = figure(
        "h", "0 h", most=1344, meaning="how long before the delivery the order is known", source=FARM
    )
    goes_short: Literal["last", "in turn", "first"] | None = figure(
        default=None,
        form=forms.WORD,
        choices=GOES_SHORT,
        meaning="when there is not enough: before others, after them, or in the order of the rule served_first; "
        "left out: in turn, a market stall first",
    )
    firm: Firm = how_firm()
    leaves_after: int | None = figure(
        default=None,
        form=forms.COUNT,
        least=1,
        most=1000,
        meaning="short deliveries in a row after which it orders no more; left out: never",
    )
    short_below: float = figure(
        "fraction",
        "90 %",
        most=1,
        meaning="a delivery is short when it brings less than this share of what was ordered",
        source=PLACEHOLDER,
    )
    calls: float = figure(
        "fraction", "60 %", most=1, meaning="call-off: share of its days on which it calls", source=PLACEHOLDER
    )
    sells: dict[str, Vary] = figure(
        "kg/delivery",
        {},
        form=VARY_BY_STRAIN,
        meaning="market stall: how much of which strain is asked for on a market day",
    )
    unsold: Literal["comes back", "lost"] = figure(
        default="comes back",
        form=forms.WORD,
        choices=("comes back", "lost"),
        meaning="market stall: what becomes of what was not sold",
    )
    back_at: float | None = figure(
        default=None,
        form=forms.CLOCK,
        meaning="market stall: time of day at which what was not sold is back, if its round is",
    )
    comes_back_older: float = figure(
        "h",
        "10 h",
        meaning="market stall: shelf life that a day on the stall costs, on top of the hours it is away",
        source=PLACEHOLDER,
    )
    dries: Dries | None = one(Dries, None, meaning="outlet: what it takes is dried")

    @property
    def may_take(self) -> tuple[str, ...]:
        """Every strain it may be brought: what it takes, what a mixed order is made of, what stands in."""
        takes = () if isinstance(self.takes, str) else tuple(self.takes)
        mixed = () if self.mixed is None else self.mixed.of
        instead = (name for others in self.substitutes.values() for name in others)
        return tuple(dict.fromkeys((*takes, *mixed, *instead)))

    @property
    def orders(self) -> bool:
        """Whether it is promised what it takes."""
        return self.kind in ("standing", "call-off")

    @property
    def days_asked(self) -> float:
        """On how many days of a usual week it takes something."""
        return len(self.days) * (self.calls if self.kind == "call-off" else 1.0)
