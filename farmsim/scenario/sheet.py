"""The strain sheet: figures of common strains with where each comes from, for a strain that says `like = "shiitake"`.

What the farm's file gives stands before the sheet. P published, S suppliers' instruction sheets (optimistic),
"common practice, no source" and "from memory" are placeholders: measure your own. The yield stands here as a
biological efficiency, saleable mushrooms over dry substrate, and becomes a weight by the block's own weight and water.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Final

from farmsim import units
from farmsim.errors import Fault, QuantityFault
from farmsim.scenario.block import yield_at
from farmsim.scenario.fields import COMMON, MEMORY, PLACEHOLDER
from farmsim.scenario.forms import amount, listed, nearest, shown
from farmsim.scenario.lines import Place, Table
from farmsim.scenario.part import UNKNOWN
from farmsim.scenario.strain import Strain

Written = str | int | float | bool | list[str] | list[int] | dict[str, str] | dict[str, str | float]

SUPPLIERS: Final = "S: suppliers' instruction sheets"
_FAR: Final = f"{MEMORY}: unhurried clustered picking"


SOURCES: Final[Mapping[str, str]] = {
    "P1": "Royse & Shen, Shiitake Bag Cultivation in the U.S., Mushroom Growers' Handbook 2 (2005)",
    "P2": "Stamets, Growing Gourmet and Medicinal Mushrooms (1993/2000)",
    "P3": "Mushroom Science and Biotechnology 11(4):183-192 (2003)",
    "P4": "Shen & Royse, Appl. Microbiol. Biotechnol. 57:74-78 (2001)",
    "P5": "Horticulturae 11(10):1220 (2025)",
    "P6": "Pettipher, J. Sci. Food Agric. 42 (1988)",
    "P7": "Mushroom Business no. 128 pp. 49-50",
    "P8": "Adv. Agric. 2019, 6853627, table 3",
    "P9": "Scientifica 2020, 3950357, table 2",
    "P10": "Jitareerat et al., Acta Hort. 1213:251 (2018)",
    "P11": "Cornell Small Farms, Indoor Mushroom Grower Scenario Research (2020-21)",
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """One figure of the sheet: as a farm's file would write it, and its source."""

    written: Written
    source: str


def _days(low: str, likely: str, high: str) -> dict[str, str]:
    return {"low": f"{low} d", "likely": f"{likely} d", "high": f"{high} d"}


def _mean(days: str, cv: float = 0.13) -> dict[str, str | float]:
    return {"mean": f"{days} d", "cv": cv}


STEPS_COLD = ["colonise", "ripen", "cold shock", "soak", "open", "fruit"]
STEPS_RIPEN = ["colonise", "ripen", "open", "fruit"]
STEPS_PLAIN = ["colonise", "open", "fruit"]

