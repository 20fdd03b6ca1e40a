"""Numbers, days and stretches of time as a grower says them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime, timedelta
from typing import TypeVar
from unicodedata import category

from farmsim import units

Thing = TypeVar("Thing")

DUST = 1e-9  # a share nearer to none or all than that is one: sums of figures are not exact
POUND = units.parse("1 lb", "kg")
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONG_DAYS = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True)
class Weights:
    """Weights in the farm's choice of units."""

    system: str

    @property
    def unit(self) -> str:
        """The unit's short name: lb or kg."""
        return "lb" if self.system == "us" else "kg"

    def figure(self, kg: float) -> float:
        """A weight [kg] as a figure in the shown unit."""
        return kg / POUND if self.system == "us" else kg

    def each(self, per_kg: float) -> float:
        """A figure for each kg as one for each of the shown unit."""
        return per_kg * POUND if self.system == "us" else per_kg

    def bare(self, kg: float) -> str:
        """A weight [kg] without its unit: 1,590."""
        return count(self.figure(kg))

    def full(self, kg: float) -> str:
        """A weight [kg] with its unit: 1,590 lb."""
        return f"{self.bare(kg)} {self.unit}"

    def amount(self, value: float, unit: str) -> str:
        """Kilograms in the shown unit, anything else as it is: 1,590 lb, 480 blocks, 12 h."""
        if unit == "kg":
            return self.full(value)
        return f"{count(value)} {unit[:-1] if count(value) == '1' and unit.endswith('s') else unit}"


def count(value: float) -> str:
    """A figure with as much of it as one can use: 1,590, 47, 8.4."""
    if not math.isfinite(value):
        return "-"
    small = abs(value) < 9.95 and abs(value - round(value)) >= 0.05
    text = f"{value:,.1f}" if small else f"{value:,.0f}"
    return "0" if text == "-0" else text


def fine(value: float) -> str:
    """A small figure to three of its digits: 0.351, 6.63, 12.6, 152."""
    if not math.isfinite(value):
        return "-"
    digits = max(0, 2 - math.floor(math.log10(abs(value)))) if value else 0
    return f"{value:,.{min(digits, 3)}f}"


def factor(value: float) -> str:
    """A factor as percent, without the sign: 100, 87, 112.5."""
    return f"{value * 100:.1f}".removesuffix(".0")


def about(value: float) -> str:
    """A large figure to three of its digits, which is as well as anybody knows it: 82,900."""
    if not math.isfinite(value) or abs(value) < 1000:
        return count(value)
    tail = 10 ** (math.floor(math.log10(abs(value))) - 2)
    return f"{round(value / tail) * tail:,}"


def share(value: float) -> str:
    """A share (0 to 1) in percent; what is nearly nothing or nearly all does not pass for it."""
    if not math.isfinite(value):
        return "-"
    if DUST < value < 0.01:
        return "under 1 %"
    if 0.99 < value < 1 - DUST:
        return "over 99 %"
    return f"{value * 100:.0f} %"


def stretch(hours: float) -> str:
    """A stretch of time [h]: 40 min, 9 h, 1.4 days, 12 days."""
    if hours < 1:
        return f"{hours * 60:.0f} min"
    if hours < 24:
        return f"{count(hours)} h"
    days = count(hours / 24)
    return f"{days} day" if days == "1" else f"{days} days"


def week_hour(hour: int) -> str:
    """An hour of the week, counted from Monday 00:00: Thu 15:00."""
    return f"{DAYS[hour // 24 % 7]} {hour % 24:02d}:00"


def moment(start: date, hours: float, clock: bool = True) -> str:
    """A moment, hours after the start's midnight: Thu 7 Jan 2027, 15:00."""
    when = datetime(start.year, start.month, start.day) + timedelta(minutes=round(hours * 60))
    return day(when.date()) + (f", {when:%H:%M}" if clock else "")


def day(when: date) -> str:
    """A date with its weekday: Mon 4 Jan 2027."""
    return f"{DAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]} {when.year}"


_DAY = re.compile(r"(?<![\w./-])\d{4}-\d\d-\d\d(?![\w/-])")
_TIES = re.compile(rf"\b(?:(\d{{1,2}}) )?({'|'.join(MONTHS)}) (?=\d{{4}}\b)")


_PERCENT = re.compile(r"(?<=\d) %")


def dated(text: str) -> str:
    """A text with every day in it as dates are spoken: "of 2026-11-20" is "of 20 Nov 2026"; what is no day stays."""
    return _DAY.sub(lambda found: _spoken(found.group()), text)


def tied(text: str) -> str:
    """A text in which no line breaks within a day or a month with its year, or before a percent sign."""
    text = _PERCENT.sub("\u00a0%", text)
    return _TIES.sub(lambda found: "".join(f"{piece}\u00a0" for piece in found.groups() if piece), text)


def _spoken(written: str) -> str:
    try:
        return day_of(written)[4:]
    except ValueError:
        return written


def day_of(written: str) -> str:
    """A written day with its weekday: Mon 4 Jan 2027."""
    return day(date.fromisoformat(written))


