"""What is to be seen in each picture, in a sentence or two, with its figures: for the page and for those who cannot see it."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report.bad_hours import bad_rows, what, when
from farmsim.report.words import Weights, count, fine, listed, month, plural, rounded_to_add_up, shortened, to_digits
from farmsim.study.answers import FEWEST, Answers, Flow
from farmsim.study.growth_answers import Growth
from farmsim.study.strain_answers import Life, Takes
from farmsim.study.year import Year

NAMED, HUNDRED = 3, 100.0


def week(answers: Answers) -> str:
    """The week sheet."""
    worst = bad_rows([*(place for place in answers.places if place.capacity is not None), *answers.crews])
    if not worst:
        return "No hour of the week is bad: no place is often full with lots waiting, no crew leaves work lying."
    told = "; ".join(f"{shortened(row.name, 30)} ({what(row)}: {when(row.bad, 2)})" for row in worst[:NAMED])
    more = len(worst) - NAMED
    return f"Bad hours, underlined, are worst at {told}{f'; {more} more are numbered below it' if more > 0 else ''}."


def harvest(answers: Answers) -> str:
    """The monthly harvest."""
    weights, whole = Weights(answers.study.system), [one for one in answers.months if one.whole]
    if not whole:
        return "No whole month was simulated; each bar is part of one."
    best, poorest = max(whole, key=lambda one: one.a_week), min(whole, key=lambda one: one.a_week)
    marks = (
        "a thin and a fat month, 1 run in 10 beyond each"
        if answers.study.runs >= FEWEST
        else "the poorest and best run"
    )
    if best is poorest:
        return f"The bar is the usual month ({weights.full(best.usual)} in {month(best.first)}), its marks {marks}."
    return (
        f"The bar is the usual month, its marks are {marks}. Most is picked in {month(best.first)} "
        f"({weights.full(best.a_week)} a week), least in {month(poorest.first)} ({weights.full(poorest.a_week)} a week)."
    )


def blocks(flow: Flow) -> str:
    """The flow of blocks."""
    lost = ("contaminated", flow.contaminated), ("too old", flow.too_old)
    went = (("fruited here", flow.fruited), ("sold ready to fruit", flow.sold), *lost)
    (*figures, more, came), digits = rounded_to_add_up([*(blocks for _, blocks in went), flow.more_standing])
    pieces = [f"{to_digits(figure, digits)} {name}" for (name, _), figure in zip(went, figures, strict=True) if figure]
    told = [*pieces, *([f"{to_digits(more, digits)} stand there more than before"] if more > 0 else [])]
    whole = f"{to_digits(came, digits)} blocks that come in a week"
    if more < 0:
        before = to_digits(-more, digits)
        whole = f"{to_digits(came - more, digits)} blocks a week ({before} of them stood there before)"
    return f"Of {whole}: {listed(told) or 'none'}. Hatched is lost."


def year(one: Year) -> str:
    """The year strip."""
    pieces = [f"{factors.what} by month" for factors in one.factors]
    pieces += [f"the months in which {line.what} is started" for line in one.lines]
    pieces += [f"the months in which {room.what} rests" for room in one.rooms]
    pieces += (
        [plural(len(one.still), "stretch", "stretches") + " of days on which the farm stands still"]
        if one.still
        else []
    )
    return f"What goes by the calendar: {listed(pieces)}."


def growth(one: Growth) -> str:
    """The weeks of a farm that grows."""
    phases = listed([f"{shortened(phase.name, 40)} (from week {phase.week})" for phase in one.phases])
    return f"Above what is picked and what is promised, below the blocks that come in, week by week. Phases: {phases}."


def lots(lives: Sequence[Life]) -> str:
    """The life of a lot."""
    whole = [(shortened(life.strain, 30), life.whole) for life in lives if life.whole is not None]
    told = listed([f"{strain} {one.usual:.0f} ({one.slow:.0f})" for strain, one in whole])
    days = f" From start to cleared a usual lot takes, in days (a slow one in brackets): {told}." if told else ""
    return f"Each row is one strain, its steps one after another.{days}"


def strains(takes: Sequence[Takes], weights: Weights) -> str:
    """What the strains take."""
    shown = [one for one in takes if one.kg_a_shelf_week is not None and one.hours_a_kg is not None]
    if not shown:
        return "No strain was both fruited and picked."
    best = max(shown, key=lambda one: one.kg_a_shelf_week or 0.0)
    most = max(shown, key=lambda one: one.hours_a_kg or 0.0)
    weight, hours = weights.figure(best.kg_a_shelf_week or 0.0), weights.each(most.hours_a_kg or 0.0) * HUNDRED
    return (
        f"{best.strain} brings most for the room it takes: {fine(weight)} {weights.unit} for each week a block stands on the "
        f"shelf. {most.strain} takes most work: {count(hours)} hours for 100 {weights.unit}. Prices are not in here."
    )


def spread(answers: Answers) -> str:
    """How much whole runs differ."""
    if answers.study.runs == 1:
        return "One run, so there is no spread: make more of them."
    bar = "where 8 in 10 lie" if answers.study.runs >= FEWEST else "from the lowest to the highest"
    return (
        f"Each dot is one whole run of {plural(answers.study.weeks, 'week')}: same farm, other luck. The grey bar is {bar}, "
        "the tall mark the average."
    )
