"""Dated changes read back: what changes on which Monday, from what to what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import timedelta
from itertools import islice, pairwise

from farmsim.scenario.alter import TIMELESS
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure
from farmsim.scenario.part import Part
from farmsim.scenario.say import Say

MOST = 12  # lines told of one date


def later(farm: Farm, say: Say) -> Iterator[str]:
    """Each later state of the farm beside the one before it, one sentence for each figure that changes."""
    states = ((0.0, farm), *farm.changes)
    for (_, before), (hour, after) in pairwise(states):
        day = farm.farm.start + timedelta(hours=hour)
        told = differences(before, after, say)
        first = list(islice(told, MOST))
        more = sum(1 for _ in told)
        for line in [*first, *([f"and {more} more"] if more else [])]:
            yield f"From {day:%a} {day.day} {day:%b %Y}: {line}."


def differences(before: Farm, after: Farm, say: Say) -> Iterator[str]:
    """What differs between two states of the farm, one piece for each figure: "crew pickers, people 3 -> 4"."""
    for attribute, figure in Farm.figures.items():
        if figure.how and figure.name not in TIMELESS:
            old, new = getattr(before, attribute), getattr(after, attribute)
            name = figure.name.replace("walk_in", "walk-in").replace("_", " ")
            if figure.how == "one":
                yield from _whole(name, old, new, say)
            else:
                yield from _named(name, _by_name(old), _by_name(new), say)


def _by_name(things: object) -> Mapping[str, Part]:
    """Things of one kind under their names, as a list or already so."""
    if isinstance(things, Mapping):
        return things
    assert isinstance(things, tuple)
    return {thing.name: thing for thing in things}


def _named(kind: str, old: Mapping[str, Part], new: Mapping[str, Part], say: Say) -> Iterator[str]:
    """What becomes of things that each have a name."""
    for name in dict.fromkeys((*old, *new)):
        yield from _whole(f"{kind} {name}", old.get(name), new.get(name), say)
    kept = [name for name in old if name in new]
    if kept != [name for name in new if name in old]:
        yield f"{kind}s in the order {', '.join(new)}"


def _whole(name: str, old: Part | None, new: Part | None, say: Say) -> Iterator[str]:
    """What becomes of one thing: it comes, goes or changes."""
    if old is None or new is None:
        if old is not new:
            yield f"{name} {'comes' if old is None else 'goes'}"
        return
    for attribute, figure in type(old).figures.items():
        was, now = getattr(old, attribute), getattr(new, attribute)
        if was != now:
            yield from _figure(f"{name}, {figure.name.replace('_', ' ')}", figure, was, now, say)


def _figure(name: str, figure: Figure, was: object, now: object, say: Say) -> Iterator[str]:
    if isinstance(was, Part) and isinstance(now, Part):
        yield from _whole(name, was, now, say)
    else:
        yield f"{name} {say.figure(figure, was)} -> {say.figure(figure, now)}"
