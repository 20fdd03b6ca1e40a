"""What cannot be planned is told; on a farm with luck the plan is the same each time and never worse than the farm as it is."""

from __future__ import annotations

from pathlib import Path
from typing import cast

import numpy as np
import pytest
from scipy.special import stdtrit

import farmsim
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer
from farmsim.study import plan as planning
from farmsim.study import targets
from farmsim.study.headlines import BLOCKS_DELIVERED, DELIVERED, PAID, WHOLE_ORDERS
from farmsim.study.plan import NotPlannable, default_targets, plan
from farmsim.study.plan_answers import Planned, Tried
from farmsim.study.plan_tables import as_plain
from farmsim.study.pool import Where
from farmsim.study.precision import SURE, half_width
from farmsim.study.targets import Target, judge
from farmsim.study.trials import Brief, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
TINY = farmsim.load(SCENARIOS / "tiny.toml")
GROWER = BlockCustomer(name="grower", takes={"blue-oyster": 20.0}, notice=48.0, days=("tue",), leave_by=9.0)
QUICK = Brief(weeks=4, where=Where(1))


@pytest.mark.parametrize(
    ("farm", "told"),
    [
        (TINY.but(customer=()), "promises nobody anything: there is nothing to plan for"),
        (TINY.but(farm=TINY.farm.but(begin="empty")), "begins empty; a plan is for a farm in full swing"),
        (TINY.but(changes=((336.0, TINY),)), "changes on dates, and one plan of its starts cannot be right"),
    ],
)
def test_what_cannot_be_planned_is_told(farm: Farm, told: str) -> None:
    with pytest.raises(NotPlannable) as caught:
        plan(farm, (), 5, 1, 1, QUICK)
    assert told in str(caught.value)


def test_a_target_that_the_farm_has_no_figure_for_is_told() -> None:
    given = targets.FIGURES["blocks delivered"]
    with pytest.raises(NotPlannable) as caught:
        plan(TINY, [Target("blocks delivered", given[0], given[1], 0.9)], 5, 1, 1, QUICK)
    assert '"blocks delivered" cannot be a target here' in str(caught.value)


def test_usual_targets_stand_where_none_is_given() -> None:
    assert [each.name for each in default_targets(TINY)] == ["delivered"]
    both = default_targets(TINY.but(block_customer=(GROWER,)), [Target("delivered", DELIVERED, "at least", 0.9)])
    assert [(each.name, each.bound) for each in both] == [("delivered", 0.9), ("blocks delivered", 0.95)]


# --- what is promised of the verdict ----------------------------------------------------------------------------------

FRESH = Target("delivered", DELIVERED, "at least", 0.95)


def weekly(*delivered: float) -> list[RunTables]:
    """Runs of one week that promise 100 kg and deliver so much of it."""
    return [
        {"weekly": {"week": np.array([1.0]), "promised_kg": np.array([100.0]), "delivered_kg": np.array([kg])}}
        for kg in delivered
    ]


def search(*keep: Target) -> planning._Search:
    return planning._Search(TINY, keep, cast(Trials, None), 8)


def test_a_verdict_bears_its_share_of_the_risk_among_targets_farms_and_turns() -> None:
    """Eight runs: their mean is 2.6 standard errors above the bound; one of 2 verdicts asks for 2.36, one of 8 for 3.3."""
    spread = [-1.0, 1.0] * 4
    error = np.std(spread, ddof=1) / np.sqrt(8)
    values = [95.0 + 2.6 * error + each for each in spread]
    both = search(FRESH, Target("whole orders", WHOLE_ORDERS, "at least", 0.9))
    assert judge(FRESH, [each / 100 for each in values], 1 - (1 - SURE) / 2).verdict == "kept"
    assert search(FRESH)._stand(weekly(*values))[0].verdict == "not sure"
    assert both._sure == pytest.approx(1 - 0.05 / 8)
    assert both._give([each / 100 for each in values]) == pytest.approx(stdtrit(7, 1 - 0.05 / 8) * error / 100)


