"""Tables of the strains: the days of a lot, what a strain takes for what it brings, hours of work by strain and duty."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report.figures.lot_life import in_turn, in_words
from farmsim.report.html import Column, Table
from farmsim.report.words import Weights, count, fine
from farmsim.study.strain_answers import Life, Step, Takes, Work

HUNDRED = 100.0


def days(lives: Sequence[Life]) -> Table:
    """Days in each step, a row for each strain, a column for each step there is."""
    names = in_turn(lives)
    columns = (
        Column("strain"),
        *(Column(in_words(name), "days") for name in names),
        Column("from start to cleared", "days"),
    )
    rows = []
    for life in lives:
        by_name = {step.name: step for step in life.steps}
        rows.append((life.strain, *(_days(by_name.get(name)) for name in names), _days(life.whole)))
    note = (
        "In front the usual lot: half of all are done by then. In brackets a slow one: 9 in 10 are done by then. The days of "
        "the steps need not add up to the whole: a lot that is slow in one need not be slow in the next"
    )
    return Table("Days of a lot", columns, tuple(rows), note=note)


def _days(step: Step | None) -> str:
    return "-" if step is None else f"{step.usual:.1f} ({step.slow:.1f})"


def takes(every: Sequence[Takes], weights: Weights) -> Table:
    """What each strain takes and brings."""
    unit = weights.unit
    columns = (
        Column("strain"),
        Column("saleable", f"{unit} a week", "firsts and seconds"),
        Column("fruited", "blocks a week"),
        Column("sold", "blocks a week", "ready to fruit"),
        Column("shelf places held", "on average"),
        Column("weight for a shelf-week", unit, "saleable for each week a block stands on a shelf"),
        Column("shelf-weeks a block", "weeks"),
        Column(f"shelf-weeks for 100 {unit}", "block weeks"),
        Column("work on a block until ripe", "hours", "mix, inoculate, inspect, for each block fruited or sold"),
        Column("all work, a block fruited", "hours"),
        Column(f"all work for 100 {unit}", "hours", "of the work on blocks without what falls to blocks sold"),
    )
    rows = [
        (one.strain, weights.bare(one.saleable), count(one.fruited), count(one.sold), count(one.shelf_weeks),
         _fine(one.kg_a_shelf_week, weights.figure(1.0)), _fine(one.shelf_weeks_a_block),
         _fine(one.shelf_weeks_a_kg, weights.each(HUNDRED)), _fine(one.block_hours_a_block),
         _fine(one.hours_a_fruited_block), _fine(one.hours_a_kg, weights.each(HUNDRED)))
        for one in every
    ]  # fmt: skip
    note = "No prices are in here: what a strain earns is another matter. A dash: there was nothing to divide by"
    return Table("What a strain takes for what it brings", columns, tuple(rows), note=note)


def hours(every: Sequence[Takes], of_nobody: float) -> Table:
    """Hours of work a week, a row for each strain, a column for each duty; sums are those of the figures as shown."""
    duties = list(dict.fromkeys(work.duty for one in every for work in one.work))
    columns = (Column("strain"), *(Column(duty, "h a week") for duty in duties), Column("all", "h a week"))
    cells = [[round(_of(one.work, duty), 1) for duty in duties] for one in every]
    rows = [(one.strain, *_row(row)) for one, row in zip(every, cells, strict=True)]
    rows.append(("all strains", *_row([sum(column) for column in zip(*cells, strict=True)])))
    note = (
        "A lot's work is its strain's; a round of picking or packing goes to the strain that came out of it; mixing is shared "
        "by blocks made, inspection by weeks on racks"
    )
    note += (
        f". {count(of_nobody)} h a week are no one strain's: chores, cleaning an empty room" if of_nobody > 0 else ""
    )
    return Table("Hours of work by strain", columns, tuple(rows) if every else (), summed=True, note=note)


def _of(work: Sequence[Work], duty: str) -> float:
    return sum(one.a_week for one in work if one.duty == duty)


def _row(values: Sequence[float]) -> list[str]:
    return [f"{value:,.1f}" if value else "-" for value in (*values, sum(values))]


def _fine(value: float | None, times: float = 1.0) -> str:
    return "-" if value is None else fine(value * times)
