"""What may go wrong, as a lender looks at it: how hard each blow is, and which come together. No run hears of it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario import forms
from farmsim.scenario.fields import PLACEHOLDER, Figure, figure
from farmsim.scenario.forms import Form, shown
from farmsim.scenario.part import Part
from farmsim.scenario.say import joined

BLOWS = ("prices", "yield", "contaminated", "wages", "energy", "interest", "late", "largest_customer")
"""Everything that is looked at by itself, by the names of the figures, in the order in which it is told."""
USUAL = f"{PLACEHOLDER}: a usual blow to look at; put in what your lender asks"
HALF = 0.5
Words = tuple[str, str]


def read_together(value: object, figure: Figure, written: bool) -> object:
    """Blows that come together, as lists in a list: [["prices", "yield"]]. Their names are judged later, all at once."""
    rows = value if isinstance(value, list | tuple) else None
    good = [row for row in rows or () if isinstance(row, list | tuple) and all(isinstance(name, str) for name in row)]
    if rows is None or len(good) < len(rows):
        mend = 'Write it like [["prices", "yield"]], or [] for none.'
        raise QuantityFault(f"is {shown(value)}", "needs lists of blows within a list", mend)
    return tuple(tuple(row) for row in good)


def _say(value: object, unit: str) -> str:
    rows = value if isinstance(value, tuple) else ()
    return "; ".join(joined([str(name) for name in row]) for row in rows)


TOGETHER = Form("lists of blows", read_together, _say)


class Stress(Part):
    """Blows that the farm is put to in the lender's pack, each simulated by itself; 0 is not looked at."""

    prices: float = figure(
        "fraction", "5 %", most=0.9, meaning="how much lower all prices are that customers pay", source=USUAL
    )
    yield_: float = figure(
        "fraction", "10 %", most=0.9, meaning="how much lower the yield of every strain is", toml="yield", source=USUAL
    )
    contaminated: float = figure(
        "fraction", "50 %", most=10, meaning="how many more blocks are lost to mould, of those lost now", source=USUAL
    )
    wages: float = figure("fraction", "10 %", most=3, meaning="how much higher all wages are", source=USUAL)
    energy: float = figure("fraction", "30 %", most=10, meaning="how much dearer power and fuel are", source=USUAL)
    interest: float = figure(
        "fraction/year",
        "2 % a year",
        also=("fraction",),
        most=0.5,
        meaning="points of interest more on the credit line and on loans from the start on: 2 % a year make 9 % of 7 %",
        source=USUAL,
    )
    late: int = figure(
        "weeks",
        17,
        form=forms.COUNT,
        most=260,
        meaning="weeks by which the new part opens later, and with it every dated phase of the expansion but the first, if "
        "that comes before the opening and starts no blocks: the building begins on its day and lasts longer",
        source=USUAL,
    )
    largest_customer: bool = figure(
        default=True,
        form=forms.FLAG,
        meaning="whether it is looked at that the largest customer is lost",
        source=USUAL,
    )
    together: tuple[tuple[str, ...], ...] = figure(
        default=(("prices", "yield"),),
        form=TOGETHER,
        meaning=f"blows that are looked at together as well, by these names: {', '.join(BLOWS)}",
        source=USUAL,
    )

    def size(self, blow: str) -> float:
        """How hard a blow is [the unit of its figure]; 0 when it is not looked at."""
        return float(getattr(self, next(name for name, figure in self.figures.items() if figure.name == blow)))


def looked_at(stress: Stress, blows: Sequence[str]) -> bool:
    """Whether each of these blows does something."""
    return all(stress.size(blow) for blow in blows)


def told(stress: Stress, blows: Sequence[str], customer: str = "", begins: str = "") -> str:
    """One blow, or several together, as a row of a table: "Prices 5 % lower", "Prices 5 % and yield 10 % lower".

    customer: who the largest customer is, "" when it is not known
    begins: the phase that comes on its day although the new part opens late; "" when all comes later
    """
    words = [_words(stress, blow, customer, begins) for blow in blows]
    alike = [(how, [what for what, _ in same]) for how, same in groupby(words, key=lambda pair: pair[1])]
    if any(len(what) > 1 for _, what in alike):
        text = ", ".join(f"{joined(what)} {how}".strip() for how, what in alike)
    else:
        text = joined([f"{what[0]} {how}".strip() for how, what in alike])
    return f"{text[:1].upper()}{text[1:]}"


def _words(stress: Stress, blow: str, customer: str, begins: str) -> Words:
    """What a blow hits and by how much, and in which direction, so that those of one direction can be told in one."""
    size = stress.size(blow)
    percent = f"{units.number(100 * size)} %"
    match blow:
        case "prices" | "yield":
            return f"{blow} {percent}", "lower"
        case "wages":
            return f"{blow} {percent}", "higher"
        case "energy":
            return f"power and fuel {percent}", "dearer"
        case "contaminated":
            many = "half as many blocks again" if size == HALF else f"{percent} more blocks"
            return f"{many} contaminated", ""
        case "interest":
            points = units.number(100 * size)
            return f"interest {points} point{'' if points == '1' else 's'}", "higher"
        case "late":
            more = f' (and every phase after "{begins}")' if begins else ""
            return f"opening {stress.late} week{'' if stress.late == 1 else 's'} late{more}", ""
    return f"largest customer lost{f' ({customer})' if customer else ''}", ""
