"""What cannot be planned is told; on a farm with luck the plan is the same each time and never worse than the farm as it is."""

from __future__ import annotations

from pathlib import Path

import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer
from farmsim.study import targets
from farmsim.study.headlines import DELIVERED
from farmsim.study.plan import NotPlannable, default_targets, plan
from farmsim.study.plan_answers import Planned
from farmsim.study.plan_tables import as_plain
from farmsim.study.pool import Where
from farmsim.study.targets import Target
from farmsim.study.trials import Brief

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
