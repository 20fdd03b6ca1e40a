"""How many runs are enough: as many as it takes to know the figures as well as was asked for.

The rule looks at the runs in the order of their numbers, whichever was ready first. A number of runs is enough when with it,
and with each of the next few, the interval of every figure is as narrow as asked: an interval can be narrow by chance and
wide again with the next run, and that is what is looked ahead for. Fewer than 20 runs are never enough. The answer is told of
the runs that are enough, and is that of a study of just so many; those that were looked ahead to are stored and not used.

The idea and how far ahead it looks (5 runs, above 100 runs 5 in 100 of them) are those of Hoad, Robinson and Davies,
"Automated selection of the number of replications for a discrete-event simulation", Journal of the Operational Research
Society 61 (2010), 1632-1644. Ours are: 20 runs at least, where they begin with 3, because stopping at a narrow interval
favours those that are narrow by luck, which costs less of the certainty the more runs there are; several figures at once,
whose intervals hold together (the risk is shared out over them); and shares, which are known to so many points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from farmsim import units
from farmsim.errors import FarmsimError, QuantityFault
from farmsim.study import bounds
from farmsim.study.precision import SURE, half_widths, runs_needed

LEAST, AHEAD, PLENTY = 20, 5, 100  # runs: never fewer; looked ahead to; above so many the look ahead grows with them
USUAL, BUDGET = 20, 200  # runs, and runs at most for a precision, when nothing is said
FINEST, COARSEST = 0.001, 0.5  # what may be asked for
STEP = 4  # a batch that the arithmetic asks for is at most this part of the runs there are
Curves = np.ndarray[tuple[int, int], np.dtype[np.float64]]  # one row a figure, one column a number of runs


class NoPrecision(FarmsimError, ValueError):
    """A precision that cannot be understood or is not offered."""

    exit_code = 2


def read(text: str) -> float:
    """A precision as it is typed: "2 %".

    Goes wrong when it is not in percent or not offered: NoPrecision.
    """
    try:
        value = units.parse(text, "fraction")
    except QuantityFault:
        value = float("nan")
    if ("%" in text or "percent" in text.lower()) and FINEST <= value <= COARSEST:
        return value
    meant = value if 0 < value < 1 else value / 100
    is_bare = text.strip().replace(".", "", 1).isdigit() and FINEST <= meant <= COARSEST
    mend = f' Did you mean "{meant * 100:g} %"?' if is_bare else ""
    raise NoPrecision(
        f'"{text}" is no precision: write how far off a figure may be, in percent of it, from {FINEST * 100:g} % to '
        f'{COARSEST * 100:g} %, such as "2 %".{mend}'
    )


@dataclass(frozen=True)
class Until:
    """As many runs as it takes.

    within: half the width of every interval, as part of its figure; of a share as it is: 0.02 are 2 points [1]
    most: runs that may be worked out, those that are only looked ahead to among them [runs]
    Goes wrong when it cannot be: NoPrecision, NotAllowed.
    """

    within: float
    most: int = BUDGET

    def __post_init__(self) -> None:
        if not FINEST <= self.within <= COARSEST:
            raise NoPrecision(f"precision is {self.within!r}; needs a share from {FINEST:g} to {COARSEST:g}")
        bounds.whole("runs", self.most, 1, bounds.MOST_RUNS)
        if self.most < LEAST:
            raise NoPrecision(
                f"a precision is judged by {LEAST} runs at least, and only {self.most} are allowed: allow more, or leave "
                "the number of runs out"
            )


def how_many(runs: int | None, precision: float | None) -> int | Until:
    """So many runs, or until what is known, with so many at most; None takes what is usual."""
    if precision is None:
        return USUAL if runs is None else runs
    return Until(precision, BUDGET if runs is None else runs)


@dataclass(frozen=True)
class Figure:
    """A figure to be known, one value a run in the order of their numbers; None where a run does not know it [unit].

    values: the figure itself, or what a change does to it
    beside: what its interval is a part of, one value a run; None of a share, whose interval is told in points
    change: whose figure it is; nothing where there is one farm only
    """

    name: str
    unit: str
    values: tuple[float | None, ...]
    beside: tuple[float | None, ...] | None
    change: str = ""


@dataclass(frozen=True)
class Watched:
    """What is judged.

    told: intervals that have to hold together, by the number of runs from 1 on; None: those of the figures
    """

    figures: tuple[Figure, ...]
    told: tuple[int, ...] | None = None


@dataclass(frozen=True)
class Reached:
    """How well a figure is known.

    part: half the width of its interval, as part of the figure, or of a share as it is [1]
    is_near: whether that is as well as was asked for
    needed: about how many runs it would take; None where it is near, or where nobody makes so many
    """

    name: str
    unit: str
    change: str
    part: float
    is_near: bool
    needed: int | None


@dataclass(frozen=True)
class Stopped:
    """How many runs were used, and how well each figure is known by them."""

    until: Until
    runs: int
    figures: tuple[Reached, ...]

    @property
    def is_enough(self) -> bool:
        """Whether all is known as well as was asked for."""
        return all(one.is_near for one in self.figures)

    @property
    def as_plain(self) -> dict[str, object]:
        """The same as JSON holds it."""
        figures = [
            {**({"change": one.change} if one.change else {}), "figure": one.name, "unit": one.unit,
             "known_to": one.part, "reached": one.is_near, "runs_needed": one.needed}
            for one in self.figures
        ]  # fmt: skip
        asked = {"precision": self.until.within, "most_runs": self.until.most, "sure": SURE}
        return {**asked, "runs": self.runs, "reached": self.is_enough, "figures": figures}


def ahead_of(runs: int, ahead: int = AHEAD) -> int:
    """How many runs are looked ahead to from a number of runs [runs]."""
    return ahead if runs <= PLENTY else ahead * runs // PLENTY


def enough(watched: Watched, within: float, least: int = LEAST, ahead: int = AHEAD) -> int | None:
    """The number of runs that is enough, as far as the runs there are can tell; None when they cannot."""
    near = ~np.any(_parts(watched) > within, axis=0)
    for runs in range(least, len(near) + 1):
        last = runs + ahead_of(runs, ahead)
        if last > len(near):
            return None
        if near[runs - 1 : last].all():
            return runs
    return None


def seek(until: Until, hands: int, take: Callable[[range, int], Watched]) -> Stopped:
    """Make runs in batches until they are enough or no more are allowed.

    hands: processes at work at once; only the batches depend on them [count]
    take: works out the runs of these numbers, and is told about how many more there will be, these among them; gives the
        figures of all runs so far
    """
    done, batch, found = 0, LEAST + ahead_of(LEAST), None
    about = batch
    while found is None and done < until.most:
        numbers = range(done, min(done + -(-batch // hands) * hands, until.most))
        watched = take(numbers, min(max(about, len(numbers)), until.most - done))
        done = numbers.stop
        found = enough(watched, until.within)
        about = _still(watched, until.within, done)
        batch = max(1, min(about, done // STEP))
    runs = done if found is None else found
    return Stopped(until, runs, _reached(watched, until.within, runs))


def _still(watched: Watched, within: float, done: int) -> int:
    """About how many runs more it takes, those to be looked ahead to among them [runs]."""
    far = [one.needed or bounds.MOST_RUNS for one in _reached(watched, within, done) if not one.is_near]
    if far:
        first = max(far)
    else:
        wide = np.flatnonzero(np.any(_parts(watched) > within, axis=0))
        first = max(LEAST, int(wide[-1]) + 2 if len(wide) else 1)
    return max(1, first + ahead_of(first) - done)


def _reached(watched: Watched, within: float, runs: int) -> tuple[Reached, ...]:
    """How well every figure that can be judged is known by the first so many runs."""
    parts, sure = _parts(watched)[:, runs - 1], _sure(watched)[runs - 1]
    found = []
    for figure, part in zip(watched.figures, parts, strict=True):
        if np.isnan(part):
            continue
        is_near, needed = bool(part <= within), None
        if not is_near:
            give = within * float(_sizes(figure)[runs - 1])
            needed = runs_needed(_floats(figure.values[:runs]), give, sure)
        found.append(Reached(figure.name, figure.unit, figure.change, float(part), is_near, needed))
    return tuple(found)


def _parts(watched: Watched) -> Curves:
    """Half the width of every figure's interval as part of the figure, by number of runs.

    Not a number where it is not judged: a run does not know it, or there is nothing of it.
    """
    sure = _sure(watched)
    sizes = np.array([_sizes(figure) for figure in watched.figures])
    widths = np.array([half_widths(_floats(figure.values), sure) for figure in watched.figures])
    found: Curves = widths / sizes
    return found


def _sure(watched: Watched) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """How sure each interval has to be so that all hold together, by number of runs."""
    if watched.told is None:
        told = np.count_nonzero(~np.isnan([_sizes(figure) for figure in watched.figures]), axis=0)
    else:
        told = np.array(watched.told)
    sure: np.ndarray[tuple[int], np.dtype[np.float64]] = 1 - (1 - SURE) / np.maximum(told, 1)
    return sure


def _sizes(figure: Figure) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """What the interval is a part of, by number of runs; not a number where the figure is not judged."""
    values = _floats(figure.values)
    runs = np.arange(1, len(values) + 1)
    is_known = np.isfinite(np.cumsum(values))
    if figure.beside is None:
        return np.where(is_known, 1.0, np.nan)
    mean = np.abs(np.cumsum(_floats(figure.beside)) / runs)
    return np.where(is_known & (mean > 0), mean, np.nan)


def _floats(values: Sequence[float | None]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([np.nan if value is None else value for value in values], dtype=float)
