"""How the answers about a new farm are read: each form takes what a grower says, or says what is wrong with it.

The same words do on the terminal and in a file of answers: "300 blocks a week", "shiitake 60 %, blue oyster 40 %",
"restaurants tue fri 45 %; market stall sat 120 lb".
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Final

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario import forms
from farmsim.scenario.crews import CREWS
from farmsim.scenario.farm import About
from farmsim.scenario.sheet import SHEET
from farmsim.scenario.strain import Strain
from farmsim.scenario.strain_page import slug
from farmsim.scenario.values import DAYS, Shift

WORK_IT_OUT: Final = "work it out"
IN_THE_BAG: Final = "in the bag"
NOBODY: Final = ("nobody", "none", "no one")
MOST_BLOCKS, MOST_SOLD = 100_000, 0.9
_SYSTEMS: Final[Mapping[str, units.System]] = {
    **dict.fromkeys(("us", "lb", "pounds"), "us"),
    **dict.fromkeys(("metric", "kg", "kilograms"), "metric"),
}
_APART = re.compile(r"\s*(?:;|,(?!\d{3}\b)|\n)\s*")  # not the comma of 1,500
_AMOUNT = re.compile(r"\s(\d[\d,]*(?:\.\d+)?)\s*(%|lbs?\b|kg\b)(?:\s+(?:a|per)\s+(?:delivery|week))?\s*$", re.I)
_FULL_HOUR = re.compile(r"(?<![:.\d])(\d{1,2})(?![:.\d])")  # 7 for 7:00
_PLACES = re.compile(r"(?P<name>.*?)\s*\b(?P<holds>\d[\d,]*)\s*(?:shelf places|places|blocks|shelves)?", re.I)
_PART = re.compile(r"(?P<name>.*?)\s*(?P<share>\d[\d,]*(?:\.\d+)?)?\s*(?P<sign>%|blocks)?", re.I)


@dataclass(frozen=True, slots=True)
class Said:
    """What was answered so far, by question, and the day on which it is asked."""

    values: Mapping[str, object]
    today: datetime.date


Reader = Callable[[str, Said], object]


@dataclass(frozen=True, slots=True)
class Buyer:
    """Somebody who takes mushrooms or blocks: on which days, and how much."""

    name: str
    days: tuple[str, ...]
    share: float = 0.0  # of the firsts of a week [1]
    weight: float = 0.0  # instead of a share: a delivery [kg]


def name(text: str, said: Said) -> str:
    """A name."""
    if not text.strip():
        raise QuantityFault("says nothing", "needs a name", "Write any name.")
    if not text.strip().isprintable():
        raise QuantityFault("holds signs that cannot be printed", "needs a name", "Type it again.")
    return text.strip()


def system(text: str, said: Said) -> units.System:
    """US or metric."""
    word = text.strip().lower()
    if word not in _SYSTEMS:
        mend = forms.nearest(word, list(_SYSTEMS), "Write one of the two.")
        raise QuantityFault(f"is {forms.shown(text)}", 'needs "us" or "metric"', mend)
    return _SYSTEMS[word]


def monday(text: str, said: Said) -> datetime.date:
    """A Monday: a date, or the next one."""
    if text.strip().lower() == "next monday":
        return said.today + datetime.timedelta(days=7 - said.today.weekday())
    try:
        date = datetime.date.fromisoformat(text.strip())
    except ValueError:
        mend = 'Write it like 2027-01-04, or "next Monday".'
        raise QuantityFault(f"is {forms.shown(text)}", "needs the date of a Monday", mend) from None
    start = About.figures["start"]
    start.form.read(date, start, True)
    if date.weekday():
        before = date - datetime.timedelta(days=date.weekday())
        raise QuantityFault(f"is a {date:%A}", "needs a Monday", f"The Monday of that week is {before}.")
    return date


def whole(most: int, what: str, example: int) -> Reader:
    """A whole number from 1 on, with or without its word: 52, "52 weeks"."""

    def read(text: str, said: Said) -> int:
        match = re.fullmatch(rf"\s*(\d[\d,]*)\s*(?:{what}s?)?\s*", text, re.I)
        number = int(match[1].replace(",", "")) if match else -1
        if not 1 <= number <= most:
            allowed = f"needs a whole number of {what}s from 1 to {most:,}"
            raise QuantityFault(f"is {forms.shown(text)}", allowed, f'Write it like "{example} {what}s".')
        return number

    return read


def blocks(text: str, said: Said) -> int:
    """Whole blocks a week."""
    number = units.parse(text, "blocks/week", also=("/week", "blocks", ""))
    if not (1 <= number <= MOST_BLOCKS and number == int(number)):
        allowed = f"needs whole blocks, from 1 to {MOST_BLOCKS:,} a week"
        raise QuantityFault(f"is {forms.shown(text)}", allowed, 'Write it like "300 blocks a week".')
    return int(number)


def word(*choices: str) -> Reader:
    """One word out of a few."""

    def read(text: str, said: Said) -> str:
        given = text.strip().lower()
        if given not in choices:
            mend = forms.nearest(given, choices, "Write one of these.")
            raise QuantityFault(f"is {forms.shown(text)}", f"needs {forms.listed(choices)}", mend)
        return given

    return read


def block(text: str, said: Said) -> float:
    """The weight of a block [kg]."""
    return forms.amount(text.strip(), Strain.figures["block"])


def share(text: str, said: Said) -> float:
    """A share of the blocks [1]."""
    number = units.parse(text, "fraction")
    if not 0 <= number <= MOST_SOLD:
        bare = text.strip()
        mend = f'Did you mean "{bare} %"?' if bare.isdigit() and int(bare) <= 100 * MOST_SOLD else "Write less."
        raise QuantityFault(f"is {forms.shown(text)}", f"needs a share from 0 % to {100 * MOST_SOLD:.0f} %", mend)
    return number


# --- several things in one answer ---------------------------------------------------------------------------


def _pieces(text: str, mend: str) -> list[str]:
    pieces = [piece for piece in _APART.split(text.strip()) if piece]
    if not pieces:
        raise QuantityFault("says nothing", "needs at least one", mend)
    return pieces


def _each_once(names: Iterable[str]) -> None:
    seen: set[str] = set()
    for each in names:
        if each in seen:
            raise QuantityFault(f'names "{each}" twice', "needs each name once", "Leave one of the two out.")
        seen.add(each)


def strains(text: str, said: Said) -> dict[str, float]:
    """Strains of the library with their shares of the blocks [1]; without numbers the shares are equal."""
    found: list[tuple[str, float, str]] = []
    for piece in _pieces(text, 'Write it like "NAME 60 %, NAME 40 %".'):
        match = _PART.fullmatch(piece)
        assert match is not None
        number = float((match["share"] or "0").replace(",", ""))
        found.append((strain(match["name"]), number, match["sign"] or ""))
    _each_once(like for like, _, _ in found)
    numbers = [number for _, number, _ in found]
    if any(numbers) and not all(numbers):
        raise QuantityFault("gives some shares, not all", "needs a share for each strain, or none", "Add the others.")
    total = sum(numbers) or float(len(found))
    if any(sign == "%" for _, _, sign in found) and abs(total - 100) > 0.5:
        found_ = f"the shares add up to {units.number(total)} %"
        raise QuantityFault(found_, "needs 100 %", "Change one of them, or write numbers of blocks.")
    return {like: (number or 1.0) / total for like, number, _ in found}


def strain(written: str) -> str:
    """A strain of the library as the library spells it."""
    by_slug = {slug(like): like for like in SHEET}
    if slug(written) not in by_slug:
        allowed, mend = f"needs strains of the library: {', '.join(SHEET)}", "Write one of these."
        raise QuantityFault(f'the library has no "{written}"', allowed, forms.nearest(written, list(SHEET), mend))
    return by_slug[slug(written)]


def days(text: str, said: Said) -> tuple[str, ...]:
    """Days of the week: "mon-fri", "mon wed fri", "every day"."""
    found, rest = _days_at_the_end(text)
    if rest or not found:
        odd = (rest or text).split(" ")[0]
        mend = 'Write them like "mon-fri", "mon wed fri" or "every day".'
        raise QuantityFault(f'"{odd}" names no day' if odd else "says nothing", "needs days of the week", mend)
    return found


def _days_at_the_end(text: str) -> tuple[tuple[str, ...], str]:
    """The days a text ends with, and what stands before them."""
    text = re.sub(r"\bevery day\b", "mon-sun", text, flags=re.I)
    tokens = re.sub(r"\s*(?:[–-]|\bto\b)\s*", "-", text).replace(",", " ").split()
    found: set[str] = set()
    while tokens:
        if tokens[-1].lower() not in ("and", "on"):
            day = "-".join(piece[:3] for piece in tokens[-1].lower().split("-"))
            if not re.fullmatch(r"[a-z]+(-[a-z]+)?", tokens[-1].lower()) or not _is_day(tokens[-1], day):
                break
            found.update(forms.days_in(day))
        elif not found:
            break
        tokens.pop()
    return tuple(sorted(found, key=DAYS.index)), " ".join(tokens)


def _is_day(token: str, short: str) -> bool:
    """Whether a word is a day or a stretch of days, written short or in full."""
    full = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    return all(
        near in DAYS and any(day.startswith(piece) for day in full)
        for piece, near in zip(token.lower().split("-"), short.split("-"), strict=True)
    )


def buyers(text: str, said: Said) -> tuple[Buyer, ...]:
    """Who takes fresh mushrooms, on which days, and which share of the week's firsts or what weight a delivery."""
    if text.strip().lower() in NOBODY:
        return ()
    found = tuple(_buyer(piece) for piece in re.split(r"\s*[;\n]\s*", text.strip()) if piece)
    if not found:
        raise QuantityFault("says nothing", "needs a customer", 'Write "nobody" if there is none.')
    _each_once(buyer.name for buyer in found)
    total = sum(buyer.share for buyer in found)
    if total > 1.0001:
        found_ = f"the shares add up to {units.show(total, 'fraction')}"
        raise QuantityFault(found_, "needs at most 100 % of the firsts", "Give some of them less.")
    return found


