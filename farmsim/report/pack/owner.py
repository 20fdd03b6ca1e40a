"""For the owner, on a page of its own beside the pack: what the expansion is worth, and where it just pays."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack.said import Told, added_up, whole
from farmsim.report.words import count, plural
from farmsim.study.pack_answers import Pack

TITLE = "IS IT WORTH IT TO THE OWNER?"


def parts(pack: Pack) -> Iterator[Part]:
    """Present value, rate, payback; break-even price and yield."""
    told = Told(pack)
    yield Words(
        "This is for the owner, not for the lender: average yearly differences between the farm with the expansion and "
        "without it, before debt payments, after taxes as given."
    )
    yield Sheet(flows(pack))
    for sentence in worth(pack, told):
        yield Words(sentence)
    if even := break_even(pack, told):
        yield Words(even)


def flows(pack: Pack) -> Table:
    """What it costs today, then what each year brings."""
    names = ["today", *(f"year {at}" for at in range(1, len(pack.worth.flows)))]
    *flows, last = added_up(pack.worth.flows, float(round(sum(pack.worth.flows))))
    book_value = float(round(pack.worth.book_value))
    rows = [(name, whole(flow)) for name, flow in zip(names, (*flows, last - book_value), strict=True)]
    rows += [("then still worth in the books", whole(book_value))] if book_value else []
    note = "What is still worth something is no money: present value and rate of return count it, payback does not"
    return Table("What it costs and brings", (Column("when"), Column("amount", pack.currency)), tuple(rows), note=note)


def worth(pack: Pack, told: Told) -> Iterator[str]:
    """Net present value, internal rate of return and payback, each explained."""
    found = pack.worth
    if found.discount is None or found.present_value is None:
        yield "Net present value is not told: the owner has not said what money is to earn in a year."
    else:
        yield (
            f"Net present value at {100 * found.discount:g} % a year: {told.money(found.present_value)}. It is what all years "
            "together are worth today, less what the expansion costs, when money that comes a year later is worth so much "
            "less."
        )
    if found.flows[0] >= 0:
        yield (
            "Nothing more is bought than without it, so there is no rate of return to tell, and nothing that has to come back."
        )
        return
    if found.rate is None:
        yield "Internal rate of return: there is none, because what it brings never makes up for what it costs."
    else:
        yield (
            f"Internal rate of return: {100 * found.rate:.1f} % a year. At a rate above it, the expansion is worth less than "
            "it costs."
        )
    if found.payback is None:
        yield f"Payback: not within {plural(len(found.flows) - 1, 'year')} out of what the years bring."
    else:
        yield (
            f"Payback: what it costs has come back after {count(found.payback)} years out of what they bring, without interest."
        )


def break_even(pack: Pack, told: Told) -> str:
    """Price and yield at which the payments of the first year are just covered."""
    even, weights = pack.expanded.break_even, told.weights
    if even is None:
        return ""
    now, then = (told.fine(weights.each(value)) for value in (even.price, even.price_then))
    yields = [f"{weights.figure(value):.2f}" for value in (even.yield_, even.yield_then)]
    return (
        f"In year 1 the payments are just covered at {then} instead of {now} a {weights.unit} of mushrooms on average, or at "
        f"{yields[1]} instead of {yields[0]} {weights.unit} sold of a block fruited; costs as they are."
    )