SHEET: Final[Mapping[str, Mapping[str, Sheet]]] = {
    "shiitake": {
        "steps": Sheet(STEPS_COLD, SUPPLIERS),
        "colonise": Sheet(_days("13", "14", "15"), SUPPLIERS),
        "ripen": Sheet(_days("70", "82", "110"), f"{SUPPLIERS}; P: whole cycle about 3 months (P1)"),
        "cold_shock.least": Sheet("12 h", f"{SUPPLIERS}: 12-24 h at cooler temperature"),
        "cold_shock.usual": Sheet("24 h", f"{SUPPLIERS}: 12-24 h at cooler temperature"),
        "soak.least": Sheet("10 h", f"{SUPPLIERS}: overnight, about 12 h; 4-18 h"),
        "soak.most": Sheet("18 h", f"{SUPPLIERS}: overnight, about 12 h; 4-18 h"),
        "open.strip": Sheet(True, COMMON),
        "first_pick": Sheet(_mean("10"), f"{SUPPLIERS}: 7-15 d; P: 9-15 d (P6), spread 0.13 (P9)"),
        "next_pick": Sheet(_mean("8"), f"{SUPPLIERS}: flushes 10-16 d apart, soak and rest among them"),
        "yield.mean": Sheet("61 %", f"{SUPPLIERS}: efficiency 53-80 %"),
        "flushes.share": Sheet([61, 25, 14], "P: three flushes (P7)"),
        "flushes.rest": Sheet("5 d", PLACEHOLDER),
        "flushes.soak_again": Sheet(True, f"{SUPPLIERS}: a soak between flushes"),
        "picking.pace": Sheet("18 lb/h", f"{MEMORY}: 6-12 kg/h"),
        "picking.window": Sheet("2 d", f"{MEMORY}: 1-2 days"),
        "crate": Sheet("8 lb", PLACEHOLDER),
        "shelf_life": Sheet("14 d", f"{SUPPLIERS}: 7-15 d at 0-4 degC"),
        "range": Sheet("16 to 20 degC", SUPPLIERS),
    },
    "blue oyster": {
        "steps": Sheet(STEPS_PLAIN, SUPPLIERS),
        "colonise": Sheet(_days("12", "16", "22"), SUPPLIERS),
        "first_pick": Sheet(_mean("12"), f"{SUPPLIERS}: 8-18 d"),
        "next_pick": Sheet(_mean("7"), f"P: flushes 7-14 d apart (P2); {SUPPLIERS}"),
        "yield.mean": Sheet("75 %", f"{SUPPLIERS}: efficiency 67-83 %"),
        "flushes.share": Sheet([57, 29, 14], "P: 57/29/14 to 50/25/25, weak"),
        "flushes.rest": Sheet("4 d", PLACEHOLDER),
        "picking.pace": Sheet("45 lb/h", f"{MEMORY}: clustered oyster 15-30 kg/h"),
        "picking.window": Sheet("1 d", f"{MEMORY}: about 1 day"),
        "crate": Sheet("6 lb", PLACEHOLDER),
        "shelf_life": Sheet("6 d", "P: 5-7 d open, 15 d wrapped, at 4 degC (P10)"),
        "range": Sheet("10 to 20 degC", SUPPLIERS),
    },
    "king oyster": {
        "steps": Sheet(STEPS_RIPEN, SUPPLIERS),
        "colonise": Sheet(_days("10", "12", "15"), SUPPLIERS),
        "ripen": Sheet(_days("30", "32", "35"), SUPPLIERS),
        "first_pick": Sheet(_mean("14"), f"{SUPPLIERS}: 12-17 d"),
        "yield.mean": Sheet("51 %", f"{SUPPLIERS}: efficiency 46-55 %"),
        "flushes.share": Sheet([100], f"{SUPPLIERS}: 1-2 flushes, one is kept here"),
        "picking.pace": Sheet("33 lb/h", _FAR),
        "picking.window": Sheet("2 d", f"{MEMORY}: 1-2 days"),
        "crate": Sheet("8 lb", PLACEHOLDER),
        "shelf_life": Sheet("28 d", "P: 28 d wrapped at 4 degC (P10)"),
        "range": Sheet("12 to 17 degC", SUPPLIERS),
    },
    "lion's mane": {
        "steps": Sheet(STEPS_PLAIN, "P: (P2); suppliers' instruction sheets"),
        "colonise": Sheet(_days("10", "14", "21"), "P: 10-14 d (P2), kits 14-21 d"),
        "first_pick": Sheet(_mean("17"), f"{SUPPLIERS}: 14-22 d"),
        "next_pick": Sheet(_mean("9"), "P: flushes 14 d apart (P2)"),
        "yield.mean": Sheet("74 %", "P: efficiency 70-92 % (P5), 74 %"),
        "flushes.share": Sheet([70, 30], MEMORY),
        "flushes.rest": Sheet("5 d", PLACEHOLDER),
        "picking.pace": Sheet("40 lb/h", f"{MEMORY}: 15-25 kg/h"),
        "picking.window": Sheet("2 d", f"{MEMORY}: 2-3 days"),
        "crate": Sheet("6 lb", PLACEHOLDER),
        "shelf_life": Sheet("12 d", f"{SUPPLIERS}: 10-14 d"),
        "range": Sheet("16 to 24 degC", SUPPLIERS),
    },
    "chestnut": {
        "steps": Sheet(STEPS_PLAIN, MEMORY),
        "colonise": Sheet(_days("28", "35", "42"), f"{MEMORY}: 4-6 weeks in bags"),
        "first_pick": Sheet(_mean("16"), f"{MEMORY}: 12-20 d"),
        "next_pick": Sheet(_mean("9"), PLACEHOLDER),
        "yield.mean": Sheet("67 %", "P: efficiency 60-75 % (P3)"),
        "flushes.share": Sheet([65, 35], f"{MEMORY}; P: two flushes (P3)"),
        "flushes.rest": Sheet("5 d", PLACEHOLDER),
        "picking.pace": Sheet("22 lb/h", _FAR),
        "picking.window": Sheet("2 d", f"{MEMORY}: 1-2 days"),
        "crate": Sheet("6 lb", PLACEHOLDER),
        "shelf_life": Sheet("12 d", f"{COMMON}: 10-14 d"),
        "range": Sheet("13 to 16 degC", "P: (P3)"),
    },
    "nameko": {
        "steps": Sheet(STEPS_RIPEN, "P: (P2)"),
        "colonise": Sheet(_days("12", "14", "17"), "P: 14 d (P2)"),
        "ripen": Sheet(_days("30", "37", "45"), f"{MEMORY}: 30-45 d"),
        "first_pick": Sheet(_mean("17"), f"{MEMORY}: 14-20 d"),
        "next_pick": Sheet(_mean("8"), "P: flushes 10-14 d apart (P2)"),
        "yield.mean": Sheet("53 %", "P: efficiency about 53 % (P2)"),
        "flushes.share": Sheet([60, 40], MEMORY),
        "flushes.rest": Sheet("4 d", PLACEHOLDER),
        "picking.pace": Sheet("18 lb/h", _FAR),
        "picking.window": Sheet("2 d", f"{MEMORY}: 1-2 days"),
        "crate": Sheet("6 lb", PLACEHOLDER),
        "shelf_life": Sheet("8 d", f"{MEMORY}: 7-10 d"),
        "range": Sheet("10 to 18 degC", "P: (P2)"),
    },
    "maitake": {
        "steps": Sheet(STEPS_PLAIN, "P: (P4)"),
        "colonise": Sheet(_days("45", "55", "65"), "P: whole crop 10-12 weeks (P4)"),
        "first_pick": Sheet(_mean("22"), f"{MEMORY}: 18-28 d"),
        "yield.mean": Sheet("45 %", "P: efficiency 44-47 % (P4)"),
        "flushes.share": Sheet([100], MEMORY),
        "picking.pace": Sheet("33 lb/h", _FAR),
        "picking.window": Sheet("2 d", f"{MEMORY}: 2-3 days"),
        "crate": Sheet("6 lb", PLACEHOLDER),
        "shelf_life": Sheet("14 d", "P: to 14 d (P2)"),
        "range": Sheet("14 to 18 degC", MEMORY),
    },
    "golden oyster": {
        "steps": Sheet(STEPS_PLAIN, SUPPLIERS),
        "colonise": Sheet(_days("11", "12.5", "14"), f"{SUPPLIERS}: 12-13 d"),
        "first_pick": Sheet(_mean("8"), f"{MEMORY}: 6-10 d"),
        "next_pick": Sheet(_mean("6"), f"{SUPPLIERS}: flushes 8-12 d apart"),
        "yield.mean": Sheet("61 %", f"{SUPPLIERS}: efficiency 53-70 %"),
        "flushes.share": Sheet([55, 30, 15], MEMORY),
        "flushes.rest": Sheet("3 d", PLACEHOLDER),
        "picking.pace": Sheet("33 lb/h", f"{MEMORY}: clustered oyster 15-30 kg/h"),
        "picking.window": Sheet("1 d", f"{MEMORY}: under 1 day"),
        "crate": Sheet("5 lb", PLACEHOLDER),
        "shelf_life": Sheet("3 d", f"{MEMORY}: 2-5 d"),
        "range": Sheet("17 to 28 degC", SUPPLIERS),
    },
    "pink oyster": {
        "steps": Sheet(STEPS_PLAIN, f"{SUPPLIERS}: never cold, it dies below 8-10 degC"),
        "colonise": Sheet(_days("13", "14", "16"), f"{SUPPLIERS}: 13-16 d"),
        "first_pick": Sheet(_mean("8"), f"{MEMORY}: 6-10 d"),
        "next_pick": Sheet(_mean("6"), f"{SUPPLIERS}: flushes 8-12 d apart"),
        "yield.mean": Sheet("61 %", f"{SUPPLIERS}: efficiency 53-70 %"),
        "flushes.share": Sheet([55, 30, 15], MEMORY),
        "flushes.rest": Sheet("3 d", PLACEHOLDER),
        "picking.pace": Sheet("33 lb/h", f"{MEMORY}: clustered oyster 15-30 kg/h"),
        "picking.window": Sheet("1 d", f"{MEMORY}: under 1 day"),
        "crate": Sheet("5 lb", PLACEHOLDER),
        "shelf_life": Sheet("3 d", f"{MEMORY}: 2-5 d"),
        "range": Sheet("18 to 30 degC", SUPPLIERS),
    },
}


