"""A figure of a farm by its path, "crew.pickers.people", and the farm with another value there.

A path goes by the names that the farm's file uses, a point between them; things are called by their own names. A name with
spaces may be written with them, with dashes or with underscores; great letters and small ones are alike, and an apostrophe
may be left out. A name with a point in it stands in quotes: room."No. 2".holds. In a figure that varies the path goes on to
one of its values (strain.shiitake.colonise.likely), in a range to low or high.

Another value goes into the tables of the file as a change set's would, so that units, bounds and all rules that tie
figures together are checked. In a farm that grows it holds from the start on and in every phase.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from farmsim import units
from farmsim.errors import FarmsimError
from farmsim.scenario.change import State, farm_with_change, states_of
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure
from farmsim.scenario.forms import closest, listed
from farmsim.scenario.lines import Place, Table
from farmsim.scenario.part import Part, known_names
from farmsim.scenario.read import tables
from farmsim.scenario.values import Range
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular
from farmsim.scenario.write_figure import value_of

MOST_NAMED = 30  # names that a message lists
BY_NAME = ("amounts by strain", "price, or prices by strain", "amounts that vary by strain", "paces by form")
"""Forms of figures that hold one value for each strain or form: the path goes on to one of them."""
ENDS = ("low", "high")
VARYING = Fixed | Triangular | Between | MeanCv | RangeMean | Measured
_PIECE = re.compile(r'"([^"]*)"|\'([^\']*)\'|([^.]+)')


class NoSuchFigure(FarmsimError, ValueError):
    """A path that leads to no figure of the farm, or to one that cannot be given another value."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Spot:
    """A figure of a farm.

    path: as a change set goes, ("crew", "pickers", "people")
    figure: its declaration
    written: as it stands in the file; what stands there by default is written out
    value: what that means [unit of the figure]
    key: the value within a figure that varies or a range, "mean" or "low"; "" for the figure as a whole
    """

    path: tuple[str, ...]
    figure: Figure
    written: object
    value: object
    key: str = ""

    @property
    def name(self) -> str:
        """The path in one piece: crew.pickers.people."""
        return ".".join((*self.path, self.key) if self.key else self.path)

    @property
    def now(self) -> object:
        """The one value that is spoken of, as it is written."""
        if not self.key:
            return self.written
        if isinstance(self.written, Mapping):
            return self.written[self.key]
        return _ends(str(self.written))[self.key]

    @property
    def form(self) -> str:
        """How its one value is written; a value within another is a quantity."""
        if self.key == "cv" or (not self.key and self.figure.form.name in BY_NAME):
            return "quantity"
        return "quantity" if self.key else self.figure.form.name

    def with_value(self, value: object) -> object:
        """The whole figure as it is written with another value in the one place."""
        if not self.key:
            return value
        if isinstance(self.written, Mapping):
            return {**self.written, self.key: value}
        ends = {**_ends(str(self.written)), self.key: str(value)}
        return f"{ends['low']} to {ends['high']}"

    def read(self, value: object) -> object:
        """What another value there would mean [unit of the figure].

        Goes wrong when it cannot be read or is out of its bounds: QuantityFault.
        """
        form, whole = self.figure.form, self.with_value(value)
        if form.name in BY_NAME:
            return dict(form.read({"it": whole}, self.figure, True))["it"]  # type: ignore[call-overload]
        return form.read(whole, self.figure, True)


def _ends(text: str) -> dict[str, str]:
    """The ends of a range such as "54 to 62 degF", each with its unit."""
    low, _, high = text.partition(" to ")
    unit = high.strip().partition(" ")[2]
    return {"low": low if " " in low.strip() else f"{low.strip()} {unit}", "high": high}


