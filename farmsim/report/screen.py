"""The one screen of `farmsim run`: sentences with numbers, from what comes out to what should be measured first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from textwrap import shorten

from farmsim.report import growth, history, until
from farmsim.report.money import money
from farmsim.report.promises import kept
from farmsim.report.tables import WIDTH, beside, labelled, section
from farmsim.report.tight import not_tight, tight
from farmsim.report.week import week
from farmsim.report.words import (
    Weights,
    about,
    day,
    listed,
    month,
    plural,
    respelt,
    share,
    shortened,
    tidy,
)
from farmsim.study.answers import FEWEST, Answers, Change, Month, Settled

CHANGES, THINGS, WIDEST = 3, 4, 80  # dated changes told one by one, things of each, letters of a thing
FULLEST = 3  # places and crews named from the averages
YEAR = 52
HEIGHT = 54  # lines, and one that tells where the result was written; money, phases and own months come on top


@dataclass(frozen=True)
class Detail:
    """How much is told one by one: customers, places and crews that look tight, guesses; the rest in a word."""

    customers: int
    places: int
    crews: int
    guesses: int


DETAILS = (
    Detail(7, 3, 2, 4),
    Detail(5, 3, 2, 3),
    Detail(5, 2, 2, 3),
    Detail(5, 2, 1, 2),
    Detail(3, 2, 1, 2),
    Detail(2, 1, 1, 1),
)


def screen(answers: Answers) -> str:
    """Everything on one screen, as text, in as much detail as fits."""
    answers = respelt(answers, tidy)
    told = [_told(answers, detail, gap) for detail in DETAILS for gap in ([""], [])]
    height = HEIGHT + sum(len(part) for part in money(answers, [""]))
    height += 0 if answers.growth is None else len(growth.told(answers.study, answers.growth))
    height += len(section("", more_runs(answers)))
    lines = next((lines for lines in told if len(lines) <= height), told[-1])
    if answers.own_year is not None:  # comes on top of what fits: whoever gives the farm's own months wants to see them
        lines += ["", *history.told(answers.study, answers.own_year)]
    return "\n".join(lines) + "\n"


def _told(answers: Answers, detail: Detail, gap: list[str]) -> list[str]:
    parts = [heading(answers)]
    if answers.growth is not None:
        parts.append(growth.told(answers.study, answers.growth))
    if answers.growth is None or growth.others(answers.study, answers.growth):
        parts.append(changed(answers))
    if answers.settled.verdict == "did not settle":
        parts += [not_settled(answers), *looks(answers, detail)]
    else:
        parts += [note_on_start(answers), week(answers), year(answers), gap, *money(answers, gap)]
        parts += [kept(answers, detail.customers), gap, *looks(answers, detail), gap, lost(answers)]
    parts += [on_averages(answers), guessed(answers, detail), footnote(answers)]
    return [line for part in parts for line in part]


def heading(answers: Answers) -> list[str]:
    """What was simulated, and how much of it stands on guesses."""
    study = answers.study
    what = (
        plural(study.runs, "simulated year")
        if study.weeks == YEAR
        else f"{plural(study.runs, 'run')} of {study.weeks} weeks"
    )
    right = f"{plural(answers.guessed, 'figure is a guess', 'figures are guesses')} (below)" if answers.guesses else ""
    left = f": {what} from {day(date.fromisoformat(study.start))}"
    left = shortened(study.farm, WIDTH - len(left) - len(right) - 2) + left
    return [f"{left}{right:>{max(2, WIDTH - len(left))}}".rstrip(), ""]


def changed(answers: Answers) -> list[str]:
    """The farm's dated changes, and of which weeks the rest is told."""
    study = answers.study
    if not study.changes:
        return []
    past = [one for one in study.changes if one.week <= study.weeks]
    never = len(study.changes) - len(past)
    lines = [_change(one) for one in past[-CHANGES:]]
    if len(past) > CHANGES:
        lines.insert(0, f"{plural(len(past) - CHANGES, 'change')} before these.")
    if past:
        lines.append(
            f"Told here {'is' if study.told == 1 else 'are'} the {plural(study.told, 'week')} since then; weekly.csv has all "
            f"{study.weeks}."
        )
    if never:
        lines.append(f"{plural(never, 'change comes', 'changes come')} after these {study.weeks} weeks.")
    return [*section("CHANGES", lines), ""]


def _change(one: Change) -> str:
    things = [shorten(what, WIDEST, placeholder=" ..") for what in one.what[:THINGS]]
    more = len(one.what) - THINGS
    told = "; ".join([*things, *([f"{more} more"] if more > 0 else [])])
    return f"{day(date.fromisoformat(one.day))}, week {one.week}: {told}."


