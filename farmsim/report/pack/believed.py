"""Why the plan is to be believed: the farm's own months and books beside the model, and where its figures come from."""

from __future__ import annotations

from farmsim.report.history import SPOKEN
from farmsim.report.pack import alike, headings
from farmsim.report.pack.said import Told, joined
from farmsim.report.pack.why import own_books
from farmsim.report.words import about, count, listed, plural
from farmsim.study.own_year import Compared
from farmsim.study.pack_answers import Pack

NO_HISTORY = "No records of past months were given to compare with."


def believe(pack: Pack, told: Told) -> str:
    """The farm's own months beside the model, where the figures come from, and which matter most."""
    return joined((records(pack, told), _matter(pack)))


def records(pack: Pack, told: Told) -> str:
    """History and where the figures come from."""
    return joined((_history(pack, told), own_books(pack, told), _counts(pack)))


def _history(pack: Pack, told: Told) -> str:
    of = pack.history
    if of is None or not of.figures:
        return NO_HISTORY
    one = next((each for each in of.figures if each.name == "picked"), of.figures[0])
    _, unit, done = SPOKEN[one.name]
    own, mean = (count(_shown(value, one, told)) for value in (one.whole.own, one.whole.mean))
    verdict = {"inside": "inside what luck alone does", "too few runs": "too few runs to judge"}.get(
        one.whole.verdict, f"outside what luck alone does, the {one.whole.verdict}"
    )
    return (
        f"Given twelve months of our own books the same model says {about(float(mean.replace(',', '')))} "
        f"{unit or told.weights.unit} {done}; we had {own}: {verdict} ({headings.see(headings.OWN_MONTHS)})."
    )


def _shown(value: float, one: Compared, told: Told) -> float:
    return told.weights.figure(value) if one.unit == "kg" else value


def _counts(pack: Pack) -> str:
    counted = kinds(pack)
    return f"{counted} (each by name: {headings.see(headings.ASSUMPTIONS)})." if counted else ""


def kinds(pack: Pack) -> str:
    """How many figures come from where, without a full stop; nothing where there are none."""
    every = sum(pack.counts.values())
    pieces = [f"{number} {SOURCES.get(name, name)}" for name, number in pack.counts.items() if number]
    return f"Of {plural(every, 'figure')} {listed(pieces)}" if every else ""


SOURCES = {
    "own": "are our own",
    "published": "published",
    "common practice": "common practice",
    "placeholder": "placeholders",
    "as usual": "choices left as they usually are",
}


def _matter(pack: Pack) -> str:
    return joined((_that_matter(pack), _unmoved(pack)))


def _unmoved(pack: Pack) -> str:
    """How many guesses could not be moved, one by its name; where it is said why."""
    if not pack.unmoved:
        return ""
    named = f" ({alike.named(pack.unmoved[0].name).full})" if len(pack.unmoved) == 1 else ""
    return (
        f"{plural(len(pack.unmoved), 'guess', 'guesses')} could not be moved{named}: {headings.see(headings.MATTER)}."
    )


def _that_matter(pack: Pack) -> str:
    if not pack.matter:
        return pack.why_none_matters or "Which figures matter most was not asked."
    if not pack.placeholders_that_matter:
        return "None of the figures that matter most is a placeholder."
    return f"{draft_words(pack)} ({headings.see(headings.MATTER)})."


def draft_words(pack: Pack) -> str:
    """How many of the figures that matter most are not the farm's own yet."""
    left, every = pack.placeholders_that_matter, len(pack.matter)
    if every == 1:
        return "The figure that matters most is not yet the farm's own"
    if left == every:
        return f"None of the {every} figures that matter most is the farm's own yet"
    return f"{left} of the {every} figures that matter most {'is' if left == 1 else 'are'} not yet the farm's own"
