"""How strains are named in a figure: a list of them, or lists of those that may stand in for others."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from farmsim.errors import QuantityFault
from farmsim.scenario.forms import Form, read_words, shown

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure


def read_strains(value: object, figure: Figure, written: bool) -> tuple[str, ...]:
    """A list of strains, each once."""
    names = value if isinstance(value, list | tuple) else ()
    if not names or not all(isinstance(name, str) for name in names):
        raise QuantityFault(f"is {shown(value)}", "needs a list of strains", 'Write it like ["blue-oyster"].')
    read_words(names, figure, written)
    return tuple(names)


def read_instead(value: object, figure: Figure, written: bool) -> object:
    """Which strains may stand in for which: { shiitake = ["oyster"] }."""
    if not isinstance(value, Mapping) or (written and not value):
        mend = 'Write it like { shiitake = ["blue-oyster"] }.'
        raise QuantityFault(f"is {shown(value)}", "needs strains, each with a list of others", mend)
    found: dict[str, tuple[str, ...]] = {}
    for strain, others in value.items():
        try:
            found[str(strain)] = read_strains(others, figure, written)
        except QuantityFault as fault:
            raise fault.inside(str(strain)) from None
    return found


STRAINS = Form("list of strains", read_strains)
INSTEAD = Form("strains by strain", read_instead)