def test_differences_bear_their_share_among_figures_and_turns() -> None:
    def picked(*all_kg: float) -> list[RunTables]:
        one = np.array([1.0])
        return [{"weekly": {"week": one, "picked_kg": kg * one, "sold_kg": kg * one}} for kg in all_kg]

    before, after = picked(100.0, 104.0, 102.0, 99.0), picked(108.0, 109.0, 107.0, 106.0)
    told = planning._differences(before, after)
    pairs = [8.0, 5.0, 5.0, 7.0]
    assert [each.name for each in told] == ["picked", "sold to orders"]
    assert told[0].give == pytest.approx(half_width(pairs, 1 - 0.05 / (2 * 2)))


# --- the second turn --------------------------------------------------------------------------------------------------

WHOLE = Target("whole orders", WHOLE_ORDERS, "at least", 0.9)
BLOCKS = Target("blocks delivered", BLOCKS_DELIVERED, "at least", 0.9)


@pytest.mark.parametrize(
    ("short", "aims"),
    [
        ({"delivered": 0.01}, (0.96, 0.9)),
        ({"whole orders": 0.03, "delivered": 0.01}, (0.98, 0.9)),
        ({"blocks delivered": 0.04}, (0.95, 0.94)),
        ({"delivered": 0.02, "blocks delivered": 0.04, "thrown out": 0.5, "overtime": 9.0}, (0.97, 0.94)),
    ],
)
def test_the_second_turn_aims_higher_at_what_was_short(short: dict[str, float], aims: tuple[float, float]) -> None:
    assert search(FRESH, WHOLE, BLOCKS)._aims(more=short) == pytest.approx(aims)


def test_what_is_short_is_told_by_target() -> None:
    some = search(FRESH, Target("paid hours", PAID, "at most", 30.0))
    runs = weekly(*[93.0] * 8)
    for tables in runs:
        cast(dict[str, object], tables["weekly"])["paid_h"] = np.array([34.0])
    assert some._short(runs) == pytest.approx({"delivered": 0.02, "paid hours": 4.0})


@pytest.mark.parametrize(
    ("hours", "kg", "judged"), [(30.0, 93.0, {"delivered": 0.02, "paid hours": 0.0}), (34.0, 99.0, None)]
)
def test_only_what_higher_aims_can_mend_brings_a_second_turn(
    monkeypatch: pytest.MonkeyPatch, hours: float, kg: float, judged: dict[str, float] | None
) -> None:
    runs = weekly(*[kg] * 8)
    for tables in runs:
        cast(dict[str, object], tables["weekly"])["paid_h"] = np.array([hours])
    told = Tried("", {}, {}, 0.0, 0.0, False)
    some = search(FRESH, Target("paid hours", PAID, "at most", 30.0))
    some.tried.append(planning._Try(TINY.but(start=TINY.start[:1]), runs, told))
    aimed: list[dict[str, float]] = []
    monkeypatch.setattr(some, "_take", lambda farm, numbers: runs)
    monkeypatch.setattr(some, "_told", lambda farm, runs, what: told)
    monkeypatch.setattr(some, "_more", lambda best, after, short: aimed.append(short))
    monkeypatch.setattr(some, "_answer", lambda *rest: None)
    some.judged(1, 1)
    assert aimed == ([] if judged is None else [pytest.approx(judged)])


# --- a farm with luck -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def lucky() -> Planned:
    return plan(TINY, (), 6, 2, 3, Brief(weeks=8, where=Where(1)))


def test_the_best_is_never_worse_than_the_farm_as_it_is(lucky: Planned) -> None:
    first = lucky.tried[0]
    assert first.what == "the farm as it is" and len(lucky.tried) >= 2
    assert lucky.is_as_before or min(each.missing for each in lucky.tried) <= first.missing


def test_the_same_plan_twice_and_on_two_workers(lucky: Planned) -> None:
    again = plan(TINY, (), 6, 2, 3, Brief(weeks=8, where=Where(2)))
    assert as_plain(again) == as_plain(lucky) and again.groups == lucky.groups
