"""How customers want their mushrooms packed, and how the paces for it are written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.forms import Form, amount, nearest, shown

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure

FORMS = ("any", "large clusters", "small clusters", "caps")
"""How a customer wants them packed; "any": in the crates as they come from the packing table."""
TO_ORDER = FORMS[1:]
"""Forms that are packed for one order, out of crates in stock."""


def read_paces(value: object, figure: Figure, written: bool) -> object:
    """The pace of each form: { "small clusters" = "25 lb/h", caps = "12 lb/h" }."""
    if not isinstance(value, Mapping) or (written and not value):
        example = units.SPOKEN[figure.unit].us
        mend = f'Write it like {{ caps = "{example}" }}.'
        raise QuantityFault(f"is {shown(value)}", "needs forms with a pace for each", mend)
    paces: dict[str, float] = {}
    for form, pace in value.items():
        if form not in TO_ORDER:
            found, allowed = f'"{form}" is no form to pack to order', f"needs one of {', '.join(TO_ORDER)}"
            raise QuantityFault(found, allowed, nearest(str(form), TO_ORDER, "Write one of these."))
        try:
            paces[str(form)] = amount(pace, figure, written)
        except QuantityFault as fault:
            raise fault.inside(str(form)) from None
    return paces


PACES = Form("paces by form", read_paces)
