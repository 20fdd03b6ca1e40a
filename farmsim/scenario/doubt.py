"""What is not known well: the guesses of a farm, and between which values each may lie.

The same guess of several strains, crews or customers is moved together, so that a farm has a dozen doubts and not a hundred.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.assumed import Assumed, figures, grouped, guesses
from farmsim.scenario.doubt_spans import USUAL, Span, span_of
from farmsim.scenario.farm import Farm
from farmsim.scenario.figure_at import Figures, NoSuchFigure, Spot
from farmsim.scenario.figure_range import NoSuchRange, Number, taken_apart, two_ends, units_said, value_of_number

GIVEN = "given with the question"
NUMBERS = ("quantity", "whole number", "quantity that varies", "price, or prices by strain")


@dataclass(frozen=True, slots=True)
class Move:
    """How one figure is moved: each of its numbers from low to high.

    numbers: by key within a figure that varies, "" for a plain one
    """

    spot: Spot
    numbers: Mapping[str, tuple[Number, Number]]

    def value(self, share: float) -> object:
        """The figure as a file would write it, so far from low (0) to high (1)."""
        written = {key: self._one(low, high, share) for key, (low, high) in self.numbers.items()}
        if "" in written:
            return written[""]
        assert isinstance(self.spot.written, Mapping)
        return {**self.spot.written, **written}

    def _one(self, low: Number, high: Number, share: float) -> object:
        number = low.number + (high.number - low.number) * Fraction(share).limit_denominator(10**6)
        if self.spot.form == "time of day":
            return units.show_clock(float(number))
        if self.spot.form == "whole number":
            number = Fraction(round(number))
        return value_of_number(number, low.money, low.unit).written


@dataclass(frozen=True, slots=True)
class Doubt:
    """A figure that is not known well, or the same figure of several things: moved together.

    name: its path, "*" for the name where there are several
    low, high: between which values, as told; now: what the farm has
    source: where these come from; is_guess: whether the figure is a guess of the farm
    """

    name: str
    meaning: str
    moves: tuple[Move, ...]
    low: str
    high: str
    now: str
    source: str
    is_guess: bool

    def values(self, share: float) -> list[tuple[Spot, object]]:
        """Every figure of it, so far from low (0) to high (1)."""
        return [(move.spot, move.value(share)) for move in self.moves]


@dataclass(frozen=True, slots=True)
class Left:
    """A guess that cannot be moved, and why; mend: how whoever asks may move it all the same, "" where there is no way."""

    name: str
    meaning: str
    why: str
    mend: str = ""


def doubts(book: Figures, ranges: Sequence[str] = ()) -> tuple[list[Doubt], list[Left]]:
    """The doubts of a farm, those of most things first, behind those whose range is given; and what cannot be moved.

    ranges: "strain.shiitake.picking.pace=15:22", "strain.*.picking.gain=5:25"
    Goes wrong when a range is given for no figure, or is none: NoSuchFigure.
    """
    given = [_given(book, text) for text in ranges]
    taken = {move.spot.name for doubt in given for move in doubt.moves}
    found: list[Doubt] = []
    left: list[Left] = []
    for meaning, group in grouped(guesses(book.farm)):
        name = _pattern(group)
        try:
            spots = [spot for spot in (book.at(each.path, whole=True) for each in group) if not _is_taken(spot, taken)]
            if spots:
                found.append(_doubt(name, meaning, spots))
        except NoSuchFigure as fault:
            why, _, mend = (str(fault).partition(": ")[2] or str(fault)).partition("; ")
            left.append(Left(name, meaning, why, mend))
    return [*given, *found], left


def _is_taken(spot: Spot, taken: set[str]) -> bool:
    return any(name == spot.name or name.startswith(f"{spot.name}.") for name in taken)


def _pattern(group: Sequence[Assumed]) -> str:
    """The path of several figures, "*" where they differ."""
    return ".".join(
        pieces[0] if len(set(pieces)) == 1 else "*" for pieces in zip(*(each.path for each in group), strict=False)
    )


def _spanned(name: str) -> Span:
    """The span of a figure, whatever it is called."""
    pieces = name.split(".")
    found = span_of(name)
    for at in range(1, len(pieces) - 1):
        found = found if found is not USUAL else span_of(".".join([*pieces[:at], "*", *pieces[at + 1 :]]))
    return found


def _doubt(name: str, meaning: str, spots: Sequence[Spot]) -> Doubt:
    """A guess over its span: that of its kind where all have the same value, else a share less and more of each."""
    span = _spanned(name)
    if not span.is_factor and any(spot.value != spots[0].value for spot in spots):
        span = USUAL
    moves = tuple(_move(spot, span) for spot in spots)
    low, high = _said(moves, span)
    nows = dict.fromkeys(_now(spot) for spot in spots)
    return Doubt(name, meaning, moves, low, high, next(iter(nows)) if len(nows) == 1 else "differs", span.source, True)


def _now(spot: Spot) -> str:
    if isinstance(spot.written, Mapping):
        return ", ".join(f"{key} {value}" for key, value in spot.written.items())
    return str(spot.now)


def _move(spot: Spot, span: Span) -> Move:
    """How a figure goes over a span."""
    if isinstance(spot.written, Mapping):
        keys = {
            key: str(value) for key, value in spot.written.items() if key not in ("cv", "share", "shape", "measured")
        }
        return Move(spot, {key: _scaled(spot, text, span) for key, text in keys.items()})
    if spot.form == "time of day":
        low, high = (_clock(spot, text) for text in (span.low, span.high))
        return Move(spot, {"": (low, high)})
    if spot.form not in NUMBERS:
        raise NoSuchFigure(f"{spot.name}: is {spot.form}, not one number")
    if span.is_factor:
        return Move(spot, {"": _scaled(spot, str(spot.now), span)})
    ends = [taken_apart(text) for text in (span.low, span.high)]
    low, high = (each for each in ends if each is not None)
    return Move(spot, {"": (low, high)})


def _clock(spot: Spot, text: str) -> Number:
    if text.startswith("x"):
        raise NoSuchFigure(f"{spot.name}: no span is known for a time of day")
    return Number("", Fraction(units.parse_clock(text)), "")


def _scaled(spot: Spot, text: str, span: Span) -> tuple[Number, Number]:
    """A number over a span that goes by its own value."""
    now = taken_apart(text)
    if now is None:
        raise NoSuchFigure(f"{spot.name}: is {text}, not one number")
    if spot.figure.unit == "degC":
        raise NoSuchFigure(
            f"{spot.name}: is {text}, and a share of a temperature goes by its scale; give a range for it"
        )
    factor = USUAL if not span.is_factor else span
    if now.number == 0:
        raise NoSuchFigure(f"{spot.name}: is {text}, and a share of nothing is nothing; give a range for it")
    low, high = (Fraction(end.removeprefix("x")) * now.number for end in (factor.low, factor.high))
    if spot.form == "whole number" and round(low) == round(high):
        raise NoSuchFigure(f"{spot.name}: is {text}, and goes no step up or down in 20 %; give a range for it")
    return replace(now, number=low), replace(now, number=high)


def _said(moves: Sequence[Move], span: Span) -> tuple[str, str]:
    """The ends as told: values where all are alike, else shares of what each is."""
    one = moves[0]
    alike = len({str(move.value(0.0)) for move in moves}) == 1 and "" in one.numbers
    if alike:
        return str(one.value(0.0)), str(one.value(1.0))
    ends = [
        Fraction(end.removeprefix("x"))
        for end in ((span if span.is_factor else USUAL).low, (span if span.is_factor else USUAL).high)
    ]
    low, high = (f"{units.number(100 * float(end))} % of what it is" for end in ends)
    return low, high


# --- ranges that are given ------------------------------------------------------------------------------------------


def _given(book: Figures, text: str) -> Doubt:
    """A doubt with its range as it is typed."""
    field, sign, wanted = (piece.strip() for piece in text.partition("="))
    if not sign or ":" not in wanted:
        raise NoSuchRange(
            f'"{text}" gives no range; write {field or "figure"}=low:high, such as strain.shiitake.picking.pace=15:22'
        )
    spots = _matching(book, field) if "*" in field else [book.find(field)]
    moves = tuple(_ranged(spot, wanted) for spot in spots)
    _see_one_unit(text, moves)
    meaning = spots[0].figure.meaning + (f" ({spots[0].key})" if spots[0].key else "")
    nows = dict.fromkeys(str(spot.now) for spot in spots)
    now = next(iter(nows)) if len(nows) == 1 else "differs"
    is_guess = any(each.path == spots[0].path for each in guesses(book.farm))
    name = field if "*" in field else spots[0].name
    low, high = (str(value_of_number(end.number, end.money, end.unit).written) for end in two_ends(spots[0], wanted))
    return Doubt(name, meaning, moves, low, high, now, GIVEN, is_guess)


def _see_one_unit(text: str, moves: Sequence[Move]) -> None:
    """A range without a unit has that of the farm's own value: of several figures that must be the same."""
    found = dict.fromkeys(f"{end.money}{end.unit}" for move in moves for ends in move.numbers.values() for end in ends)
    if len(found) > 1:
        raise NoSuchRange(
            f'"{text}" is of figures that the farm writes in {units_said(list(found))}; say the unit of the range'
        )


