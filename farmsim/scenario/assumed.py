"""Where every figure of a farm comes from: its own file, or a default or the strain sheet with their sources.

A figure that the file marks as a guess ("# guess: ..." behind it) is not the farm's own: it has the source named there.

Figures that have no say in this farm are left out: the time to strip a bag that is not stripped, the rest before a
second flush that is not kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from farmsim.scenario.balance import Balance
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import GUESSES, PLACEHOLDER, Figure
from farmsim.scenario.part import Part
from farmsim.scenario.people import MAY_GO, Crew
from farmsim.scenario.prices import Energy
from farmsim.scenario.rules import CLEAR_OUT, ON_MOVING_DAYS, Rules
from farmsim.scenario.sales import Customer, Start
from farmsim.scenario.say import Say
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.sheet import source_of
from farmsim.scenario.strain import Contaminated, Flushes, HoldsRipe, Open, Strain

OWN: Final = "the farm's file"
WORKED_OUT: Final = "worked out"
LEFT: Final = "default of farmsim new"  # a choice that was left to it, which cannot be measured
KNOWN: Final = ("P: ", "S: ", WORKED_OUT, LEFT)  # what may stand behind a marked figure without its being a placeholder


@dataclass(frozen=True, slots=True)
class Assumed:
    """One figure of a farm: where it stands, its value as shown, what it is, and where it comes from."""

    path: tuple[str, ...]
    value: str
    meaning: str
    source: str

    @property
    def is_guess(self) -> bool:
        """Whether nothing published and no record of the farm stands behind it."""
        return self.source.startswith(GUESSES)


def assumed(farm: Farm) -> list[Assumed]:
    """Every figure that has a say in this farm, with its source."""
    say = Say(farm.farm.units, farm.farm.currency)
    return [
        Assumed(path, say.figure(figure, value), figure.meaning, given or _source(farm, path, figure))
        for path, figure, value, given in figures(farm, ())
    ]


def guesses(farm: Farm) -> list[Assumed]:
    """The figures that are guesses and not given by the farm."""
    return [each for each in assumed(farm) if each.is_guess]


def grouped(found: list[Assumed]) -> list[tuple[str, list[Assumed]]]:
    """The same figure of several strains, crews or lines together under its meaning, that of most things first."""
    groups: dict[str, list[Assumed]] = {}
    for each in found:
        groups.setdefault(each.meaning, []).append(each)
    return sorted(groups.items(), key=lambda group: -len(group[1]))


def _source(farm: Farm, path: tuple[str, ...], figure: Figure) -> str:
    if path[0] == "strain":
        return source_of(farm.strain[path[1]].like, path[2:]) or figure.source
    return figure.source


def _given(part: Part, attribute: str) -> str:
    """Where a figure of the file comes from, by the file itself; nothing when it is not in the file."""
    if attribute not in part.given:
        return ""
    if attribute not in part.guessed:
        return OWN
    behind = part.guessed[attribute]
    if behind.startswith((*GUESSES, *KNOWN)):
        return behind
    return f"{PLACEHOLDER}: {behind}" if behind else PLACEHOLDER


def figures(part: Part, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Figure, object, str]]:
    """Every plain figure in a part and the parts within it that has a say: path, declaration, value, source if given."""
    for attribute, figure in type(part).figures.items():
        value = getattr(part, attribute)
        here = (*path, figure.name)
        if figure.form.name == "inside" or value is None or not _has_a_say(part, attribute):
            continue
        if figure.part is not None and figure.how != "word or one" and attribute != "late":
            for where, inner in parts_of(value, here):
                yield from figures(inner, where)
        else:
            yield here, figure, value, _given(part, attribute)


def parts_of(value: object, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Part]]:
    """The part, or the parts of a list or of named tables, each with its path: that of a list by name."""
    if isinstance(value, Part):
        yield path, value
    elif isinstance(value, Mapping):
        yield from (((*path, name), inner) for name, inner in value.items())
    elif isinstance(value, tuple):
        yield from (((*path, getattr(inner, "name", str(at))), inner) for at, inner in enumerate(value, 1))


def _flushes_left(part: Part) -> bool:
    flushes = part.flushes if isinstance(part, Strain) else part
    return isinstance(flushes, Flushes) and len(flushes.share) > 1


def _is_a_stall(part: Part) -> bool:
    return isinstance(part, Customer) and part.kind == "market stall"


_SAYS: Final[Mapping[tuple[type[Part], str], Callable[[Part], bool]]] = {
    (Open, "strip_takes"): lambda part: isinstance(part, Open) and part.strip,
    (Open, "flip_takes"): lambda part: isinstance(part, Open) and part.flip,
    (Contaminated, "cv"): lambda part: isinstance(part, Contaminated) and part.clusters == "by load" and part.mean > 0,
    (Contaminated, "shows"): lambda part: isinstance(part, Contaminated) and part.mean > 0,
    (HoldsRipe, "cold"): lambda part: isinstance(part, HoldsRipe) and part.cold > 0,
    (Flushes, "rest"): _flushes_left,
    (Flushes, "soak_again"): _flushes_left,
    (Strain, "next_pick"): _flushes_left,
    (Strain, "pack_forms"): lambda part: isinstance(part, Strain) and bool(part.pack_forms),
    (Start, "arrives"): lambda part: isinstance(part, Start) and part.made == "bought",
    (Months, "prices"): lambda part: isinstance(part, Months) and part.prices != AS_USUAL,
    (Months, "block_prices"): lambda part: isinstance(part, Months) and part.block_prices != AS_USUAL,
    (Months, "energy"): lambda part: isinstance(part, Months) and part.energy != AS_USUAL,
    (Balance, "receivables_in"): lambda part: isinstance(part, Balance) and part.receivables > 0,
    (Balance, "payables_in"): lambda part: isinstance(part, Balance) and part.payables > 0,
    (Energy, "by_room"): lambda part: isinstance(part, Energy) and bool(part.by_room),
    (Customer, "price_months"): lambda part: isinstance(part, Customer) and part.price_months != AS_USUAL,
    (BlockCustomer, "price_months"): lambda part: isinstance(part, BlockCustomer) and part.price_months != AS_USUAL,
    (Customer, "price_varies"): lambda part: isinstance(part, Customer) and part.price_varies > 0,
    (BlockCustomer, "price_varies"): lambda part: isinstance(part, BlockCustomer) and part.price_varies > 0,
    (Rules, "moving_days"): lambda part: isinstance(part, Rules) and part.call_in == ON_MOVING_DAYS,
    (Rules, "surplus_left"): lambda part: isinstance(part, Rules) and part.surplus_blocks in ("fruit", "sell cheap"),
    (BlockCustomer, "boxed_from"): lambda part: isinstance(part, BlockCustomer) and part.boxing is not None,
    (BlockCustomer, "made_good"): lambda part: isinstance(part, BlockCustomer) and part.fails > 0,
    (BlockCustomer, "notice"): lambda part: isinstance(part, BlockCustomer) and part.kind == "standing",
    (Farm, "history"): lambda part: False,
    (Farm, "request"): lambda part: False,
    (Farm, "past_year"): lambda part: False,
    (Farm, "stress"): lambda part: False,
    (Crew, "replaced_after"): lambda part: isinstance(part, Crew) and part.leaves > 0,
    (Crew, "stay"): lambda part: isinstance(part, Crew) and part.may_go != MAY_GO[0],
    (Customer, "takes"): lambda part: isinstance(part, Customer) and bool(part.takes),
    (Customer, "substitutes"): lambda part: isinstance(part, Customer) and bool(part.substitutes),
    (Customer, "varies"): lambda part: isinstance(part, Customer) and part.orders and bool(part.takes),
    (Customer, "unfilled"): lambda part: isinstance(part, Customer) and part.orders,
    (Customer, "short_below"): lambda part: isinstance(part, Customer) and part.leaves_after is not None,
    (Customer, "calls"): lambda part: isinstance(part, Customer) and part.kind == "call-off",
    (Customer, "sells"): _is_a_stall,
    (Customer, "unsold"): _is_a_stall,
    (Customer, "comes_back_older"): lambda part: _is_a_stall(part) and getattr(part, "unsold", "") == "comes back",
    (Customer, "pack_ahead"): lambda part: isinstance(part, Customer) and part.form != "any",
    (Rules, "small_flush"): lambda part: isinstance(part, Rules) and part.clear_out != CLEAR_OUT[0],
}


def _has_a_say(part: Part, attribute: str) -> bool:
    asked = _SAYS.get((type(part), attribute))
    return asked is None or asked(part)
