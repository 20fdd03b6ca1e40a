"""What limits a farm: a shed that is too small, orders that are too few, blocks that are too few, people who are too few."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.report.limits import screen
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.costs import Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.one_more import BOTH, ORDERS, STARTS, one_more
from farmsim.study.bounds import NotAllowed
from farmsim.study.headlines import by_run
from farmsim.study.limits import SOLD, about, again, first, limits, relieved
from farmsim.study.limits_answers import Limits
from farmsim.study.pool import Where
from farmsim.study.trials import Brief, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
SHED = "Shed: a bay of 20 shelf places more"
RUNS, WEEKS = 6, 6


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


def roomy(tiny: Farm, orders: float, shed: float, price: float | None = None) -> Farm:
    """The tiny farm with people, benches, racks and crates enough; what is asked for and the shed's size are given."""
    shop, outlet = tiny.customer
    takes = {name: kg * orders for name, kg in shop.takes.items()}
    return tiny.but(
        farm=tiny.farm.but(lead_in=6),
        crew=(tiny.crew[0].but(people=4, wage=15.0),),
        opening=tiny.opening.but(benches=4),
        incubation=tiny.incubation.but(holds=300.0),
        walk_in={"fridge": tiny.walk_in["fridge"].but(holds=400.0)},
        room=(tiny.room[0].but(holds=shed),),
        customer=(shop.but(takes=takes, price=price), outlet),
    )


def ask(farm: Farm, runs: int = RUNS, fuller: bool = False, workers: int = 1) -> Limits:
    return limits(farm, runs, Brief(weeks=WEEKS, where=Where(workers)), fuller)


@pytest.fixture(scope="module")
def small_shed(tiny: Farm) -> Limits:
    return ask(roomy(tiny, 1.6, 180.0, price=20.0), runs=10)


def test_a_shed_that_is_too_small_limits_and_still_does_when_it_is_a_bay_larger(small_shed: Limits) -> None:
    assert (small_shed.now.best, small_shed.relieved) == (SHED, SHED)
    assert small_shed.now.not_told_apart == ()
    assert small_shed.then is not None and small_shed.then.best == SHED
    assert (
        small_shed.then.base > small_shed.now.base + small_shed.now.gain(SHED).judged.low / 2
    )  # most of the gain is there


def test_only_what_may_be_best_gets_all_the_runs(small_shed: Limits) -> None:
    runs = {gain.name: gain.runs for gain in small_shed.now.steps}
    assert runs[SHED] == 10 and set(runs.values()) == {first(10), 10}


def test_what_limits_next_is_asked_of_every_step_and_in_runs_that_have_chosen_nothing(
    small_shed: Limits, tiny: Farm
) -> None:
    assert small_shed.then is not None
    assert {gain.name for gain in small_shed.then.steps} == {gain.name for gain in small_shed.now.steps}
    farm = roomy(tiny, 1.6, 180.0, price=20.0)
    larger = next(step.farm for step in one_more(farm) if step.name == SHED)
    assert larger is not None
    with Trials(farm, Brief(weeks=WEEKS, where=Where(1))) as trials:
        (other_luck,) = trials.by_farm([larger], range(10, 10 + small_shed.then.steps[0].runs))
    values = by_run(SOLD, other_luck)
    assert values is not None and small_shed.then.base == pytest.approx(sum(values) / len(values))


def test_money_of_a_year_is_told_and_not_that_of_a_week(small_shed: Limits) -> None:
    """More is sold at 20 a kg and nobody is paid more: what is left grows by what is taken in, 52 weeks of it."""
    kg, money = small_shed.now.gain(SHED).figures
    assert (kg.unit, money.unit) == ("kg/week", "currency/year")
    assert money.mean == pytest.approx(52 * 20.0 * kg.mean, rel=0.01)