def with_sheets(farm: Table, faults: list[Fault]) -> Table:
    """The farm's tables, every strain that is like one of the sheet filled up from it."""
    strains = farm.get("strain")
    if not isinstance(strains, Table):
        return farm
    filled = {name: _filled(strain, ("strain", name, "like"), faults) for name, strain in strains.items()}
    whole = Table(farm, farm.places, file=farm.file, gone=farm.gone)
    whole["strain"] = Table(filled, strains.places)
    return whole


def _filled(strain: object, path: tuple[str, ...], faults: list[Fault]) -> object:
    if not isinstance(strain, Table) or "like" not in strain:
        return strain
    like = strain["like"]
    if not isinstance(like, str) or like not in SHEET:
        allowed, mend = f"needs one of {listed(list(SHEET))}", nearest(str(like), list(SHEET), "Leave it out.")
        faults.append(Fault(path, f"the strain sheet has no {shown(like)}", allowed, mend))
        return UNKNOWN
    given = _given(strain, _parts())
    return _under(given, _tables(str(like), given, strain.places["like"]), _parts())


def _given(strain: Table, parts: frozenset[str]) -> Table:
    """A strain without what a sheet gave it before a change: another sheet, block or step asks for other figures."""
    kept: dict[str, object] = {}
    for name, value in strain.items():
        if name in parts and isinstance(value, Table):
            inner = {key: item for key, item in value.items() if key not in value.filled}
            if inner or name not in strain.filled:
                kept[name] = Table(inner, value.places)
        elif name not in strain.filled:
            kept[name] = value
    return Table(kept, strain.places)