def _buyer(piece: str) -> Buyer:
    match = _AMOUNT.search(f" {piece}")
    if match is None:
        mend = 'Write it like "restaurants tue fri 45 %" or "market stall sat 120 lb".'
        raise QuantityFault(f'"{piece}" does not say how much', "needs a share of the harvest or a weight", mend)
    who = _days_and_name(f" {piece}"[: match.start()])
    number = float(match[1].replace(",", ""))
    if number <= 0:
        raise QuantityFault(f'"{piece}" takes nothing', "needs more than 0", "Leave it out, or write how much.")
    if match[2] == "%":
        return Buyer(*who, share=number / 100)
    return Buyer(*who, weight=units.parse(f"{number} {match[2]}", "kg"))


def block_buyers(text: str, said: Said) -> tuple[Buyer, ...]:
    """Who takes blocks ready to fruit, and on which days; each an equal part."""
    found = tuple(Buyer(*_days_and_name(piece)) for piece in re.split(r"\s*[;\n]\s*", text.strip()) if piece)
    if not found:
        raise QuantityFault("says nothing", "needs somebody who takes them", 'Write it like "small growers mon thu".')
    _each_once(buyer.name for buyer in found)
    return found


def _days_and_name(piece: str) -> tuple[str, tuple[str, ...]]:
    on, who = _days_at_the_end(piece)
    if not on or not who:
        missing = "who" if not who else "on which days"
        mend = 'Write it like "restaurants tue fri 45 %", several of them apart by ";".'
        raise QuantityFault(f'"{piece.strip()}" does not say {missing}', "needs a name and days", mend)
    return who, on