def test_what_strains_earn_stands_beside_every_step_and_in_a_sentence(small_shed: Limits, tiny: Farm) -> None:
    """All is sold at 20 a kg and nothing is bought for it: what the strains earn more is what is sold more."""
    names = {gain.name for gain in (*small_shed.now.steps, *small_shed.now.outside)}
    assert small_shed.earned.keys() == names
    for name, strains in small_shed.earned.items():
        kg = small_shed.now.gain(name).figures[0]
        a_year = [line for each in strains for line in each.differences if line.name == "a year"]
        assert sum(line.mean for line in a_year) == pytest.approx(20.0 * kg.mean * 365 / 7, rel=0.01, abs=5.0)
    table = small_shed.earned_table
    assert set(table["step"]) == names and {"strain", "figure", "low", "high", "verdict", "note"} <= set(table.columns)
    by_strain = " ".join(screen(small_shed).split())
    assert by_strain.count("By strain, before wages: ") == 1
    plain = json.loads(json.dumps(small_shed.as_plain, allow_nan=False))
    assert plain["earned"][SHED][0]["figures"][0]["figure"] == "a year"


def test_without_prices_nothing_is_told_of_what_strains_earn(tiny: Farm) -> None:
    found = ask(roomy(tiny, 1.6, 180.0), 4)
    assert found.earned == {} and not len(found.earned_table) and "By strain" not in screen(found)


def test_money_is_less_all_that_is_paid_where_the_farm_gives_it(tiny: Farm) -> None:
    """Packaging of 5 a kg, and 20 a kg taken in: 15 of what is sold is left, a little less of what only is packed."""
    farm = roomy(tiny, 1.6, 180.0, price=20.0).but(materials=Materials(packaging=5.0))
    (kg, money), (_, left) = (
        ask(farm, 4).now.gain(SHED).figures,
        ask(farm.but(materials=None), 4).now.gain(SHED).figures,
    )
    assert (money.name, money.unit, left.name) == ("net operating income", "currency/year", "left for all else")
    assert money.mean < left.mean - 52 * 4.0 * kg.mean


def test_where_more_is_asked_for_than_there_is_and_all_have_room_the_blocks_started_limit(tiny: Farm) -> None:
    found = ask(roomy(tiny, 1.45, 800.0))
    outside = {gain.where: gain.judged.verdict for gain in found.now.outside}
    assert found.now.best is None
    assert (outside[STARTS], outside[BOTH]) == ("more", "more")
    assert outside[ORDERS] != "more" and found.relieved == "5 % more blocks of every line started"


def test_where_less_is_asked_for_than_there_is_the_orders_limit_and_the_same_steps_are_asked_of_a_fuller_farm(
    tiny: Farm,
) -> None:
    farm = roomy(tiny, 0.5, 800.0)
    found = ask(farm)
    outside = {gain.where: gain.judged.verdict for gain in found.now.outside}
    assert found.now.best is None and (outside[ORDERS], outside[BOTH]) == ("more", "more")
    assert found.relieved == "5 % more asked for by everybody"
    fuller = ask(farm, fuller=True)
    assert fuller.fuller and fuller.now.base == pytest.approx(1.05 * found.now.base, rel=0.02)


def test_people_who_are_too_few_limit_though_less_is_picked_when_there_are_more(tiny: Farm) -> None:
    """One owner packs and picks too late for many an order; with two what is picked is younger, lighter and sold."""
    found = limits(tiny, 10, Brief(weeks=12, where=Where(1)))
    assert found.now.best is not None and found.now.gain(found.now.best).where == "owner"


def test_any_number_of_workers_finds_the_same(tiny: Farm) -> None:
    farm = roomy(tiny, 1.0, 300.0)
    one, two = (ask(farm, 4, workers=workers).as_plain for workers in (1, 2))
    assert one == two
    assert json.dumps(one, allow_nan=False)


