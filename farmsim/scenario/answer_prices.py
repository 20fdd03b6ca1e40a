"""How answers about prices of a new farm are read: "$9/lb", or one for each strain: "shiitake $10/lb; blue-oyster $8/lb"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario import forms
from farmsim.scenario.answer_forms import Reader, Said, strain
from farmsim.scenario.answer_more import NOT_TOLD, is_no
from farmsim.scenario.fields import Figure
from farmsim.scenario.sales import BlockCustomer, Customer

TOLD_BEFORE: Final = ("wage", "price")  # other answers with money in them, asked before
_APART = re.compile(r"\s*(?:[;\n]|,(?!\d))\s*")
_OF_STRAIN = re.compile(r"(?P<strain>.*?)\s*(?P<price>[$€£]?\s*\d.*)")


@dataclass(frozen=True, slots=True)
class Paid:
    """What is paid to the farm.

    by_strain: each as a farm's file would write it; one under "" where all are alike
    currency: of all of them
    """

    by_strain: Mapping[str, str]
    currency: str


def _reader(figure: Figure) -> Reader:
    def read(text: str, said: Said) -> Paid | None:
        """Prices of all strains, or of each; None when they are not told."""
        if is_no(text):
            return None
        found: dict[str, str] = {}
        for piece in filter(None, _APART.split(text.strip())):
            name, price = _taken_apart(piece, figure)
            if name in found:
                raise QuantityFault(
                    f'names "{name or "all strains"}" twice', "needs each once", "Leave one of the two out."
                )
            found[name] = price
        if not found:
            raise QuantityFault("has no price in it", f'needs a price, or "{NOT_TOLD}"', "Write one.")
        _see_that_all_are_there(found, said)
        return Paid(found, _currency(found, said))

    return read


def _taken_apart(piece: str, figure: Figure) -> tuple[str, str]:
    """The strain, "" for all, and its price."""
    match = _OF_STRAIN.fullmatch(piece)
    if match is None:
        allowed = f'needs a price, strains with prices, or "{NOT_TOLD}"'
        raise QuantityFault(f"is {forms.shown(piece)}", allowed, f'Write it like "{units.SPOKEN[figure.unit].us}".')
    price = match["price"].strip()
    forms.amount(price, figure)
    return (strain(match["strain"]) if match["strain"] else ""), price


def _see_that_all_are_there(found: Mapping[str, str], said: Said) -> None:
    """Either one price for all, or one for each strain of the farm and for no other."""
    if set(found) == {""}:
        return
    grown = said.values.get("strains")
    wanted = list(grown) if isinstance(grown, Mapping) else list(found)
    odd = [name for name in found if name not in wanted]
    missing = [name for name in wanted if name not in found]
    if odd:
        what = f'names "{odd[0]}"' if odd[0] else "has a price without a strain beside others"
        raise QuantityFault(what, f"needs one price for all, or one for each of {', '.join(wanted)}", "Change it.")
    if missing:
        raise QuantityFault(f"leaves out {', '.join(missing)}", "needs a price for each strain", "Add them.")


def _currency(found: Mapping[str, str], said: Said) -> str:
    """The one currency of these and of what was told before."""
    before = [getattr(said.values.get(key), "currency", None) for key in TOLD_BEFORE]
    known = dict.fromkeys(filter(None, before))
    for price in found.values():
        known.setdefault(next(each for each in units.CURRENCIES if units.is_money_of(price, each)))
    if len(known) > 1:
        raise QuantityFault(
            f"mixes {' and '.join(known)}", "needs one currency for the whole farm", "Write all in one."
        )
    return str(next(iter(known)))


price: Reader = _reader(Customer.figures["price"])
block_price: Reader = _reader(BlockCustomer.figures["price"])
