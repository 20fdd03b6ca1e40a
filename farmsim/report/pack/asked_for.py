"""The coverage the lender asks for: by whom and when, and in which years it is kept: usual, poor, without those hoped for."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report.pack.said import BLANK, SIMPLE, TERM, Told, poor, ratio, usual
from farmsim.report.words import listed, tidy
from farmsim.study.answers import Total
from farmsim.study.pack_answers import Pack, Stressed

NAMED = 3  # years below it that are told with their figures
OF_HOPED = "if those only hoped for never come"
Years = Sequence[tuple[int, float | None]]
"""By its number the ratio of a year; None where there is nothing to cover."""


def is_simple(pack: Pack) -> bool:
    """Whether the lender looks at simple debt-service coverage; else, and when nothing is said, at term debt coverage."""
    return pack.asked.needed_ratio.lower().startswith("simple")


def name(pack: Pack) -> str:
    """The ratio the lender looks at, by its full name."""
    return SIMPLE if is_simple(pack) else TERM


def line(pack: Pack) -> str:
    """The same as the books call it."""
    return "simple_debt_service_coverage" if is_simple(pack) else "term_debt_coverage"


def meant(pack: Pack, one: Stressed) -> Total | None:
    """The ratio the lender looks at, after a blow."""
    return one.simple if is_simple(pack) else one.coverage


def planned(pack: Pack, one: Stressed) -> Total | None:
    """The same as planned, in the same year and over the same runs."""
    return one.planned_simple if is_simple(pack) else one.planned_coverage


def without_hoped(pack: Pack) -> Years:
    """The ratio in usual years, if those who are only hoped for never come; none where nobody is."""
    if pack.hoped is None:
        return ()
    known = pack.hoped.simple_by_year if is_simple(pack) else pack.hoped.by_year
    if not known:
        told = meant(pack, pack.hoped)
        return [(pack.hoped.year, None if told is None else told.usual)]
    return [(at, None if each is None else each.usual) for at, each in enumerate(known, 1)]


def is_kept(pack: Pack) -> str:
    """Whether what is asked for is kept, in one sentence; nothing where it is not known what is asked for."""
    needed = pack.asked.needed
    if needed is None:
        return ""
    years = pack.expanded.years
    pieces = [f"in usual years {_kept([(year.number, usual(year, line(pack))) for year in years], needed)}"]
    if Told(pack).has_poor:
        pieces.append(
            f"in poor years (1 in 10) {_kept([(year.number, poor(year, line(pack))) for year in years], needed)}"
        )
    if found := without_hoped(pack):
        pieces.append(f"{OF_HOPED} {_kept(found, needed)}")
    from_ = tidy(pack.asked.needed_from)
    told = f"told by: {from_}" if from_ else f"who told it, and when: {BLANK}"
    return f"The lender asks for {name(pack).lower()} of {ratio(needed)} ({told}): {'; '.join(pieces)}."


def _kept(years: Years, needed: float) -> str:
    """In which years it is kept, those below it with their figures."""
    known = [(number, value) for number, value in years if value is not None]
    below = [(number, value) for number, value in known if value < needed]
    if not known:
        return "there is nothing to cover"
    if not below:
        return "it is kept in every year"
    worst = sorted(below, key=lambda each: each[1])[:NAMED]
    told = listed([f"{_below(value, needed)} in year {number}" for number, value in sorted(worst)])
    if len(below) == len(known) > 1:
        return f"it is kept in no year ({told})"
    return (
        f"it is not kept: {told}"
        if len(known) == 1
        else f"it is not kept in {len(below)} of {len(known)} years ({told})"
    )


def _below(value: float, needed: float) -> str:
    return f"just below {ratio(needed)}" if ratio(value) == ratio(needed) else ratio(value)
