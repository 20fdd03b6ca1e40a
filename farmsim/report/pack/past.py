"""The farm's own past: three years beside the plan, and its months beside the model's."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report import history
from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import believed, headings
from farmsim.report.pack.said import SIMPLE, TERM, day_of, ratio, usual, whole
from farmsim.report.page_tables import own_months
from farmsim.report.words import Weights, day, tidy
from farmsim.study.answers import Study
from farmsim.study.books_answers import Kept
from farmsim.study.own_year import OwnYear
from farmsim.study.pack_answers import Pack, PastTold

LINES = (
    ("Sales", "sales"),
    ("Net operating income", "operating_income"),
    ("Depreciation", "depreciation"),
    ("Interest", "interest"),
    ("Net farm income", "net_farm_income"),
    ("Income from elsewhere", "off_farm_income"),
    ("Taxes", "taxes"),
    ("Family living", "family_living"),
    ("Capital debt repayment capacity", "capital_debt_repayment_capacity"),
    ("Interest paid", "paid_interest"),
    ("Principal paid", "paid_principal"),
    ("All debt payments", "payments"),
)
OF_PLAN = {"taxes": "paid_taxes", "interest": "term_interest", "paid_interest": "term_interest_paid"}
"""Lines that the books of the plan call otherwise; interest is of loans alone there too, without the credit line's."""
OF_LOANS = ". Interest of the plan is that of loans alone; what the credit line costs is in the statements"
SHOWN = 3  # past years, the last ones


def parts(pack: Pack) -> Iterator[Part]:
    """Past years, then months."""
    if pack.past:
        yield headings.PAST
        yield Words(
            "Past years are from the farm's own books, as given; those to come are usual runs of the farm with the expansion, "
            "and below of the farm without it. A minus sign stands where nothing was given."
        )
        yield Sheet(years(pack, pack.expanded, "Past years beside the plan", "plan"))
        yield Sheet(years(pack, pack.base, "Past years beside the farm without the expansion", "without it"))
    if pack.history is not None:
        yield headings.OWN_MONTHS
        yield from months(pack, pack.history)
    elif pack.past:
        yield Words(believed.NO_HISTORY)


def years(pack: Pack, kept: Kept, caption: str, called: str) -> Table:
    """The last past years, then those of the farm with the expansion or without it; below the first where they come from."""
    past, plan = pack.past[-SHOWN:], kept.years
    columns = [Column(f"in {pack.currency}")]
    columns += [Column("own books", f"to {day_of(each.ends)}") for each in past]
    columns += [Column(f"{called}, year {year.number}", f"to {day_of(year.last)}") for year in plan]
    rows: list[tuple[str, ...]] = []
    for label, line in LINES:
        cells = [whole(each.lines.get(line)) for each in past]
        then = [whole(usual(year, OF_PLAN.get(line, line))) for year in plan]
        if any(each.lines.get(line) is not None for each in past):
            is_drawn = line == "family_living" and pack.lives_on_draw
            rows.append((f"{label} (of the plan: the owner's draw)" if is_drawn else label, *cells, *then))
    for label, line, of in ((SIMPLE, "simple_debt_service_coverage", _simple), (TERM, "term_debt_coverage", _term)):
        rows.append((label, *(ratio(of(each)) for each in past), *(ratio(usual(year, line)) for year in plan)))
    if kept is not pack.expanded:
        return Table(caption, tuple(columns), tuple(rows))
    sources = dict.fromkeys(tidy(each.source) for each in past if each.source)
    note = f"Past years from: {', '.join(sources)}" if sources else "It is not said where the past years come from"
    return Table(
        caption, tuple(columns), tuple(rows), note=f"{note}{OF_LOANS if pack.expanded.limit is not None else ''}"
    )


def _simple(past: PastTold) -> float | None:
    return past.simple


def _term(past: PastTold) -> float | None:
    return past.coverage


def months(pack: Pack, found: OwnYear) -> Iterator[Part]:
    """A verdict on each figure, then all months."""
    from datetime import date

    where = "of the same months" if found.is_own else f"from {day(date.fromisoformat(found.start))}"
    yield Words(f"The farm as it is, simulated in {found.runs} runs {where}, beside twelve months of its own books.")
    for one in found.figures:
        yield Words(history.verdict(one, found, Weights(pack.system)))
    study = Study(pack.base_name, pack.system, pack.currency, pack.start, pack.weeks, pack.runs, pack.seed)
    yield Sheet(own_months(study, found))