class Figures:
    """The figures of the farm in a file, and the farm with other values in their places.

    at_last: the farm as its last dated change leaves it, in full swing, as if it had been so from the start on
    Goes wrong when the file has faults: ScenarioFault.
    """

    def __init__(self, file: str | Path, at_last: bool = False) -> None:
        self._states = states_of(tables(file), Path(file))
        if at_last:
            self._states = [_in_full_swing(self._states[-1])]
        self.farm = farm_with_change(self._states, None)

    def find(self, text: str) -> Spot:
        """The figure at a path.

        Goes wrong when there is none: NoSuchFigure names the nearest and what is known there.
        """
        pieces = [next(filter(None, match.groups())).strip() for match in _PIECE.finditer(text) if any(match.groups())]
        if not pieces:
            raise NoSuchFigure(f'"{text}" names no figure; write a path such as crew.pickers.people')
        return self.at(pieces, text)

    def at(self, pieces: Sequence[str], text: str = "", whole: bool = False) -> Spot:
        """The figure at a path in pieces.

        text: the path as it was given, for messages
        whole: a figure that varies is taken as it is, however many values it is made of
        Goes wrong when there is none: NoSuchFigure.
        """
        text = text or ".".join(pieces)
        first, *later = self._states
        spot = _Way(text, pieces, self.farm.farm.units, whole).from_here(self.farm, first.tables, ())
        changed = next(
            (each for each in later if _held(each.tables, spot.path) != _held(first.tables, spot.path)), None
        )
        if changed is not None:
            raise NoSuchFigure(
                f'"{text}": the farm itself changes it on {changed.since}, so it has no one value to try others of'
            )
        return spot

    def farm_with(self, values: Sequence[tuple[Spot, object]]) -> Farm:
        """The farm with other values in the places of some of its figures; the same farm when none is another.

        values: each as it would be written in the file
        Goes wrong when a value, or what it leads to, is a fault: ScenarioFault holds all faults.
        """
        change = Table({}, {})
        for spot, value in values:
            if not self._is_now(spot, value):
                _put(change, self._kind(spot), spot, value)
        return farm_with_change(self._states, change) if change else self.farm

    def _kind(self, spot: Spot) -> str:
        """Whether a change set would change the section, or add it because the file does not write it."""
        section = Farm.figures.get(spot.path[0])
        is_one = section is not None and section.how == "one"
        return "add" if is_one and spot.path[0] not in self._states[0].tables else "change"

    def _is_now(self, spot: Spot, value: object) -> bool:
        try:
            return bool(spot.read(value) == spot.value)
        except FarmsimError:
            return False


def _in_full_swing(state: State) -> State:
    """A state that holds from the start on, on a farm that runs already."""
    copy = state.tables.twin()
    about = copy.get("farm")
    if isinstance(about, Table):
        for key in ("begin", "lead_in"):
            about.pop(key, None)
    return State(None, copy)


def _put(change: Table, kind: str, spot: Spot, value: object) -> None:
    """Write a value into a change set, each key on a line that says what was given."""
    said = f'"{value}"' if isinstance(value, str) else str(value)
    place = Place(f"{spot.name} = {said}", 0)
    inside = change
    for piece in (kind, *spot.path[:-1]):
        inside.places[piece] = place
        held = inside.setdefault(piece, Table({}, {}))
        assert isinstance(held, Table)
        inside = held
    last = spot.path[-1]
    if spot.key and last in inside:  # another value of the same figure was given before
        spot = replace(spot, written=inside[last])
    whole = spot.with_value(value)
    inside[last] = Table(whole, dict.fromkeys(whole, place)) if isinstance(whole, Mapping) else whole
    inside.places[last] = place


def _held(table: Table, path: Sequence[str]) -> object:
    """What is written at a path, None when nothing is."""
    inside: object = table
    for piece in path:
        if isinstance(inside, list):
            inside = next((each for each in inside if isinstance(each, Table) and each.get("name") == piece), None)
        else:
            inside = inside.get(piece) if isinstance(inside, Table) else None
    return inside


