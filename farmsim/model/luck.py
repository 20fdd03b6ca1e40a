"""All random draws of the farm: every number is found by name, never by turn.

What befalls a lot is looked up by (seed, run number, cause, name of the line, ordinal of the Monday) and then by
position in the week. Nothing depends on what was drawn before, so one more lot at the end of a week, another line in
the file, a longer lead-in or another worker process leave the luck of every other lot as it was.

How it is done: a counter-based generator (Philox) is a fixed shuffle of (key, counter). The key is a digest of seed,
run number, cause and name; the upper half of the counter is the ordinal of the Monday, the lower half counts
positions. Each position uses one uniform, turned into any spread by its inverse transform; nothing is ever drawn and
thrown away.

Source of the generator: Salmon, Moraes, Dror & Shaw (2011), Parallel random numbers: as easy as 1, 2, 3.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy import special

from farmsim.model.breath import breathe
from farmsim.model.total import total
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary

LUCK_VERSION = 1
"""Goes up when the same seed no longer gives the same numbers; saved results name it."""

Numbers: TypeAlias = NDArray[np.float64]

AT_ONCE: Final = 8
"""Mondays whose days are drawn together: a call for many numbers takes hardly longer than one for a few."""

FEW: Final = 8  # of all that may happen to it; nearly always it happens to fewer
_ONCE_A_RUN = "drawn once a run"
_WHOLE = 2**64


class Luck:
    """The luck of one run.

    seed: the study's seed [whole number]
    number: which run of the study this is [whole number]
    """

    def __init__(self, seed: int, number: int) -> None:
        self.seed = seed
        self.number = number
        self._sources: dict[tuple[str, str], _Source] = {}
        self._days: dict[tuple[str, str, float], dict[int, list[float]]] = {}
        self._of_days: dict[tuple[str, str], dict[int, list[float]]] = {}

    def uniforms(self, cause: str, name: str, ordinal: int, count: int) -> Numbers:
        """Uniforms strictly inside (0, 1); a longer count keeps the earlier values.

        cause: what is decided by this draw, e.g. "colonise"
        name: whose luck it is, usually the line's name
        ordinal: which Monday, counted from farm.start; negative in the lead-in [weeks]
        count: how many positions [1]
        """
        return self._source(cause, name).uniforms(ordinal, count)

    def uniforms_many(self, cause: str, name: str, ordinals: Iterable[int], count: int) -> Numbers:
        """The same draws for many Mondays at once: one row per ordinal, one column per position."""
        breathe()  # draws of a thousand years take a while
        every = list(ordinals)
        found = np.empty((len(every), count), dtype=np.uint64)
        self._source(cause, name).fill(found, every)
        return _inside(found)

    def normals(self, cause: str, name: str, ordinal: int, count: int) -> Numbers:
        """Standard normals, by inverse transform of `uniforms` with the same arguments."""
        return np.asarray(special.ndtri(self.uniforms(cause, name, ordinal, count)))

    def settle(self, vary: Vary, cause: str, name: str) -> Vary:
        """The spread as it is in this run: a mean known only as a range gets its one value, others stay as they are."""
        if not isinstance(vary, RangeMean):
            return vary
        u = float(self.uniforms(f"{cause}, {_ONCE_A_RUN}", name, 0, 1)[0])
        return MeanCv(mean=vary.low + u * (vary.high - vary.low), cv=vary.cv, shape=vary.shape)

    def draw(self, vary: Vary, cause: str, name: str, ordinal: int, count: int) -> Numbers:
        """Values of a figure for the lots of one Monday, position by position [unit of the figure]."""
        return draw(self.settle(vary, cause, name), self.uniforms(cause, name, ordinal, count))

    def of_days(self, cause: str, name: str, ordinal: int) -> list[float]:
        """The seven uniforms of the days of a week, by that Monday; kept, for each day asks for its own [1]."""
        kept = self._of_days.setdefault((cause, name), {})
        if ordinal not in kept:
            first = ordinal // AT_ONCE * AT_ONCE
            ordinals = range(first, first + AT_ONCE)
            kept.update(zip(ordinals, self.uniforms_many(cause, name, ordinals, 7).tolist(), strict=True))
        return kept[ordinal]

    def days(self, cv: float, cause: str, name: str, ordinal: int) -> list[float]:
        """What the days of a week are multiplied by: seven values around 1, from the uniforms of that Monday [1].

        Kept, since what is ordered with notice is asked for again and again.
        """
        kept = self._days.get((cause, name, cv))
        if kept is None:
            kept = self._days[cause, name, cv] = {}
        if ordinal not in kept:
            first = ordinal // AT_ONCE * AT_ONCE
            ordinals = range(first, first + AT_ONCE)
            drawn = draw(MeanCv(1.0, cv), self.uniforms_many(cause, name, ordinals, 7))
            kept.update(zip(ordinals, drawn.tolist(), strict=True))
        return kept[ordinal]

    def stream(self, spread: Spread, cause: str, name: str, chunk: int = 512) -> Stream:
        """An endless row of values of one spread, found by position; see `Stream`."""
        if isinstance(spread, RangeMean):
            spread = self.settle(spread, cause, name)
        return Stream(self, spread, cause, name, chunk)

    def _source(self, cause: str, name: str) -> _Source:
        source = self._sources.get((cause, name))
        if source is None:
            source = self._sources[cause, name] = _Source(self.seed, self.number, cause, name)
        return source


class Stream:
    """An endless row of values: the one at a position is always the same, whichever is asked for first.

    Drawn `chunk` positions at a time, a chunk being one ordinal; the chunk is part of what fixes the values.
    """

    __slots__ = ("_cause", "_chunk", "_drawn", "_luck", "_name", "_spread")

    def __init__(self, luck: Luck, spread: Spread, cause: str, name: str, chunk: int) -> None:
        self._luck = luck
        self._spread = spread
        self._cause = cause
        self._name = name
        self._chunk = chunk
        self._drawn: dict[int, list[float]] = {}

    def __getitem__(self, position: int) -> float:
        ordinal, place = divmod(position, self._chunk)
        values = self._drawn.get(ordinal)
        if values is None:
            uniforms = self._luck.uniforms(self._cause, self._name, ordinal, self._chunk)
            values = self._drawn[ordinal] = draw(self._spread, uniforms).tolist()
        return values[place]


class _Source:
    """The draws of one cause and name. Moving one generator's counter is five times cheaper than a new generator."""

    __slots__ = ("_bits", "_counter", "_state")

    def __init__(self, seed: int, number: int, cause: str, name: str) -> None:
        # The length before the cause keeps ("a", "bc") and ("ab", "c") apart.
        text = f"{LUCK_VERSION} {seed} {number} {len(cause)} {cause}{name}"
        digest = hashlib.blake2b(text.encode(), digest_size=16).digest()
        self._bits = np.random.Philox(key=np.frombuffer(digest, dtype="<u8").astype(np.uint64))
        self._state = self._bits.state
        self._counter: NDArray[np.uint64] = self._state["state"]["counter"]

    def raw(self, ordinal: int, count: int) -> NDArray[np.uint64]:
        self._counter[2] = ordinal % _WHOLE
        self._bits.state = self._state
        return np.asarray(self._bits.random_raw(count))

    def fill(self, rows: NDArray[np.uint64], ordinals: Sequence[int]) -> None:
        """One row for each ordinal."""
        bits, state, counter = self._bits, self._state, self._counter
        count: int = rows.shape[1]
        for at, ordinal in enumerate(ordinals):
            counter[2] = ordinal % _WHOLE
            bits.state = state
            rows[at] = np.asarray(
                bits.random_raw(count)
            )  # else it counts as one number, which it is only without a count

    def uniforms(self, ordinal: int, count: int) -> Numbers:
        return _inside(self.raw(ordinal, count))


