"""Changing, adding and removing named things in the tables of a farm. What a change does not write stays as it was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim.errors import Fault, QuantityFault
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure
from farmsim.scenario.forms import amount, days_in, listed, nearest, read_shift, shown
from farmsim.scenario.lines import Path, Place, Table
from farmsim.scenario.part import known_names, outside, unknown_key
from farmsim.scenario.people import Crew
from farmsim.scenario.values import DAYS, Shift

if TYPE_CHECKING:
    from farmsim.scenario.part import Part

_BY_KEY = (
    "amounts by strain",
    "price, or prices by strain",
    "amounts by name",
    "amounts that vary by strain",
    "strains by strain",
    "paces by form",
    "shifts",
)  # tables of like things: a change touches only the keys it writes


_AMONG = Crew.lifts["hours"]  # keys among the shifts that are no shifts
TIMELESS = ("farm", "history", "drift", "capital", "loan", "credit_line", "balance", "request", "past_year", "stress")
"""What is the same at all times, or carries its dates itself."""
_AS_ONE = ("one", "word or one")  # tables of figures of their own: a change touches only the figures it writes


@dataclass(slots=True)
class Alteration:
    """One phase of a change set, at its path in the file; faults are gathered in the list."""

    phase: Table
    path: Path
    faults: list[Fault]
    is_dated: bool = False

    def of(self, farm: Table) -> Table:
        """The farm's tables after the change; the given ones stay as they are."""
        copy = farm.twin()
        for kind, alter in (("change", self._change), ("add", self._add), ("remove", self._remove)):
            sections = self.phase.get(kind, Table({}, {}))
            path = (*self.path, kind)
            if not isinstance(sections, Table):
                self._fault(
                    path,
                    f"is {shown(sections)}",
                    "needs tables",
                    f"Write it under a heading such as [{kind}.crew.pickers].",
                )
                continue
            if kind in self.phase:
                self._must_hold(sections, path)
            for section, values in sections.items():
                figure = self._section(section, (*path, section))
                if figure is not None:
                    alter(copy, figure, values, (*path, section))
        return copy

    def _fault(self, path: Path, found: str, allowed: str, mend: str) -> None:
        self.faults.append(Fault(path, found, allowed, mend))

    def _must_hold(self, values: Table, path: Path) -> None:
        if not values:
            self._fault(path, "changes nothing", "needs figures that change", "Write what changes, or take it out.")

    def _section(self, section: str, path: Path) -> Figure | None:
        figure = next((figure for figure in Farm.figures.values() if figure.name == section and figure.how), None)
        if figure is None:
            self.faults.append(unknown_key(section, path[:-1], known_names(Farm)))
        elif section in TIMELESS and self.is_dated:
            mend = "Change it from the start, without a date."
            self._fault(path, f"[{section}] is changed on a date", "needs things that can change on a date", mend)
            return None
        return figure

    # --- change ---------------------------------------------------------------------------------------

    def _change(self, farm: Table, figure: Figure, values: object, path: Path) -> None:
        if not isinstance(values, Table):
            return self._fault(
                path, f"is {shown(values)}", "needs a table", f"Write it under [{'.'.join(map(str, path))}]."
            )
        assert figure.part is not None
        if figure.how == "one":
            target = farm.get(figure.name)
            if isinstance(target, Table):
                return self._merge(figure.part, target, values, path)
            mend = f"Write [add.{figure.name}] to give it one."
            return self._fault(path, f"the farm has no [{figure.name}]", "needs something to change", mend)
        self._must_hold(values, path)
        for name, inner in values.items():
            target = self._find(farm, figure, name, (*path, name))
            if target is not None and isinstance(inner, Table):
                self._merge(figure.part, target, inner, (*path, name))
            elif target is not None:
                mend = f"Write it under [{'.'.join(map(str, (*path, name)))}]."
                self._fault((*path, name), f"is {shown(inner)}", "needs a table", mend)
        return None

    def _find(self, farm: Table, figure: Figure, name: str, path: Path) -> Table | None:
        things = _things(farm, figure)
        if name in things:
            return things[name]
        allowed = f"needs one of {listed(list(things))}" if things else f"the farm has no {figure.name}"
        mend = nearest(name, list(things), f"Write [add.{figure.name}.{name}] to add it.")
        self._fault(path, f'there is no {figure.name} "{name}"', allowed, mend)
        return None

    def _merge(self, part: type[Part], target: Table, values: Table, path: Path) -> None:
        """Writes each figure of the change over the farm's own."""
        self._must_hold(values, path)
        misplaced = outside(part, values, path)
        self.faults += misplaced
        for key, value in values.items():
            figure = next((figure for figure in part.figures.values() if figure.name == key), None)
            here = (*path, key)
            inner = target.get(key)
            if figure is None or figure.form.name == "inside":
                self.faults.append(unknown_key(key, path, known_names(part)))
            elif figure.how in _AS_ONE and isinstance(value, Table) and isinstance(inner, Table):
                assert figure.part is not None
                self._merge(figure.part, inner, value, here)
            elif figure.form.name in _BY_KEY and isinstance(value, Table) and isinstance(inner, Table):
                self._merge_keys(part, figure, inner, value, here)
            elif all(fault.path != here for fault in misplaced):
                self._write(figure, target, key, value, values, here)

    def _merge_keys(self, part: type[Part], figure: Figure, target: Table, values: Table, path: Path) -> None:
        """A change of some days' shifts, or of what is taken of some strains, and of what stands among them."""
        self._must_hold(values, path)
        lifted = {each.name: each for each in part.figures.values() if each.name in part.lifts.get(figure.name, ())}
        for key, value in values.items():
            if key in lifted:
                same = _same(lifted[key], target.get(key), value, key in target)
            else:
                same = target.get(key) == value or _same_among(figure, target, key, value)
            if same:
                self._nothing((*path, key), value)
            if figure.form.name == "shifts":
                _make_way(target, key)
            target[key], target.places[key] = value, values.places[key]

    def _write(self, figure: Figure, target: Table, key: str, value: object, values: Table, path: Path) -> None:
        if _same(figure, target.get(key), value, key in target):
            self._nothing(path, value)
        target[key], target.places[key] = value, values.places[key]
        target.filled -= {key}

    def _nothing(self, path: Path, value: object) -> None:
        written = shown(value) if not isinstance(value, Table | list) else "just this"
        self._fault(
            path,
            f"changes nothing: it is {written} already",
            "needs a figure that changes",
            "Change it or take it out.",
        )

    # --- add and remove -------------------------------------------------------------------------------

    def _add(self, farm: Table, figure: Figure, values: object, path: Path) -> None:
        if not isinstance(values, Table):
            return self._fault(
                path, f"is {shown(values)}", "needs a table", f"Write it under [{'.'.join(map(str, path))}]."
            )
        if figure.how == "one":
            if figure.name in farm:
                return self._there_already(figure.name, path, f"[change.{figure.name}]")
            farm[figure.name], farm.places[figure.name] = values, self._place(path)
            farm.gone.pop((figure.name, ""), None)
            return None
        self._must_hold(values, path)
        for name, inner in values.items():
            if name in _things(farm, figure):
                self._there_already(f"{figure.name} {name}", (*path, name), f"[change.{figure.name}.{name}]")
            elif not isinstance(inner, Table):
                mend = f"Write it under [{'.'.join(map(str, (*path, name)))}]."
                self._fault((*path, name), f"is {shown(inner)}", "needs a table", mend)
            else:
                _put(farm, figure, name, inner, values)
                farm.gone.pop((figure.name, name), None)
        return None

    def _there_already(self, name: str, path: Path, heading: str) -> None:
        self._fault(
            path, f"the farm has {name} already", "needs a new name", f"Rename it, or write {heading} to change it."
        )

    def _place(self, path: Path) -> Place:
        inside: object = self.phase
        place = next(iter(self.phase.places.values()))
        for piece in path[len(self.path) :]:
            if isinstance(inside, Table) and isinstance(piece, str):
                place, inside = inside.places[piece], inside[piece]
        return place

    def _remove(self, farm: Table, figure: Figure, values: object, path: Path) -> None:
        if figure.how == "one":
            if values is not True:
                return self._fault(
                    path, f"is {shown(values)}", "needs true", f"Write {figure.name} = true to take it away."
                )
            if figure.name not in farm:
                return self._fault(
                    path, f"the farm has no [{figure.name}]", "needs something to remove", "Leave it out."
                )
            del farm[figure.name]
            farm.gone[figure.name, ""] = self._place(path)
            return None
        names = [values] if isinstance(values, str) else values
        if not isinstance(names, list) or not names:
            return self._fault(
                path, f"is {shown(values)}", "needs a list of names", f'Write it like {figure.name} = ["..."].'
            )
        for at, name in enumerate(names):
            if self._find(farm, figure, str(name), (*path, at)) is not None:
                _take_out(farm, figure, str(name))
                farm.gone[figure.name, str(name)] = self._place(path)
        return None


