"""The highest level that keeps all targets, searched for where it is known: what is looked at, and how often it is held."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pytest

from farmsim.study.climb import FEWEST, MOST_LEVELS, MOST_LOOKS, Climbed, Look, climb
from farmsim.study.headlines import DELIVERED, OVERTIME
from farmsim.study.targets import Target

SHARE = Target("delivered", DELIVERED, "at least", 0.95)
HOURS = Target("overtime", OVERTIME, "at most", 10.0)
LEVELS = range(100, 3001, 10)


def exactly(limit: float, slope: float = 1e-3) -> Look:
    """A farm without luck that delivers 97 of 100 until its limit nears, and 95 just there."""

    def look(level: int, runs: int) -> Mapping[str, Sequence[float]]:
        return {"delivered": [min(0.97, 0.95 + slope * (limit - level))] * runs}

    return look


def noisy(limit: float, seed: int, spread: float = 0.02, own: float = 0.005) -> Look:
    """The same with luck: of a run, the same at every level, and of its own at each level; the true mean is 95 % at the limit.

    Beyond it deliveries fall in proportion, as those of a farm that makes no more than so much.
    """

    def look(level: int, runs: int) -> Mapping[str, Sequence[float]]:
        mean = min(0.97, 0.95 * limit / level)
        common = np.random.default_rng(seed).normal(0.0, spread, 1000)[:runs]
        here = np.random.default_rng((seed, level)).normal(0.0, own, 1000)[:runs]
        return {"delivered": (mean + common + here).tolist()}

    return look


@pytest.mark.parametrize("limit", [104, 350, 1234, 1900, 1996, 2407, 2999])
@pytest.mark.parametrize("begin", [100, 1900, 3000])
def test_without_luck_the_limit_lies_between_neighbours(limit: int, begin: int) -> None:
    found = climb(LEVELS, begin, exactly(limit), (SHARE,), 20)
    assert found.low is not None and found.high is not None and found.guess is not None
    assert found.low <= limit < found.high and found.high - found.low == 10
    assert found.low <= found.guess <= found.high and found.first == SHARE
    assert len(found.rungs) <= MOST_LEVELS
    runs = {rung.level: rung.runs for rung in found.rungs}
    told = {found.low, found.high, begin}  # of these it is proved that others than the few are rare
    assert {runs[level] for level in told} == {20}
    assert {runs[level] for level in runs.keys() - told} <= {FEWEST}
    assert all(rung.verdict == "not sure" for rung in found.rungs if rung.level not in told)


def test_nothing_is_sure_of_so_few_runs_that_are_alike() -> None:
    found = climb(LEVELS, 1900, exactly(1234), (SHARE,), 13)
    assert (found.low, found.high) == (None, None)
    assert found.guess is not None and 1230 <= found.guess <= 1240
    enough = climb(LEVELS, 1900, exactly(1234), (SHARE,), 14)
    assert (enough.low, enough.high) == (1230, 1240)


def test_on_a_straight_line_the_guess_is_the_limit() -> None:
    assert climb(LEVELS, 1900, exactly(2403, 1e-4), (SHARE,), 20).guess == pytest.approx(2403)


def search(seed: int, sure: float = 0.95) -> Climbed:
    return climb(LEVELS, 1900, noisy(2234.0, seed), (SHARE,), 40, sure)


def test_the_known_limit_is_held_as_often_as_is_promised() -> None:
    """200 searches; where the limit is not held more often than 1 in 20 and three standard errors, the promise is broken."""
    found = [search(seed) for seed in range(200)]
    missed = [each for each in found if (each.low or 0) > 2234 or (each.high is not None and each.high <= 2234)]
    assert len(missed) <= 200 * (0.05 + 3 * (0.05 * 0.95 / 200) ** 0.5)
    # it is no promise of nothing: both ends are found, and they are not far apart
    wide = [each.high - each.low for each in found if each.high is not None and each.low is not None]
    assert len(wide) >= 190 and np.median(wide) < 120
    guesses = [each.guess for each in found if each.guess is not None]
    assert len(guesses) >= 190
    # the guess errs as the mean of 40 runs does: 0.0206 / sqrt(40) of deliveries, of which 0.95 / 2234 are a block
    assert np.mean(guesses) == pytest.approx(2234, abs=4 * 8 / 200**0.5 + 5)
    assert np.std(guesses) < 2 * 8


def test_a_risk_that_is_not_shared_out_holds_the_limit_too_seldom() -> None:
    """The same searches with so large a risk that each verdict is no better than a guess: the test above can fail."""
    found = [search(seed, 1 - 0.4 * 2 * MOST_LEVELS) for seed in range(200)]
    missed = [each for each in found if (each.low or 0) > 2234 or (each.high or 9999) <= 2234]
    assert len(missed) > 200 * (0.05 + 3 * (0.05 * 0.95 / 200) ** 0.5)


def test_runs_are_added_only_where_few_cannot_tell() -> None:
    found = search(3)
    runs = {rung.level: rung.runs for rung in found.rungs}
    assert set(runs.values()) == {10, 40}
    assert all(rung.runs == 40 for rung in found.rungs if rung.verdict == "not sure")
    assert runs[max(runs)] == 10


def test_several_targets_and_the_one_that_fails_first_is_named() -> None:
    def look(level: int, runs: int) -> Mapping[str, Sequence[float]]:
        return {"delivered": [0.95 + 1e-4 * (2400 - level)] * runs, "overtime": [10 + 0.01 * (level - 2100)] * runs}

    found = climb(LEVELS, 1900, look, (SHARE, HOURS), 20)
    assert (found.low, found.high, found.first) == (2100, 2110, HOURS)
    assert [each.verdict for each in found.at(2110).kept] == ["kept", "broken"]


def test_all_kept_up_to_the_top_or_broken_down_to_the_bottom() -> None:
    up = climb(LEVELS, 1900, exactly(9000), (SHARE,), 20)
    assert (up.low, up.high, up.guess, up.first) == (3000, None, None, None)
    down = climb(LEVELS, 1900, exactly(50), (SHARE,), 20)
    assert (down.low, down.high, down.guess) == (None, 100, None)
    alone = climb([500], 500, exactly(900), (SHARE,), 20)
    assert (alone.low, alone.high) == (500, None)


def test_a_level_kept_above_one_that_is_broken_is_no_limit() -> None:
    """A dip: below it all is kept, and what is promised holds below it."""

    def look(level: int, runs: int) -> Mapping[str, Sequence[float]]:
        return {"delivered": [0.90 if 1900 <= level < 2000 or level > 2500 else 0.97] * runs}

    found = climb(LEVELS, 1900, look, (SHARE,), 20)
    assert found.low == 1890 and found.high == 1900


def test_what_cannot_be_told_stays_open() -> None:
    """So much luck that no level can be judged: the search ends, with a guess and no promise."""
    found = climb(LEVELS, 1900, noisy(2234.0, 5, spread=5.0, own=5.0), (SHARE,), 20)
    assert found.low is None and found.high is None
    assert sum(rung.runs for rung in found.rungs) <= (MOST_LOOKS + 1) * 20 and all(
        rung.verdict == "not sure" for rung in found.rungs
    )
