"""The week on the screen: a thin, a usual and a fat one line by line, and the average week, whose figures add up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from farmsim.report.tables import row, section
from farmsim.report.words import Weights, count, day, digits_of, rounded_to, rounded_to_add_up, to_digits
from farmsim.study.answers import Answers, Flow, Mushrooms

FIGURE = 10  # letters of a column
UNIT = 3  # letters kept for a unit behind the first line


@dataclass(frozen=True)
class Line:
    """One line: its label, its weekly measure ("" when a week alone cannot tell it), its figure in the average week."""

    label: str
    measure: str
    average: str
    is_weight: bool = True
    after: str = ""


def week(answers: Answers) -> list[str]:
    """The week, line by line, and how the average week adds up."""
    weights = Weights(answers.study.system)
    change = answers.study.last_change
    since = f" from {day(date.fromisoformat(change.day))[4:]}" if change else ""
    heads = [head + " " * UNIT for head in ("thin", "usual", "fat", "average")]
    lines = [*_mushrooms(answers, weights), *_blocks(answers), *_hours(answers)]
    return [
        row(f"A WEEK{since}", heads, "1 week in 10 thinner, 1 fatter", figure_width=FIGURE),
        *(_shown(line, answers, weights, place == 0) for place, line in enumerate(lines)),
        *section("", [_adds_up(lines)]),
    ]


def _shown(line: Line, answers: Answers, weights: Weights, with_unit: bool) -> str:
    tail = f" {weights.unit}" if with_unit else " " * UNIT
    if line.measure:
        found = answers.weeks[line.measure]
        values = [one.value for one in (found.thin, found.usual, found.fat)]
        cells = [weights.bare(value) if line.is_weight else count(value) for value in values]
    else:
        cells = ["", "", ""]
    return row(line.label, [cell + tail if cell else "" for cell in (*cells, line.average)], line.after)


def _mushrooms(answers: Answers, weights: Weights) -> Iterator[Line]:
    """What is picked and what becomes of it [kg]."""
    promised = f"promised {weights.bare(answers.weeks['promised_kg'].mean.value)}"
    kg = _adding_up(answers.mushrooms, weights)
    packed = answers.weeks["packed_kg"].mean.value
    yield Line("  Mushrooms picked", "picked_kg", kg["picked"])
    yield Line("    firsts", "firsts_kg", kg["firsts"])
    yield Line("    seconds", "seconds_kg", kg["seconds"])
    yield Line("    culls", "culls_kg", kg["culls"], after="too old, thrown out at picking")
    yield Line("  Packed", "packed_kg", weights.bare(packed))
    yield Line("  Sold to orders", "sold_kg", kg["sold"], after=promised)
    if answers.mushrooms.stall > 0:
        yield Line("  Sold at stalls", "stall_kg", kg["stall"])
    if answers.mushrooms.outlet > 0:
        yield Line("  To the outlet", "outlet_kg", kg["outlet"])
    if answers.mushrooms.to_dry > 0:
        dried = f"{weights.bare(answers.weeks['dried_kg'].mean.value)} when dry"
        yield Line("  Laid out to dry", "to_dry_kg", kg["to_dry"], after=dried)
    if answers.mushrooms.stall_lost > 0:
        yield Line("  Lost at stalls", "stall_lost_kg", kg["stall_lost"], after="not sold there")
    yield Line("  Past date in the cooler", "past_date_kg", kg["past_date"], after="thrown out")
    if kg["into_stock"] != "0":
        less = kg["into_stock"].startswith("-")
        said = "sold of earlier weeks" if less else "not sold yet"
        yield Line("  More in stock", "", kg["into_stock"], after=said)


def _adding_up(kg: Mushrooms, weights: Weights) -> Mapping[str, str]:
    """The average week's weights in the shown unit, rounded so that both sums come out as printed."""
    figure = weights.figure
    (firsts, seconds, culls, picked), digits = rounded_to_add_up(
        [figure(one) for one in (kg.firsts, kg.seconds, kg.culls)]
    )
    went = {
        "sold": kg.sold,
        "stall": kg.stall,
        "outlet": kg.outlet,
        "to_dry": kg.to_dry,
        "stall_lost": kg.stall_lost,
        "past_date": kg.past_date,
        "into_stock": kg.into_stock,
    }
    rounded = rounded_to([figure(one) for one in went.values()], firsts + seconds, digits)
    figures = {
        "picked": picked,
        "firsts": firsts,
        "seconds": seconds,
        "culls": culls,
        **dict(zip(went, rounded, strict=True)),
    }
    return {name: to_digits(value, digits) for name, value in figures.items()}


