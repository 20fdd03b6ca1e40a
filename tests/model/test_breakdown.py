"""Irregular working time: bells known beforehand, work resumed, two clocks."""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.breakdown import Breakdowns, Uptime, Wear
from farmsim.model.calendar import ticks
from farmsim.model.luck import Exponential, Luck
from farmsim.scenario.vary import Fixed

REGULAR = Breakdowns(up=Fixed(10.0), down=Fixed(2.0))
RANDOM = Breakdowns(up=Exponential(10.0), down=Exponential(2.0))


def uptime(breaks: Breakdowns, name: str = "mill", start: float = 0.0) -> Uptime:
    return Uptime(breaks, Luck(1, 0), name, start=start)


def test_up_and_down_follow_one_another() -> None:
    rota = uptime(REGULAR)
    spans = [(rota.following(when).begin, rota.following(when).end) for when in (0.0, 9.0, 10.0, 12.0, 30.0)]
    assert spans == [(0, 10), (0, 10), (12, 22), (12, 22), (24, 34)]


def test_it_begins_mended_at_the_hour_given() -> None:
    assert uptime(REGULAR, start=-336.0).following(-336.0).begin == -336.0


def test_asking_late_or_in_any_order_gives_the_same_bells() -> None:
    there, back = uptime(RANDOM), uptime(RANDOM)
    hours = [0.0, 5.0, 400.0, 77.7, 1_000.0]
    forward = [there.following(when).pieces for when in hours]
    assert [back.following(when).pieces for when in reversed(hours)][::-1] == forward


def test_a_shift_is_the_first_that_ends_after_the_hour() -> None:
    rota = uptime(RANDOM)
    for when in np.linspace(0.0, 500.0, 200):
        shift = rota.following(float(when))
        assert shift.end > when
        before = rota.following(shift.begin - 1e-6) if shift.begin > 0 else shift
        assert before is shift or before.end < shift.begin


def test_every_machine_has_bells_of_its_own_in_whole_ticks() -> None:
    one, other = uptime(RANDOM), uptime(RANDOM, "other mill")
    assert one.following(0.0).end != other.following(0.0).end
    assert all(edge == ticks(edge) for edge in one.following(100.0).pieces[0])


def test_share_of_time_in_order() -> None:
    """Up 10 h, down 2 h on average: in order five sixths of the time, by four standard errors."""
    shares = []
    for number in range(40):
        rota, up = Uptime(RANDOM, Luck(7, number), "mill"), 0.0
        shift = rota.following(0.0)
        while shift.begin < 1_200.0:
            up += min(shift.end, 1_200.0) - shift.begin
            shift = rota.following(shift.end)
        shares.append(up / 1_200.0)
    error = np.std(shares, ddof=1) / np.sqrt(len(shares))
    assert abs(np.mean(shares) - 10 / 12) < 4 * error + 2 / 1_200.0  # it begins in order


def test_a_machine_that_wears_breaks_only_while_it_works() -> None:
    """10 h of work between breakdowns, however long it stands idle; the work in hand is resumed."""
    mill = Wear(REGULAR, Luck(1, 0), "mill")
    assert mill.finish(0.0, 4.0) == 4.0
    assert mill.finish(100.0, 6.0) == 106.0  # worn out just as it is done: the repair waits for the next work
    assert mill.finish(200.0, 25.0) == 200.0 + 25.0 + 3 * 2.0
    assert mill.repairs == [(200.0, 202.0), (212.0, 214.0), (224.0, 226.0)]


def test_wear_is_the_luck_of_its_name() -> None:
    ends = [Wear(RANDOM, Luck(1, 0), name).finish(0.0, 500.0) for name in ("mill", "mill", "mixer")]
    assert ends[0] == ends[1] != ends[2]


def test_wear_adds_the_mean_repair_per_hour_of_work() -> None:
    ends = [Wear(RANDOM, Luck(7, number), "mill").finish(0.0, 1_000.0) for number in range(40)]
    error = np.std(ends, ddof=1) / np.sqrt(len(ends))
    assert abs(np.mean(ends) - 1_200.0) < 4 * error


def test_breakdowns_that_never_come_change_nothing() -> None:
    never = Breakdowns(up=Fixed(1e9), down=Fixed(2.0))
    assert uptime(never).following(0.0).end == pytest.approx(1e9)
    assert Wear(never, Luck(1, 0), "mill").finish(3.0, 500.0) == 503.0
