"""The farm as a run of the model hears it: all that is only money is set alike, now and in every later state.

Two farms that are alike then differ in money only: one simulation does for both, put in money once for each.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import copy
from typing import TypeVar

from farmsim.scenario.farm import About, Farm
from farmsim.scenario.part import Part
from farmsim.scenario.rules import PICK_FIRST
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.seasons import Months

Kind = TypeVar("Kind", bound=Part)

MONEY = "currency"
_OF_PRICES = ("price_months", "prices_of", "prices_from", "pays_after")
_ONLY_MONEY: Mapping[type[Part], tuple[str, ...]] = {
    About: ("currency",),
    Farm: (
        "energy",
        "materials",
        "fixed_cost",
        "costs",
        "drift",
        "capital",
        "loan",
        "credit_line",
        "balance",
        "history",
    ),
    Customer: _OF_PRICES,
    BlockCustomer: (*_OF_PRICES, "firm"),
    Months: ("prices", "block_prices", "energy"),
}
"""What no run hears besides all that is given in money. What is not named here counts as heard: it is safe to forget one."""
VARIES = "price_varies"
"""Of this a run hears whether it is there at all: only then luck is drawn for prices."""
_PRICE = "price"


def as_simulated(farm: Farm) -> Farm:
    """The farm with all that is only money set alike.

    Where the dearest strain is picked first, in any state, what customers pay for mushrooms is heard and stays as it is.
    """
    states = (farm, *(state for _, state in farm.changes))
    hears_prices = any(state.rules.pick_first != PICK_FIRST[0] for state in states)
    later = tuple((since, _alike(state, hears_prices)) for since, state in farm.changes)
    return _but(_alike(farm, hears_prices), {"changes": later} if later else {})


def only_money(part: type[Part]) -> frozenset[str]:
    """The figures of a part that no run hears, by their names: all in money, and those that say more of such figures."""
    in_money = (name for name, figure in part.figures.items() if MONEY in figure.unit and not figure.is_needed)
    return frozenset((*in_money, *_ONLY_MONEY.get(part, ())))


def _alike(part: Kind, hears_prices: bool) -> Kind:
    return _but(part, dict(_other(part, hears_prices)))


def _other(part: Part, hears_prices: bool) -> Iterator[tuple[str, object]]:
    """What is set alike in a part and in the parts within it."""
    silent = only_money(type(part))
    for name, figure in part.figures.items():
        value = part.__dict__[name]
        if name == VARIES:
            yield name, float(value > 0.0)
        elif name in silent and not (hears_prices and name == _PRICE and isinstance(part, Customer)):
            yield name, figure.default
        elif figure.part is not None:
            yield name, _within(value, hears_prices)


def _within(value: object, hears_prices: bool) -> object:
    if isinstance(value, Part):
        return _alike(value, hears_prices)
    if isinstance(value, tuple):
        return tuple(_within(each, hears_prices) for each in value)
    if isinstance(value, dict):
        return {name: _within(each, hears_prices) for name, each in value.items()}
    return value


def _but(part: Kind, values: Mapping[str, object]) -> Kind:
    """The part with other values, which are declared ones: not read and checked again, as this is done for every run."""
    if not values:
        return part
    other = copy(part)
    other.__dict__.update(values)
    return other
