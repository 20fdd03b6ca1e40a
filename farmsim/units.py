"""Growers' quantities: read "65 degF", "600 blocks a week" or "5 s a block", and show them again.

Inside the program there are only hours, kg, degC, blocks, crates, currency and shares (0 to 1); they are made here.
A unit keeps its basis: "2 h a day" is hours over days and never shrinks to a bare number.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from farmsim.errors import QuantityFault

System = Literal["us", "metric"]

HOURS_A_DAY = 24.0
HOURS_A_WEEK = 168.0

CURRENCIES = ("USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "JPY")
_SIGNS = {"$": ("USD", "CAD", "AUD", "NZD"), "€": ("EUR",), "£": ("GBP",)}

_LB = Fraction("0.45359237")  # kg, exact by definition
_UNITS: tuple[tuple[str, Fraction | int, str], ...] = (  # kind, size in the inside unit, names
    ("time", 1, "h,hr,hrs,hour,hours"),
    ("time", Fraction(1, 60), "min,mins,minute,minutes"),
    ("time", Fraction(1, 3600), "s,sec,secs,second,seconds"),
    ("time", 24, "d,day,days"),
    ("time", 168, "week,weeks,wk,wks"),
    ("time", Fraction(8766, 12), "month,months"),  # a twelfth of a year
    ("time", 8766, "year,years"),  # 365.25 days
    ("weight", 1, "kg,kilo,kilos"),
    ("weight", Fraction(1, 1000), "g,gram,grams"),
    ("weight", _LB, "lb,lbs,pound,pounds"),
    ("weight", _LB / 16, "oz,ounce,ounces"),
    ("temperature", 1, "degc,°c,c"),
    ("temperature", Fraction(5, 9), "degf,°f,f"),
    ("blocks", 1, "block,blocks,shelf place,shelf places,rack place,rack places,place,places"),
    ("crates", 1, "crate,crates"),
    ("deliveries", 1, "delivery,deliveries,market day,market days"),
    ("share", 1, "fraction"),
    ("share", Fraction(1, 100), "%,percent"),
    ("money", 1, "currency,$,€,£,usd,eur,gbp,cad,aud,nzd,chf,sek,nok,dkk,jpy"),  # codes as in CURRENCIES
)
_ZEROS = {"degf": 32, "°f": 32, "f": 32}  # where a temperature scale has its zero
_SIZES: dict[str, tuple[str, Fraction, Fraction]] = {
    name: (kind, Fraction(size), Fraction(_ZEROS.get(name, 0)))
    for kind, size, names in _UNITS
    for name in names.split(",")
}

_PER = ("/", "a", "an", "per")
_MONEY = rf"[$€£]|(?i:{'|'.join(CURRENCIES)})(?=[\s\d.+−-])"  # before its number: "$9", "-$9", "EUR 9"
_NUMBER = re.compile(
    rf"\s*(?P<sign>[-+−](?=\s*(?:{_MONEY})))?\s*(?P<money>{_MONEY})?\s*"
    r"(?P<number>(?(sign)|[-+−]?)(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+)?(?:\.\d+)?)(?P<rest>.*)",
    re.S,
)
_TOKENS = re.compile(r"/|%|,|[^\s/%,]+")


@dataclass(frozen=True, slots=True)
class Spoken:
    """How a declared unit is spoken of and written by growers."""

    what: str
    us: str
    metric: str

    @property
    def examples(self) -> str:
        """The two examples, or the one when both are alike."""
        return f'"{self.us}"' if self.us == self.metric else f'"{self.us}" or "{self.metric}"'


SPOKEN: dict[str, Spoken] = {
    "h": Spoken("a time", "36 h", "14 d"),
    "kg": Spoken("a weight", "12 lb", "5.4 kg"),
    "degC": Spoken("a temperature", "65 degF", "18 degC"),
    "blocks": Spoken("a number of blocks", "200 blocks", "200 blocks"),
    "shelf places": Spoken("a number of shelf places", "1500 shelf places", "1500 shelf places"),
    "crates": Spoken("a number of crates", "900 crates", "900 crates"),
    "weeks": Spoken("a number of weeks", "10 weeks", "10 weeks"),
    "fraction": Spoken("a share", "4 %", "4 %"),
    "blocks/h": Spoken("blocks per hour", "60 blocks/h", "60 blocks/h"),
    "blocks/week": Spoken("blocks per week", "600 blocks a week", "600 blocks a week"),
    "kg/h": Spoken("a weight per hour", "18 lb/h", "8 kg/h"),
    "kg/block": Spoken("a weight per block", "1.15 lb saleable a block", "0.52 kg saleable a block"),
    "kg/delivery": Spoken("a weight per delivery", "140 lb a delivery", "64 kg a delivery"),
    "h/block": Spoken("a time per block", "5 s a block", "5 s a block"),
    "h/day": Spoken("hours per day", "2 h a day", "2 h a day"),
    "h/week": Spoken("hours per week", "6 h a week", "6 h a week"),
    "fraction/day": Spoken("a share per day", "3 % a day", "3 % a day"),
    "fraction/year": Spoken("a share per year", "30 % a year", "30 % a year"),
    "fraction/h": Spoken("a share per hour", "1 % an hour", "1 % an hour"),
    "crates/block": Spoken("crates per block", "0.6 crate/block", "0.6 crate/block"),
    "crates/crate": Spoken("crates of space per crate", "1 crate", "1 crate"),
    "currency": Spoken("money", "$16,000", "15000 EUR"),
    "currency/h": Spoken("money per hour", "$18/h", "18 EUR/h"),
    "currency/kg": Spoken("money per weight", "$9/lb", "20 EUR/kg"),
    "currency/block": Spoken("money per block", "$9 a block", "8 EUR a block"),
    "currency/crate": Spoken("money per crate", "$0.80 a crate", "0.70 EUR a crate"),
    "currency/week": Spoken("money per week", "$450 a week", "400 EUR a week"),
    "currency/month": Spoken("money per month", "$1,200 a month", "1100 EUR a month"),
    "h/h": Spoken("hours per hour", "3 h/h", "3 h/h"),
}


@dataclass(frozen=True, slots=True)
class Written:
    """A quantity as it was written: number, unit, basis and the words round them."""

    number: Fraction
    units: tuple[str, ...]
    basis: tuple[str, ...]
    words: tuple[str, ...]

    @property
    def kinds(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What is counted, and per what."""
        return tuple(_SIZES[name][0] for name in self.units), tuple(_SIZES[name][0] for name in self.basis)


