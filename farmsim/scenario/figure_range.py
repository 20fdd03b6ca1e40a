"""Values to be tried in the place of a figure: "crew.pickers.people=2:5:1" or "crew.pickers.people=2,3,5".

A value without a unit has that of the farm's own value; one unit is enough for all, at any of them. Only figures that are
numbers go by steps; a list may hold times of day, words or ranges too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.figure_at import Figures, NoSuchFigure, Spot

MOST_VALUES = 50  # of one figure
STEPPED = ("quantity", "whole number", "quantity that varies", "price, or prices by strain")
LISTED = (*STEPPED, "time of day", "word", "word or table", "yes or no", "range", "working days", "text")
FLAGS = {"true": True, "yes": True, "false": False, "no": False}
_NUMBER = re.compile(r"(?P<money>[$€£])?\s*(?P<number>[-+−]?(?:\d+\.?\d*|\.\d+))(?P<unit>[^:]*)")


class NoSuchRange(NoSuchFigure):
    """Values that cannot be read, or that are none or too many."""


@dataclass(frozen=True, slots=True)
class Value:
    """One value to be tried.

    written: as a farm's file would write it
    said: without its unit where all have the same: "2", "08:30"
    number: as a number in that unit; None for what is no number
    """

    written: object
    said: str
    number: float | None = None


@dataclass(frozen=True, slots=True)
class Tried:
    """A figure with the values that are tried in its place, numbers from low to high.

    unit: in which they are told; "" for none
    """

    spot: Spot
    values: tuple[Value, ...]
    unit: str

    @property
    def is_ordered(self) -> bool:
        """Whether one value is more than another."""
        return all(value.number is not None for value in self.values)


@dataclass(frozen=True, slots=True)
class Number:
    """A number as it was written: the sign of its money, the number, its unit."""

    money: str
    number: Fraction
    unit: str


def two_ends(spot: Spot, text: str) -> tuple[Number, Number]:
    """The ends of a range that is typed for a figure, "15:22" or "15 lb/h:22 lb/h", in one unit.

    Goes wrong when they are no two numbers, the lower one first: NoSuchRange.
    """
    pieces = [_piece(spot, piece.strip(), text) for piece in text.split(":")]
    if len(pieces) != 2 or pieces[0].number >= pieces[1].number:
        raise NoSuchRange(f'"{text}" is no range for {spot.name}; write two numbers, low:high, the lower one first')
    money, unit = _one_unit(spot, pieces, text)
    low, high = (Number(money, piece.number, unit) for piece in pieces)
    return low, high


def tried(figures: Figures, text: str) -> Tried:
    """A figure and its values as they are typed: field=a:b:step or field=a,b,c.

    Goes wrong when there is no such figure, or the values make no sense: NoSuchFigure, NoSuchRange.
    """
    field, sign, wanted = text.partition("=")
    if not sign or not wanted.strip():
        raise NoSuchRange(
            f'"{text}" gives no values; write {field.strip() or "field"}=a:b:step, or a list {field.strip() or "field"}=a,b,c'
        )
    spot = figures.find(field.strip())
    by_steps = wanted.count(":") == 2 and "," not in wanted and spot.form in STEPPED
    if spot.form not in LISTED:
        raise NoSuchRange(
            f"{spot.name} is {spot.figure.form.name}, not one value: write change sets with others, and compare them"
        )
    pieces = [piece.strip() for piece in wanted.split(":" if by_steps else ",")]
    if not all(pieces):
        raise NoSuchRange(f'"{text}" leaves a value out; write {spot.name}=a:b:step or {spot.name}=a,b,c')
    if spot.form in STEPPED:
        numbers = [_piece(spot, piece, text) for piece in pieces]
        found = _numbers(spot, numbers, by_steps, text)
    else:
        found = Tried(spot, tuple(Value(_as_written(spot, piece), piece) for piece in pieces), "")
    return _sound(found, text)


def _as_written(spot: Spot, piece: str) -> object:
    return FLAGS.get(piece.lower(), piece) if spot.form == "yes or no" else piece


def _sound(found: Tried, text: str) -> Tried:
    """The values, if they are at least two, not too many and each there once."""
    count, name = len(found.values), found.spot.name
    if count > MOST_VALUES:
        raise NoSuchRange(
            f'"{text}" makes {count:,} values of {name}; at most {MOST_VALUES} are tried. Take larger steps'
        )
    if len({value.said for value in found.values}) < count:
        raise NoSuchRange(f'"{text}" names a value of {name} twice; name each once')
    if count < 2:
        raise NoSuchRange(f'"{text}" holds one value of {name} only; there must be two at least, to see what differs')
    return found


def taken_apart(text: str) -> Number | None:
    """A number with its unit, if that is what is written."""
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        return None
    return Number(match["money"] or "", Fraction(match["number"].replace("−", "-")), " ".join(match["unit"].split()))


def _piece(spot: Spot, text: str, whole: str) -> Number:
    found = taken_apart(text)
    if found is None:
        form = "a:b:step" if ":" in whole else "a,b,c"
        more = "; a range has three parts, from:to:step" if ":" in text else ""
        raise NoSuchRange(f'"{whole}": "{text}" is no number, and {spot.name} is one; write {spot.name}={form}{more}')
    return found


def _numbers(spot: Spot, pieces: Sequence[Number], by_steps: bool, text: str) -> Tried:
    """The values of a figure that is a number, all in one unit, from low to high."""
    money, unit = _one_unit(spot, pieces, text)
    if by_steps:
        first, last, step = (piece.number for piece in pieces)
        numbers = _steps(spot, first, last, step, text)
    else:
        numbers = [piece.number for piece in pieces]
    values = tuple(value_of_number(number, money, unit) for number in sorted(numbers))
    return Tried(spot, values, f"{money}{unit}" if money and unit.startswith("/") else f"{money} {unit}".strip())


def _steps(spot: Spot, first: Fraction, last: Fraction, step: Fraction, text: str) -> list[Fraction]:
    if step == 0:
        raise NoSuchRange(
            f'"{text}" has a step of 0 and would never end; the third number is by how much {spot.name} grows each time'
        )
    if (last - first) * step < 0:
        way = f"from {_plain(last)} to {_plain(first)}" if step > 0 else f"with a step of {_plain(-step)}"
        raise NoSuchRange(
            f'"{text}" never gets from {_plain(first)} to {_plain(last)} in steps of {_plain(step)}; write it {way}'
        )
    count = int((last - first) / step) + 1
    if count > MOST_VALUES:
        raise NoSuchRange(
            f'"{text}" makes {count:,} values of {spot.name}; at most {MOST_VALUES} are tried. Take larger steps'
        )
    return [first + at * step for at in range(count)]


def _one_unit(spot: Spot, pieces: Sequence[Number], text: str) -> tuple[str, str]:
    """The sign of the money and the unit of all values: those that are given, else the farm's own."""
    own = taken_apart(str(spot.now)) or Number("", Fraction(0), "")
    given = list(dict.fromkeys(piece.unit for piece in pieces if piece.unit))
    signs = list(dict.fromkeys(piece.money for piece in pieces if piece.money))
    if len(given) > 1 or len(signs) > 1:
        raise NoSuchRange(f'"{text}" mixes units: {units_said(given or signs)}; write all values in one')
    unit = _in_full(spot, pieces[0], given[0], own.unit) if given else own.unit
    return (signs[0] if signs else own.money if unit == own.unit else ""), unit