def _blocks(answers: Answers) -> Iterator[Line]:
    """The blocks that came and where they went."""
    flow, weeks = answers.flow, answers.weeks
    blocks = _blocks_adding_up(flow)
    came = " and ".join(word for word, there in (("made", flow.made), ("bought", flow.bought)) if there) or "made"
    yield Line(f"  Blocks {came}", "blocks_in", blocks["came"], is_weight=False)
    yield Line("    fruited here", "blocks_fruited", blocks["fruited"], is_weight=False)
    if flow.sold > flow.sold_cheap or weeks["blocks_promised"].mean.value > 0:
        promised = f"promised {count(weeks['blocks_promised'].mean.value)}"
        yield Line("    sold ready to fruit", "blocks_sold", blocks["sold"], is_weight=False, after=promised)
    if flow.sold_cheap > 0:
        yield Line("    sold cheap", "blocks_sold_cheap", blocks["sold_cheap"], is_weight=False, after="surplus")
    yield Line(
        "    contaminated", "blocks_lost_contaminated", blocks["contaminated"], is_weight=False, after="thrown out"
    )
    if flow.too_old > 0:
        yield Line("    too old", "blocks_lost_too_old", blocks["too_old"], is_weight=False, after="thrown out")
    if blocks["more_standing"] != "0":
        yield Line(
            "    more standing", "", blocks["more_standing"], is_weight=False, after=_standing(blocks["more_standing"])
        )


def _standing(more: str) -> str:
    return "fruited or sold of earlier ones" if more.startswith("-") else "not fruited or sold yet"


def _blocks_adding_up(flow: Flow) -> Mapping[str, str]:
    went = {
        "fruited": flow.fruited,
        "sold": flow.sold - flow.sold_cheap,
        "sold_cheap": flow.sold_cheap,
        "contaminated": flow.contaminated,
        "too_old": flow.too_old,
        "more_standing": flow.more_standing,
    }
    (*rounded, came), digits = rounded_to_add_up(went.values())
    return {name: to_digits(value, digits) for name, value in zip((*went, "came"), (*rounded, came), strict=True)}


def _hours(answers: Answers) -> Iterator[Line]:
    """Hours that are paid."""
    means = {name: answers.weeks[name].mean.value for name in ("paid_h", "overtime_paid_h")}
    overtime = to_digits(
        round(means["overtime_paid_h"], digits_of(means["overtime_paid_h"])), digits_of(means["overtime_paid_h"])
    )
    if answers.weeks["owner_h"].mean.value > 0:
        owner = count(answers.weeks["owner_h"].mean.value)
        yield Line("  Owner's and family hours", "owner_h", owner, is_weight=False, after="not paid by the hour")
    yield Line("  Paid hours", "paid_h", count(means["paid_h"]), is_weight=False, after=f"of it overtime {overtime}")


SHORT = {
    "Sold to orders": "orders",
    "Sold at stalls": "stalls",
    "To the outlet": "outlet",
    "Laid out to dry": "dryer",
    "Lost at stalls": "lost at stalls",
    "Past date in the cooler": "past date",
    "More in stock": "stock",
}
"""What becomes of firsts and seconds: lines of the week, and the words that stand for them in the sum."""


def _adds_up(lines: list[Line]) -> str:
    """How the average column adds up, in the words of its lines."""
    there = [line.label.strip() for line in lines]
    sales = " + ".join(short for name, short in SHORT.items() if name in there)
    came = next(name for name in there if name.startswith("Blocks "))
    return (
        f"The average week adds up: picked = firsts + seconds + culls; firsts + seconds = {sales}; "
        f"{came.lower()} = the lines below it."
    )