# --- what may be left to be worked out ----------------------------------------------------------------------


def rooms(text: str, said: Said) -> tuple[tuple[str, int], ...] | None:
    """Fruiting rooms with their shelf places."""
    if text.strip().lower() == WORK_IT_OUT:
        return None
    found = []
    for piece in _pieces(text, 'Write it like "North 1500, South 1200".'):
        match = _PLACES.fullmatch(piece)
        if match is None or int(match["holds"].replace(",", "")) < 1:
            allowed = f'needs rooms with their shelf places, or "{WORK_IT_OUT}"'
            raise QuantityFault(f"is {forms.shown(piece)}", allowed, 'Write it like "North 1500, South 1200".')
        found.append((match["name"].strip() or "Main", int(match["holds"].replace(",", ""))))
    _each_once(room for room, _ in found)
    return tuple(found)


def or_worked_out(read: Reader, *others: str) -> Reader:
    """A number that may be left to be worked out, or a few words instead of it."""

    def read_it(text: str, said: Said) -> object:
        given = text.strip().lower()
        if given == WORK_IT_OUT:
            return None
        if given in others:
            return given
        try:
            return read(text, said)
        except QuantityFault as fault:
            allowed = f"{fault.allowed}, or {forms.listed([*others, WORK_IT_OUT])}"
            raise QuantityFault(
                fault.found, allowed, forms.nearest(given, [*others, WORK_IT_OUT], fault.mend)
            ) from None

    return read_it


def people(text: str, said: Said) -> tuple[int, ...] | None:
    """People in each crew, from the making of blocks to packing."""
    if text.strip().lower() == WORK_IT_OUT:
        return None
    shapes = CREWS[str(said.values.get("made", "here"))]
    numbers = [piece for piece in re.split(r"[\s,;+]+|\band\b|\bpeople\b", text) if piece]
    with suppress(ValueError):
        counts = tuple(int(piece) for piece in numbers)
        if counts and all(1 <= count <= 1_000 for count in counts) and len(counts) <= len(shapes):
            return counts
    allowed = f'needs a number of people for each of 1 to {len(shapes)} crews, or "{WORK_IT_OUT}"'
    raise QuantityFault(f"is {forms.shown(text)}", allowed, 'Write it like "2" for one crew, or "3, 2" for two.')


def hours(text: str, said: Said) -> Shift:
    """From when to when people work."""
    return forms.read_shift(_FULL_HOUR.sub(r"\1:00", re.sub(r"\s+to\s+", "-", text.strip())))


def clock(text: str, said: Said) -> float:
    """A time of day [h]."""
    return units.parse_clock(_FULL_HOUR.sub(r"\1:00", text))


def soaked(like: str) -> bool:
    """Whether a strain of the library is ever soaked."""
    sheet = SHEET[like]
    steps = sheet["steps"].written
    again = sheet.get("flushes.soak_again")
    return (isinstance(steps, list) and "soak" in steps) or (again is not None and bool(again.written))