def test_what_was_seen_stands_beside_it_with_active_periods(small_shed: Limits) -> None:
    shed = next(place for place in small_shed.places if place.name == "Shed")
    assert shed.full_waiting > 0.3
    held = {each.name: each for each in small_shed.held}
    assert set(held) == {"racks", "walk-in", "opening benches", "Shed", "owner"}
    assert held["Shed"].active == pytest.approx(shed.full_waiting, abs=0.02)
    assert held["Shed"].sole + held["Shed"].shifting <= held["Shed"].active + 1e-9
    assert small_shed.held_table["name"].iloc[0] == "Shed"


def test_a_farm_that_sells_blocks_alone_is_judged_by_blocks_and_one_with_outlets_alone_by_all_it_sells(
    tiny: Farm,
) -> None:
    _, outlet = tiny.customer
    assert ask(tiny.but(customer=(outlet,)), 4).figure == "sold"
    yard = BlockCustomer(name="yard", kind="outlet", takes="anything", days=("tue",))
    assert ask(tiny.but(customer=(), block_customer=(yard,)), 4).figure == "blocks sold"
    assert SOLD.parts == ("sold_kg", "stall_kg")


def test_a_farm_that_changes_is_told_of_the_weeks_since(tiny: Farm) -> None:
    small, large = roomy(tiny, 1.6, 180.0), roomy(tiny, 1.6, 200.0)
    found = ask(small.but(changes=((3 * 168.0, large),)), 4)
    assert (found.since, found.weeks) == (3, WEEKS - 3)
    assert np.isfinite(found.now.base)


def test_places_and_crews_that_come_later_are_left_out(tiny: Farm) -> None:
    """A barn with a crew of its own comes in the fifth week: in four weeks it is not there, and in eight it is."""
    grown = tiny.but(
        room=(*tiny.room, tiny.room[0].but(name="Barn")), crew=(*tiny.crew, tiny.crew[0].but(name="helpers"))
    )
    farm = tiny.but(changes=((4 * 168.0, grown),))
    found = [limits(farm, 4, Brief(weeks=weeks, where=Where(1))) for weeks in (4, 8)]
    for of, are_there in zip(found, (False, True), strict=True):
        asked = {gain.where for gain in of.now.steps}
        seen = {one.name for one in (*of.places, *of.crews)}
        held = {one.name for one in of.held}
        assert all(({"Barn", "helpers"} <= names) == are_there for names in (asked, seen, held))
        assert all({"Shed", "owner"} <= names for names in (asked, seen, held))
        assert are_there or not {"Barn", "helpers"} & (asked | seen | held)
    texts = [" ".join(screen(each).split()) for each in found]
    told = "WEEKS All of it is told of weeks 5 to 8, since the farm's last change, and of what is there then. LIMITS"
    assert [told in text for text in texts] == [False, True] and "WEEKS" not in texts[0]


def test_how_many_runs_it_takes_is_estimated_and_too_few_are_refused(tiny: Farm) -> None:
    from farmsim.scenario.one_more import one_more

    assert (first(14), again(14), first(5)) == (7, 5, 4)
    assert about(one_more(tiny), 14, remain=2) == 10 * (7 + 5) + 3 * 7
    with pytest.raises(NotAllowed, match="runs is 3; needs a whole number from 4"):
        limits(tiny, 3)


def test_a_step_that_may_bring_much_leaves_the_question_open(tiny: Farm) -> None:
    """In four short runs the owner's step cannot be told, so nothing is said to limit and nothing is asked next."""
    found = limits(tiny, 4, Brief(weeks=4, where=Where(1)))
    assert found.now.best is None and found.now.open
    high = [found.now.gain(name).judged.high for name in found.now.open]
    assert high == sorted(high, reverse=True) and high[-1] >= 0.01 * found.now.base
    assert (found.relieved, found.then) == (None, None)


def test_nothing_is_relieved_where_nothing_is_found(small_shed: Limits) -> None:
    from dataclasses import replace

    assert relieved(replace(small_shed.now, best=None, outside=())) is None