def _inside(raw: NDArray[np.uint64]) -> Numbers:
    """The upper 52 bits at the middle of their step, so that neither 0 nor 1 can come out."""
    found = (raw >> np.uint64(12)).astype(np.float64)
    found += 0.5
    found *= 2.0**-52
    return found


# Spreads of textbook lines. A farm's own figures use scenario.vary.


@dataclass(frozen=True, slots=True)
class Exponential:
    """No memory.  mean [any unit]"""

    mean: float


@dataclass(frozen=True, slots=True)
class Erlang:
    """Sum of `steps` equal exponentials: squared cv is 1/steps.  mean [any unit], steps [1]"""

    mean: float
    steps: int


@dataclass(frozen=True, slots=True)
class Hyperexponential:
    """One of two exponentials with balanced means.  mean [any unit], cv2 = squared cv, above 1 [1]"""

    mean: float
    cv2: float


@dataclass(frozen=True, slots=True)
class Uniform:
    """Every value between the two equally likely.  low, high [any unit]"""

    low: float
    high: float

    @property
    def mean(self) -> float:
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Poisson:
    """Whole numbers: how many of many rare things happened.  mean [1], at most about 1,000"""

    mean: float


@dataclass(frozen=True, slots=True)
class Chances:
    """One of a few values, each with its chance; chances are scaled to sum to 1."""

    values: tuple[float, ...]
    chances: tuple[float, ...]

    @property
    def mean(self) -> float:
        return total([v * c for v, c in zip(self.values, self.chances, strict=True)]) / total(self.chances)


