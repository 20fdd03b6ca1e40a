"""Who holds the others up from moment to moment: a worked example, and what active means for places and crews."""

from __future__ import annotations

from itertools import starmap

import numpy as np
import pytest

from farmsim.record.measures import limits
from farmsim.record.measures.course import Asks, Course, Holds, Steps, course, spans
from farmsim.record.measures.limits import Evidence, Periods, Turn

A = ((0, 4), (6, 9), (12, 20))
B = ((1, 8), (10, 13), (17, 24))
C = ((0, 2), (3, 5), (7, 16), (19, 23))
DAY = 24.0


def periods(*spans: tuple[float, float]) -> Periods:
    return Periods([float(begin) for begin, _ in spans], [float(end) for _, end in spans])


EXAMPLE = [periods(*each) for each in (A, B, C)]


def test_the_longest_active_period_of_the_moment_holds_the_others_up() -> None:
    """Three machines over a day, worked by hand after Roser, Nakano and Tanaka (2001, 2002)."""
    found = list(starmap(Turn, [(0, 0, 4), (1, 1, 8), (2, 7, 16), (0, 12, 20), (1, 17, 24)]))
    assert limits.turns(EXAMPLE, 0.0) == found


def test_sole_and_shifting_hours_and_mean_periods() -> None:
    """Two are as busy as one another; how they hold the others up tells them apart."""
    a, b, c = limits.evidence(EXAMPLE, 0.0, DAY)
    assert [(each.sole, each.shifting) for each in (a, b, c)] == [(2, 10), (7, 7), (4, 5)]
    assert [limits.active_mean_h(each) for each in (a, b, c)] == pytest.approx([5, 17 / 3, 4.25])
    assert [limits.active_share(each) for each in (a, b, c)] == pytest.approx([15 / 24, 17 / 24, 17 / 24])
    assert (limits.sole_share(b), limits.shifting_share(b)) == pytest.approx((7 / 24, 7 / 24))


def test_while_nobody_is_active_nobody_holds_the_others_up() -> None:
    one, other, idle = limits.evidence([periods((2, 3), (10, 12)), periods((5, 6)), periods()], 0.0, DAY)
    assert [(each.sole, each.shifting) for each in (one, other, idle)] == [(3, 0), (1, 0), (0, 0)]
    assert (idle.active, limits.active_mean_h(idle)) == (0.0, 0.0)


def test_of_two_as_long_the_one_that_goes_on_longer_is_next_and_of_two_alike_the_first() -> None:
    assert limits.turns([periods((0, 4)), periods((2, 6)), periods((2, 6))], 0.0) == [Turn(0, 0, 4), Turn(1, 2, 6)]


def test_without_time_there_are_no_shares() -> None:
    nothing = Evidence(0.0, 0, 0.0, 0.0, 0.0)
    assert all(np.isnan(one(nothing)) for one in (limits.active_share, limits.sole_share, limits.shifting_share))


NEVER = np.empty(0)
NOBODY = Holds(NEVER, NEVER, NEVER, NEVER)


def of(holds: tuple[tuple[float, float, float], ...], there: Steps, *waits: tuple[float, float, float]) -> Course:
    """A course from (came, left, amount) and (asked, until, amount)."""
    came, left, amount = (np.array(column, dtype=float) for column in zip(*holds, strict=True))
    asks = [np.array(column, dtype=float) for column in zip(*waits, strict=True)] if waits else [NEVER] * 3
    return course(Holds(came, np.full(len(came), np.inf), left, amount), NOBODY, there, Asks(*asks))


def test_a_place_is_active_while_it_is_full_and_lots_wait() -> None:
    """One place, taken from 1 to 9; one waits from 3 to 5, and from 7 on until it comes at 9."""
    ten = Steps(np.array([0.0]), np.array([1.0]))
    seen = of(((1, 9, 1.0), (9, 12, 1.0)), ten, (3, 5, 1.0), (7, 9, 1.0))
    assert limits.of_place(seen, 0.0, DAY) == Periods([3.0, 7.0], [5.0, 9.0])
    assert limits.of_place(seen, 4.0, 8.0) == Periods([4.0, 7.0], [5.0, 8.0])  # cut at the ends of the measured time


def test_a_crew_is_active_while_nobody_of_it_is_free_and_periods_that_touch_are_one() -> None:
    """Two people from 6 to 14: both at work from 7 to 10, whatever task ends and begins at 8."""
    shift = spans(np.array([6.0]), np.array([14.0]), np.array([2.0]))
    seen = of(((6, 12, 1.0), (7, 8, 1.0), (8, 10, 1.0)), shift)
    assert limits.of_crew(seen, 0.0, DAY) == Periods([7.0], [10.0])
