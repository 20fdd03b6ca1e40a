"""Every figure behind the plan with where it comes from and of which day it is, and what topics of safety it touches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

import pandas as pd

from farmsim.scenario.assumed import OWN, Assumed, assumed
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import COMMON
from farmsim.scenario.stall import STALL, as_market_day
from farmsim.study.pack_sides import states

KINDS = ("own", "published", "common practice", "placeholder", "as usual")
"""What stands behind a figure: the farm's own word; print or a supplier's sheet; what is usual in the trade; nothing yet; a
choice that the farm left as it usually is."""
COLUMNS = ("figure", "value", "meaning", "source", "guess", "day", "kind")
_PUBLISHED = ("P: ", "S: ")
_WHO, _DAY = "_from", "_of"
_OF_PRICES = "prices"


def assumptions(farm: Farm) -> pd.DataFrame:
    """One row for each figure that ever has a say in the farm, placeholders first, since they want measuring first.

    A figure of the farm's own file has the source and the day that the file gives beside it, such as those of an invoice. One
    that changes on a day has all its values, each with the day from which it holds; the rest is told of the last.
    """
    rows: dict[tuple[str, ...], tuple[str, ...]] = {}
    held: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for since, state in states(farm):
        day = (farm.farm.start + timedelta(hours=since)).isoformat()
        found = _as_stalls_take(assumed(state))
        said = {each.path: each.value for each in found if _is_source(each.path)}
        of_state = {each.path: each for each in found if not _is_source(each.path) and each.path[-1] != "name"}
        rows |= {path: _row(each, said) for path, each in of_state.items()}
        for path in dict.fromkeys((*held, *of_state)):
            value = of_state[path].value if path in of_state else GONE
            before = held.setdefault(path, [])
            if not before or before[-1][1] != value:
                before.append((day, value))
    told = [(row[0], _over_time(held[path]), *row[2:]) for path, row in rows.items()]
    told.sort(key=lambda row: row[-1] != "placeholder")
    return pd.DataFrame(told, columns=list(COLUMNS))


def _as_stalls_take(found: Sequence[Assumed]) -> list[Assumed]:
    """The same figures, what is taken to a stall told by the market day."""
    stalls = {each.path[:2] for each in found if each.path[2:] == ("kind",) and each.value == STALL}
    return [
        replace(each, value=as_market_day(each.value))
        if each.path[:2] in stalls and each.path[-1] in ("takes", "sells")
        else each
        for each in found
    ]


GONE = "no more"


def _over_time(values: Sequence[tuple[str, str]]) -> str:
    """What holds first, then each other value with its day: "60 blocks a week; from 2027-03-01: 80 blocks a week"."""
    (_, first), *later = values
    return "; ".join((first, *(f"from {day}: {value}" for day, value in later)))


def _is_source(path: Sequence[str]) -> bool:
    """Whether it only says where other figures come from."""
    return path[-1].endswith((_WHO, _DAY)) and path[-1].split("_")[0] in ("prices", "bills", "costs", "terms", "books")


def _row(each: Assumed, said: Mapping[tuple[str, ...], str]) -> tuple[str, ...]:
    who, day = (_beside(each.path, said, ending) for ending in (_WHO, _DAY))
    source = who if who and each.source == OWN else each.source
    guess, day = "yes" if each.is_guess else "no", day if each.source == OWN else ""
    return _written(each.path), each.value, each.meaning, source, guess, day, kind_of(each)


def _written(path: Sequence[str]) -> str:
    """A path as it is asked for elsewhere: a name with a point in it stands in quotes."""
    return ".".join(f'"{piece}"' if "." in piece else piece for piece in path)


def _beside(path: tuple[str, ...], said: Mapping[tuple[str, ...], str], ending: str) -> str:
    """What the file says beside a figure of its source or its day; what is said of prices is said of prices only."""
    for length in range(len(path) - 1, 0, -1):
        for prefix in ("prices", "bills", "costs", "terms", "books"):
            told = said.get((*path[:length], f"{prefix}{ending}"))
            if told is not None and (prefix != _OF_PRICES or path[0] == "materials" or path[-1].startswith("price")):
                return told
    return ""


def kind_of(each: Assumed) -> str:
    """Which of the `KINDS` stands behind a figure."""
    if each.is_guess:
        return "common practice" if each.source.startswith(COMMON) else "placeholder"
    if each.source == OWN:
        return "own"
    return "published" if each.source.startswith(_PUBLISHED) else "as usual"


def counts(table: pd.DataFrame) -> dict[str, int]:
    """How many figures of the list are of which kind."""
    found = Counter(table["kind"])
    return {kind: found[kind] for kind in KINDS}


# --- safety -----------------------------------------------------------------------------------------------------------

TOPICS = ("steam", "spores", "CO2", "wet floors", "lifting", "hours", "cold store", "food safety")


def topics(farm: Farm) -> tuple[str, ...]:
    """Topics of safety that a state of the farm touches, in the order of `TOPICS`."""
    touched = set(_touched(farm))
    return tuple(topic for topic in TOPICS if topic in touched)


def _touched(farm: Farm) -> Iterator[str]:
    if farm.sterilizer is not None:
        yield "steam"
    if farm.room:
        yield from ("spores", "CO2", "wet floors")
    if farm.soak is not None:
        yield "wet floors"
    if farm.start:
        yield "lifting"
    if farm.crew:
        yield "hours"
    if farm.walk_in:
        yield "cold store"
    if farm.customer:
        yield "food safety"
