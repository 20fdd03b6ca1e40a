"""Every blow in full, as simulated again."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import NewPage, Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.first_page import blows, covers, may_fall
from farmsim.report.pack.said import SIMPLE, TERM, Told, ratio, whole
from farmsim.report.words import plural, tidy
from farmsim.study.answers import FEWEST
from farmsim.study.pack_answers import Pack, Stressed


def parts(pack: Pack) -> Iterator[Part]:
    """What was done, and the two tables: ratios, cash."""
    every = [*blows(pack), *([pack.hoped] if pack.hoped is not None else [])]
    yield NewPage()
    yield headings.STRESS
    if not every:
        yield Words("Nothing was asked for that may go wrong.")
        return
    again = [each for each in every if each.simulated and each is not pack.planned]
    yield Words(
        f"Each row is a farm of its own in {plural(pack.stress_runs, 'run')}, with the same luck as the farm with the "
        f"expansion. "
        f"{plural(len(again), 'row')} change how the farm works and were simulated again; in the others only money differs, so "
        "the same simulated years were put in money anew."
    )
    yield Sheet(ratios(pack, every))
    yield Sheet(cash(pack, every))
    if text := may_fall(pack):
        yield Words(text)


def ratios(pack: Pack, every: list[Stressed]) -> Table:
    """Both coverages and the margin."""
    has_poor = pack.stress_runs >= FEWEST
    poor = [Column("poor", "1 run in 10")] if has_poor else []
    columns = [
        Column("what goes wrong"),
        Column("year", " "),
        Column(TERM, "usual"),
        *poor,
        Column(SIMPLE, "usual"),
        *poor,
    ]
    columns += [Column("left after all payments", f"{pack.currency}, usual"), Column("runs in which it is short", f"of "
                                        f"{pack.stress_runs}")]  # fmt: skip
    rows = []
    for each in every:
        cells = []
        for found in (each.coverage, each.simple):
            cells.append(ratio(None if found is None else found.usual))
            cells += [ratio(None if found is None else found.low)] if has_poor else []
        rows.append((tidy(each.told), f"{each.year}", *cells, whole(each.margin.usual), f"{each.short_in}"))
    note = "Left after all payments: capital debt repayment margin; below nothing it is short"
    return Table("Are the payments covered?", tuple(columns), tuple(rows), note=note)


def cash(pack: Pack, every: list[Stressed]) -> Table:
    """Lowest cash, the credit line, and what nothing covers."""
    has_poor = pack.stress_runs >= FEWEST
    columns = [Column("what goes wrong"), Column("lowest cash", "usual")]
    columns += [Column("lowest cash", "poor, 1 run in 10")] if has_poor else []
    columns += [Column("most on the credit line", "usual"), Column("not covered", "usual, at most"),
                Column("runs in which something is not covered", f"of {pack.stress_runs}"), Column("what covers "
                                        "it")]  # fmt: skip
    rows = [
        (
            tidy(each.told),
            whole(each.lowest.usual),
            *([whole(each.lowest.low)] if has_poor else []),
            whole(each.line_most),
            whole(each.missing),
            f"{each.missing_in}",
            covers(each, Told(pack)),
        )
        for each in every
    ]
    note = f"In {pack.currency}, over all years; what is owed on the credit line is taken off lowest cash"
    return Table("Is there cash?", tuple(columns), tuple(rows), note=note)
