"""The base of everything the farm has: a frozen part whose figures are read by their declarations.

Reading gathers faults and never stops at the first. A figure that could not be read stands as `UNKNOWN`, so that the
rules which tie figures together can still judge everything that does not touch it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar, NoReturn, Self

from farmsim import units
from farmsim.errors import Fault, QuantityFault, ScenarioFault
from farmsim.scenario.fields import Figure
from farmsim.scenario.forms import closest, nearest, shown
from farmsim.scenario.lines import Table

Path = tuple[str | int, ...]


class NotKnown(Exception):
    """A rule asked for a figure that could not be read."""


class Unknown:
    """Stands for a figure that could not be read: any use of it raises NotKnown."""

    def _use(self, *_: object) -> NoReturn:
        raise NotKnown

    __eq__ = __ne__ = __lt__ = __le__ = __gt__ = __ge__ = __bool__ = __iter__ = __len__ = __contains__ = _use
    __float__ = __int__ = __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = __getitem__ = _use
    __truediv__ = __rtruediv__ = __getattr__ = __format__ = __str__ = __round__ = __hash__ = _use


UNKNOWN = Unknown()


class Part:
    """One topic of the farm. `lifts` names keys that a file writes inside a table but the part keeps beside it.

    `given` names the attributes that were given; the others stand at their defaults or come from the strain sheet.
    `guessed` says of those that the file marks as guesses what stands behind them. Two parts with the same figures are
    equal, however they came by them.
    """

    __slots__ = ("__dict__", "given", "guessed")

    given: frozenset[str]
    guessed: Mapping[str, str]
    figures: ClassVar[Mapping[str, Figure]] = {}
    lifts: ClassVar[Mapping[str, tuple[str, ...]]] = {}

    def __init_subclass__(cls) -> None:
        found = {name: value for name, value in vars(cls).items() if isinstance(value, Figure)}
        for name in found:
            delattr(cls, name)
        cls.figures = {name: replace(value, name=value.name or name) for name, value in found.items()}

    def __init__(self, **given: object) -> None:
        faults: list[Fault] = []
        self.__dict__.update(_values(type(self), _lifted(type(self), given), False, (), faults))
        object.__setattr__(self, "given", frozenset(given))
        object.__setattr__(self, "guessed", {})
        if faults:
            raise ScenarioFault(faults)

    def __getstate__(self) -> tuple[dict[str, object], frozenset[str], Mapping[str, str]]:
        return self.__dict__, self.given, self.guessed

    def __setstate__(self, state: tuple[dict[str, object], frozenset[str], Mapping[str, str]]) -> None:
        self.__dict__.update(state[0])
        object.__setattr__(self, "given", state[1])
        object.__setattr__(self, "guessed", state[2])

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"a {type(self).__name__} never changes; make another one with .but({name}=...)")

    def __delattr__(self, name: str) -> NoReturn:
        raise AttributeError(f"a {type(self).__name__} never changes")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and other.__dict__ == self.__dict__

    def __hash__(self) -> int:
        return hash((type(self), *self.__dict__.values()))

    def __repr__(self) -> str:
        return f"{type(self).__name__}({', '.join(f'{name}={value!r}' for name, value in self.__dict__.items())})"

    def but(self, **figures: object) -> Self:
        """The same part with some figures changed; values are inside values [h, kg, degC, blocks, shares]."""
        other = type(self)(**{**self.__dict__, **figures})
        object.__setattr__(other, "given", self.given | figures.keys())
        object.__setattr__(other, "guessed", {name: why for name, why in self.guessed.items() if name not in figures})
        return other

    @classmethod
    def read(cls, table: object, path: Path, faults: list[Fault], written: bool = True) -> Self | None:
        """The part written down in a table; faults are added to the list, faulty figures stand as UNKNOWN."""
        if isinstance(table, cls):
            return table
        if not isinstance(table, Mapping):
            if table is not UNKNOWN:
                faults.append(_no_table(table, path, "a table", f"[{_heading(path)}]"))
            return None
        part = object.__new__(cls)
        faults += outside(cls, table, path) if written else []
        guesses = _guesses(cls, table)
        table = _lifted(cls, table)
        part.__dict__.update(_values(cls, table, written, path, faults))
        written_keys = table.keys() - getattr(table, "filled", frozenset())
        given = {name for name, figure in cls.figures.items() if written_keys & {figure.name, name}}
        object.__setattr__(part, "given", frozenset(given))
        marked = {name: guesses[key] for name in given if (key := cls.figures[name].name) in guesses}
        object.__setattr__(part, "guessed", marked)
        return part


def _guesses(cls: type[Part], table: Mapping[str, object]) -> dict[str, str]:
    """What stands behind the figures that a file marks as guesses, by their names there."""
    places = dict(table.places) if isinstance(table, Table) else {}
    for holder, keys in cls.lifts.items():
        if isinstance(inner := table.get(holder), Table):
            places.update({key: inner.places[key] for key in keys if key in inner})
    return {key: place.guess for key, place in places.items() if place.guess is not None}


def _heading(path: Path) -> str:
    return ".".join(piece for piece in path if isinstance(piece, str))


def _no_table(value: object, path: Path, wanted: str, heading: str) -> Fault:
    return Fault(path, f"is {shown(value)}", f"needs {wanted}", f"Write it under a heading such as {heading}.")


def _values(
    cls: type[Part], table: Mapping[str, object], written: bool, path: Path, faults: list[Fault]
) -> dict[str, object]:
    known = known_names(cls)
    unknown = [str(key) for key in table if key not in known and (written or key not in cls.figures)]
    faults += [unknown_key(key, path, known) for key in unknown]
    misspelt = {closest(key, known) for key in unknown}
    values: dict[str, object] = {}
    for attribute, figure in cls.figures.items():
        key = figure.name if figure.name in table else attribute
        if figure.name in misspelt and key not in table:
            values[attribute] = UNKNOWN
        else:
            values[attribute] = _one(figure, table, key, written, path, faults)
    return values


def _lifted(cls: type[Part], table: Mapping[str, object]) -> Mapping[str, object]:
    """The table with keys such as the break among the hours lifted out to stand beside them."""
    if not cls.lifts:
        return table
    lifted = dict(table)
    for name, keys in cls.lifts.items():
        inner = table.get(name)
        if isinstance(inner, Mapping):
            lifted[name] = {key: value for key, value in inner.items() if key not in keys}
            lifted.update({key: inner[key] for key in keys if key in inner})
    return lifted


def known_names(cls: type[Part]) -> list[str]:
    """The names of the figures a part may hold in a file."""
    return [figure.name for figure in cls.figures.values() if figure.form.name != "inside"]


def outside(part: type[Part], table: Mapping[str, object], path: Path) -> list[Fault]:
    """Keys that stand beside the table they belong in, such as a break beside the hours: they would go unheard."""
    return [_outside(key, holder, table, path) for holder, keys in part.lifts.items() for key in keys if key in table]


def _outside(key: str, holder: str, table: Mapping[str, object], path: Path) -> Fault:
    if isinstance(table.get(holder), str):  # a word takes nothing in
        found, mend = (
            f"is given, but {holder} is {shown(table[holder])}",
            f"Leave it out, or write {holder} as a table.",
        )
        return Fault((*path, key), found, f"needs a table {holder}", mend)
    found, mend = f'"{key}" stands beside {holder}', f"Write it as {holder} = {{ ..., {key} = {shown(table[key])} }}."
    return Fault((*path, key), found, f"needs to stand in {holder}", mend)


def unknown_key(key: str, path: Path, names: list[str]) -> Fault:
    """A key that no figure has."""
    found = f'"{key}" is not known here'
    return Fault((*path, key), found, f"known are {', '.join(names)}", nearest(key, names, "Leave it out."))


def _one(
    figure: Figure, table: Mapping[str, object], key: str, written: bool, path: Path, faults: list[Fault]
) -> object:
    """One figure of a table: its value, its default, or UNKNOWN with a fault."""
    inside_only = written and figure.form.name == "inside"
    if key not in table or inside_only:
        if figure.is_needed:
            mend = f"Add {example(figure, is_section=not path)}."
            faults.append(Fault((*path, figure.name), "is not given", f"needs {figure.meaning}", mend))
        return UNKNOWN if figure.is_needed else figure.default
    value, here = table[key], (*path, figure.name)
    is_word = figure.how == "word or one" and isinstance(value, str)
    if figure.part is not None and not is_word and (written or value is not None):
        return _inner(figure, value, written, here, faults)
    try:
        return figure.form.read(value, figure, written)
    except QuantityFault as fault:
        faults.append(Fault((*here, *fault.at), fault.found, fault.allowed, fault.mend))
        return UNKNOWN


def _inner(figure: Figure, value: object, written: bool, path: Path, faults: list[Fault]) -> object:
    """A part within a part: one, many in a list, or each with its name."""
    assert figure.part is not None
    if figure.how == "many":
        if not isinstance(value, list | tuple) or len(value) < (figure.least or 0):
            wanted = "a list of at least one table" if figure.least else "a list of tables"
            faults.append(_no_table(value, path, wanted, f"[[{_heading(path)}]]"))
            return UNKNOWN
        return tuple(_known(figure.part.read(item, (*path, at), faults, written)) for at, item in enumerate(value))
    if figure.how == "named":
        if not isinstance(value, Mapping):
            faults.append(_no_table(value, path, "named tables", f"[{_heading(path)}.NAME]"))
            return UNKNOWN
        return {
            str(name): _known(figure.part.read(item, (*path, name), faults, written)) for name, item in value.items()
        }
    return _known(figure.part.read(value, path, faults, written))


def _known(part: Part | None) -> object:
    return UNKNOWN if part is None else part


_EXAMPLES = {
    "whole number": "2",
    "time of day": '"08:30"',
    "days": '["mon", "thu"]',
    "working days": '["mon", "tue"]',
    "shifts": '{ mon-fri = "06:00-14:00" }',
    "shares": "[61, 25, 14]",
    "paces week by week": '["50 %", "70 %", "85 %"]',
    "date": "2027-01-04",
    "month": '"2026-01"',
    "list of strains": '["blue-oyster", "nameko"]',
    "strains by strain": '{ shiitake = ["blue-oyster"] }',
    "amounts that vary by strain": '{ shiitake = { mean = "20 lb a market day", cv = 0.3 } }',
    "yes or no": "true",
    "lists of blows": '[["prices", "yield"]]',
}


def example(figure: Figure, is_section: bool = False) -> str:
    """A line that would give the figure."""
    if figure.how == "one":
        return f"a table [{figure.name}]" if is_section else f"{figure.name} = {{ ... }}"
    if figure.how:
        return f"a list [[{figure.name}]]" if figure.how == "many" else f"a table [{figure.name}.NAME]"
    return f"{figure.name} = {example_value(figure)}"


def example_value(figure: Figure) -> str:
    """A value that would do for the figure."""
    form = figure.form.name
    if figure.unit and form in ("amounts by strain", "price, or prices by strain"):
        return f'{{ shiitake = "{units.SPOKEN[figure.unit].us}" }}'
    if figure.unit and form == "amounts by name":
        return f'{{ cash = "{units.SPOKEN[figure.unit].us}" }}'
    if figure.unit and form == "paces by form":
        return f'{{ caps = "{units.SPOKEN[figure.unit].us}" }}'
    if figure.unit and form == "range":
        return f'"{units.example_range(figure.unit)}"'
    if figure.unit and form in ("quantity", "quantity that varies"):
        return f'"{units.SPOKEN[figure.unit].us}"'
    if form == "twelve amounts":
        return "{ lb = [6800, ...] }" if figure.unit == "kg" else "[1800, ...]"
    if figure.choices:
        return f'["{figure.choices[0]}"]' if form == "words" else f'"{figure.choices[0]}"'
    return _EXAMPLES.get(form, '"..."')
