"""The farm's own twelve months beside the model's, with a plain verdict."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from farmsim.report.tables import section
from farmsim.report.words import Weights, about, count, day, listed, month, plural, share
from farmsim.study.answers import Study
from farmsim.study.own_year import Beside, Compared, OwnYear

ENOUGH = 19  # runs from which on there is a verdict
SPOKEN = {
    "blocks_made": ("Blocks made", "blocks", "made"),
    "blocks_sold": ("Blocks sold", "blocks", "sold"),
    "picked": ("Picked", "", "picked"),
    "sold": ("Sold", "", "sold"),
    "paid_hours": ("Paid hours", "hours", "paid"),
}


def rows(study: Study, found: OwnYear) -> list[tuple[str, ...]]:
    """One row for each figure and month, then one for the whole year: figure, unit, month; the farm's, the model's mean,
    low and high, all in the farm's units; verdict.
    """
    weights = Weights(study.system)
    told = []
    for one in found.figures:
        head, unit, _ = SPOKEN[one.name]
        for label, row in zip((*_months(found), "all twelve"), (*one.months, one.whole), strict=True):
            figures = [_bare(value, one, weights) for value in (row.own, row.mean, row.low, row.high)]
            told.append((head, unit or weights.unit, label, *figures, row.verdict))
    return told


def told(study: Study, found: OwnYear) -> list[str]:
    """The section of the screen: a verdict on each figure, then what luck alone would do."""
    weights, months = Weights(study.system), _months(found)
    runs = plural(found.runs, "run")
    where = f"{runs} of the same months" if found.is_own else f"{runs} from {day(date.fromisoformat(found.start))}"
    first = f"The farm's own {months[0]} to {months[-1]} beside {where}."
    return section("HISTORY", [first, *(verdict(one, found, weights) for one in found.figures), _luck(found)])


def verdict(one: Compared, found: OwnYear, weights: Weights) -> str:
    """What is to be said of one figure."""
    head, unit, done = SPOKEN[one.name]
    mean, own, low, high = _said(one, weights)
    between = f"between {low} and {high}"
    lie = "all runs alike" if low == high else f"9 runs in 10 {between}" if found.runs >= ENOUGH else f"runs {between}"
    text = f"{head}: the model says {mean} {unit or weights.unit} ({lie}), the farm {done} {own}"
    return f"{text}: {_side(one.whole)}. {_by_month(one, found)}" if found.runs >= ENOUGH else f"{text}."


def _said(one: Compared, weights: Weights) -> list[str]:
    """The whole year: mean, own, low and high; the farm's own as it is in its books."""
    whole = one.whole
    mean, low, high = (about(_figure(value, one, weights)) for value in (whole.mean, whole.low, whole.high))
    return [mean, _bare(whole.own, one, weights), low, high]


def _side(whole: Beside) -> str:
    if not whole.is_outside:
        return "inside"
    side = whole.verdict.removeprefix("model ")
    return f"outside, the model is {share(abs(whole.mean / whole.own - 1)) + ' ' if whole.own else ''}{side}"


def _by_month(one: Compared, found: OwnYear) -> str:
    """How many months are inside, and which are not."""
    text = f"Month by month {len(one.months) - one.outside} of {len(one.months)} inside"
    for side in ("model too high", "model too low"):
        named = [at for at, row in enumerate(one.months) if row.verdict == side]
        if named:
            text += f"; {side} {_stretches(named, found)}"
    if one.most_outside is not None and one.outside > one.most_outside:
        text += f": more than luck does, {_most(one.most_outside)} in 19 years of 20"
    return f"{text}."


def _most(outside: int) -> str:
    return f"at most {outside}" if outside else "none"


def _stretches(named: Sequence[int], found: OwnYear) -> str:
    """Months by their names, those that follow one another as a stretch: in Jan, Mar to May and Dec."""
    if len(named) == len(found.months):
        return "in every month"
    runs: list[list[int]] = []
    for at in named:
        if runs and at == runs[-1][-1] + 1:
            runs[-1].append(at)
        else:
            runs.append([at])
    labels = [label.split(" ")[0] for label in _months(found)]
    long = [[f"{labels[run[0]]} to {labels[run[-1]]}"] if len(run) > 2 else [labels[at] for at in run] for run in runs]
    return "in " + listed([label for run in long for label in run])


def _luck(found: OwnYear) -> str:
    if found.runs < ENOUGH:
        return f"A verdict needs {ENOUGH} runs or more."
    usual = count(found.figures[0].usual_outside)
    return f"Even of a model that is right 1 total in 10 and {usual} of 12 months lie outside, by luck alone."


def _months(found: OwnYear) -> list[str]:
    return [month(f"{each}-01") for each in found.months]


def _figure(value: float, one: Compared, weights: Weights) -> float:
    return weights.figure(value) if one.unit == "kg" else value


def _bare(value: float, one: Compared, weights: Weights) -> str:
    return count(_figure(value, one, weights))