Spread: TypeAlias = Vary | Exponential | Erlang | Hyperexponential | Uniform | Poisson | Chances


def draw(spread: Spread, uniforms: Numbers) -> Numbers:
    """Turn uniforms into values of a spread, one for one, by inverse transform [unit of the spread].

    Goes wrong when the spread is a mean known only as a range: `Luck.settle` gives it its value for the run first.
    """
    try:
        turn = _TURN[type(spread)]
    except KeyError:
        raise TypeError(f"{spread!r} cannot be drawn from; settle it for the run first (Luck.settle)") from None
    return np.asarray(turn(spread, uniforms), dtype=np.float64)


def out_of(count: int, share: float, uniform: float) -> int:
    """How many of `count` things it befalls, each with the chance `share`: one uniform turned into a binomial number."""
    few = min(count, FEW)  # mostly so few that the chances of more need not be worked out
    chances = special.bdtr(np.arange(few, dtype=np.float64), count, share)
    if few < count and chances[-1] < uniform:
        chances = special.bdtr(np.arange(count, dtype=np.float64), count, share)
    return int(np.searchsorted(chances, uniform))


def standard_normal(uniforms: Numbers) -> Numbers:
    """Uniforms turned into standard normals, one for one [1]."""
    return np.asarray(special.ndtri(uniforms))


def _fixed(spread: Fixed, u: Numbers) -> Numbers:
    return np.full(u.shape, spread.value)


def _triangular(spread: Triangular, u: Numbers) -> Numbers:
    low, likely, high = spread.low, spread.likely, spread.high
    if high <= low:
        return np.full(u.shape, low)
    rising = (likely - low) / (high - low)
    left = low + np.sqrt(u * (high - low) * (likely - low))
    right = high - np.sqrt((1.0 - u) * (high - low) * (high - likely))
    return np.where(u < rising, left, right)


def _between(spread: Between, u: Numbers) -> Numbers:
    return np.asarray(np.exp(spread.log_mean + spread.log_sd * special.ndtri(u)))


def _mean_cv(spread: MeanCv, u: Numbers) -> Numbers:
    if spread.cv == 0.0 or spread.mean == 0.0:
        return np.full(u.shape, spread.mean)
    if spread.shape == "gamma":
        return _gamma(1.0 / spread.cv**2, spread.mean, u)
    log_variance = np.log1p(spread.cv**2)
    found = np.asarray(special.ndtri(u))
    found *= np.sqrt(log_variance)
    found -= log_variance / 2
    np.exp(found, out=found)
    found *= spread.mean
    return found


def _gamma(shape: float, mean: float, u: Numbers) -> Numbers:
    return np.asarray(special.gammaincinv(shape, u) * (mean / shape))


def _measured(spread: Measured, u: Numbers) -> Numbers:
    values = np.sort(np.asarray(spread.values, dtype=np.float64))
    return values[(u * len(values)).astype(np.intp)]


def _exponential(spread: Exponential, u: Numbers) -> Numbers:
    return np.asarray(-spread.mean * np.log1p(-u))


def _erlang(spread: Erlang, u: Numbers) -> Numbers:
    return _gamma(float(spread.steps), spread.mean, u)


def _hyperexponential(spread: Hyperexponential, u: Numbers) -> Numbers:
    """The same uniform chooses the branch and, stretched back to (0, 1), the time in it."""
    often = (1.0 + np.sqrt((spread.cv2 - 1.0) / (spread.cv2 + 1.0))) / 2.0
    chance = np.where(u < often, often, 1.0 - often)
    left = np.where(u < often, often - u, 1.0 - u) / chance
    return np.asarray(-spread.mean / (2.0 * chance) * np.log(left))


def _uniform(spread: Uniform, u: Numbers) -> Numbers:
    return spread.low + (spread.high - spread.low) * u


def _poisson(spread: Poisson, u: Numbers) -> Numbers:
    most = int(spread.mean + 12.0 * np.sqrt(spread.mean) + 30.0)
    return np.searchsorted(special.pdtr(np.arange(most), spread.mean), u).astype(np.float64)


def _chances(spread: Chances, u: Numbers) -> Numbers:
    steps = np.cumsum(np.asarray(spread.chances, dtype=np.float64))
    return np.asarray(spread.values, dtype=np.float64)[np.searchsorted(steps[:-1] / steps[-1], u, side="right")]


_TURN: dict[type, Callable[..., Numbers]] = {
    Fixed: _fixed,
    Triangular: _triangular,
    Between: _between,
    MeanCv: _mean_cv,
    Measured: _measured,
    Exponential: _exponential,
    Erlang: _erlang,
    Hyperexponential: _hyperexponential,
    Uniform: _uniform,
    Poisson: _poisson,
    Chances: _chances,
}