def _things(farm: Table, figure: Figure) -> dict[str, Table]:
    """The named things of one kind in a farm's tables."""
    held = farm.get(figure.name)
    if figure.how == "named":
        return {name: item for name, item in held.items() if isinstance(item, Table)} if isinstance(held, Table) else {}
    items = held if isinstance(held, list) else []
    return {str(item["name"]): item for item in items if isinstance(item, Table) and "name" in item}


def _put(farm: Table, figure: Figure, name: str, values: Table, section: Table) -> None:
    place = section.places[name]
    if figure.how == "named":
        held = farm.setdefault(figure.name, Table({}, {}))
        farm.places.setdefault(figure.name, place)
        if isinstance(held, Table):
            held[name], held.places[name] = values, place
        return
    items = farm.setdefault(figure.name, [])
    farm.places.setdefault(figure.name, place)
    if isinstance(items, list):
        items.append(Table({"name": name, **values}, {"name": place, **values.places}))


def _take_out(farm: Table, figure: Figure, name: str) -> None:
    held = farm[figure.name]
    if isinstance(held, Table):
        del held[name]
    elif isinstance(held, list):
        farm[figure.name] = [item for item in held if not (isinstance(item, Table) and item.get("name") == name)]


def _make_way(hours: Table, key: str) -> None:
    """Takes the days of a new shift out of the shifts that are there, so that a day is never given twice."""
    try:
        new = days_in(key)
    except QuantityFault:
        return
    for old in [old for old in hours if old not in _AMONG]:
        try:
            days = days_in(old)
        except QuantityFault:
            continue
        if set(days) & set(new):
            shift, place = hours.pop(old), hours.places[old]
            for day in DAYS:
                if day in days and day not in new:
                    hours[day], hours.places[day] = shift, place


def _same_among(figure: Figure, target: Table, key: str, value: object) -> bool:
    """Whether a day's shift, or what is taken of a strain, is already what a change would make it."""
    try:
        if figure.form.name == "shifts":
            shifts = _shifts(target)
            return all(shifts.get(day) == read_shift(value) for day in days_in(key))
        return key in target and amount(target[key], figure) == amount(value, figure)
    except QuantityFault:
        return False


def _shifts(hours: Table) -> dict[str, Shift]:
    """The shifts a table gives, by day."""
    return {day: read_shift(text) for days, text in hours.items() if days not in _AMONG for day in days_in(days)}


def _same(figure: Figure, old: object, new: object, is_given: bool) -> bool:
    """Whether two written values mean the same."""
    try:
        before = figure.form.read(old, figure, True) if is_given else figure.default
        return before == figure.form.read(new, figure, True)
    except QuantityFault:
        return is_given and old == new
