"""Who asks for which coverage, in which years it is not met, and what the plan has of it where a blow is told."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.pack.said import BLANK, ratio
from farmsim.report.words import listed, tidy
from farmsim.study.pack_answers import Pack, Stressed


def as_planned(pack: Pack, one: Stressed) -> str:
    """The ratio that the lender means, of the plan in the year that a blow is told of, over the same runs."""
    is_simple = pack.asked.needed_ratio.lower().startswith("simple")
    found = one.planned_simple if is_simple else one.planned_coverage
    return ratio(None if found is None else found.usual)


def sentence(pack: Pack) -> str:
    """Usual years, poor years, and usual ones without those only hoped for; nothing when no coverage is asked for."""
    asked = pack.asked
    if asked.needed is None:
        return ""
    told = tidy(asked.needed_from)
    who = f"{BLANK} {told}" if told.startswith("of ") else told
    source = f" (told by: {who})" if who else f" (who told it, and when: {BLANK})"
    return f"Asked for is {asked.needed_ratio} of {ratio(asked.needed)}{source}: {'; '.join(_cases(pack))}."


def _cases(pack: Pack) -> Iterator[str]:
    cases = {
        "in usual runs": {each.year: each.usual for each in pack.met},
        "in poor runs (1 in 10)": {each.year: each.poor for each in pack.met},
        "without those only hoped for": {each.year: each.hoped for each in pack.met},
    }
    for when, found in cases.items():
        missed = [f"{year}" for year, is_met in found.items() if is_met is False]
        if missed:
            yield f"not met {when} in year{'s' if len(missed) > 1 else ''} {listed(missed)}"
        elif any(found.values()):
            yield f"met {when}"