def _needs(unit: str) -> str:
    spoken = SPOKEN[unit]
    return f"needs {spoken.what}, such as {spoken.examples}"


def _unknown(text: str, token: str, unit: str) -> QuantityFault:
    near = difflib.get_close_matches(token, _SIZES, n=1, cutoff=0.6)
    mend = f'Did you mean "{near[0]}"?' if near else f'Write it like "{SPOKEN[unit].us}".'
    return QuantityFault(f'"{text}" holds the unknown word "{token}"', _needs(unit), mend)


def _number(text: str, unit: str) -> tuple[Fraction, str, str]:
    match = _NUMBER.fullmatch(text)
    digits = f"{match.group('sign') or ''}{match.group('number')}".replace("−", "-") if match else ""
    if match is None or not any(sign.isdigit() for sign in digits):
        raise QuantityFault(
            f'"{text}" does not begin with a number', _needs(unit), f'Write it like "{SPOKEN[unit].us}".'
        )
    if match.group("rest")[:1] == ",":
        raise QuantityFault(f'"{text}" has a comma in its number', _needs(unit), 'Write decimals with a point: "1.5".')
    return Fraction(digits.replace(",", "")), match.group("rest"), (match.group("money") or "").lower()


def _next_unit(tokens: list[str]) -> str | None:
    """Takes the unit at the front of the tokens, two words before one."""
    for length in (2, 1):
        name = " ".join(tokens[:length]).lower()
        if len(tokens) >= length and name in _SIZES:
            del tokens[:length]
            return name
    return None


def dissect(text: str, unit: str, words: tuple[str, ...] = ()) -> Written:
    """Takes a written quantity apart; `unit` is only used to say what would be right."""
    number, rest, money = _number(text, unit)
    tokens = _TOKENS.findall(rest)
    units, basis, seen = ([money] if money else []), list[str](), list[str]()
    per = False
    while tokens:
        if tokens[0].lower() in _PER:
            per = True
            tokens.pop(0)
        elif tokens[0].lower() == "each" or tokens[0].lower() in words or tokens[0] == ",":
            seen.append(tokens.pop(0).lower())
        else:
            found = _next_unit(tokens)
            if found is None:
                raise _unknown(text, tokens[0], unit)
            (basis if per else units).append(found)
    return Written(number, tuple(units), tuple(basis), tuple(word for word in seen if word != ","))


