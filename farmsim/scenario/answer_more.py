"""How the further answers about a new farm are read: months that differ, days on which it stands still, what people are paid.

"nov-dec 130 %, jan 70 %", "Christmas 2027-12-25; New Year 2027-12-31 to 2028-01-02", "$18 an hour".
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Final

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario import forms
from farmsim.scenario.answer_forms import NOBODY, Said
from farmsim.scenario.date_forms import months_in
from farmsim.scenario.people import Crew
from farmsim.scenario.seasons import AS_USUAL, Months, Shut
from farmsim.scenario.values import MONTHS

ALIKE: Final = "all alike"
NONE: Final = "none"
NOT_TOLD: Final = "not told"
_ANSWERS_NO: Final = ("", "no", *NOBODY)
_APART = re.compile(r"\s*[;,\n]\s*")
_OF_MONTHS = re.compile(r"(?P<months>.*?)\s+(?P<share>\d+(?:\.\d+)?)\s*%")
_DATE = r"\d{4}-\d{2}-\d{2}"
_SHUT = re.compile(rf"(?P<name>.*?)\s*(?P<first>{_DATE})(?:\s*(?:to|until|-)\s*(?P<last>{_DATE}))?")


@dataclass(frozen=True, slots=True)
class Wage:
    """What one person is paid an hour, and in which currency."""

    amount: float
    currency: str


def seasons(text: str, said: Said) -> tuple[float, ...] | None:
    """Orders by month, January first, beside those of a usual month [1]; None when all are alike."""
    if text.strip().lower() in (ALIKE, *_ANSWERS_NO):
        return None
    factors: dict[str, float] = {}
    for piece in filter(None, _APART.split(text.strip())):
        match = _OF_MONTHS.fullmatch(piece)
        if match is None:
            allowed = f'needs months with a share, or "{ALIKE}"'
            raise QuantityFault(f"is {forms.shown(piece)}", allowed, 'Write it like "nov-dec 130 %, jan 70 %".')
        for month in _months(match["months"]):
            if month in factors:
                raise QuantityFault(f'names "{month}" twice', "needs each month once", "Leave one of the two out.")
            factors[month] = float(match["share"]) / 100
    twelve = [factors.get(month, 1.0) for month in MONTHS]
    figure = Months.figures["orders"]
    figure.form.read(twelve, figure, True)
    return None if tuple(twelve) == AS_USUAL else tuple(twelve)


def _months(text: str) -> Iterator[str]:
    """Months as they are said: "nov-dec", "November to December", "jan feb"."""
    dashed = re.sub(r"\s*(?:[–-]|\bto\b)\s*", "-", text.lower())
    for piece in re.split(r"[\s,]+|\band\b", dashed):
        if piece:
            whole = all(_is_month(each) for each in piece.split("-"))
            yield from months_in("-".join(each[:3] for each in piece.split("-")) if whole else piece)


def _is_month(word: str) -> bool:
    return any(datetime.date(2000, number, 1).strftime("%B").lower().startswith(word) for number in range(1, 13))


def shut(text: str, said: Said) -> tuple[Shut, ...]:
    """Days on which the farm stands still, with their dates."""
    if text.strip().lower() in (NONE, *_ANSWERS_NO):
        return ()
    found: list[Shut] = []
    for piece in filter(None, _APART.split(text.strip())):
        match = _SHUT.fullmatch(piece)
        if match is None:
            allowed = f'needs days with their dates, or "{NONE}"'
            raise QuantityFault(f"is {forms.shown(piece)}", allowed, 'Write it like "Christmas 2027-12-25".')
        first = _date(match["first"])
        last = _date(match["last"]) if match["last"] else None
        if last is not None and last < first:
            raise QuantityFault(f"ends on {last}, before {first}", "needs the first day first", "Swap the two dates.")
        name = match["name"].strip() or f"shut on {first}"
        if name in {each.name for each in found}:
            raise QuantityFault(f'names "{name}" twice', "needs each name once", "Call one of the two otherwise.")
        found.append(Shut(name=name, first=first, last=last))
    return tuple(found)


def _date(text: str) -> datetime.date:
    with suppress(ValueError):
        date = datetime.date.fromisoformat(text)
        figure = Shut.figures["first"]
        figure.form.read(date, figure, True)
        return date
    raise QuantityFault(f'"{text}" is no day of the calendar', "needs a date", "Write it like 2027-12-25.")


def is_no(text: str) -> bool:
    """Whether nothing is told."""
    return text.strip().lower() in (NOT_TOLD, *_ANSWERS_NO)


def wage(text: str, said: Said) -> Wage | None:
    """What one person is paid an hour; None when it is not told."""
    given = text.strip()
    if is_no(given):
        return None
    amount = forms.amount(re.sub(r"\ban\b", "a", given), Crew.figures["wage"])
    return Wage(amount, next(currency for currency in units.CURRENCIES if units.is_money_of(given, currency)))
