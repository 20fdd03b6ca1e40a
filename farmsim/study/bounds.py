"""How many runs, weeks and workers a study may have; asked for on the command line or from Python."""

from __future__ import annotations

import operator

from farmsim.errors import FarmsimError

MOST_RUNS, MOST_WEEKS, MOST_SEED, MOST_WORKERS = 10_000, 520, 10**9, 512
FEWEST_TO_JUDGE, MOST_TRIES, MOST_AHEAD = 5, 100, 104  # of a plan: runs, plans that are tried, weeks of its start sheet


class NotAllowed(FarmsimError, ValueError):
    """A study was asked for that cannot be made."""

    exit_code = 2


def whole(name: str, value: int, least: int, most: int) -> int:
    """The value, if it is a whole number within the bounds.

    Goes wrong when it is not: NotAllowed names the argument, what was found and what is allowed.
    """
    try:
        number = operator.index(value)
    except TypeError:
        number = least - 1
    if not least <= number <= most:
        raise NotAllowed(f"{name} is {value!r}; needs a whole number from {least:,} to {most:,}")
    return number
