"""Twelve months of the farm's own books, to set beside what the model says of them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.forms import Form, shown
from farmsim.scenario.part import Part, example_value
from farmsim.scenario.values import MONTHS

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

TWELVE = len(MONTHS)
_MONTH = re.compile(r"\s*(\d{4})-(\d{1,2})\s*")
_EACH = "twelve numbers, one for each month from the first on"
_NONE = "Write 0 for a month without any."


def read_month(value: object, figure: Figure, written: bool) -> object:
    """A calendar month such as "2026-01", as its first day."""
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime) and value.day == 1:
        return value
    match = _MONTH.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise QuantityFault(f"is {shown(value)}", "needs a year and a month", 'Write it like "2026-01", in quotes.')
    year, month = int(match[1]), int(match[2])
    if not 1 <= month <= TWELVE:
        raise QuantityFault(f"is {shown(value)}", "needs a month from 01 to 12", 'Write it like "2026-01".')
    first, last = int(figure.least or datetime.MINYEAR), int(figure.most or datetime.MAXYEAR)
    if not first <= year <= last:
        raise QuantityFault(f"is {shown(value)}", f"needs a year from {first} to {last}", 'Write it like "2026-01".')
    return datetime.date(year, month, 1)


def read_amounts(value: object, figure: Figure, written: bool) -> object:
    """Twelve amounts: plain counts [1800, ...], or weights under their unit { lb = [6800, ...] }."""
    if value is None and not written:
        return None
    if not written or figure.unit != "kg":
        return _twelve(value, example_value(figure))
    if not isinstance(value, Mapping):
        raise QuantityFault(f"is {shown(value)}", "needs a weight, lb or kg", f"Write it like {example_value(figure)}.")
    if len(value) != 1:
        found = f"has {len(value)} units" if value else "is empty"
        raise QuantityFault(found, "needs one weight, lb or kg", f"Write it like {example_value(figure)}.")
    unit, numbers = next(iter(value.items()))
    try:
        one = units.parse(f"1 {unit}", "kg")
    except QuantityFault:
        mend = f"Write it like {example_value(figure)}."
        raise QuantityFault(f'"{unit}" is no weight', "needs lb or kg", mend, (str(unit),)) from None
    try:
        return tuple(one * number for number in _twelve(numbers, example_value(figure)))
    except QuantityFault as fault:
        raise fault.inside(str(unit)) from None


def _twelve(value: object, like: str) -> tuple[float, ...]:
    if not isinstance(value, list | tuple):
        raise QuantityFault(f"is {shown(value)}", f"needs {_EACH}", f"Write it like {like}.")
    if len(value) != TWELVE:
        raise QuantityFault(f"has {len(value)}", f"needs {_EACH}", _NONE)
    for at, number in enumerate(value):
        if isinstance(number, bool) or not isinstance(number, int | float):
            raise QuantityFault(f"is {shown(number)} for month {at + 1}", f"needs {_EACH}", _NONE, (at,))
        if not 0.0 <= number < float("inf"):
            found = f"is {units.number(number)} for month {at + 1}"
            raise QuantityFault(found, "needs numbers from 0 up", _NONE, (at,))
    return tuple(float(number) for number in value)


def _say(value: object, unit: str) -> str:
    return (
        ", ".join(units.show(item, unit) for item in value if isinstance(item, float))
        if isinstance(value, tuple)
        else ""
    )


MONTH = Form("month", read_month)
AMOUNTS = Form("twelve amounts", read_amounts, _say)


class History(Part):
    """Monthly totals of twelve months in a row; any of the five may be left out."""

    from_: datetime.date = figure(
        form=MONTH, least=1900, most=2200, toml="from", meaning="the first of the twelve months"
    )
    blocks_made: tuple[float, ...] | None = figure(
        "blocks", None, form=AMOUNTS, meaning="blocks made here, by month", source=FARM
    )
    blocks_sold: tuple[float, ...] | None = figure(
        "blocks", None, form=AMOUNTS, meaning="blocks sold ready to fruit, by month", source=FARM
    )
    picked: tuple[float, ...] | None = figure(
        "kg", None, form=AMOUNTS, meaning="mushrooms picked, by month, culls included", source=FARM
    )
    sold: tuple[float, ...] | None = figure(
        "kg", None, form=AMOUNTS, meaning="mushrooms sold, by month, to orders and to the outlet", source=FARM
    )
    paid_hours: tuple[float, ...] | None = figure(
        "h", None, form=AMOUNTS, meaning="paid hours of all crews, by month", source=FARM
    )

    @property
    def months(self) -> tuple[str, ...]:
        """The twelve months as they are called: "2026-01" and so on."""
        return tuple(f"{_later(self.from_, at):%Y-%m}" for at in range(TWELVE))

    @property
    def end(self) -> datetime.date:
        """The day after the last."""
        return _later(self.from_, TWELVE)

    @property
    def totals(self) -> dict[str, tuple[float, ...]]:
        """What is given, by its name."""
        found = {name: getattr(self, name) for name in type(self).figures if name != "from_"}
        return {name: numbers for name, numbers in found.items() if numbers is not None}


def _later(first: datetime.date, months: int) -> datetime.date:
    at = first.month - 1 + months
    return datetime.date(first.year + at // TWELVE, at % TWELVE + 1, 1)