def _tables(like: str, strain: Table, place: Place) -> Table:
    """The sheet of a strain as tables of a file, its yield for the block the farm makes."""
    table = Table({}, {})
    for key, sheet in SHEET[like].items():
        outer, _, inner = key.partition(".")
        table.places[outer] = place
        if inner:
            held = table.setdefault(outer, Table({}, {}))
            assert isinstance(held, Table)
            written = _yield(str(sheet.written), strain) if key == "yield.mean" else sheet.written
            held[inner], held.places[inner] = _placed(written, place), place
        else:
            table[outer] = _placed(sheet.written, place)
    return table


def _yield(efficiency: str, strain: Table) -> str:
    """Saleable weight a block at an efficiency; a block that cannot be read counts as the usual one."""
    block, water = (_read(strain, name) for name in ("block", "water"))
    return f"{yield_at(units.parse(efficiency, 'fraction'), block, water):.5f} kg a block"


def _read(strain: Table, name: str) -> float:
    figure = Strain.figures[name]
    with suppress(QuantityFault):
        return amount(strain.get(name, figure.default), figure, name in strain)
    return amount(figure.default, figure, False)


def _placed(written: Written, place: Place) -> object:
    return Table(written, dict.fromkeys(written, place)) if isinstance(written, dict) else written


def _parts() -> frozenset[str]:
    """The figures of a strain that are tables of figures themselves: filled up figure by figure."""
    return frozenset(figure.name for figure in Strain.figures.values() if figure.how == "one")


def _under(given: Table, sheet: Table, parts: frozenset[str]) -> Table:
    """What is given, and from the sheet what is not; cold shock and soak only where the steps are the sheet's own."""
    whole = _over(given, sheet)
    for name in parts:
        over, under = given.get(name), sheet.get(name)
        if isinstance(over, Table) and isinstance(under, Table):
            whole[name] = _over(over, under)
        elif isinstance(under, Table) and name not in given:
            whole[name] = _over(Table({}, {}), under)
    return _without_unused(whole, given)


def _over(given: Table, sheet: Table) -> Table:
    """The given table, with what only the sheet has."""
    filled = frozenset(sheet.keys() - given.keys())
    return Table({**sheet, **given}, {**sheet.places, **given.places}, filled)


def _without_unused(whole: Table, given: Table) -> Table:
    """Drops the sheet's times for steps which the farm leaves out."""
    steps = whole.get("steps")
    if "steps" not in given or not isinstance(steps, list):
        return whole
    again = isinstance(flushes := whole.get("flushes"), Table) and bool(flushes.get("soak_again"))
    unused = {"colonise": "colonise", "ripen": "ripen", "cold_shock": "cold shock", "soak": "soak"}
    for name, step in unused.items():
        if name not in given and step not in steps and not (name == "soak" and again):
            whole.pop(name, None)
    return whole


def source_of(like: str | None, path: tuple[str, ...]) -> str | None:
    """Where the sheet's figure comes from, by its path within the strain; None when the sheet has none."""
    sheet = SHEET.get(like or "", {}).get(".".join(path))
    return sheet.source if sheet is not None else None
