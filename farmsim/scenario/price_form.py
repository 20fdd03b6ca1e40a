"""How prices are written: one for everything, or one for each strain; and amounts by name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.forms import Form, amount, shown

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

Prices: TypeAlias = dict[str, float] | float
"""A price for all strains, or by strain; a strain that is not named has none."""


def read_prices(value: object, figure: Figure, written: bool) -> object:
    """A price such as "$9/lb", or one for each strain: { shiitake = "$9/lb", oyster = "$7/lb" }."""
    if value is None and not written:
        return None
    if not isinstance(value, Mapping):
        return amount(value, figure, written)
    if not value:
        mend = f'Write it like {{ shiitake = "{units.SPOKEN[figure.unit].us}" }}.'
        raise QuantityFault("is an empty table", "needs a price, or strains with prices", mend)
    prices: dict[str, float] = {}
    for strain, price in value.items():
        try:
            prices[str(strain)] = amount(price, figure, written)
        except QuantityFault as fault:
            raise fault.inside(str(strain)) from None
    return prices


def read_by_name(value: object, figure: Figure, written: bool) -> object:
    """Amounts by name: { "room loan" = "$60,000", cash = "$4,000" }."""
    if not written and not value:
        return value
    if not isinstance(value, Mapping) or not value:
        mend = f'Write it like {{ cash = "{units.SPOKEN[figure.unit].us}" }}.'
        raise QuantityFault(f"is {shown(value)}", "needs names with amounts", mend)
    return read_prices(value, figure, written)


PRICES = Form("price, or prices by strain", read_prices)
BY_NAME = Form("amounts by name", read_by_name)
