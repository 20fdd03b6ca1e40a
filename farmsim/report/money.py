"""Money on the screen: what a week takes in and pays, what is left for everything else, and what is not in it."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.tables import row, section
from farmsim.report.week import FIGURE
from farmsim.report.words import about, count, digits_of, listed, rounded_to_add_up, shortened, to_digits
from farmsim.study.answers import FEWEST, Answers, Study, Total
from farmsim.study.money_answers import Money

YEAR = 52
NAMED = 3  # customers or crews told by name
NOT_IN_IT = "substrate, spawn, blocks bought in, bags, boxes, van, rent, repairs, loans, taxes"


def money(answers: Answers, gap: list[str]) -> list[list[str]]:
    """The section, and the gap below it; nothing of a farm without prices."""
    found = answers.money
    if found is None:
        return []
    heads = ("thin", "usual", "fat", "average")
    lines = [row("MONEY A WEEK", heads, f"in {found.currency}", figure_width=FIGURE)]
    lines += [_row(found, *line) for line in _lines(found)]
    lines += section("", [f"{_whole(answers, found)} {_mind(found)}"])
    return [lines, gap]


def _lines(found: Money) -> Iterator[tuple[str, str, str, str]]:
    """Each line: its label, its measure, its figure in the average week, and what is said behind it."""
    average = _adding_up(found)
    blocks = average["blocks"] != "0"
    yield "  Taken in", "taken", average["taken"], ""
    if blocks:
        yield "    for mushrooms", "mushrooms", average["mushrooms"], ""
        yield "    for blocks", "blocks", average["blocks"], ""
    overtime = _money(found.weeks["overtime_wages"].mean.value)
    yield "  Wages", "wages", average["wages"], f"of it overtime {overtime}"
    if found.has_energy:
        yield "  Power and fuel", "energy", average["energy"], ""
    yield "  Left for all else", "left", average["left"], ""


def _row(found: Money, label: str, measure: str, average: str, after: str) -> str:
    week = found.weeks[measure]
    cells = [_money(one.value) for one in (week.thin, week.usual, week.fat)]
    return row(label, [*cells, average], after, figure_width=FIGURE)


def _adding_up(found: Money) -> dict[str, str]:
    """The average week, rounded so that it adds up as printed."""
    mean = {name: week.mean.value for name, week in found.weeks.items()}
    (mushrooms, blocks, taken), digits = rounded_to_add_up([mean["mushrooms"], mean["blocks"]])
    wages, energy = (round(mean[name], digits) for name in ("wages", "energy"))
    figures = {
        "mushrooms": mushrooms,
        "blocks": blocks,
        "taken": taken,
        "wages": wages,
        "energy": energy,
        "left": taken - wages - energy,
    }
    return {name: to_digits(value, digits) for name, value in figures.items()}


def _money(value: float) -> str:
    return to_digits(round(value, digits_of(value)), digits_of(value))


def _whole(answers: Answers, found: Money) -> str:
    """What a whole run takes in and what is left of it."""
    study = answers.study
    span = "A whole year" if study.weeks == YEAR else f"{study.weeks} weeks"
    span += ", before and after the change" if study.before else ""
    costs = "wages - power and fuel" if found.has_energy else "wages"
    taken, left = (_total(study, found.totals[name]) for name in ("taken", "left"))
    return f"The average week adds up: left = taken in - {costs}. {span}: {taken} taken in, {left} left."


def _total(study: Study, total: Total) -> str:
    if study.runs < FEWEST:
        return about(total.mean.value)
    spans = "years" if study.weeks == YEAR else "runs"
    return f"{about(total.mean.value)} (8 {spans} in 10 between {about(total.low)} and {about(total.high)})"


def _mind(found: Money) -> str:
    """What the figures are not, and what they leave out."""
    text = f"This is no profit and loss: {NOT_IN_IT} are not in it"
    if "operating" in found.weeks:
        text += " (farmsim money keeps the books)"
    missing = []
    if found.no_price:
        missing.append(f"no price is given for {_named(found.no_price)}")
    if found.no_wage:
        missing.append(f"no wage for {_named(found.no_wage)}")
    if not found.has_energy:
        missing.append("nothing for power and fuel")
    return f"{text}; {listed(missing)}." if missing else f"{text}."


def _named(names: tuple[str, ...]) -> str:
    more = len(names) - NAMED
    return listed([*(shortened(name, 30) for name in names[:NAMED]), *([f"{count(more)} more"] if more > 0 else [])])
