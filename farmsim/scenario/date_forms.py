"""How dates and months are written in a farm's file: a day, a list of months, or one number for each month."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from farmsim.errors import QuantityFault
from farmsim.scenario.forms import Form, listed, shown
from farmsim.scenario.values import MONTHS
from farmsim.units import number

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

ALL_YEAR = "every month"


def read_date(value: object, figure: Figure, written: bool) -> object:
    """A day of the calendar; bounds are years."""
    if value is None and not written:
        return value
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        first, last = int(figure.least or datetime.MINYEAR), int(figure.most or datetime.MAXYEAR)
        if first <= value.year <= last:
            return value
        raise QuantityFault(f"is {value}", f"needs a year from {first} to {last}", "Write it like 2027-01-04.")
    raise QuantityFault(f"is {shown(value)}", "needs a date", "Write it like 2027-01-04, without quotes.")


def read_twelve(value: object, figure: Figure, written: bool) -> object:
    """Twelve numbers, January first."""
    numbers = value if isinstance(value, list | tuple) else ()
    good = [float(item) for item in numbers if isinstance(item, int | float) and not isinstance(item, bool)]
    if len(good) != len(MONTHS) or len(numbers) != len(MONTHS):
        found = f"has {len(numbers)}" if numbers else f"is {shown(value)}"
        raise QuantityFault(found, "needs twelve numbers, January first", "Write 1 for a month that is as usual.")
    for month, factor in zip(MONTHS, good, strict=True):
        if not 0.0 <= factor <= (figure.most or float("inf")):
            allowed = f"needs numbers from 0 to {number(figure.most or 0.0)}"
            raise QuantityFault(f"is {number(factor)} for {month}", allowed, "Write 1 for a month that is as usual.")
    return tuple(good)


def _say_twelve(value: object, unit: str) -> str:
    return ", ".join(number(item) for item in value if isinstance(item, float)) if isinstance(value, tuple) else ""


def months_in(text: str) -> tuple[str, ...]:
    """The months a text such as "sep-feb", "dec" or "every month" names, over the turn of the year too."""
    if text == ALL_YEAR:
        return MONTHS
    first, dash, last = text.partition("-")
    for month in (first, last) if dash else (first,):
        if month not in MONTHS:
            short = month.strip().lower()[:3]
            mend = f'Did you mean "{short}"?' if short in MONTHS else f"Write {listed(MONTHS)}."
            raise QuantityFault(f'"{text}" names no month', f"needs months such as {listed(MONTHS[:2])}", mend)
    if not dash:
        return (first,)
    begin, end = MONTHS.index(first), MONTHS.index(last)
    return MONTHS[begin : end + 1] if begin <= end else MONTHS[begin:] + MONTHS[: end + 1]


def read_months(value: object, figure: Figure, written: bool) -> object:
    """Months: a list, or "sep-feb", or "every month"."""
    if isinstance(value, str):
        found = list(months_in(value))
    elif isinstance(value, list | tuple) and (value or not written):
        found = [month for text in value for month in months_in(str(text))]
    else:
        raise QuantityFault(f"is {shown(value)}", "needs a list of months", 'Write it like ["mar", "sep-nov"].')
    if len(set(found)) < len(found):
        raise QuantityFault("names a month twice", "needs each month once", "Leave one of the two out.")
    return tuple(sorted(found, key=MONTHS.index))


DATE = Form("date", read_date)
TWELVE = Form("twelve factors", read_twelve, _say_twelve)
MONTH_LIST = Form("months", read_months)