class _Way:
    """One way from the farm to a figure of it, piece by piece."""

    def __init__(self, text: str, pieces: Sequence[str], system: units.System, whole: bool) -> None:
        self._text, self._left = text, list(pieces)
        self._system, self._whole = system, whole

    def from_here(self, part: Part, table: object, path: tuple[str, ...]) -> Spot:
        """The figure that the rest of the path leads to, from a part of the farm."""
        held = type(part).lifts
        names = known_names(type(part))
        name = self._next(names, path)
        attribute, figure = next((at, each) for at, each in type(part).figures.items() if each.name == name)
        value, inner = getattr(part, attribute), table.get(name) if isinstance(table, Table) else None
        holder = next((each for each, keys in held.items() if name in keys), None)
        if holder is not None:  # a break stands among the hours
            among = table.get(holder) if isinstance(table, Table) else None
            return self._leaf(
                figure, value, among.get(name) if isinstance(among, Table) else None, (*path, holder, name)
            )
        here = (*path, name)
        if isinstance(value, Part):
            return self.from_here(value, inner, here)
        if figure.how in ("many", "named"):
            return self._among(value, inner, here)
        if figure.how == "one":
            raise NoSuchFigure(f'"{self._text}": the farm has no {name.replace("_", " ")}')
        lifted = held.get(name, ())
        if self._left and figure.form.name in (*BY_NAME, "shifts") and self._match(self._left[0], lifted):
            return self.from_here(part, table, path)
        return (
            self._by_name(figure, value, inner, here)
            if isinstance(value, Mapping)
            else self._leaf(figure, value, inner, here)
        )

    def _among(self, value: object, table: object, path: tuple[str, ...]) -> Spot:
        """A thing among others of its kind, called by its name."""
        things = dict(value) if isinstance(value, Mapping) else {getattr(each, "name", ""): each for each in value}  # type: ignore[attr-defined]
        if "" in things or len(path) > 1:
            if not self._left:
                raise NoSuchFigure(f'"{self._text}": is a list, not one number')
            raise NoSuchFigure(f'"{self._text}": what stands in a list without names, {path[-1]}, cannot be named here')
        name = self._next(list(things), path)
        if isinstance(table, list):
            table = {each["name"]: each for each in table}
        inner = table.get(name) if isinstance(table, Mapping) else None
        return self.from_here(things[name], inner, (*path, name))

    def _by_name(self, figure: Figure, value: Mapping[str, object], table: object, path: tuple[str, ...]) -> Spot:
        """One of the values that a figure has for strains or forms."""
        if figure.form.name not in BY_NAME:
            raise NoSuchFigure(f'"{self._text}": {path[-1]} is no single value, and cannot be given another here')
        name = self._next(list(value), path)
        written = table.get(name) if isinstance(table, Mapping) else None
        return self._leaf(figure, value[name], written, (*path, name))

    def _leaf(self, figure: Figure, value: object, written: object, path: tuple[str, ...]) -> Spot:
        """The figure itself, or one of the values it is made of."""
        if value is None:
            raise NoSuchFigure(
                f'"{self._text}": it is not given in this farm, so it has no value to begin with; write it in the file'
            )
        if written is None:
            written = tomllib.loads(f"it = {value_of(figure, value, self._system)}")["it"]
        if isinstance(value, Range):
            return self._end(Spot(path, figure, written, value), ENDS, False)
        spot = Spot(path, figure, written, value)
        if isinstance(written, Mapping) and isinstance(value, VARYING) and not self._whole:
            return self._end(spot, [key for key in written if key not in ("shape", "measured")], True)
        return self._end(spot, (), False)

    def _end(self, spot: Spot, keys: Sequence[str], is_needed: bool) -> Spot:
        """The end of the path: the figure, or one of its values."""
        key = self._next(list(keys), spot.path) if keys and (self._left or is_needed) else ""
        if self._left:
            raise NoSuchFigure(
                f'"{self._text}": the path ends at {spot.name}, there is nothing called "{self._left[0]}" in it'
            )
        return Spot(spot.path, spot.figure, spot.written, spot.value, key)

    def _next(self, names: Sequence[str], path: tuple[str, ...]) -> str:
        """The next name of the path, as the farm spells it."""
        where = ".".join(path) or "a farm"
        known = f"in {where} there is {_few(names)}" if names else f"there is nothing in {where}"
        if not self._left:
            raise NoSuchFigure(f'"{self._text}" stops short of a figure: {known}')
        piece = self._left.pop(0)
        found = self._match(piece, names)
        if found is None:
            near = closest(_plain(piece), [_plain(name) for name in names])
            meant = next((name for name in names if _plain(name) == near), None)
            rest = f'. Did you mean "{meant}"? {known[0].upper()}{known[1:]}' if meant else f"; {known}"
            raise NoSuchFigure(f'"{self._text}": there is no "{piece}"{rest}.')
        return found

    def _match(self, piece: str, names: Sequence[str]) -> str | None:
        if piece in names:
            return piece
        alike = [name for name in names if _plain(name) == _plain(piece)]
        return alike[0] if len(alike) == 1 else None


def _plain(name: str) -> str:
    """A name without what may be written otherwise: great letters, spaces, dashes, underscores, apostrophes."""
    return re.sub(r"[\s_-]+", " ", re.sub(r"['’]", "", name.strip().lower()))


def _few(names: Sequence[str]) -> str:
    """The first names of many, in quotes."""
    shown = listed(list(names[:MOST_NAMED]), "and")
    return f"{shown}, and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else shown