def note_on_start(answers: Answers) -> list[str]:
    """A word of warning when the measured weeks are not all those of a farm in full swing."""
    settled = answers.settled
    if settled.verdict == "slow start" and answers.study.before:
        text = (
            f"The farm needs {settled.weeks} weeks to get used to the change, and they are in these figures: "
            "simulate more weeks after it."
        )
    elif settled.verdict == "slow start":
        text = (
            f"The first {settled.weeks} weeks still fill the farm up and are in these figures: give it a longer lead_in "
            f"than {settled.lead_in} weeks."
        )
    elif settled.verdict == "starts empty":
        text = "The farm starts empty and the weeks of filling up are in these figures; weekly.csv has every week."
    elif settled.verdict == "months differ":
        text = (
            f"Months differ on this farm, so the weeks cannot tell whether the {settled.lead_in} weeks before them were "
            "enough to fill it up, and a thin week may just be one of a poor month: look at months.csv too."
        )
    else:
        return []
    return [*section("MIND", [text]), ""]


def not_settled(answers: Answers) -> list[str]:
    """What is said instead of weeks and years when the farm goes on growing."""
    settled = answers.settled
    what = "mushrooms picked" if settled.series == "picked_kg" else "blocks on the farm"
    unit = "kg" if settled.series == "picked_kg" else "blocks"
    growth = settled.growth.value if settled.growth else 0.0
    amount = Weights(answers.study.system).amount(abs(growth), unit)
    since = "since the last change" if answers.study.before else f"after {settled.lead_in} weeks of filling up"
    needs = "more weeks after the change" if answers.study.before else "a longer lead_in"
    lines = [
        f"The farm did not settle: {what} {'grow' if growth > 0 else 'shrink'} by {amount} a week to the very end, in run "
        f"after run, {since}. So there is no usual week or year to tell.",
        f"Either it needs {needs}, or more comes in than can ever go out: look at what is full below, and at "
        "months.csv.",
    ]
    return [*section("NOT SETTLED", lines), ""]


def year(answers: Answers) -> list[str]:
    """The whole run, and its best and poorest month."""
    weights, study = Weights(answers.study.system), answers.study
    picked = answers.totals["picked_kg"]
    text = f"{about(weights.figure(picked.mean.value))} {weights.unit} picked"
    if study.before:
        text += ", in all phases" if answers.growth else ", before and after the change"
    if study.runs > 1:
        few = study.runs < FEWEST
        ends = (min(picked.runs), max(picked.runs)) if few else (picked.low, picked.high)
        low, high = (about(weights.figure(kg)) for kg in ends)
        spans = "years" if study.weeks == YEAR else "runs"
        text += f"; {_all(study.runs, spans) if few else f'8 {spans} in 10'} lie between {low} and {high}"
    text += "."
    whole = [one for one in answers.months if one.whole]
    if len(whole) > 1:
        best, poorest = max(whole, key=lambda one: one.a_week), min(whole, key=lambda one: one.a_week)
        text += f" Best month {_month(best, weights)}, poorest {_month(poorest, weights)}."
    return section("A WHOLE YEAR" if study.weeks == YEAR else f"{study.weeks} WEEKS", [text])


def _all(number: int, spans: str) -> str:
    return f"both {spans}" if number == 2 else f"all {number} {spans}"


def _month(one: Month, weights: Weights) -> str:
    return f"{month(one.first)} ({weights.full(one.a_week)} a week)"


def looks(answers: Answers, detail: Detail) -> list[list[str]]:
    """What looks tight and what does not."""
    found = tight(answers, detail.places, detail.crews)
    lines = (
        labelled(found)
        if found
        else ["Nothing: no place was full for long with lots waiting, no crew left work lying."]
    )
    rest = not_tight(answers)
    rest = f"{rest or 'Nothing else.'} This was seen; it proves not yet what holds the farm back."
    return [beside("LOOKS TIGHT", lines), section("NOT TIGHT", [rest])]


def lost(answers: Answers) -> list[str]:
    """What was lost to what, and which strain lost most of it."""
    several = len({one.strain for one in answers.losses}) > 1 or any(one.strain_share < 1 for one in answers.losses)
    pieces = [
        f"{one.cause} {share(one.share)} of {one.of}"
        + (f" ({share(one.strain_share)} of it {one.strain})" if several else "")
        for one in answers.losses
    ]
    return section("LOST", [", ".join(pieces) + "." if pieces else "Nothing."])


