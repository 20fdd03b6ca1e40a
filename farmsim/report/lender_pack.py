"""The lender's pack: a document of chapters, one screen, tables and JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from farmsim.report.answer import Answer
from farmsim.report.books import NO_ADVICE
from farmsim.report.document import Document, Part
from farmsim.report.pack import (
    assumptions,
    believed,
    capacity,
    cautions,
    checked,
    first_page,
    harvest,
    loans,
    needed,
    owner,
    past,
    people,
    ratios,
    statements,
    stress,
    the_farm,
    time_line,
)
from farmsim.report.pack.first_page import is_simple, meant
from farmsim.report.pack.said import BLANK, NONE, POOR, SIMPLE, TERM, Told, day_of, poor, ratio, usual
from farmsim.report.tables import section
from farmsim.report.words import dated, plural, shortened, tidy, upper
from farmsim.study.pack_answers import Pack, Stressed
from farmsim.study.pack_shown import plain, tables

CHAPTERS: tuple[Callable[[Pack], Iterator[Part]], ...] = (
    first_page.parts,
    the_farm.parts,
    capacity.parts,
    time_line.parts,
    harvest.parts,
    people.parts,
    statements.parts,
    ratios.parts,
    loans.parts,
    past.parts,
    stress.parts,
    assumptions.parts,
    cautions.parts,
    checked.parts,
)
WORST = 3  # blows told on the screen


def document(pack: Pack) -> Document:
    """The whole pack as a list of parts."""
    asked = pack.asked
    name = shortened(tidy(pack.base_name), 50)
    by, on = tidy(asked.prepared_by) or BLANK, day_of(asked.prepared_on) if asked.prepared_on else BLANK
    parts = tuple(part for chapter in CHAPTERS for part in chapter(pack))
    return Document(
        title=tidy(asked.purpose).upper(),
        under=f"Farm capacity simulation: {name}. Prepared by: {by}. Date: {on}.",
        foot=f"{name}: {tidy(asked.purpose)}. A computed plan, no advice.",
        draft=draft(pack),
        parts=parts,
    )


def of_owner(pack: Pack) -> Document:
    """What the expansion is worth to the owner: a page of its own, as it is nothing for the lender."""
    name = shortened(tidy(pack.base_name), 50)
    return Document(
        title=owner.TITLE,
        under=f"{upper(tidy(pack.asked.purpose))}. Farm capacity simulation: {name}.",
        foot=f"{name}: for the owner, not for the lender. {NO_ADVICE}",
        draft=draft(pack),
        parts=tuple(owner.parts(pack)),
    )


def draft(pack: Pack) -> str:
    """What stands across every page while a figure that matters most is a placeholder."""
    return f"DRAFT: {believed.draft_words(pack)}" if pack.placeholders_that_matter else ""


def answer(pack: Pack, files: Sequence[str], has_pdf: bool = True) -> Answer:
    """The pack in every form in which it is given; files: names of the farm's file and of the change."""
    from farmsim.report.as_html import page
    from farmsim.report.as_pdf import made
    from farmsim.report.books_plain import plain as books
    from farmsim.report.document import drawn

    told = document(pack)
    pictures = drawn(told)
    asked = {"packed": list(files), "start": pack.start, "seed": pack.seed, "runs": pack.runs, "years": pack.years,
             "stress_runs": pack.stress_runs}  # fmt: skip

    def write(path: Path) -> None:
        path.write_bytes(made(told, pictures, pack.system))

    return Answer(
        screen(pack, has_pdf),
        {**plain(pack), "without": books(pack.base), "with": books(pack.expanded)},
        asked,
        tables(pack),
        texts={"pack.html": page(told, pictures), "owner.html": page(of_owner(pack), {})},
        files={"pack.pdf": write} if has_pdf else {},
    )


# --- the screen -------------------------------------------------------------------------------------------------------


def screen(pack: Pack, has_pdf: bool = True) -> str:
    """What is asked for and how safe it is, on one screen."""
    told = Told(pack)
    head = (
        f"{shortened(tidy(pack.asked.purpose), 40)}: {plural(pack.years, 'year')} from {day_of(pack.start)}, "
        f"{plural(pack.runs, 'run')} with it and without"
    )
    parts = [head, ""]
    for heading, sentences in (
        ("ASKED", [first_page.ask(pack, told)]),
        ("WHO BUYS", [first_page.buyers(pack, told)]),
        ("COVERAGE", list(_coverage(pack))),
        ("CASH", [first_page.lowest(pack, told)]),
        ("GOES WRONG", list(_wrong(pack, told))),
        ("BELIEVE", [believed.records(pack, told)]),
        ("DRAFT", [f"{believed.draft_words(pack)}."] if pack.placeholders_that_matter else []),
        ("READ FIRST", [f"{'pack.pdf, or pack.html with the same content' if has_pdf else 'pack.html'}. {NO_ADVICE}"]),
        ("FOR YOU", ["owner.html: what it is worth to the owner. It is not in the pack and not for the lender."]),
    ):  # fmt: skip
        parts += section(heading, list(map(dated, sentences))) if sentences else []
    return "\n".join(parts) + "\n"


def _coverage(pack: Pack) -> Iterator[str]:
    """Year by year the ratio that the lender means, whether it is as high as asked for, what the new part earns alone."""
    name, line = (SIMPLE, "simple_debt_service_coverage") if is_simple(pack) else (TERM, "term_debt_coverage")
    years = pack.expanded.years
    yield f"{name}, usual years: {_by_year([ratio(usual(year, line)) for year in years])}."
    if Told(pack).has_poor:
        yield f"The same {POOR} (1 in 10): {_by_year([ratio(poor(year, line)) for year in years])}."
    if pack.hoped is not None:
        told = _by_year(first_page.every_year(pack, pack.hoped))
        yield f"If those only hoped for never come, usual years: {told}."
    if met := needed.sentence(pack):
        yield met
    if alone := first_page.alone(pack, Told(pack)):
        yield alone


def _by_year(ratios: Sequence[str]) -> str:
    return ", ".join(f"year {number} {told}" for number, told in enumerate(ratios, 1) if told)


def _wrong(pack: Pack, told: Told) -> Iterator[str]:
    """The worst blows, then how far sales may fall."""
    found = sorted(pack.stress, key=lambda each: each.margin.usual)[:WORST]
    for each in found:
        coverage = meant(pack, each)
        value = (
            ""
            if coverage is None
            else f" coverage {ratio(coverage.usual)} in year {each.year} (as planned {needed.as_planned(pack, each)});"
        )
        short = f" short by {told.money(-each.margin.usual)} that year;" if each.margin.usual < 0 else ""
        yield f"{tidy(each.told)}:{value}{short} {_covered(each, told)}."
    if text := first_page.may_fall(pack):
        yield text


def _covered(one: Stressed, told: Told) -> str:
    by = first_page.covers(one, told)
    return "nothing is short" if by == NONE else f"over all years: {by}"
