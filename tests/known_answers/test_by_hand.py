"""Cases followed by hand: every time is exact. Nothing here is random.

The trace of a single desk uses the inputs of chapter 1 of Law, Simulation Modeling and Analysis (from memory), its
arithmetic redone here. The other cases are small enough to follow with a pencil.
"""

from __future__ import annotations

from itertools import accumulate

import numpy as np
import pytest

from farmsim.errors import RunStuck
from farmsim.model.calendar import Always, Weekly
from farmsim.model.line import Arrivals, Crew, Line, Stage, run
from farmsim.model.line_seen import INSIDE, SPOILED, TURNED_AWAY, WENT_OUT
from farmsim.scenario.vary import MeanCv

from . import exact

GAPS = (4, 12, 5, 17, 2, 16, 2, 14, 19)
SERVED = (20, 7, 2, 11, 37, 6)


def test_single_desk_followed_by_hand() -> None:
    """Counted in tenths of an hour, which are whole here; stopped when the sixth lot starts, after 86."""
    arrivals = Arrivals(at=tuple(float(when) for when in accumulate(GAPS)))
    stage = Stage("desk", tuple(float(tenths) for tenths in (*SERVED, 90, 90, 90)), places=1)
    seen = run(Line("by hand", (arrivals,), (stage,)), seed=1)
    stop = seen.at["desk"].started[5]
    delays = seen.waits("desk")[:6]
    assert stop == 86
    assert delays.tolist() == [0, 8, 10, 0, 9, 30] and delays.mean() == 9.5
    assert seen.mean_waiting("desk", until=stop) == pytest.approx(99 / 86, abs=1e-12)
    assert seen.mean_working("desk", until=stop) == pytest.approx(77 / 86, abs=1e-12)


SATURATED = [
    ((2, 3, 1), (0, 0), {0: (2, 5, 8, 11, 14, 17), 2: (6, 9, 12, 15, 18, 21)}),
    ((2, 3, 1), (1, 1), {0: (2, 4, 6, 8, 11, 14), 2: (6, 9, 12, 15, 18, 21)}),
    ((1, 2, 4), (0, 0), {0: (1, 3, 7, 11, 15, 19), 2: (7, 11, 15, 19, 23, 27)}),
    ((1, 2, 4), (2, 0), {0: (1, 2, 3, 4, 7, 11), 2: (7, 11, 15, 19, 23, 27)}),
    ((4, 2, 1), (0, 0), {0: (4, 8, 12, 16, 20, 24), 2: (7, 11, 15, 19, 23, 27)}),
]


@pytest.mark.parametrize(("hours", "waiting", "known"), SATURATED)
def test_when_lots_leave_a_line_with_few_places(
    hours: tuple[int, ...], waiting: tuple[int, ...], known: dict[int, tuple[int, ...]]
) -> None:
    rooms = (0, *waiting)
    stages = tuple(Stage(f"m{i}", float(h), places=1, waiting=rooms[i]) for i, h in enumerate(hours))
    seen = run(Line("few places", (Arrivals(saturated=True, count=6),), stages), seed=1)
    for machine, left in known.items():
        assert seen.at[f"m{machine}"].left.tolist() == list(left)
    np.testing.assert_array_equal(seen.lots.out, exact.leaving([hours] * 6, waiting)[:, -1])


def test_a_crew_of_two_then_one_machine() -> None:
    """Six lots at hour 0; each takes one person 1.5 h, then the machine 1 h."""
    stages = (Stage("wash", 1.5), Stage("pack", 1.0, places=1))
    line = Line("two then one", (Arrivals(at=(0.0,), group=6),), stages, (Crew("crew", ("wash",), Always(2)),))
    assert run(line, seed=1).lots.out.tolist() == [2.5, 3.5, 4.5, 5.5, 6.5, 7.5]


DAILY = dict.fromkeys(range(7), (8.0, 16.0))
SHIFTS = [
    ("the rest is done next morning", Weekly(DAILY), (), 24 + 10.0),
    ("begun only if it fits", Weekly(DAILY), ("soak",), 24 + 11.0),
    ("finished in overtime", Weekly(DAILY, overtime=4.0), (), 18.0),
    ("two hours of overtime, no more", Weekly(DAILY, overtime=1.0), (), 24 + 9.0),
]


@pytest.mark.parametrize(("name", "rota", "fits", "done"), SHIFTS)
def test_a_lot_of_3_hours_that_is_ready_an_hour_before_the_shift_ends(
    name: str, rota: Weekly, fits: tuple[str, ...], done: float
) -> None:
    """Shift 8 to 16 every day; the lot is there at 15."""
    line = Line(name, (Arrivals(at=(15.0,)),), (Stage("soak", 3.0),), (Crew("crew", ("soak",), rota, fits),))
    seen = run(line, seed=1)
    assert seen.lots.out.tolist() == [done]
    assert seen.tasks["worked"].sum() == 3.0
    if name == "finished in overtime":
        assert seen.tasks["overtime"].sum() == 2.0