def on_averages(answers: Answers) -> list[str]:
    """What averages alone would have said, beside what came out."""
    said, weights = answers.averages, Weights(answers.study.system)
    text = f"Averages alone say {weights.full(said.saleable)} of firsts and seconds a week"
    if answers.settled.verdict != "did not settle":
        text += f" (simulated {weights.bare(answers.mushrooms.saleable)})"
    over = [need for need in said.needs if need[1] > 1]
    named = listed([f"{shortened(name, 24)} {share(part)}" for name, part in (over or said.needs)[:FULLEST]])
    text += f" but no fit: {named}" if over else f" and that all fits; fullest: {named}"
    if said.over_promised:
        text += f". More is promised than they bring: {listed(said.over_promised[:FULLEST])}"
    return section("ON AVERAGES", [f"{text}."])


def guessed(answers: Answers, detail: Detail) -> list[str]:
    """Figures nothing stands behind: to be measured first."""
    if not answers.guesses:
        return []
    shown = [
        f"{meaning} ({times} times)" if times > 1 else meaning for meaning, times in answers.guesses[: detail.guesses]
    ]
    more = len(answers.guesses) - len(shown)
    return section(
        "GUESSED", [f"{'; '.join(shown)}{f'; {more} more in assumptions.csv' if more else ''}. Measure your own."]
    )


def footnote(answers: Answers) -> list[str]:
    """How well the simulation itself knows its figures, and how the farm was filled up."""
    weights, settled = Weights(answers.study.system), answers.settled
    pieces = []
    if settled.verdict != "did not settle":
        if settled.lead_in:
            pieces.append(f"The farm was given {settled.lead_in} weeks to fill up first.")
        pieces += _stock(settled, weights)
    if settled.verdict == "too short to tell":
        pieces.append("Too few runs or weeks to tell whether it has settled.")
    if answers.totals["picked_kg"].mean.give is None:
        pieces.append("One run cannot say how well these figures are known: make more of them.")
    elif settled.verdict != "did not settle":
        pieces.append(_error(answers, weights))
    told = [" ".join(pieces)] if pieces else []
    return section("HOW SURE", [*told, *more_runs(answers)])


def more_runs(answers: Answers) -> list[str]:
    """What only many runs can tell, and how their number was found; on top of what fits, so that no other line changes."""
    told = [] if answers.settled.verdict == "did not settle" else _ends(answers)
    if answers.stopped is not None:
        told.append(until.of_run(answers.stopped))
    return told


def _ends(answers: Answers) -> list[str]:
    """Where those two figures lie between which 8 runs in 10 do; nothing where the runs are too few to tell."""
    year, weights = answers.totals["picked_kg"], Weights(answers.study.system)
    if year.low_lies is None or year.high_lies is None:
        return []
    low, high = (" to ".join(about(weights.figure(kg)) for kg in ends) for ends in (year.low_lies, year.high_lies))
    spans = "years" if answers.study.weeks == YEAR else "runs"
    return [
        f"Of the two figures between which 8 {spans} in 10 lie, the lower is {low} {weights.unit} and the higher {high} "
        f"{weights.unit} (each 95 in 100 sure)."
    ]


def _stock(settled: Settled, weights: Weights) -> list[str]:
    """That the stock in the cooler still moves, if it does."""
    stock, past = settled.stock, settled.past_date
    if stock is None or past is None:
        return []
    first, last = weights.bare(stock.first), weights.full(stock.last)
    return [
        f"The stock in the cooler still {'grows' if stock.last > stock.first else 'shrinks'}: {first} to {last} from the "
        f"first to the last quarter of these weeks (past date {weights.bare(past.first)} to {weights.full(past.last)} a week)."
    ]


def _error(answers: Answers, weights: Weights) -> str:
    """How far off the simulation itself may be, for what is picked and what is sold."""
    picked, sold = answers.weeks["picked_kg"], answers.weeks["sold_kg"]
    pairs = [(one.usual.give or 0.0, one.mean.give or 0.0) for one in (picked, sold)]
    (usual, mean), (usual_sold, mean_sold) = [[weights.bare(kg) for kg in pair] for pair in pairs]
    whole = about(weights.figure(answers.totals["picked_kg"].mean.give or 0.0))
    return (
        f"Simulation error of {plural(answers.study.runs, 'run')} (95 in 100 sure): picked +-{usual} {weights.unit} in a "
        f"usual and +-{mean} in the average week, +-{whole} in the {_span(answers)}; sold to orders +-{usual_sold} and "
        f"+-{mean_sold} a week."
    )


def _span(answers: Answers) -> str:
    return "year" if answers.study.weeks == YEAR else "run"
