"""Who works there, year by year, without the expansion and with it."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.printed import income
from farmsim.report.pack.said import whole
from farmsim.report.words import count, listed, tidy
from farmsim.study.pack_answers import Pack


def parts(pack: Pack) -> Iterator[Part]:
    """Sentences, people by crew, what they cost."""
    if not pack.grown:
        return
    yield headings.PEOPLE
    yield Words(f"{hired(pack)} New hands are as slow in their first weeks as the farm's file says.")
    yield Sheet(crews(pack))
    yield Sheet(wages(pack))


def hired(pack: Pack) -> str:
    """How many people more in the last year told."""
    more = [
        f"{tidy(crew)} {count(after)} instead of {count(before)}"
        for crew, before, after in pack.grown[-1].people
        if before != after
    ]
    if not more:
        return "Nobody is hired for it."
    return f"People with it at the end of year {pack.grown[-1].year}: {listed(more)}."


def crews(pack: Pack) -> Table:
    """People in the last week of each year."""
    columns = [Column("crew")]
    for one in pack.grown:
        columns += [Column(f"year {one.year}", "without"), Column(f"year {one.year}", "with")]
    names = list(dict.fromkeys(crew for one in pack.grown for crew, _, _ in one.people))
    rows = []
    for name in names:
        cells: list[str] = []
        for one in pack.grown:
            before, after = next(((was, is_) for crew, was, is_ in one.people if crew == name), (0.0, 0.0))
            cells += [count(before), count(after)]
        rows.append((tidy(name), *cells))
    return Table("People in the last week of the year", tuple(columns), tuple(rows))


def wages(pack: Pack) -> Table:
    """Wages and what is on top, by year."""
    columns = [Column(f"in {pack.currency}")]
    cells: list[str] = []
    for one, other in zip(pack.base.years, pack.expanded.years, strict=True):
        columns += [Column(f"year {one.number}", "without"), Column(f"year {one.number}", "with")]
        cells += [whole(income(year)["people"]) for year in (one, other)]
    return Table("Wages and what is on top", tuple(columns), (("On average", *cells),))