def test_the_task_in_hand_from_yesterday_goes_before_everything() -> None:
    """The rush lot of the morning waits for the plain lot begun yesterday; then rush goes before plain."""
    arrivals = (Arrivals(at=(15.0, 15.5), to="plain", name="plain"), Arrivals(at=(24.0,), to="rush", name="rush"))
    stages = (Stage("rush", 1.0, then="out"), Stage("plain", 3.0))
    line = Line("in hand", arrivals, stages, (Crew("crew", ("rush", "plain"), Weekly(DAILY)),))
    seen = run(line, seed=1)
    assert seen.at["plain"].started.tolist() == [15.0, 24 + 11.0]
    assert seen.at["rush"].started.tolist() == [24 + 10.0]
    assert seen.lots.out.tolist() == [24 + 10.0, 24 + 14.0, 24 + 11.0]


def test_a_stuck_lot_holds_its_place_and_no_people() -> None:
    """One person washes for a slow machine without waiting places: washed lots fill both places, the person is free."""
    stages = (Stage("wash", 1.0, places=2, waiting=0), Stage("dry", 5.0, places=1, waiting=0), Stage("pack", 0.5))
    arrivals = (Arrivals(at=(0.0,), group=4), Arrivals(at=(3.5,), to="pack", name="late"))
    line = Line("stuck", arrivals, stages, (Crew("hand", ("wash", "pack")),))
    seen = run(line, seed=1)
    wash = seen.at["wash"]
    assert wash.started.tolist() == [0, 1, 2, 6]  # at 6 the first lot may be packed too, but the crew names wash first
    assert wash.left.tolist()[:3] == [1, 6, 11]
    assert seen.at["pack"].started[0] == 3.5  # two lots stand washed and stuck, the person is free to pack
    assert seen.mean_stuck("wash", since=3.0, until=6.0) == 2.0


def test_worked_hours_never_exceed_rostered_hours_and_overtime() -> None:
    line = Line(
        "long week",
        (Arrivals(every=0.7, count=60),),
        (Stage("wash", 1.3),),
        (Crew("crew", ("wash",), Weekly({0: (8.0, 16.0), 2: (6.0, 20.0), 4: (8.0, 12.0)}, people=2, overtime=0.5)),),
    )
    seen = run(line, seed=1)
    rostered = (seen.rostered["people"] * seen.rostered["hours"]).sum()
    worked, overtime = seen.tasks["worked"].sum(), seen.tasks["overtime"].sum()
    assert worked == pytest.approx(60 * 1.3, abs=1e-7)
    assert worked <= rostered + overtime


def test_time_inside_is_the_sum_of_stays() -> None:
    """Lots inside on average times the hours are the stays together, unfinished ones counted to the end."""
    line = Line(
        "sum of stays", (Arrivals(every=0.9),), (Stage("a", 1.0, places=1), Stage("b", 0.4, places=1, waiting=1))
    )
    seen = run(line, seed=1, hours=50.0)
    stays = np.where(np.isnan(seen.lots.out), seen.end, seen.lots.out) - seen.lots.arrived
    assert seen.mean_in_line() * seen.end == pytest.approx(stays.sum(), abs=1e-9)
    parts = seen.mean_inside("a") + seen.mean_inside("b")
    assert parts == pytest.approx(seen.mean_in_line(), abs=1e-12)


def test_lots_that_came_went_out_are_inside_or_were_lost() -> None:
    """One lot an hour, on average; some find the mill full, some spoil before it, one crew packs what is milled."""
    mill = Stage("mill", MeanCv(1.2, 0.8), places=1, waiting=3, full="turned away", spoils=2.0)
    line = Line(
        "who is where", (Arrivals(every=MeanCv(1.0, 1.0)),), (mill, Stage("pack", 1.5)), (Crew("c", ("pack",)),)
    )
    seen = run(line, seed=1, hours=502.0)
    inside, out, turned, spoiled = (seen.lots.fate == fate for fate in (INSIDE, WENT_OUT, TURNED_AWAY, SPOILED))
    assert min(fate.sum() for fate in (inside, out, turned, spoiled)) > 5
    assert np.isnan(seen.lots.out[inside]).all() and not np.isnan(seen.lots.out[~inside]).any()
    assert (seen.lots.out[turned] == seen.lots.arrived[turned]).all()
    assert (seen.lots.out[spoiled] == seen.lots.arrived[spoiled] + 2.0).all()
    at_mill = np.isnan(seen.at["mill"].left).sum()
    assert at_mill > 0
    milled = (~np.isnan(seen.at["mill"].ready)).sum()
    assert milled == len(seen.lots.out) - turned.sum() - spoiled.sum() - at_mill == len(seen.at["pack"].came)
    assert inside.sum() == at_mill + np.isnan(seen.at["pack"].left).sum()


def test_lots_in_a_circle_are_named() -> None:
    """Two stages without waiting places that feed one another, each holding a lot that wants to go to the other."""
    stages = (Stage("a", 1.0, places=1, waiting=0), Stage("b", 1.0, places=1, waiting=0, then="a"))
    arrivals = (Arrivals(at=(0.0,), to="a", name="one"), Arrivals(at=(0.0,), to="b", name="two"))
    with pytest.raises(RunStuck, match="nothing moves any more") as stuck:
        run(Line("a circle", arrivals, stages), seed=1)
    assert stuck.value.waiting == ("one/00000000 waits for b", "two/00000000 waits for a")
