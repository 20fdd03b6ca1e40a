"""The tables of the page: answers as texts with units, and what the columns mean. What is heavy stays in the CSV files."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from farmsim.record.measures import MEASURES
from farmsim.record.measures.page import MONEY
from farmsim.report import growth, history
from farmsim.report.bad_hours import bad_rows, what, when
from farmsim.report.html import Column, Table
from farmsim.report.words import (
    MONTHS,
    Weights,
    count,
    day_of,
    factor,
    listed,
    share,
    size,
    standstill,
    stretch,
    week_hour,
)
from farmsim.report.words import month as month_of
from farmsim.study.answers import FEWEST, OFTEN, Answers, Crew, Loss, Month, Place, Promise, Study, Week
from farmsim.study.growth_answers import Growth
from farmsim.study.money_answers import Money
from farmsim.study.own_year import OwnYear
from farmsim.study.year import Year

DECLARED = {one.name: one for one in MEASURES}
TOGETHER = {
    "blocks_in": ("blocks", "blocks made here and blocks bought in"),
    "blocks_lost": ("blocks", "blocks thrown out, contaminated or too old"),
}
"""Sums of measures that are spoken of as one: unit and meaning."""
ENDINGS = ("_kg", "_h")  # of the names of measures: the unit, which has a column of its own
ALL_WEEK = 168
NAME = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")  # of a measure, where the meaning of another one refers to it


def label(measure: str) -> str:
    """The name of a measure in words: picked_kg -> picked, overtime_h -> overtime."""
    for ending in ENDINGS:
        measure = measure.removesuffix(ending)
    return measure.replace("_", " ")


def weeks(answers: Answers) -> Table:
    """Every weekly measure: a thin, a usual and a fat week, and the average; what never happened is left out."""
    weights = Weights(answers.study.system)
    columns = (
        Column("of a week"),
        Column("unit"),
        Column("thin", " ", "1 week in 10 has less"),
        Column("usual", " ", "half of the weeks have less"),
        Column("fat", " ", "1 week in 10 has more"),
        Column("average", " ", "the only column whose figures add up, but for rounding"),
        Column("what it is"),
    )
    rows = [_of_weeks(name, one, weights) for name, one in answers.weeks.items() if one.fat.value or one.mean.value]
    return Table("Every figure of a week", columns, tuple(rows), note="What never happened is left out")


def _of_weeks(name: str, one: Week, weights: Weights) -> tuple[str, ...]:
    declared = DECLARED.get(name)
    unit, meaning = (declared.unit, declared.meaning) if declared else TOGETHER.get(name, ("", ""))
    values = [each.value for each in (one.thin, one.usual, one.fat, one.mean)]
    figures = [weights.bare(value) if unit == "kg" else count(value) for value in values]
    return (
        label(name),
        weights.unit if unit == "kg" else unit,
        *figures,
        NAME.sub(lambda found: label(found[0]), meaning),
    )


def money(of: Money) -> Table:
    """Every weekly figure of money: a thin, a usual and a fat week, and the average; what is nothing is left out."""
    columns = (
        Column("of a week"),
        Column("thin", of.currency, "1 week in 10 has less"),
        Column("usual", of.currency, "half of the weeks have less"),
        Column("fat", of.currency, "1 week in 10 has more"),
        Column("average", of.currency),
        Column("what it is"),
    )
    means = {name: meaning for name, _, meaning in MONEY}
    rows = [
        (label(name), *(f"{each.value:,.0f}" for each in (one.thin, one.usual, one.fat, one.mean)), means.get(name, ""))
        for name, one in of.weeks.items()
        if one.fat.value or one.mean.value
    ]
    return Table("Money of a week", columns, tuple(rows), note="What is nothing is left out")


def phases(study: Study, of: Growth) -> Table:
    """The phases of a farm that grows, a week on average."""
    unit = Weights(study.system).unit
    columns = (
        Column("phase"),
        Column("from", " "),
        Column("weeks", " "),
        Column("picked", unit),
        Column("sold to orders", unit),
        Column("kept", "%", "delivered of promised mushrooms"),
        Column("blocks", "come in", "made and bought"),
        Column("blocks", "sold"),
        Column("looks tightest"),
    )
    note = "A week on average, the weeks of filling up in each phase included"
    return Table("Phases of the farm", columns, tuple(growth.rows(study, of)), note=note)


def own_months(study: Study, of: OwnYear) -> Table:
    """The farm's own months beside the model's."""
    columns = (
        Column("of the books"),
        Column("unit"),
        Column("month"),
        Column("own", " ", "what the farm's own books say"),
        Column("model", " ", "the mean of the runs"),
        Column("low", " ", "9 runs in 10 lie between low and high"),
        Column("high", " "),
        Column("verdict"),
    )
    return Table("Own months beside the model's", columns, tuple(history.rows(study, of)))


def months(study: Study, every: Sequence[Month]) -> Table:
    """The harvest month by month."""
    unit, weights = f"{Weights(study.system).unit} picked", Weights(study.system)
    means = (
        ("1 run in 10 has less", "1 run in 10 has more")
        if study.runs >= FEWEST
        else ("the poorest run", "the best run")
    )
    columns = (
        Column("month"),
        Column("days", "simulated"),
        Column("thin", unit, means[0]),
        Column("usual", unit, "half of the runs have less"),
        Column("fat", unit, means[1]),
        Column("a week", unit, "the average of the runs, a week"),
    )
    rows = [
        (month_of(one.first), str(one.days), *(weights.bare(kg) for kg in (one.thin, one.usual, one.fat, one.a_week)))
        for one in every
    ]
    return Table("Mushrooms picked by month", columns, tuple(rows))


def year(one: Year) -> Table:
    """What differs by month."""
    columns = (Column("what"), *(Column(name, " ") for name in MONTHS), Column("year", " ", "the mean of the twelve"))
    rows = [(f"{row.what}, %", *(factor(value) for value in (*row.months, row.mean))) for row in one.factors]
    rows += [
        (f"{row.what} {row.does}", *("yes" if so else "-" for so in row.months), "") for row in (*one.lines, *one.rooms)
    ]
    told = [f"{row.what}: {row.meaning}" for row in one.factors]
    note = f"In percent of what the farm's file says for every month; {'; '.join(told)}" if told else ""
    return Table("What differs by month", columns, tuple(rows), note=note)


def still(one: Year) -> Table:
    """Days on which some or all of the farm stands still."""
    stops = {"starts": "starts and purchases of blocks", "work": "people's work"}
    rows = [
        (each.name, standstill(each.first, each.last), listed([stops.get(what, what) for what in each.stops]))
        for each in one.still
    ]
    return Table("Days of standstill", (Column("name"), Column("days"), Column("what stops")), tuple(rows))


def promises(study: Study, every: Sequence[Promise]) -> Table:
    """What was promised and delivered, by customer."""
    weights = Weights(study.system)
    columns = (
        Column("customer"),
        Column("promised", "a week"),
        Column("delivered", "a week"),
        Column("delivered of promised", "%", "by weight, or by blocks"),
        Column("orders complete", "%", "orders of which nothing was missing when the round left"),
        Column("lines complete", "%", "a line is what an order holds of one strain"),
    )
    rows = [
        (one.customer, weights.amount(one.promised, one.unit), weights.amount(one.delivered, one.unit), share(one.kept),
         share(one.orders_kept), share(one.lines_kept))
        for one in every
    ]  # fmt: skip
    return Table("Promises, customer by customer", columns, tuple(rows))


def losses(study: Study, every: Sequence[Loss]) -> Table:
    """What was lost to what."""
    columns = (
        Column("lost to"),
        Column("lost", "a week"),
        Column("share", "%", "of all blocks that come in, of all that is picked, or of all that is saleable"),
        Column("of"),
        Column("most of it"),
    )
    weights = Weights(study.system)
    rows = [
        (
            one.cause,
            weights.amount(one.a_week, one.unit),
            share(one.share),
            one.of,
            f"{one.strain} ({share(one.strain_share)})",
        )
        for one in every
    ]
    return Table("Losses", columns, tuple(rows))


def bad_hours(answers: Answers) -> Table:
    """Every place and crew with bad hours."""
    rows = [
        (
            row.name,
            what(row),
            when(row.bad, ALL_WEEK),
            f"{week_hour(row.worst)}, in {row.worst_share * 100:.0f} of 100 weeks",
        )
        for row in bad_rows([*answers.places, *answers.crews])
    ]
    columns = (Column("where"), Column("what is bad"), Column("when"), Column("worst hour"))
    return Table(
        "Bad hours",
        columns,
        tuple(rows),
        note=f"An hour is bad when it was so in {OFTEN * 100:.0f} of 100 weeks or more",
    )


def places(every: Sequence[Place]) -> Table:
    """How every place was used."""
    columns = (
        Column("place"),
        Column("holds", " "),
        Column("used", "%", "share of its places that were held, of all time"),
        Column("full, lots waiting", "%", "of all time; of benches, of the hours with people there"),
        Column("full, nothing waits", "%"),
        Column("done, no place to go", "%", "held by lots that were done there"),
        Column("empty", "%"),
        Column("lots that waited", "a week"),
        Column("waited", "mean"),
        Column("1 in 10 over", "waited"),
    )
    rows = [
        (one.name, "any number" if one.capacity is None else size(one.capacity, one.unit), share(one.used),
         share(one.full_waiting), share(one.full_quiet), share(one.done_no_place), share(one.idle), count(one.waited),
         *(stretch(hours) if one.waited else "-" for hours in (one.wait, one.long_wait)))
        for one in every
    ]  # fmt: skip
    return Table("Places", columns, tuple(rows))


def crews(every: Sequence[Crew]) -> Table:
    """How every crew's hours were used."""
    columns = (
        Column("crew"),
        Column("most on shift", "people"),
        Column("on shift", "h a week", "hours of the people present, without breaks"),
        Column("at work", "h a week"),
        Column("overtime", "h a week"),
        Column("used", "%", "of the hours on shift at work"),
        Column("at what", "", "hours a week"),
    )
    rows = [
        (one.name, count(one.most_present), count(one.rostered), count(one.worked), count(one.overtime), share(one.used),
         ", ".join(f"{duty} {count(hours)}" for duty, hours in one.duties))
        for one in every
    ]  # fmt: skip
    return Table("Crews", columns, tuple(rows))


def guesses(every: Sequence[tuple[str, int]]) -> Table:
    """Figures that nothing stands behind."""
    rows = tuple((meaning, str(times)) for meaning, times in every)
    columns = (Column("figure"), Column("times", "used", "how many strains, rooms or crews it is used for"))
    return Table("Guesses: measure your own", columns, rows)


def changes(study: Study) -> Iterator[tuple[str, str]]:
    """Dated changes of the farm that fall into the simulated weeks: day, and what differs."""
    for one in study.changes:
        if one.week <= study.weeks:
            yield f"{day_of(one.day)}, week {one.week}", "; ".join(one.what)