def standstill(first: str, last: str) -> str:
    """Written days from the first to the last: Fri 24 Dec 2027 to Sun 2 Jan 2028."""
    begin, end = date.fromisoformat(first), date.fromisoformat(last)
    return day(begin) if begin == end else f"{day(begin)} to {day(end)}"


def month(first: str) -> str:
    """The month of a written day: May 2027."""
    when = date.fromisoformat(first)
    return f"{MONTHS[when.month - 1]} {when.year}"


def listed(pieces: Sequence[str], last: str = "and") -> str:
    """Pieces as a spoken list: a, b and c."""
    return f" {last} ".join(piece for piece in (", ".join(pieces[:-1]), *pieces[-1:]) if piece)


def upper(text: str) -> str:
    """A text that begins a sentence."""
    return f"{text[:1].upper()}{text[1:]}"


def shortened(name: str, width: int) -> str:
    """A name that fits, its middle left out when it must be."""
    if len(name) <= width:
        return name
    head = (width - 2 + 1) // 2
    return f"{name[:head].rstrip()}..{name[len(name) - (width - 2 - head) :].lstrip()}"


def tidy(text: str) -> str:
    """A name on one line: stretches of white space are one space, and signs that steer a screen are left out."""
    spaced = (" " if letter.isspace() or category(letter) == "Cc" else letter for letter in text)
    return " ".join("".join(letter for letter in spaced if letter == " " or category(letter)[0] != "C").split())


def respelt(thing: Thing, spell: Callable[[str], str]) -> Thing:
    """The same answers with every text in them spelt anew, names of measures left alone."""
    made: object = thing
    if isinstance(thing, str):
        made = spell(thing)
    elif is_dataclass(thing) and not isinstance(thing, type):
        made = replace(thing, **{each.name: respelt(getattr(thing, each.name), spell) for each in fields(thing)})
    elif isinstance(thing, Mapping):
        made = {name: respelt(value, spell) for name, value in thing.items()}
    elif isinstance(thing, tuple):
        made = tuple(respelt(value, spell) for value in thing)
    return made  # type: ignore[return-value]


def adding_up(parts: Iterable[float]) -> list[str]:
    """The parts, then their sum, rounded so that they add up exactly when read one by one; small sums to a tenth."""
    rounded, digits = rounded_to_add_up(parts)
    return [to_digits(part, digits) for part in rounded]


def to_digits(value: float, digits: int) -> str:
    """A rounded figure with that many digits, unless it is whole: 1,356, 2.7, 3."""
    return f"{value:,.{digits}f}".removesuffix(".0")


def rounded_to_add_up(parts: Iterable[float]) -> tuple[list[float], int]:
    """The parts and then their sum, rounded, and to how many digits.

    The part that rounding down wrongs most is rounded up, so no figure is off by more than one of its last digit.
    """
    exact = list(parts)
    digits = digits_of(sum(exact))
    total = round(sum(exact) * 10**digits)
    return [*rounded_to(exact, total / 10**digits, digits), total / 10**digits], digits


def digits_of(total: float) -> int:
    """Digits after the point with which a sum and its parts are shown: a tenth where the sum is small."""
    return 1 if abs(total) < 99.5 else 0


def rounded_to(parts: Sequence[float], total: float, digits: int) -> list[float]:
    """The parts, rounded to so many digits so that they add up to a total that is rounded already."""
    scaled = [part * 10**digits for part in parts]
    whole = [math.floor(part) for part in scaled]
    missing = round(total * 10**digits) - sum(whole)
    order = sorted(range(len(scaled)), key=lambda place: (whole[place] - scaled[place], place))
    for place in order[: max(0, missing)]:
        whole[place] += 1
    for place in order[::-1][: max(0, -missing)]:
        whole[place] -= 1
    return [part / 10**digits for part in whole]


def size(places: float, unit: str) -> str:
    """So many places: 1 tank, 4 benches, 2,000 blocks."""
    return plural(places, unit.removesuffix("es" if unit.endswith("ches") else "s"), unit)


FEW_WEEKS = 4  # told weeks after a change: of fewer the answer is hardly one; placeholder


def weeks_told(since: int, weeks: int) -> str:
    """Of which measured weeks something is told: "weeks 6 to 30", "week 36 alone"; all of them need no word.

    since: measured weeks before those that are told; weeks: how many are told [weeks]
    """
    if not since:
        return ""
    return f"week {since + 1} alone" if weeks == 1 else f"weeks {since + 1} to {since + weeks}"


def short_told(since: int, weeks: int) -> str:
    """A word of warning where a farm changes so late that hardly anything is told; "" where it does not."""
    if not since or weeks >= FEW_WEEKS:
        return ""
    are = "week is" if weeks == 1 else f"{weeks} weeks are"
    return f"Only the {are} told that follow{'s' if weeks == 1 else ''} the farm's last change: give more --weeks."


def plural(number: float, one: str, many: str = "") -> str:
    """A number with its noun: 1 run, 20 runs."""
    text = count(number)
    return f"{text} {one if text == '1' else many or one + 's'}"