def _declared(unit: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    above, _, below = unit.partition("/")
    return (above.lower(),), ((below.lower(),) if below else ())


def _kinds(unit: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    above, below = _declared(unit)
    return tuple(_SIZES[name][0] for name in above), tuple(_SIZES[name][0] for name in below)


def _wrong(text: str, written: Written, unit: str) -> QuantityFault:
    """Says which of unit and basis is missing or wrong."""
    counted, per = _kinds(unit)
    has, has_per = written.kinds
    example = f'Write it like "{SPOKEN[unit].us}".'
    if not has and counted[0] not in ("share",):
        return QuantityFault(f'"{text}" has no unit', _needs(unit), example)
    if has != counted and has:
        return QuantityFault(f'"{text}" is {_spoken_kind(has[0])}', _needs(unit), example)
    if per and not has_per:
        return QuantityFault(f'"{text}" does not say per what', _needs(unit), example)
    if not per:
        return QuantityFault(f'"{text}" has a basis too many', _needs(unit), example)
    return QuantityFault(f'"{text}" is per {written.basis[0]}', _needs(unit), example)


def _spoken_kind(kind: str) -> str:
    return {
        "blocks": "a number of blocks",
        "crates": "a number of crates",
        "deliveries": "a number of deliveries",
        "money": "money",
    }.get(kind, f"a {kind}")


def _fits(written: Written, unit: str) -> bool:
    has, has_per = written.kinds
    counted, per = _kinds(unit)
    if has_per != per:
        return False
    return has == counted or (not has and counted == ("share",))


def parse(
    text: str, unit: str, *, words: tuple[str, ...] = (), each: bool = False, also: tuple[str, ...] = ()
) -> float:
    """Reads one quantity into the declared unit.

    text: as a grower writes it, "60 blocks/h each"
    unit: the declared unit, such as "kg/block"
    words: words that may stand in it, such as "saleable"
    each: whether "each" may close it (a pace of one person or bench)
    also: shorter units that are taken too, such as "crates" for "crates/crate" or "/week" for "blocks/week"
    Goes wrong when a unit or basis is missing or wrong: QuantityFault says which.
    """
    return _parsed(text, unit, words, each, also)


@lru_cache(maxsize=10_000)
def _parsed(text: str, unit: str, words: tuple[str, ...], each: bool, also: tuple[str, ...]) -> float:
    """As `parse`; kept, since a question reads one farm a hundred times over with a figure or two changed."""
    written = dissect(text, unit, words)
    if "each" in written.words and not each:
        raise QuantityFault(f'"{text}" says each', "is not counted per person here", 'Leave out "each".')
    if _fits(written, unit):
        return _inside(written, *_declared(unit))
    for short in also:
        above, _, below = short.partition("/")
        want = ((_SIZES[above][0],) if above else (), (_SIZES[below][0],) if below else ())
        if written.kinds == want:
            return _inside(written, (above,) if above else (), (below,) if below else ())
    raise _wrong(text, written, unit)


def _inside(written: Written, above: tuple[str, ...], below: tuple[str, ...]) -> float:
    value = written.number
    for name in written.units:
        _, size, zero = _SIZES[name]
        value = (value - zero) * size
    for name in above:
        _, size, zero = _SIZES[name]
        value = value / size + zero
    for name in written.basis:
        value /= _SIZES[name][1]
    for name in below:
        value *= _SIZES[name][1]
    return float(value)


def parse_range(text: str, unit: str) -> tuple[float, float]:
    """Reads "54 to 62 degF" or "10 d to 14 d" into (low, high) of the declared unit."""
    low, to, high = text.partition(" to ")
    if not to:
        raise QuantityFault(
            f'"{text}" is no range', f'needs two values, such as "{example_range(unit)}"', 'Join them with " to ".'
        )
    top = dissect(high, unit)
    above = parse(high, unit)
    if not dissect_has_unit(low):
        low = f"{low} {high.strip().split(' ', 1)[1] if ' ' in high.strip() else ' '.join(top.units)}"
    below = parse(low, unit)
    if below > above:
        raise QuantityFault(f'"{text}" runs from high to low', "needs the lower value first", "Swap the two values.")
    return below, above


def cents_of(currency: str) -> int:
    """Into how many of its smallest part a currency is divided."""
    return 1 if currency == "JPY" else 100


def is_money_of(text: str, currency: str) -> bool:
    """Whether the money in a written quantity, if there is any, can be of a currency."""
    words = {token.upper() for token in re.findall(r"[$€£]|[^\W\d_]+", text)}
    named = [sign for sign in (*_SIGNS, *CURRENCIES) if sign in words]
    return all(currency in _SIGNS.get(sign, (sign,)) for sign in named)


def system_of(text: str) -> System:
    """The system of units a written quantity is in; US where it does not say."""
    words = {token.lower() for token in _TOKENS.findall(text)}
    return "metric" if words & {"kg", "kilo", "kilos", "g", "gram", "grams", "degc", "°c", "c"} else "us"


def dissect_has_unit(text: str) -> bool:
    """Whether anything but a number is written."""
    match = _NUMBER.fullmatch(text)
    return bool(match and (match.group("rest").strip() or match.group("money")))


def example_range(unit: str) -> str:
    """A range as an example for messages."""
    return {"degC": "54 to 62 degF", "h": "10 d to 14 d"}.get(unit, f"{SPOKEN[unit].us} to {SPOKEN[unit].us}")


def parse_clock(text: str) -> float:
    """Reads "06:30" into the hour of the day [h], up to 24:00."""
    match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*", text)
    if match is None or int(match[2]) > 59 or int(match[1]) * 60 + int(match[2]) > 1440:
        raise QuantityFault(
            f'"{text}" is no time of day', 'needs a time from "00:00" to "24:00"', 'Write it like "08:30".'
        )
    return int(match[1]) + int(match[2]) / 60


def show_clock(hour: float) -> str:
    """Shows an hour of the day [h] as "08:30"; hours past 24 are those of the next day."""
    minutes = round(hour * 60)
    day, rest = divmod(minutes, 1440)
    if day and not rest and day == 1:
        return "24:00"
    return f"{rest // 60:02d}:{rest % 60:02d}" + (" next day" if day else "")


def number(value: float, digits: int = 4) -> str:
    """A number with so many significant digits, thousands marked, no exponent, no trailing zeros."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:,.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _time_name(hours: float) -> str:
    if abs(hours) < 1 / 60 and hours:
        return "s"
    if abs(hours) < 1 and hours:
        return "min"
    return "h" if abs(hours) < 48 else "d"


def _shown_name(name: str, value: float, system: System, currency: str) -> str:
    if name == "h":
        return _time_name(value)
    if name == "currency":
        return "$" if currency in _SIGNS["$"] else currency.lower()
    return {
        "kg": {"us": "lb", "metric": "kg"},
        "degc": {"us": "degf", "metric": "degc"},
        "fraction": {"us": "%", "metric": "%"},
    }.get(name, {}).get(system, name)


_SINGULAR = {"blocks": "block", "crates": "crate", "shelf places": "shelf place", "weeks": "week"}
_PRINTED = {"degf": "degF", "degc": "degC"}


def show(value: float, unit: str, system: System = "us", currency: str = "USD", digits: int = 4) -> str:
    """Shows a value of a declared unit as a grower writes it, in US or metric units."""
    above, below = _declared(unit)
    over_time = below in (("h",), ("day",), ("week",)) and above == ("h",)
    name = "h" if over_time else _shown_name(above[0], value, system, currency)
    shown = Fraction(value) * _SIZES[above[0]][1] / _SIZES[name][1] + _SIZES[name][2]
    if per_pound := below == ("kg",) and system == "us":
        shown *= _LB
    figures = number(float(shown), digits)
    if name == "$":
        figures += "0" if re.search(r"\.\d$", figures) else ""  # $8.50, not $8.5
        text = f"${figures}" if value >= 0 else f"-${figures[1:]}"
    else:
        printed = _SINGULAR.get(name, name) if figures == "1" else _PRINTED.get(name, name)
        text = f"{figures} {printed.upper() if above[0] == 'currency' else printed}"
    return text + ("/lb" if per_pound else _shown_basis(below))


def _shown_basis(below: tuple[str, ...]) -> str:
    if not below:
        return ""
    return f"/{below[0]}" if below[0] in ("h", "kg") else f" a {below[0]}"
