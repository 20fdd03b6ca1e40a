"""Which figures matter most, and every figure of the farm with where it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from farmsim.report.document import Listed, NewPage, Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.first_page import SOURCES, draft_words
from farmsim.report.pack.said import Told
from farmsim.report.words import listed, plural, tidy
from farmsim.study.pack_answers import Pack

SHOWN = (
    ("figure", "figure"),
    ("value", "value"),
    ("meaning", "what it is"),
    ("source", "where it comes from"),
    ("day", "of"),
)
"""Columns of the list of assumptions that are shown, as far as it has them."""
KINDS = {
    "own": "the farm's own",
    "as usual": "choices left as they usually are",
    "placeholder": "placeholders",
    "": "no placeholders",
}


def parts(pack: Pack) -> Iterator[Part]:
    """What matters first, then everything."""
    yield NewPage()
    if pack.matter:
        yield headings.MATTER
        yield Words(
            "Each figure that is not known well was moved from its low to its high end, all else as it is. Those below surely "
            f"move net operating income, the first most. {matters_words(pack)}"
        )
        yield Sheet(matters(pack))
    yield headings.ASSUMPTIONS
    yield Words(f"{kinds(pack)} A placeholder is a figure that nothing stands behind: it wants measuring first.")
    if minded := bear_in_mind(pack):
        yield Words("To bear in mind about this plan and its figures:")
        yield Listed(minded)
    if pack.expanded.sources:
        yield Sheet(money(pack))
    yield from (Sheet(table) for table in every(pack))


def bear_in_mind(pack: Pack) -> tuple[str, ...]:
    """What the study warns of; without it, what is not in the books."""
    return tuple(map(tidy, pack.warnings)) or tuple(f"Not in the books: {tidy(gap)}." for gap in pack.expanded.gaps)


def matters_words(pack: Pack) -> str:
    """Whether any of them is a placeholder still."""
    if pack.placeholders_that_matter:
        return f"{draft_words(pack)}, so this is a draft."
    return "None of them is a placeholder."


def matters(pack: Pack) -> Table:
    """The figures that matter most."""
    said = Told(pack)
    columns = (
        Column("figure"),
        Column("what it is"),
        Column("now", " "),
        Column("low", " "),
        Column("high", " "),
        Column("moves", f"{pack.currency} a week", "net operating income, from the low to the high end"),
        Column("give or take", f"{pack.currency} a week"),
        Column("from"),
    )
    rows = [
        (tidy(each.name), tidy(each.meaning), each.now, each.low, each.high, said.bare(each.moves), said.bare(each.give),
         f"{tidy(each.source)}{' (placeholder)' if each.is_guess and 'placeholder' not in each.source else ''}")
        for each in pack.matter
    ]  # fmt: skip
    return Table("What moves the answer, the first most", columns, tuple(rows))


def kinds(pack: Pack) -> str:
    """How many figures come from where."""
    every = sum(pack.counts.values())
    if not every:
        return "Where the figures come from stands beside each."
    pieces = [f"{number} {SOURCES.get(name, name)}" for name, number in pack.counts.items() if number]
    return f"Of {plural(every, 'figure')} {listed(pieces)}."


def money(pack: Pack) -> Table:
    """Prices, costs, loans and what is owned, with source and day."""
    columns = (Column("figure"), Column("source and day"))
    rows = [(tidy(what), tidy(source)) for what, source in pack.expanded.sources]
    return Table("Money: where each comes from", columns, tuple(rows))


def every(pack: Pack) -> Iterator[Table]:
    """The whole list, as it is in assumptions.csv, one table for each kind; placeholders first."""
    found = [
        {str(name): tidy(f"{value}") for name, value in row.items()} for row in pack.assumptions.to_dict("records")
    ]
    kinds = list(dict.fromkeys(_kind(row) for row in found))
    for kind in sorted(kinds, key=lambda each: each != "placeholder"):
        rows = [row for row in found if _kind(row) == kind]
        yield _of_one_kind(f"Figures that are {KINDS.get(kind, kind)}: {len(rows):,}", rows)


def _kind(row: Mapping[str, str]) -> str:
    return row.get("kind") or ("placeholder" if row.get("guess") == "yes" else "")


def _of_one_kind(caption: str, rows: Sequence[Mapping[str, str]]) -> Table:
    """What is the same in all rows is told once below the table; what is empty in all is left out."""
    shown, alike = [], []
    for name, head in SHOWN:
        cells = {row[name] for row in rows if name in row}
        if len(cells) == 1 and len(rows) > 1 and (cell := next(iter(cells))):
            alike.append(f"{head}: {cell}")
        elif cells - {""}:
            shown.append((name, head))
    columns = tuple(Column(head) for _, head in shown)
    return Table(caption, columns, tuple(tuple(row[name] for name, _ in shown) for row in rows), note="; ".join(alike))
