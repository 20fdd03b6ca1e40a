"""Which figures matter most, and every figure of the farm with where it comes from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from farmsim.report.document import Listed, Pairs, Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import alike, headings
from farmsim.report.pack.believed import draft_words, kinds
from farmsim.report.pack.said import Told, joined
from farmsim.report.words import tidy
from farmsim.study.pack_answers import Matters, Pack

SHOWN = (
    ("figure", "figure", ""),
    ("whose", "whose", ""),
    ("value", "value", ""),
    ("meaning", "what it is", ""),
    ("source", "where it comes from", "Where all of them come from: {}."),
    ("day", "of day", "All of them are of {}."),
)
"""Columns of the list of figures, and how it is said once when all have the same."""
UNKNOWN = "No source stands behind them."
KINDS = {
    "own": "the farm's own",
    "as usual": "choices left as they usually are",
    "placeholder": "placeholders",
    "": "no placeholders",
}


def parts(pack: Pack) -> Iterator[Part]:
    """What matters first, then everything."""
    if pack.matter or pack.unmoved:
        yield headings.MATTER
    if pack.matter:
        yield Words(
            "Each figure that is not known well was moved from its low to its high end, all else as it is. Those below surely "
            f"move net operating income, the first most. {matters_words(pack)}"
        )
        yield Sheet(matters(pack))
    if pack.unmoved:
        yield Words("These guesses were left as they are, so it is not known whether they move it:")
        yield Sheet(unmoved(pack))
    yield headings.ASSUMPTIONS
    yield Words(f"{_kinds(pack)} A placeholder is a figure that nothing stands behind: it wants measuring first.")
    if minded := bear_in_mind(pack):
        yield Words("To bear in mind about this plan and its figures:")
        yield Listed(minded)
    if pack.expanded.sources:
        yield Sheet(money(pack))
    yield from every(pack)


def bear_in_mind(pack: Pack) -> tuple[str, ...]:
    """What the study warns of; without it, what is not in the books."""
    helped = (f"How crews of which the plan needs more than there is get by: {headings.see(headings.CAPACITY)}.",)
    told = (*map(tidy, pack.warnings), *(helped if pack.over_asked and pack.headroom else ()))
    return told or tuple(f"Not in the books: {tidy(gap)}." for gap in pack.expanded.gaps)


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
        (alike.named(each.name).full, tidy(each.meaning), each.now, each.low, each.high, said.bare(each.moves),
         said.bare(each.give), _said_of(each))
        for each in pack.matter
    ]  # fmt: skip
    return Table("What moves the answer, the first most", columns, tuple(rows))


def unmoved(pack: Pack) -> Table:
    """Guesses that could not be moved, each with why."""
    rows = [(alike.named(each.name).full, tidy(each.meaning), tidy(each.why)) for each in pack.unmoved]
    columns = (Column("figure"), Column("what it is"), Column("why"))
    return Table("Guesses that could not be moved", columns, tuple(rows))


def _said_of(one: Matters) -> str:
    """Its source, and that it is a placeholder where the source does not say so itself."""
    is_silent = one.is_guess and "placeholder" not in one.source
    return f"{tidy(one.source)} (placeholder)" if is_silent else tidy(one.source)


def _kinds(pack: Pack) -> str:
    return f"{kinds(pack) or 'Where the figures come from stands beside each'}."


def money(pack: Pack) -> Table:
    """Prices, costs, loans and what is owned by the source and day they have."""
    found: dict[str, list[str]] = {}
    for what, source in pack.expanded.sources:
        found.setdefault(tidy(source), []).append(tidy(what))
    rows = [(source, ", ".join(whats)) for source, whats in found.items()]
    return Table("Money: where each comes from", (Column("source and day"), Column("of what")), tuple(rows))


def every(pack: Pack) -> Iterator[Part]:
    """The whole list, what is alike told as one, a table for each kind; placeholders first.

    As many figures are counted as stand in assumptions.csv.
    """
    found = [
        {str(name): tidy(f"{value}") for name, value in row.items()} for row in pack.assumptions.to_dict("records")
    ]
    names = alike.names(row["figure"] for row in found)
    kinds = list(dict.fromkeys(_kind(row) for row in found))
    for kind in sorted(kinds, key=lambda each: each != "placeholder"):
        of_kind = [row for row in found if _kind(row) == kind]
        for rows in _by_source(of_kind):
            many = f"{len(rows):,}" if len(rows) == len(of_kind) else f"{len(rows):,} of {len(of_kind):,}"
            caption = f"Figures that are {KINDS.get(kind, kind)}: {many}"
            yield Sheet(_of_one_kind(caption, rows, names), is_dense=True)
    if meant := tuple(alike.all_of(names).items()):
        yield Words("Who is meant above:", "small")
        yield Pairs(meant)


def _kind(row: Mapping[str, str]) -> str:
    return row.get("kind") or ("placeholder" if row.get("guess") == "yes" else "")


def _by_source(rows: list[dict[str, str]]) -> list[list[dict[str, str]]]:
    """Those of one kind, apart from the others those of the one source that most of them have: it is told once."""
    most, many = Counter(row["source"] for row in rows).most_common(1)[0]
    if 2 * many <= len(rows):
        return [rows]
    parted = [[row for row in rows if (row["source"] == most) is is_most] for is_most in (True, False)]
    return [part for part in parted if part]


def _of_one_kind(caption: str, rows: Sequence[Mapping[str, str]], names: Mapping[str, tuple[str, ...]]) -> Table:
    """What is the same in all rows is told once in the caption; what is empty in all is left out."""
    found = alike.together(rows, names)
    shown, told = [], []
    for name, head, sentence in SHOWN:
        cells = {getattr(one, name) for one in found}
        if sentence and len(cells) == 1 and len(rows) > 1 and (cell := next(iter(cells))):
            told.append(UNKNOWN if cell == "placeholder" else sentence.format(cell))
        elif cells - {""}:
            shown.append((name, head))
    caption = joined((f"{caption}.", *told)) if told else caption
    told_rows = tuple(tuple(getattr(one, name) for name, _ in shown) for one in found)
    return Table(caption, tuple(Column(head) for _, head in shown), told_rows)
