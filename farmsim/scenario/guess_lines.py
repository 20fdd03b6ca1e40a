"""What a farm leaves to defaults and to the strain sheet, as lines of its file, each marked as a guess with its source."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim import units
from farmsim.scenario.assumed import figures, has_a_say, parts_of
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import FARM
from farmsim.scenario.part import Part
from farmsim.scenario.sheet import SHEET, source_of
from farmsim.scenario.strain import Strain
from farmsim.scenario.write_figure import Line, value_of

Owner = tuple[str, ...]  # a table of a farm's file: ("sterilizer",), ("crew", "pickers"), ("strain", "shiitake")


def guess_lines(farm: Farm) -> dict[Owner, list[Line]]:
    """By table of the file: the lines that would give what is not given, where more than a choice stands behind it."""
    return {
        owner: list(lines_of(part, owner, farm.farm.units))
        for name, section in Farm.figures.items()
        if section.part is not None and has_a_say(farm, name)
        for owner, part in parts_of(getattr(farm, name), (section.name,))
    }


def lines_of(part: Part, owner: Owner, system: units.System) -> Iterator[Line]:
    """The lines of one table that would give what is not given there; their meaning is said above each."""
    like = part.like if isinstance(part, Strain) else None
    for path, figure, value, given in figures(part, owner):
        inside = path[len(owner) :]
        source = source_of(like, inside) or figure.source
        if not given and source != FARM:
            note = f"guess: {source}{_efficiency(like, inside)}"
            yield Line(".".join(inside), value_of(figure, value, system), note, figure.meaning)


def _efficiency(like: str | None, inside: tuple[str, ...]) -> str:
    """A yield that the sheet gives as an efficiency says so: it is a weight for this block only."""
    if like is None or inside != ("yield", "mean"):
        return ""
    return f"; here {SHEET[like]['yield.mean'].written} of the block's dry matter"