def _ranged(spot: Spot, wanted: str) -> Move:
    if spot.form not in NUMBERS:
        raise NoSuchRange(f"{spot.name} is {spot.form}, not one number, and has no range")
    return (
        Move(replace(spot, key=""), {spot.key: two_ends(spot, wanted)})
        if spot.key
        else Move(spot, {"": two_ends(spot, wanted)})
    )


def _matching(book: Figures, field: str) -> list[Spot]:
    """Every figure of the farm that a path with "*" names."""
    wanted = field.split(".")
    found = [path for path in _paths(book.farm) if len(path) == len(wanted) and all(map(_fits, path, wanted))]
    spots = []
    for path in found:
        try:
            spots.append(book.at(path, field))
        except (NoSuchFigure, QuantityFault):
            continue  # of some it may not be given
    if not spots:
        raise NoSuchFigure(f'"{field}" names no figure of this farm; write it as in its file, with * for a name')
    return spots


def _fits(piece: str, wanted: str) -> bool:
    return wanted == "*" or re.sub(r"[\s_-]+", " ", piece.lower()) == re.sub(r"[\s_-]+", " ", wanted.lower())


def _paths(farm: Farm) -> Iterator[tuple[str, ...]]:
    for path, _, value, _ in figures(farm, ()):
        yield path
        if isinstance(value, Mapping):
            yield from ((*path, str(key)) for key in value)
