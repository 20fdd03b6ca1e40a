"""What a small line can be, what it says when it cannot be run, and what is seen of it."""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.breakdown import Breakdowns
from farmsim.model.line import OUT, Arrivals, Crew, Line, Stage, run
from farmsim.model.line_seen import FATES, INSIDE, TURNED_AWAY, WENT_OUT
from farmsim.model.luck import Exponential, Poisson
from farmsim.model.shop import Shop, trade
from farmsim.scenario.vary import Fixed, RangeMean

ONE = (Arrivals(at=(0.0,)),)
WASH = Stage("wash", 1.0, places=1)
NEVER = Breakdowns(up=Fixed(10.0), down=Fixed(1.0))

WRONG = [
    (Line("x", ONE, (WASH, WASH)), "two stages are called 'wash'"),
    (Line("x", (*ONE, *ONE), (WASH,)), "two arrivals are called 'lots'"),
    (Line("x", (Arrivals(at=(0.0,), to="wsh"),), (WASH,)), "arrivals 'lots': 'wsh' is no stage; stages are wash."),
    (Line("x", ONE, (WASH,), (Crew("c", ("pack",)),)), "crew 'c': 'pack' is no stage"),
    (Line("x", ONE, (Stage("wash", 1.0, then={"pack": 0.5}),)), "stage 'wash': 'pack' is no stage"),
    (Line("x", (Arrivals(),), (WASH,)), "arrivals 'lots': give one of every, at, saturated."),
    (Line("x", (Arrivals(every=1.0, at=(1.0,)),), (WASH,)), "give one of every, at, saturated."),
    (Line("x", (Arrivals(at=(2.0, 1.0)),), (WASH,)), "planned hours must rise from 0 on. Sort them."),
    (Line("x", (Arrivals(at=(-1.0,)),), (WASH,)), "planned hours must rise from 0 on."),
    (Line("x", (Arrivals(every=1.0),), (WASH,)), "never ends, so the line is never empty."),
    (Line("x", (Arrivals(saturated=True, count=3),), (WASH,)), "saturated, and nothing limits 'wash'."),
    (Line("x", ONE, (Stage("wash", 1.0, places=0),)), "stage 'wash': places is 0; needs at least 1."),
    (Line("x", ONE, (Stage("wash", 1.0, full="turned away"),)), "full is 'turned away', but it is never full."),
    (Line("x", ONE, (Stage("wash", 1.0, spoils=1.0),)), "spoils counts until a lot has a place to be worked in."),
    (Line("x", ONE, (Stage("wash", 1.0, breaks=NEVER),)), "breaks needs places that can break, not a crew."),
    (Line("x", ONE, (Stage("wash", 1.0, then={"wash": 0.7, OUT: 0.7}),)), "the chances in then sum to 1.4; at most 1."),
    (Line("x", ONE, (Stage("wash", 1.0, then={"wash": -0.1}),)), "chances lie between 0 and 1."),
]


@pytest.mark.parametrize(("line", "says"), WRONG, ids=[says[:30] for _, says in WRONG])
def test_a_line_that_cannot_be_run_says_why(line: Line, says: str) -> None:
    with pytest.raises(ValueError) as fault:
        run(line, seed=1)
    assert says in str(fault.value) and str(fault.value).startswith("x: ")


def test_all_faults_of_a_line_are_told_at_once() -> None:
    line = Line("x", (Arrivals(to="a"),), (Stage("wash", 1.0, places=0),))
    with pytest.raises(ValueError) as fault:
        run(line, seed=1)
    assert len(str(fault.value).splitlines()) == 3


def test_the_run_ends_at_an_hour_after_some_lots_or_when_empty() -> None:
    line = Line("ends", (Arrivals(every=2.0, count=5),), (WASH,))
    assert run(line, seed=1, hours=5.5).end == 5.5
    assert run(line, seed=1, lots_out=2).end == 5.0
    assert run(line, seed=1).end == 11.0


def test_what_has_not_happened_by_the_end_is_not_a_number() -> None:
    seen = run(Line("cut", (Arrivals(every=1.0),), (Stage("wash", 2.5, places=1),)), seed=1, hours=4.0)
    visits = seen.at["wash"]
    assert visits.asked.tolist() == [1, 2, 3]  # the run ends before what is due at 4
    assert np.isnan(visits.started).tolist() == [False, False, True]
    assert np.isnan(visits.left).tolist() == [False, True, True]
    assert [FATES[fate] for fate in seen.lots.fate] == ["out", "inside", "inside"]


