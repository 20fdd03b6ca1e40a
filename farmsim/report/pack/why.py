"""Why it is asked for: the farm's own words, and beside them how full its rooms are and what looks tight in the simulation."""

from __future__ import annotations

from farmsim.report.pack import headings
from farmsim.report.pack.said import BLANK, Told, day_of, joined, percent, usual
from farmsim.report.words import count, listed, tidy
from farmsim.study.pack_answers import Pack

ROOM = "shelf"  # the kind of place that a fruiting room is
TIGHT = 3  # places and crews named


def why(pack: Pack) -> str:
    """The farm's own words, then what was seen."""
    own = tidy(pack.asked.why) or f"{BLANK} (the farm's own words)"
    seen = f"What looks tight in the simulation: without it {_tight(pack.tight_before)}, with it {_tight(pack.tight_after)}"
    if not pack.headroom:
        return f"{own} {seen}."
    return f"{own} {joined((rooms(pack), seen))} ({headings.see(headings.CAPACITY)})."


def rooms(pack: Pack) -> str:
    """How full the fruiting rooms are without the expansion, beside what the farm says of them."""
    levels = [one.before for one in pack.headroom if one.kind == ROOM and one.before is not None]
    if not levels:
        return ""
    usual_week, bad_week = (_span([level.usual for level in levels]), _span([level.bad for level in levels]))
    which = "the fruiting room is" if len(levels) == 1 else "fruiting rooms are"
    return (
        f"In the simulation {which} {usual_week} full without it in a usual week and {bad_week} in a bad one (1 in 10)."
    )


def own_books(pack: Pack, told: Told) -> str:
    """What the last of the farm's own years sold beside what the model says of the first to come without the expansion."""
    own = pack.past[-1].lines.get("sales") if pack.past else None
    said = usual(pack.base.years[0], "sales")
    if own is None or said is None or not pack.base.years[0].is_whole:
        return ""
    return (
        f"Without the expansion the model sells {told.money(said)} in year 1; our own books of the year to "
        f"{day_of(pack.past[-1].ends)} say {told.money(own)}. Why they differ: {BLANK}."
    )


def _span(shares: list[float]) -> str:
    least, most = percent(min(shares)), percent(max(shares))
    return most if least == most else f"{least.removesuffix(' %')} to {most}"


def _tight(names: tuple[str, ...]) -> str:
    more = len(names) - TIGHT
    named = [tidy(name) for name in names[:TIGHT]]
    return listed([*named, f"{count(more)} more"] if more > 0 else named) or "nothing"