def _in_full(spot: Spot, first: Number, unit: str, own: str) -> str:
    """A unit that is cut short, as the farm's own value goes on: "lb" or "kg" for "lb saleable a block"."""
    head = re.split("[ /]", own, maxsplit=1)[0]
    if unit == head or own.startswith(f"{unit} "):
        return own
    full = f"{unit}{own[len(head) :]}"
    return full if not _can_be(spot, first, unit) and _can_be(spot, first, full) else unit


def _can_be(spot: Spot, number: Number, unit: str) -> bool:
    """Whether the figure can be read in that unit."""
    try:
        spot.read(value_of_number(number.number, number.money, unit).written)
    except QuantityFault:
        return False
    return True


def units_said(given: Sequence[str]) -> str:
    """Units one after the other, in quotes."""
    return " and ".join(f'"{unit}"' for unit in given)


def _plain(number: Fraction) -> str:
    return units.number(float(number), 9).replace(",", "")


def value_of_number(number: Fraction, money: str, unit: str) -> Value:
    """A number with its unit as a farm's file would write it."""
    said = _plain(number)
    if not unit and not money:
        is_whole = number.denominator == 1
        return Value(int(number) if is_whole else float(said), said, float(number))
    gap = "" if unit.startswith("/") else " "
    return Value(f"{money}{said}{gap}{unit}".strip(), f"{money}{said}", float(number))


def own_said(one: Tried) -> str:
    """The farm's own value as it is written; also in the units of the values, where these are others: 35 lb/h (15.88 kg/h)."""
    spot, written = one.spot, str(one.spot.now)
    is_weighed = "kg" in spot.figure.unit and "currency" not in spot.figure.unit
    system = units.system_of(one.unit)
    if not isinstance(spot.value, float) or spot.key or not is_weighed or system == units.system_of(written):
        return written
    return f"{written} ({units.show(spot.value, spot.figure.unit, system)})"


def is_own(one: Tried, value: Value) -> bool:
    """Whether a value is the farm's own."""
    try:
        return bool(one.spot.read(value.written) == one.spot.value)
    except QuantityFault:
        return False