def test_lots_are_turned_away_only_after_places_have_settled() -> None:
    """At hour 1 the first lot goes out and the second comes: it finds room, whoever's event is first."""
    stage = Stage("wash", 1.0, places=1, waiting=0, full="turned away")
    for at in ((0.0, 1.0), (0.0, 0.5, 1.0)):
        seen = run(Line("ties", (Arrivals(at=at),), (stage,)), seed=1)
        expected = [WENT_OUT, *(TURNED_AWAY,) * (len(at) - 2), WENT_OUT]
        assert seen.lots.fate.tolist() == expected


def test_a_cap_on_lots_inside_keeps_the_others_at_the_door() -> None:
    stages = (Stage("a", 1.0, places=1), Stage("b", 1.0, places=1))
    seen = run(Line("cap", (Arrivals(at=(0.0,), group=3),), stages, at_most=1), seed=1)
    assert seen.at["a"].came.tolist() == [0, 2, 4]
    assert seen.lots.out.tolist() == [2, 4, 6]


def test_a_way_may_lead_past_a_stage_back_or_out() -> None:
    stages = (Stage("a", 1.0, then="c"), Stage("b", 1.0, then=OUT), Stage("c", 1.0, then="b"))
    seen = run(Line("zigzag", ONE, stages), seed=1)
    assert [seen.at[name].came.tolist() for name in "abc"] == [[0], [2], [1]]
    again = Line("again", ONE, (Stage("a", Exponential(1.0), places=1, then={"a": 0.9}),))
    visits = run(again, seed=1).at["a"]
    assert len(visits.lot) > 1 and len(set(visits.ready - visits.started)) == len(visits.lot)


def test_each_place_breaks_on_its_own() -> None:
    breaks = Breakdowns(up=Exponential(5.0), down=Exponential(5.0))
    line = Line("mills", (Arrivals(saturated=True),), (Stage("mill", 1.0, places=2, waiting=0, breaks=breaks),))
    seen = run(line, seed=1, hours=400.0)
    together = [set(seen.tasks["lot"][seen.tasks["crew"] == crew]) for crew in (0, 1)]
    assert together[0] and together[1]
    assert 200.0 < seen.tasks["worked"].sum() < 600.0


def test_wear_of_several_places() -> None:
    breaks = Breakdowns(up=Fixed(3.0), down=Fixed(1.0), clock="working")
    line = Line("mills", (Arrivals(at=(0.0,), group=2),), (Stage("mill", 7.0, places=2, breaks=breaks),))
    assert run(line, seed=1).lots.out.tolist() == [9.0, 9.0]


def test_a_mean_known_as_a_range_is_one_value_a_run() -> None:
    line = Line("range", (Arrivals(at=(0.0,), group=3),), (Stage("a", RangeMean(1.0, 2.0, 0.0)),))
    ready = [run(line, seed=1, number=number).at["a"].ready for number in (0, 1)]
    assert len(set(ready[0])) == 1 and 1.0 < ready[0][0] < 2.0 and ready[0][0] != ready[1][0]


def test_shares_and_rates_look_at_the_window_only() -> None:
    stage = Stage("wash", 4.0, places=1, waiting=0, full="turned away")
    seen = run(Line("window", (Arrivals(every=1.0),), (stage,)), seed=1, hours=12.5)
    assert seen.lots.fate.tolist()[:6] == [WENT_OUT, *(TURNED_AWAY,) * 3, WENT_OUT, TURNED_AWAY]
    assert seen.share(TURNED_AWAY, since=0.5, until=4.5) == 0.75
    assert seen.out(since=6.0) == 1 and seen.rate(since=2.5) == 0.2
    assert seen.lots.fate[8] == INSIDE


def test_goods_that_arrive_serve_those_who_wait_first() -> None:
    shop = Shop("waits", every=1.0, amount=1.0, up_to=1.0, lead=2.5, unfilled="waits")
    orders = trade(shop, seed=1, hours=8.0).orders
    assert orders.came.tolist() == [1, 2, 3, 4, 5, 6, 7]
    assert orders.at_once.tolist() == [0, 0, 0, 0, 0, 0, 0]
    assert orders.whole.tolist()[:4] == [2.5, 3.5, 4.5, 5.5]


def test_what_came_was_sold_thrown_out_or_is_left() -> None:
    shop = Shop("adds up", 24.0, Poisson(5.0), 9.0, each=24.0, first=12.0, life=48.0)
    seen = trade(shop, seed=1, hours=24.0 * 365)
    assert seen.arrived.amount.sum() == seen.orders.at_once.sum() + seen.wasted.amount.sum() + seen.left
