"""Last appendix: how the model was checked, how sure the first page is, and what would make the very same pack again."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Listed, Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings, reporting
from farmsim.report.pack.first_page import LINES, blows
from farmsim.report.pack.said import NONE, SIMPLE, TERM, ratio, whole
from farmsim.report.words import plural, tidy
from farmsim.study.answers import FEWEST, Total
from farmsim.study.pack_answers import Pack, Stressed

LEAST = 5  # runs, below which nobody can say how far off an average may be
FEW = "too few runs"
ASIDE = "\u00a0"  # figures, whose unit is told below the table
HELD = (
    "Waiting lines with one or several places and with people who do several tasks: exact answers of queueing theory (Erlang, "
    "Pollaczek and Khinchine), lot by lot against the textbook recursions (Lindley; Kiefer and Wolfowitz), and against "
    "another program for the same lines.",
    "Lines with little room between their machines, open and closed networks, machines that break down: exact solutions of "
    "small Markov chains, and published tables.",
    "Stock with dates, a market stall, orders that run short: the newsvendor and the perishable-stock results.",
    "Gains of one place or one machine more: exact gains, found with the same luck before and after.",
    "Intervals: two hundred short studies of cases whose answers are known; as many hold the truth as they say.",
    "The strain sheet and the arithmetic of averages: published figures of the trade.",
    "Loans, present value, rate of return, payback: published schedules and textbook cases, to the last printed digit.",
    "Capital debt repayment capacity, its coverage and its margins: a published worked case of a university's extension "
    "service.",
    "Books: on every simulated run cash adds up to the cent and the balance sheet balances; every pound picked and every "
    "block made is accounted for.",
    "A run is the same with any number of workers, after a stop, and when it is asked for again.",
)
JUDGED = (
    "Simulated answers are judged by their own standard errors over twenty runs or more, all comparisons of a topic together "
    "erring in at most one of a hundred tries, and a comparison must be sharp enough to notice an error that matters."
)


def parts(pack: Pack) -> Iterator[Part]:
    """What it is held against, the reporting checklist, how sure, marks."""
    yield headings.CHECKED
    yield Words("The program is tested as a whole each time it is changed; this is what its tests compare it with.")
    yield headings.HELD
    yield Listed(HELD)
    yield Words(JUDGED)
    yield headings.REPORTING
    yield from reporting.parts(pack)
    yield headings.SURE
    yield Words(sure(pack))
    yield Sheet(intervals(pack), is_dense=True)
    yield headings.MARKS
    yield Words(
        "Asked again with the same farm, the same seed and the same versions, the same pack comes out, byte for byte."
    )
    yield Sheet(marks(pack))


def sure(pack: Pack) -> str:
    """How many runs, and what the intervals say."""
    return (
        f"{plural(pack.runs, 'run')} of {plural(pack.weeks, 'week')} of the farm with the expansion and as many without it on "
        f"the same luck, after {plural(pack.lead_in, 'week')} in which the farm fills up; {plural(pack.stress_runs, 'run')} "
        "for each row of what may go wrong. Average: over all runs. Give or take: so far off the average may be, 95 times in "
        "100, because only so many runs were made (Student). The poor end lies between the two figures beside it as surely. "
        "None of this covers an error in the farm's file."
    )


def intervals(pack: Pack) -> Table:
    """Every figure of the first page that comes from runs."""
    rows: list[tuple[str, ...]] = []
    for label, line, is_ratio in LINES:
        name = label.removesuffix(" (*)").removesuffix(", usual year")
        for year in pack.expanded.years:
            if (found := year.lines.get(line)) is not None:
                rows.append(_row(f"{name}, year {year.number}", found, is_ratio))
    for at, alone in enumerate(pack.alone, 1):
        if alone is not None:
            rows.append(_row(f"Earned by the new part alone for each 1 of its payments, year {at}", alone, True))
    rows.append(_row("Lowest cash", pack.expanded.lowest.cash, False))
    rows += [row for each in blows(pack) for row in _blow(each)]
    if pack.hoped is not None:
        rows += _blow(pack.hoped)
    columns = (Column("figure"), Column("average", ASIDE), Column("give or take", ASIDE), Column("poor end", "1 run in 10"),
               Column("it lies between", ASIDE), Column("runs", ASIDE))  # fmt: skip
    return Table("Average and how well it is known", columns, tuple(rows), note=f"In {pack.currency}, or a ratio")


def _blow(one: Stressed) -> list[tuple[str, ...]]:
    pairs = ((TERM, one.coverage, True), (SIMPLE, one.simple, True), ("lowest cash", one.lowest, False))
    return [
        _row(f"{tidy(one.told)}: {name.lower()}{f', year {one.year}' if is_ratio else ''}", found, is_ratio)
        for name, found, is_ratio in pairs
        if found is not None
    ]


def _row(name: str, found: Total, is_ratio: bool) -> tuple[str, ...]:
    say = ratio if is_ratio else whole
    runs = len(found.runs)
    give = FEW if found.mean.give is None or runs < LEAST else say(found.mean.give)
    low = say(found.low) if runs >= FEWEST else NONE
    between = FEW if found.low_lies is None else " to ".join(say(each) for each in found.low_lies)
    return name, say(found.mean.value), give, low, between, f"{runs}"


def marks(pack: Pack) -> Table:
    """What tells this pack from every other."""
    rows = [
        ("seed", f"{pack.seed}"),
        ("start", pack.start),
        *((tidy(name), tidy(mark)) for name, mark in pack.marks.items()),
    ]
    return Table("Marks of the farms, seed and versions", (Column("what"), Column("mark")), tuple(rows))
