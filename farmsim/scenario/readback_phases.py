"""The phases of a farm that grows, read back one after another: what comes, and what averages say of each."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import islice

from farmsim.scenario import averages, outlook
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import flows
from farmsim.scenario.readback_later import differences
from farmsim.scenario.say import Say, joined
from farmsim.units import HOURS_A_WEEK

MOST = 10  # changes told of one phase
FULLEST = 2  # places and crews named of one phase


def phases(farm: Farm, say: Say) -> Iterator[str]:
    """Each phase: its name, its first day, how long it lasts, what changes, and its averages; other changes between them."""
    places, before = {since: at for at, (since, _) in enumerate(farm.phases)}, farm
    for since, state in ((0.0, farm), *farm.changes):
        what, at = _what(before, state, say), places.get(since)
        if at is None:
            yield f"From {_day(farm, since)}: {what}."
        else:
            yield f"{at + 1}. {farm.phases[at][1]}, from {_day(farm, since)}, {_weeks(farm, at)}: {what}."
            yield _averages(state, say)
        before = state


def looks(farm: Farm) -> Iterator[str]:
    """What deserves a second look in a later phase and did not before."""
    states, seen = dict([(0.0, farm), *farm.changes]), set(outlook.second_looks(farm))
    for since, name in farm.phases[1:]:
        for sentence in outlook.second_looks(states[since]):
            if sentence not in seen:
                seen.add(sentence)
                yield f"From phase {name} on: {sentence}"


def _day(farm: Farm, since: float) -> str:
    when: date = farm.farm.start + timedelta(hours=since)
    return f"{when:%a} {when.day} {when:%b %Y}"


def _weeks(farm: Farm, at: int) -> str:
    ends = [since for since, _ in farm.phases[at + 1 :]] or [farm.farm.weeks * HOURS_A_WEEK]
    weeks = round((ends[0] - farm.phases[at][0]) / HOURS_A_WEEK)
    return f"{weeks} week{'' if weeks == 1 else 's'}"


def _what(before: Farm, after: Farm, say: Say) -> str:
    told = differences(before, after, say)
    first = list(islice(told, MOST))
    more = sum(1 for _ in told)
    return "; ".join([*first, *([f"{more} more"] if more else [])]) or "the farm as it is told above"


def _averages(state: Farm, say: Say) -> str:
    """What the plan of a phase brings on averages, what is fullest, and what does not fit."""
    saleable, unit = say.plain(sum(each.saleable for each in flows(state)), "kg")
    text = f"Filled up, it brings on averages {saleable:,.0f} {unit} of firsts and seconds a week"
    sold = sum(each.sold for each in flows(state))
    text += f" and {sold:,.0f} blocks are sold" if sold else ""
    needs = sorted(averages.needs(state), key=lambda need: (-need.share, need.name))
    over = [need for need in needs if need.share > 1]
    named = joined([f"{need.name} {100 * need.share:.0f} %" for need in (over or needs)[:FULLEST]])
    text += f"; does not fit: {named}" if over else f"; fullest: {named}" if named else ""
    wanting = [each.name for each in outlook.promises(state) if each.promised > each.brings]
    return f"{text}; more is promised than it brings: {joined(wanting)}." if wanting else f"{text}."
