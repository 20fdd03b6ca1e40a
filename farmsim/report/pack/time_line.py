"""What happens when: the loan paid out, building, the opening, people, starts and customers."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Part, Picture, Sheet
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.said import day_of
from farmsim.report.words import plural, tidy
from farmsim.study.pack_answers import Pack


def parts(pack: Pack) -> Iterator[Part]:
    """The steps as a picture and as a table; who is hired, on which terms."""
    from farmsim.report.figures import time_line

    if not pack.steps:
        return
    yield headings.TIME_LINE
    yield Picture(
        "time_line",
        lambda: time_line.draw(pack),
        "What happens when",
        f"{plural(len(pack.steps), 'step')} on a scale of time; the table below has them with their days.",
        sees(pack),
    )
    rows = [(day_of(step.day), tidy(step.what)) for step in pack.steps]
    yield Sheet(Table("Step by step", (Column("day"), Column("what happens")), tuple(rows)))
    if pack.hired:
        yield Sheet(people(pack))


def people(pack: Pack) -> Table:
    """Who is hired when, and on which terms."""
    learns = any(each.learns for each in pack.hired)
    columns = [Column("from"), Column("crew"), Column("people"), Column("when they work"), Column("pay", "each")]
    rows = [
        (
            day_of(each.day),
            tidy(each.crew),
            f"{each.people:,} instead of {each.before:,}" if each.before else f"{each.people:,}, new",
            tidy(each.works),
            tidy(each.pays),
            *([f"{each.learns} of the usual pace" if each.learns else "as quick as all"] if learns else []),
        )
        for each in pack.hired
    ]
    return Table("Who is hired", (*columns, *([Column("new hands")] if learns else [])), tuple(rows))


def sees(pack: Pack) -> str:
    """From the first step to the last, and when the new part opens."""
    first, last = pack.steps[0], pack.steps[-1]
    opens = f" The new part takes its first blocks on {day_of(pack.asked.opens)}." if pack.asked.opens else ""
    return f"{plural(len(pack.steps), 'step')} from {day_of(first.day)} to {day_of(last.day)}.{opens}"
