"""Every blow in full, as simulated again."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.first_page import BETTER, blows, is_better, is_simple
from farmsim.report.pack.said import BLANK, NONE, SIMPLE, TERM, ratio, whole
from farmsim.report.words import plural, tidy
from farmsim.study.answers import FEWEST, Total
from farmsim.study.pack_answers import Pack, Stressed


def parts(pack: Pack) -> Iterator[Part]:
    """What was done, and the two tables: ratios, cash."""
    every = [*blows(pack), *([pack.hoped] if pack.hoped is not None else [])]
    if not every:
        yield headings.STRESS
        yield Words("Nothing was asked for that may go wrong.")
        return
    yield headings.STRESS
    again = [each for each in every if each.simulated and each is not pack.planned]
    yield Words(
        f"Each row is a farm of its own in {plural(pack.stress_runs, 'run')}, with the same luck as the farm with the "
        f"expansion, told of its worst year from the opening on. Simulated again, because the farm works "
        f"otherwise: {plural(len(again), 'row')}. In the others only money differs, so the same simulated years were put in "
        "money anew. Starts, people and purchases stay as planned, whatever happens; a late opening alone moves its phases, "
        "with the people, starts and customers in them, and what is bought and borrowed keeps its days. How hard a blow is "
        "stands in the farm's file (section [stress]); what is not given there is a usual size that no source stands behind."
    )
    if any(each.by_year for each in every):
        yield Sheet(by_year(pack, every))
    yield Sheet(ratios(pack, every))
    yield Sheet(cash(pack, every))


def ratios(pack: Pack, every: list[Stressed]) -> Table:
    """Both coverages and the margin."""
    has_poor = pack.stress_runs >= FEWEST
    poor = [Column("poor", "1 run in 10")] if has_poor else []
    columns = [
        Column("what goes wrong"),
        Column("year", " "),
        Column(TERM, "usual"),
        *poor,
        Column("as planned", "usual"),
        Column(SIMPLE, "usual"),
        *poor,
        Column("as planned", "usual"),
    ]
    columns += [
        Column("left after all payments", f"{pack.currency}, usual"),
        Column("runs short", f"of {pack.stress_runs}"),
    ]
    rows = []
    for each in every:
        cells = []
        for found, planned in ((each.coverage, each.planned_coverage), (each.simple, each.planned_simple)):
            cells.append(_usual(found))
            cells += [ratio(None if found is None else found.low)] if has_poor else []
            cells.append(_usual(planned))
        rows.append((tidy(each.told), f"{each.year}", *cells, whole(each.margin.usual), f"{each.short_in}"))
    note = (
        "Each is told of its worst year from the opening on, and beside it the plan of that year in the same runs. "
        "Left after all payments: capital debt repayment margin of that year; a run in which it is below nothing is short"
    )
    return Table("Are the payments covered?", tuple(columns), tuple(rows), note=note)


def _usual(found: Total | None) -> str:
    return ratio(None if found is None else found.usual)


def by_year(pack: Pack, every: list[Stressed]) -> Table:
    """The coverage that the lender means, in every year."""
    years = [Column(f"year {year.number}", "usual") for year in pack.expanded.years]
    rows = [(tidy(each.told), *_years(pack, each)) for each in every]
    rows = [row for row in rows if len(row) == len(years) + 1]
    name = SIMPLE if is_simple(pack) else TERM
    return Table(f"{name}, year by year", (Column("what goes wrong"), *years), tuple(rows), note=_note(pack, every))


def _note(pack: Pack, every: list[Stressed]) -> str:
    """Why a year may look better than planned, where one does and the first page does not say it already."""
    if pack.planned is None or any(is_better(pack, each) for each in pack.stress):
        return ""
    planned = _years(pack, pack.planned)
    pairs = [pair for each in every for pair in zip(_years(pack, each), planned, strict=False)]
    is_any = any(NONE not in pair and float(pair[0]) > float(pair[1]) for pair in pairs)
    return BETTER if is_any else ""


def _years(pack: Pack, one: Stressed) -> list[str]:
    """The coverage that the lender means, year by year as it is printed."""
    return [_usual(found) for found in (one.simple_by_year if is_simple(pack) else one.by_year)]


def cash(pack: Pack, every: list[Stressed]) -> Table:
    """Lowest cash, the credit line, and what nothing covers."""
    has_poor = pack.stress_runs >= FEWEST
    columns = [Column("what goes wrong"), Column("lowest cash", "usual")]
    columns += [Column("lowest cash", "poor, 1 run in 10")] if has_poor else []
    columns += [
        Column("most on the credit line", "usual"),
        Column("missing at worst", "usual"),
        Column("runs short of cash", f"of {pack.stress_runs}"),
        Column("what covers it"),
    ]
    rows = [
        (
            tidy(each.told),
            whole(each.lowest.usual),
            *([whole(each.lowest.low)] if has_poor else []),
            whole(each.line_most),
            whole(each.missing),
            f"{each.missing_in}",
            _by(each),
        )
        for each in every
    ]
    note = (
        f"In {pack.currency}, over all years; what is owed on the credit line is taken off lowest cash. Missing at worst: the "
        "most that neither cash nor credit line covers at any time; a run with anything missing is short of cash"
    )
    return Table("Is there cash?", tuple(columns), tuple(rows), note=note)


def _by(one: Stressed) -> str:
    """What covers whatever is short, without amounts, which stand beside it; a blank where the farm has to name it."""
    if round(one.missing) > 0:
        return BLANK
    if one.line_most > 0:
        return "cash and line"
    return "cash" if one.margin.usual < 0 else NONE
