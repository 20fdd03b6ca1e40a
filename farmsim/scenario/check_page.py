"""The page of `farmsim check`: the farm read back, what averages alone would say, and which figures are guesses."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from farmsim.scenario import assumed, averages, outlook
from farmsim.scenario.farm import Farm
from farmsim.scenario.readback import read_back
from farmsim.scenario.readback_phases import looks as later_looks
from farmsim.scenario.readback_request import looks as request_looks
from farmsim.scenario.readback_unheard import looks as unheard_looks
from farmsim.scenario.readback_year import shut_sentences, year_strip
from farmsim.scenario.say import Say, joined

WIDTH = 100
HEAD = 14  # columns kept for the heading of a section
TIED = "\u00a0"  # a space at which no line is broken
UNIT = re.compile(r"(?<=\d) (?=%|[a-zA-Z]{1,6}\b)")


def page(farm: Farm) -> str:
    """The whole page, in plain text."""
    lines = [farm.farm.name, ""]
    for heading, sentences in read_back(farm):
        lines += _beside(heading, _wrapped(sentences))
    lines += _beside("YEAR", [*year_strip(farm), *_wrapped(shut_sentences(farm))])
    lines += ["", *_beside("ON AVERAGES", list(_averages(farm))), ""]
    looks = [*outlook.second_looks(farm), *unheard_looks(farm), *later_looks(farm), *request_looks(farm)] or [
        "Nothing stands out: every place and crew has room on average."
    ]
    lines += _beside("LOOK AGAIN", _wrapped(looks))
    lines += ["", *_beside("GUESSED", _wrapped(_guessed(farm)))]
    return "\n".join(lines)


def _wrapped(sentences: Iterable[str]) -> list[str]:
    """Sentences broken into lines, no number parted from its unit."""
    tied = (UNIT.sub(TIED, sentence) for sentence in sentences)
    return [line.replace(TIED, " ") for sentence in tied for line in wrap(sentence, WIDTH - HEAD)]


def _beside(heading: str, lines: Sequence[str]) -> list[str]:
    """Lines with a heading before the first; a long heading has a line of its own."""
    if len(heading) >= HEAD:
        return [heading, *(f"{'':<{HEAD}}{line}" for line in lines)]
    return [f"{heading if at == 0 else '':<{HEAD}}{line}".rstrip() for at, line in enumerate(lines)]


def _row(name: str, needs: str, there_is: str, share: str, note: str = "") -> Iterator[str]:
    """One row of the table; a long name stands above it, a long note goes on below."""
    first, *rest = wrap(note, WIDTH - HEAD - 53) or [""]
    above = wrap(name, WIDTH - HEAD) if len(name) > 23 else []
    yield from above
    yield f"{'' if above else name:<24}{needs:>10}{there_is:>10}{share:>7}  {first}".rstrip()
    yield from (f"{'':<53}{line}" for line in rest)


def _averages(farm: Farm) -> Iterator[str]:
    """Every place and crew, then every promise: what the plan needs against what there is."""
    yield from _wrapped(
        ["What the plan needs in a usual week if nothing waits, comes in clusters or falls on a weekend:"]
    )
    yield from _row("", "needs", "there is", "used")
    say = Say(farm.farm.units, farm.farm.currency)
    for need in averages.needs(farm):
        needs, there_is, unit = need.told(say)
        notes = f"{unit}; {need.note}" if need.note else unit
        yield from _row(need.name, _number(needs), _number(there_is), _share(need.share), notes)
    yield from _row("", "promised", "brings", "")
    for promise in outlook.promises(farm):
        share = promise.promised / promise.brings if promise.brings else 0.0
        promised, unit = say.plain(promise.promised, promise.unit)
        brings, _ = say.plain(promise.brings, promise.unit)
        yield from _row(promise.name, _number(promised), _number(brings), _share(share), f"{unit} a week")


def _number(value: float) -> str:
    return f"{value:,.1f}" if value < 9.95 else f"{value:,.0f}"


def _share(share: float) -> str:
    return f"{100 * share:.0f} %" if share < 100 else "-"


def _guessed(farm: Farm) -> Iterator[str]:
    """The guesses the farm's file does not give or marks as such, the same figure of several strains together."""
    found = assumed.guesses(farm)
    if not found:
        yield "No figure is left to a guess of ours."
        return
    yield (
        f"{len(found)} figures are not in the file, or marked there as guesses, and nothing published stands behind "
        "them. Measure these first:"
    )
    for meaning, same in assumed.grouped(found):
        yield f"- {meaning}: {_values(farm, same)}"


def _values(farm: Farm, same: Sequence[assumed.Assumed]) -> str:
    by_value: dict[str, list[str]] = {}
    for each in same:
        by_value.setdefault(each.value, []).append(each.path[1])
    if len(same) == 1 and same[0].path[0] not in ("strain", "crew", "start", "customer", "block_customer"):
        return same[0].value
    everything = len(same) == len(farm.strain) and same[0].path[0] == "strain" and len(by_value) == 1
    if everything and len(same) > 1:
        return f"{same[0].value} (all strains)"
    return "; ".join(f"{value} ({joined(names)})" for value, names in by_value.items())
