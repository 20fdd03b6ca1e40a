"""How a figure is written in a farm's file: each form reads a written value, or says what is wrong.

Values that come from Python, not from a file, are taken as inside values already [h, kg, degC, blocks, shares].
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.values import DAYS, PerWeek, Range, Shift
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

VARIES = (Fixed, Triangular, Between, MeanCv, RangeMean, Measured)
_BARE = ("", "fraction", "weeks")  # units that a bare number may stand for
ROUNDING = 1e-12  # as far from 1 as shares that add up to it may come by being rounded


@dataclass(frozen=True, slots=True)
class Form:
    """One way of writing a figure."""

    name: str
    read: Callable[[object, Figure, bool], object]
    say: Callable[[object, str], str] = lambda value, unit: _say_plain(value)


def _say_plain(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple | list):
        return ", ".join(_say_plain(item) for item in value)
    return "" if value is None or (isinstance(value, Mapping) and not value) else str(value)


def shown(value: object) -> str:
    """A written value as it is quoted in a message."""
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}" if value else "an empty list"
    return _say_plain(value)


def closest(word: str, known: Sequence[str]) -> str | None:
    """The known word that is nearest, if one is near at all."""
    near = difflib.get_close_matches(word.lower(), [name.lower() for name in known], n=1, cutoff=0.6)
    return next((name for name in known if near and name.lower() == near[0]), None)


def nearest(word: str, known: Sequence[str], otherwise: str) -> str:
    """A mend that names the nearest known word, or something else to do."""
    match = closest(word, known)
    return f'Did you mean "{match}"?' if match else otherwise


def listed(words: Sequence[str], last: str = "or") -> str:
    """Words in quotes, joined the way they are spoken."""
    quoted = [f'"{word}"' for word in words]
    return f" {last} ".join(([", ".join(quoted[:-1])] if len(quoted) > 1 else []) + quoted[-1:])


# --- quantities ---------------------------------------------------------------------------------------


def read_quantity(value: object, figure: Figure, written: bool) -> object:
    """One quantity with its unit and basis; bare numbers only where the unit leaves no doubt."""
    if value is None and not written:
        return None
    if isinstance(value, str) and figure.unit:
        number = units.parse(value, figure.unit, words=figure.words, each=bool(figure.each), also=figure.also)
    elif isinstance(value, int | float) and not isinstance(value, bool) and (not written or figure.unit in _BARE):
        number = float(value)
    else:
        raise _no_quantity(value, figure)
    return within(number, value, figure)


def amount(value: object, figure: Figure, written: bool = True) -> float:
    """One quantity that must be there."""
    number = read_quantity(value, figure, written)
    assert isinstance(number, float)
    return number


def _no_quantity(value: object, figure: Figure) -> QuantityFault:
    if not figure.unit:
        return QuantityFault(
            f"is {shown(value)}", "needs a plain number", "Write it without quotes and without a unit."
        )
    spoken = units.SPOKEN[figure.unit]
    found = (
        f"{value} has no unit"
        if isinstance(value, int | float) and not isinstance(value, bool)
        else f"is {shown(value)}"
    )
    return QuantityFault(found, f"needs {spoken.what}, such as {spoken.examples}", f'Write it like "{spoken.us}".')


def within(number: float, value: object, figure: Figure) -> float:
    """The number, if it keeps its bounds."""
    if number != number or number in (float("inf"), float("-inf")):
        raise QuantityFault(f"is {shown(value)}", "needs a number", "Write a number that can be counted.")
    low, high = figure.least, figure.most
    if (low is None or number >= low) and (high is None or number <= high):
        return number
    raise QuantityFault(f"is {shown(value)}", f"needs {_bounds(figure, value)}", _bounds_mend(figure))


def _bound(value: float, figure: Figure, like: object) -> str:
    return units.show(value, figure.unit, units.system_of(str(like))) if figure.unit else units.number(value)


def _bounds(figure: Figure, like: object) -> str:
    low, high = figure.least, figure.most
    if low is None or high is None:
        return (
            f"at most {_bound(high, figure, like)}"
            if high is not None
            else f"at least {_bound(low or 0.0, figure, like)}"
        )
    return f"{_bound(low, figure, like)} to {_bound(high, figure, like)}"


def _bounds_mend(figure: Figure) -> str:
    example = f', such as "{units.SPOKEN[figure.unit].us}"' if figure.unit else ""
    return f"Write a value within these bounds{example}."


def read_count(value: object, figure: Figure, written: bool) -> object:
    """A whole number without a unit."""
    if value is None and not written:
        return None
    if isinstance(value, bool) or not isinstance(value, int):
        if isinstance(value, str) and figure.unit == "weeks":
            return _whole_weeks(value, figure)
        raise QuantityFault(f"is {shown(value)}", "needs a whole number", "Write a whole number without quotes.")
    within(value, value, figure)
    return value


def _whole_weeks(value: str, figure: Figure) -> int:
    number = units.parse(value, "weeks")
    if number != int(number):
        raise QuantityFault(f'is "{value}"', "needs whole weeks", 'Write it like "10 weeks".')
    return int(within(number, value, figure))


def read_flag(value: object, figure: Figure, written: bool) -> object:
    """Yes or no."""
    if not isinstance(value, bool):
        raise QuantityFault(f"is {shown(value)}", "needs true or false", "Write true or false, without quotes.")
    return value


def read_text(value: object, figure: Figure, written: bool) -> object:
    """A name or a sentence."""
    if value is None and not written:
        return None
    if not isinstance(value, str) or not value.strip():
        raise QuantityFault(f"is {shown(value)}", "needs a text", "Write a text in quotes.")
    return value


def read_word(value: object, figure: Figure, written: bool) -> object:
    """One word out of a list."""
    if value is None and not written:
        return None
    if isinstance(value, str) and value in figure.choices:
        return value
    mend = nearest(str(value), figure.choices, "Write one of these.")
    raise QuantityFault(f"is {shown(value)}", f"needs {listed(figure.choices)}", mend)


def read_words(value: object, figure: Figure, written: bool) -> object:
    """A list of words, in order, each once."""
    if not isinstance(value, list | tuple):
        raise QuantityFault(f"is {shown(value)}", "needs a list", f"Write a list, such as {example_list(figure)}.")
    for at, word in enumerate(value):
        if figure.choices:
            read_word(word, figure, written)
        if word in value[:at]:
            raise QuantityFault(f"names {shown(word)} twice", "needs each name once", "Leave one of the two out.")
    return tuple(value)


def example_list(figure: Figure) -> str:
    """A list of the first choices as an example for messages."""
    return "[" + ", ".join(f'"{word}"' for word in (figure.choices or ("a", "b"))[:2]) + "]"


# --- dates, times, days -------------------------------------------------------------------------------


def read_clock(value: object, figure: Figure, written: bool) -> object:
    """A time of day."""
    if not written and (value is None or isinstance(value, int | float)):
        return value
    if not isinstance(value, str):
        raise QuantityFault(f"is {shown(value)}", "needs a time of day", 'Write it like "08:30", in quotes.')
    return units.parse_clock(value)


def days_in(text: str) -> tuple[str, ...]:
    """The days a text such as "mon-fri", "sat" or "every day" names."""
    if text == "every day":
        return DAYS
    first, dash, last = text.partition("-")
    for day in (first, last) if dash else (first,):
        if day not in DAYS:
            raise QuantityFault(f'"{text}" names no day', f"needs days such as {listed(DAYS[:2])}", _day_mend(day))
    if dash and DAYS.index(last) < DAYS.index(first):
        raise QuantityFault(f'"{text}" runs backwards', "needs the earlier day first", 'Write it like "mon-fri".')
    return DAYS[DAYS.index(first) : DAYS.index(last) + 1] if dash else (first,)


def _day_mend(day: str) -> str:
    short = day.strip().lower()[:3]
    return f'Did you mean "{short}"?' if short in DAYS else f"Write {listed(DAYS)}."


def read_days(value: object, figure: Figure, written: bool) -> object:
    """Days of the week: a list, or "mon-fri", or "every day"."""
    if isinstance(value, str):
        return days_in(value)
    if not isinstance(value, list | tuple) or not value:
        raise QuantityFault(f"is {shown(value)}", "needs a list of days", 'Write it like ["mon", "thu"].')
    found = [day for text in value for day in days_in(str(text))]
    if len(set(found)) < len(found):
        raise QuantityFault("names a day twice", "needs each day once", "Leave one of the two out.")
    return tuple(sorted(found, key=DAYS.index))


_ROTATING = re.compile(r"\s*(\d)\s+(?:days?\s+)?(?:a|per)\s+week(?:\s*,?\s*rotating)?\s*")


def read_rota(value: object, figure: Figure, written: bool) -> object:
    """Working days: a list of days, or "5 a week, rotating"."""
    if isinstance(value, PerWeek):
        return value
    match = _ROTATING.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        return read_days(value, figure, written)
    if not 1 <= int(match[1]) <= 7:
        raise QuantityFault(f'is "{value}"', "needs 1 to 7 days a week", 'Write it like "5 a week, rotating".')
    return PerWeek(int(match[1]))


def read_shift(text: object) -> Shift:
    """A shift such as "06:00-14:00", or "22:00-06:00 next day" over midnight."""
    match = (
        re.fullmatch(r"\s*(\d{1,2}:\d{2})\s*-\s*(\d{1,2}:\d{2})(\s+next day)?\s*", text)
        if isinstance(text, str)
        else None
    )
    if match is None:
        raise QuantityFault(f"is {shown(text)}", "needs a shift", 'Write it like "06:00-14:00".')
    start, end = units.parse_clock(match[1]), units.parse_clock(match[2])
    if match[3]:
        end += units.HOURS_A_DAY
    if end <= start:
        mend = f'Swap the two, or write "{match[1]}-{match[2]} next day" for a shift over midnight.'
        raise QuantityFault(f'"{text}" ends before it starts', "needs an end after its start", mend)
    if end - start > units.HOURS_A_DAY:
        raise QuantityFault(f'"{text}" lasts longer than a day', "needs at most 24 h", "Make it shorter.")
    return Shift(start, end)


def read_hours(value: object, figure: Figure, written: bool) -> object:
    """Shifts by day: { mon-fri = "06:00-14:00", sat = "06:00-10:00" }."""
    if not isinstance(value, Mapping):
        raise QuantityFault(
            f"is {shown(value)}", "needs a table of shifts", 'Write it like { mon-fri = "06:00-14:00" }.'
        )
    shifts: dict[str, Shift] = {}
    for key, text in value.items():
        try:
            days, shift = days_in(str(key)), text if isinstance(text, Shift) else read_shift(text)
        except QuantityFault as fault:
            raise fault.inside(str(key)) from None
        for day in days:
            if day in shifts:
                raise QuantityFault(
                    f"gives {day} twice", "needs each day once", "Leave one of the two out.", (str(key),)
                )
            shifts[day] = shift
    if not shifts:
        raise QuantityFault("gives no shift", "needs at least one", 'Write it like { mon-fri = "06:00-14:00" }.')
    return {day: shifts[day] for day in DAYS if day in shifts}


# --- ranges, lists, tables ----------------------------------------------------------------------------


def read_range(value: object, figure: Figure, written: bool) -> object:
    """A range such as "54 to 62 degF"."""
    if isinstance(value, Range) or (value is None and not written):
        return value
    if not isinstance(value, str):
        example = units.example_range(figure.unit)
        raise QuantityFault(f"is {shown(value)}", "needs a range", f'Write it like "{example}".')
    return Range(*units.parse_range(value, figure.unit))


def read_shares(value: object, figure: Figure, written: bool) -> object:
    """Shares of a whole, first to last; they are made to add up to 1. Those that do stay as they are, to the last digit."""
    numbers = value if isinstance(value, list | tuple) else ()
    good = [
        float(item) for item in numbers if isinstance(item, int | float) and not isinstance(item, bool) and item > 0
    ]
    if not good or len(good) < len(numbers):
        raise QuantityFault(f"is {shown(value)}", "needs shares above 0", "Write a list such as [61, 25, 14].")
    whole = math.fsum(good)
    return tuple(good) if abs(whole - 1.0) < ROUNDING else tuple(item / whole for item in good)


def read_takes(value: object, figure: Figure, written: bool) -> object:
    """How much of which strain: { shiitake = "140 lb a delivery" }, or "anything"."""
    if value == "anything" and "anything" in figure.choices:
        return value
    if not isinstance(value, Mapping) or (written and not value):
        example = units.SPOKEN[figure.unit].us
        raise QuantityFault(
            f"is {shown(value)}", "needs strains with amounts", f'Write it like {{ shiitake = "{example}" }}.'
        )
    amounts: dict[str, float] = {}
    for strain, wanted in value.items():
        try:
            amounts[str(strain)] = amount(wanted, figure, written)
        except QuantityFault as fault:
            raise fault.inside(str(strain)) from None
    return amounts


def read_anything(value: object, figure: Figure, written: bool) -> object:
    """A table or list that is read by its own parts."""
    return value


def read_clean(value: object, figure: Figure, written: bool) -> object:
    """How a room is cleaned: a word, or a table of its own."""
    return value if not isinstance(value, str) else read_word(value, figure, written)


def read_inside(value: object, figure: Figure, written: bool) -> object:
    """Something the program keeps for itself: never in a file."""
    if written:
        raise QuantityFault("is not a figure of a farm", "cannot be given", "Leave it out.")
    return value


def _say_quantity(value: object, unit: str) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return units.show(float(value), unit) if unit else units.number(float(value))
    return _say_plain(value)


def _say_clock(value: object, unit: str) -> str:
    return units.show_clock(float(value)) if isinstance(value, int | float) else ""


QUANTITY = Form("quantity", read_quantity, _say_quantity)
COUNT = Form("whole number", read_count)
FLAG = Form("yes or no", read_flag)
TEXT = Form("text", read_text)
WORD = Form("word", read_word)
WORDS = Form("words", read_words)
CLOCK = Form("time of day", read_clock, _say_clock)
DAY_LIST = Form("days", read_days)
ROTA = Form("working days", read_rota)
HOURS = Form("shifts", read_hours)
RANGE = Form("range", read_range)
SHARES = Form("shares", read_shares)
TAKES = Form("amounts by strain", read_takes)
PART = Form("table", read_anything)
PARTS = Form("list of tables", read_anything)
NAMED = Form("named tables", read_anything)
CLEAN = Form("word or table", read_clean)
INSIDE = Form("inside", read_inside)
