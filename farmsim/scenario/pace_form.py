"""How the paces of new hands are written: shares of the full pace, week by week."""

from __future__ import annotations

from typing import TYPE_CHECKING

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.forms import Form, shown

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure


def read_paces(value: object, figure: Figure, written: bool) -> object:
    """Shares of the full pace, week by week: ["50 %", "70 %", "85 %"]."""
    if not isinstance(value, list | tuple) or not value:
        raise QuantityFault(f"is {shown(value)}", "needs a list of shares", 'Write it like ["50 %", "70 %", "85 %"].')
    paces = []
    for each in value:
        pace = units.parse(each, "fraction") if isinstance(each, str) else each
        if not isinstance(pace, int | float) or isinstance(pace, bool) or not 0.05 <= pace <= 1.0:
            raise QuantityFault(f"holds {shown(each)}", "needs shares from 5 % to 100 %", 'Write each like "50 %".')
        paces.append(float(pace))
    return tuple(paces)


def _say_paces(value: object, unit: str) -> str:
    return ", ".join(units.show(pace, "fraction") for pace in value) if isinstance(value, tuple) else ""


PACES = Form("paces week by week", read_paces, _say_paces)
