"""How a quantity that varies is written in a farm's file (the six ways are listed in vary.py)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from typing import TYPE_CHECKING

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.forms import VARIES, Form, amount, listed, nearest, shown, within
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

WAYS: tuple[tuple[str, ...], ...] = (("low", "likely", "high"), ("from", "to", "share"), ("mean", "cv"), ("measured",))
_OF = re.compile(r"\s*(\d+)\s+(?:of|in|out of)\s+(\d+)\s*")


def read_vary(value: object, figure: Figure, written: bool) -> object:
    """A quantity that varies, or one that does not."""
    if isinstance(value, VARIES) or (value is None and not written):
        return value
    if not isinstance(value, Mapping):
        return Fixed(amount(value, figure, written))
    keys = set(value)
    for way, reader in zip(WAYS, (_triangular, _between, _mean_cv, _measured), strict=True):
        if keys & set(way) and keys <= {*way, *(("shape",) if way[0] == "mean" else ())}:
            missing = [key for key in way if key not in keys]
            if missing:
                raise QuantityFault(f'has no "{missing[0]}"', f"needs {_together(way)}", f'Add {missing[0]} = "...".')
            return reader(value, figure, written)
    raise _no_way(value)


def _together(way: tuple[str, ...]) -> str:
    return " together with ".join(way) if len(way) == 2 else ", ".join(way)


def _no_way(value: Mapping[str, object]) -> QuantityFault:
    known = sorted({key for way in WAYS for key in way} | {"shape"})
    odd = next((key for key in value if key not in known), None)
    ways = "needs low, likely and high; or from, to and share; or mean and cv; or measured"
    if odd is not None:
        return QuantityFault(f'has the unknown key "{odd}"', ways, nearest(odd, known, "Leave it out."), (odd,))
    return QuantityFault(f"mixes {listed(list(value), 'and')}", ways, "Keep to one way of saying how it varies.")


def _at(value: Mapping[str, object], key: str, figure: Figure, written: bool) -> float:
    try:
        return amount(value[key], figure, written)
    except QuantityFault as fault:
        raise fault.inside(key) from None


def _triangular(value: Mapping[str, object], figure: Figure, written: bool) -> Vary:
    low, likely, high = (_at(value, key, figure, written) for key in ("low", "likely", "high"))
    if not low <= likely <= high:
        raise QuantityFault("is out of order", "needs low <= likely <= high", "Put the three in order.")
    return Fixed(low) if low == high else Triangular(low, likely, high)


def _between(value: Mapping[str, object], figure: Figure, written: bool) -> Vary:
    low, high = _at(value, "from", figure, written), _at(value, "to", figure, written)
    share = _share(value["share"])
    if not 0 < low < high:
        raise QuantityFault("is no range above 0", "needs from above 0 and to above from", "Put the two in order.")
    return Between(low, high, share)


def _share(value: object) -> float:
    share = 0.0
    match = _OF.fullmatch(value) if isinstance(value, str) else None
    if match and int(match[2]):
        share = int(match[1]) / int(match[2])
    elif isinstance(value, str):
        with suppress(QuantityFault):
            share = units.parse(value, "fraction")
    elif isinstance(value, int | float):
        share = float(value)
    if not 0 < share < 1:
        raise QuantityFault(
            f"is {shown(value)}", "needs a share between none and all", 'Write it like "9 of 10".', ("share",)
        )
    return share


def _mean_cv(value: Mapping[str, object], figure: Figure, written: bool) -> Vary:
    cv, shape = value["cv"], value.get("shape", "lognormal")
    if isinstance(cv, bool) or not isinstance(cv, int | float) or not 0 <= cv <= 3:
        mend = "Write the standard deviation divided by the mean, such as 0.13."
        raise QuantityFault(f"is {shown(cv)}", "needs a plain number from 0 to 3", mend, ("cv",))
    if shape not in ("lognormal", "gamma"):
        mend = nearest(str(shape), ("lognormal", "gamma"), "Write one of these.")
        raise QuantityFault(f"is {shown(shape)}", 'needs "lognormal" or "gamma"', mend, ("shape",))
    mean = value["mean"]
    if isinstance(mean, str) and " to " in mean:
        return _range_mean(mean, float(cv), "gamma" if shape == "gamma" else "lognormal", figure)
    at = _at(value, "mean", figure, written)
    return Fixed(at) if cv == 0 else MeanCv(at, float(cv), "gamma" if shape == "gamma" else "lognormal")


def _range_mean(text: str, cv: float, shape: str, figure: Figure) -> Vary:
    try:
        low, high = units.parse_range(text, figure.unit)
        within(low, text, figure)
        within(high, text, figure)
    except QuantityFault as fault:
        raise fault.inside("mean") from None
    return RangeMean(low, high, cv, "gamma" if shape == "gamma" else "lognormal")


def _measured(value: Mapping[str, object], figure: Figure, written: bool) -> Vary:
    values = value["measured"]
    if not isinstance(values, list | tuple) or not values:
        raise QuantityFault(
            f"is {shown(values)}", "needs a list of values", 'Write it like ["12 d", "15 d"].', ("measured",)
        )
    numbers = []
    for at, item in enumerate(values):
        try:
            numbers.append(amount(item, figure, written))
        except QuantityFault as fault:
            raise fault.inside("measured", at) from None
    return Measured(tuple(numbers))


def say_vary(value: object, unit: str) -> str:
    """A varying quantity as it is written in a default."""
    if isinstance(value, Fixed):
        return units.show(value.value, unit)
    if isinstance(value, Triangular):
        low, likely, high = (units.show(item, unit) for item in (value.low, value.likely, value.high))
        return f"{low} to {high}, likeliest {likely}"
    return "" if value is None else str(value)


VARY = Form("quantity that varies", read_vary, say_vary)


def read_vary_by_strain(value: object, figure: Figure, written: bool) -> object:
    """How much of which strain, each amount one that varies: { shiitake = { mean = "20 lb a market day", cv = 0.3 } }."""
    if not isinstance(value, Mapping) or (written and not value):
        mend = f'Write it like {{ shiitake = {{ mean = "{units.SPOKEN[figure.unit].us}", cv = 0.3 }} }}.'
        raise QuantityFault(f"is {shown(value)}", "needs strains with amounts", mend)
    amounts: dict[str, Vary] = {}
    for strain, wanted in value.items():
        try:
            found = read_vary(wanted, figure, written)
        except QuantityFault as fault:
            raise fault.inside(str(strain)) from None
        assert isinstance(found, VARIES)
        amounts[str(strain)] = found
    return amounts


VARY_BY_STRAIN = Form("amounts that vary by strain", read_vary_by_strain)
