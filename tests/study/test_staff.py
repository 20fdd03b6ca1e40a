"""The cheapest crews that surely keep a target: what trying everything finds, what is promised, what cannot be asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path
from typing import cast

import numpy as np
import pytest

import farmsim
from farmsim.report.staff import screen
from farmsim.scenario.costs import Costs
from farmsim.scenario.crew_choices import Step
from farmsim.scenario.farm import Farm
from farmsim.scenario.values import DAYS, Shift
from farmsim.study import earns, frames, staff_search
from farmsim.study.bounds import NotAllowed
from farmsim.study.headlines import DELIVERED, by_run
from farmsim.study.pay import Pay
from farmsim.study.pool import Where
from farmsim.study.precision import half_width
from farmsim.study.selection import Fate, Outcome
from farmsim.study.staff import NoSearch, _beside, staff
from farmsim.study.staff_effort import BLOCK, Effort
from farmsim.study.staff_found import Lost, Staffed
from farmsim.study.staff_search import TOLD, Search
from farmsim.study.targets import NoTarget, read
from farmsim.study.trials import Brief, Case, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
WEEKS = 6
ALONE = Where(1)
WORKED = DAYS[:6]


def shifts(hours: float) -> dict[str, Shift]:
    return dict.fromkeys(WORKED, Shift(7.0, 7.0 + hours))


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


@pytest.fixture(scope="module")
def two(tiny: Farm) -> Farm:
    """The tiny farm with slower work and too many people, in two crews: 2 pickers and 2 packers of 4 h a day."""
    strains = {
        name: strain.but(picking=strain.picking.but(pace=strain.picking.pace / 1.5), pack=strain.pack / 1.5)
        for name, strain in tiny.strain.items()
    }
    crew = tiny.crew[0].but(people=2, days=WORKED, hours=shifts(4.0))
    pickers = crew.but(name="pickers", duties=("pick", "open"), wage=18.0)
    packers = crew.but(name="packers", duties=("pack", "clear"), wage=17.0)
    return tiny.but(crew=(pickers, packers), strain=strains)


def sized(farm: Farm, pickers: int, packers: int, hours: float) -> Farm:
    first, second = farm.crew
    return farm.but(
        crew=(first.but(people=pickers, hours=shifts(hours)), second.but(people=packers, hours=shifts(hours)))
    )


FEWER = ((Step("people", -1),), (Step("hours", -1.0),))
MORE = ((Step("people", 1),), (Step("hours", 1.0),))
SHORT = Effort(rounds=3, most=30, runs=4, slack=0.04)


def search(farm: Farm, *targets: str, effort: Effort = SHORT, where: Where = ALONE, seed: int = 1) -> Staffed:
    return staff(farm, tuple(map(read, targets)), effort, Brief(seed, WEEKS, where))


@pytest.fixture(scope="module", autouse=True)
def few_steps() -> Iterator[None]:
    """People and hours are all that is changed, so that everything can be tried."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(staff_search, "CUTS", FEWER)
        patch.setattr(staff_search, "ADDITIONS", MORE)
        yield


@pytest.fixture(scope="module")
def found(two: Farm) -> Staffed:
    return search(two, "delivered 90 %")


def test_it_finds_what_trying_everything_finds(two: Farm, found: Staffed) -> None:
    """All people and hours the search may come to, 40 runs each: the cheapest that delivers 90 % of what is promised."""
    costs = {}
    with Trials(two, Brief(seed=7, weeks=WEEKS, where=ALONE)) as trials:
        for pickers, packers, first, second in product((1, 2), (1, 2), (4.0, 3.0, 2.0), (4.0, 3.0, 2.0)):
            ours, theirs = two.crew
            ours, theirs = (
                ours.but(people=pickers, hours=shifts(first)),
                theirs.but(people=packers, hours=shifts(second)),
            )
            farm = two.but(crew=(ours, theirs))
            cost = 6 * (pickers * first * 18.0 + packers * second * 17.0)
            if cost <= found.cost + found.zone:
                runs = trials.take([Case(farm, number) for number in range(40)], ("weekly",))
                costs[cost, pickers, packers, first, second] = float(np.mean(by_run(DELIVERED, runs) or []))
    able = [cost for (cost, *_), delivered in costs.items() if delivered >= 0.90]
    assert found.meets and found.cost == pytest.approx(min(able), abs=found.zone)
    assert found.cost < 0.5 * 4 * 6 * 2 * 35.0


def test_all_that_was_tried_is_told_with_its_fate(found: Staffed) -> None:
    table = found.table
    assert len(table) == len(found.tried) and set(table["fate"]) <= {"chosen", "dearer", "misses", "not sure"}
    for number in range(1, found.rounds + 1):
        mine = table[table["round"] == number]
        assert (mine["fate"] == "chosen").sum() == 1 and len(mine) <= 10
        best = mine[mine["fate"] == "chosen"].iloc[0]
        dearer = mine[mine["fate"] == "dearer"]
        assert (dearer["cost"] > best["cost"]).all() and dearer["lost_by"].eq("dearer").all()
    last = table[table["fate"] == "chosen"].iloc[-1]
    assert last["crews"] == ("; ".join(found.changes) or "as now")


def test_what_is_saved_is_told_with_how_sure_it_is(two: Farm, found: Staffed) -> None:
    assert found.unit == "currency/week" and found.lines is not None and found.saved is not None
    now = 4 * 6 * 2 * 35.0
    assert found.lines[0].base == pytest.approx(now)
    assert found.saved["mean"] == pytest.approx(now - found.cost)
    assert found.zone == pytest.approx(0.01 * now)
    assert [kept.target.name for kept in found.kept] == ["delivered"]
    plain = found.as_plain
    assert plain["meets_the_targets"] is True and plain["changes"] == list(found.changes)


def test_the_load_is_that_of_the_crews_found(found: Staffed) -> None:
    assert [crew.name for crew in found.load] == ["pickers", "packers"]
    monday = [used for used in found.load[0].hours[:24] if used is not None]
    assert found.by_day[0][0] == pytest.approx(sum(monday) / len(monday))
    assert found.by_day[0][6] is None  # nobody is there on Sundays
    assert len(found.load_table) == 2 * 168


def test_any_number_of_workers_finds_the_same(two: Farm) -> None:
    effort = Effort(rounds=1, most=10, runs=2)
    one, both = (search(two, "delivered 50 %", effort=effort, where=Where(hands)) for hands in (1, 2))
    assert one.as_plain == both.as_plain and one.change_set == both.change_set


def test_nothing_that_meets_the_target_is_told_with_what_comes_closest(two: Farm) -> None:
    """Nobody can deliver all of everything with what grows here, however many people there are."""
    found = search(two, "delivered 100 %", effort=Effort(rounds=1, most=10, runs=3))
    assert not found.meets and found.kept[0].mean < 1.0
    tried = [each.changes for each in found.tried]
    assert tried[:2] == [(), ("pickers 3 people instead of 2", "packers 3 people instead of 2")]


def test_crews_that_are_too_small_are_made_larger(two: Farm) -> None:
    found = search(sized(two, 1, 1, 2.0), "delivered 85 %", effort=Effort(rounds=1, most=30, runs=3, slack=0.1))
    assert found.meets and found.saved is not None and found.saved["mean"] < 0
    assert 'name     = "other crews"' in found.change_set


# --- why crews lost -------------------------------------------------------------------------------------------------


def lost(*targets: str, cost: Sequence[np.ndarray], margins: Sequence[Sequence[np.ndarray]], fate: Fate) -> Lost:
    """What is told of the second of two crews; the first was chosen."""
    some = staff_search.Search(cast(Farm, None), cast(Trials, None), Effort(rounds=2), cast(Pay, None))
    some.targets, some.slacks = tuple(map(read, targets)), (0.01,) * len(targets)
    told = some._lost(Outcome(0, ("chosen", fate), tuple(cost), tuple(map(tuple, margins)), True), 1)
    assert told is not None
    return told


def sure_of(first: np.ndarray, targets: int) -> float:
    """The lower end of one of all statements: 2 rounds, 10 crews, each target and 9 winners."""
    return float(first.mean()) - half_width(first, 1 - 2 * 0.05 / (2 * 10 * (targets + 9)))


def test_how_much_is_surely_missing_is_told_by_the_first_runs_with_the_risk_shared_over_targets() -> None:
    first = np.array([0.04, 0.06] * 5)
    kept, short = np.full(40, 0.02), -np.concatenate([first, np.full(30, 0.05)])
    cost = [np.full(40, 100.0)] * 2
    one = lost("delivered 95 %", cost=cost, margins=[[kept], [short]], fate="misses")
    assert one.by == pytest.approx(0.05) and one.surely == pytest.approx(sure_of(first, 1))
    two = lost("delivered 95 %", "whole orders 90 %", cost=cost, margins=[[kept, kept], [kept, short]], fate="misses")
    assert two.target is not None and two.target.name == "whole orders"
    assert two.surely == pytest.approx(sure_of(first, 2))


def test_how_much_dearer_surely_is_told_by_the_first_runs_and_never_more_than_the_mean() -> None:
    first, base = np.array([40.0, 60.0] * 5), np.full(40, 100.0)
    margins = [[np.full(40, 0.02)]] * 2
    more = np.concatenate([first, np.full(30, 50.0)])
    told = lost("delivered 95 %", cost=[base, base + more], margins=margins, fate="dearer")
    assert told.by == pytest.approx(50.0) and told.surely == pytest.approx(sure_of(first, 1))
    less = np.concatenate([first, np.full(30, 10.0)])
    told = lost("delivered 95 %", cost=[base, base + less], margins=margins, fate="dearer")
    assert told.surely == told.by == pytest.approx(20.0)


# --- the cost -------------------------------------------------------------------------------------------------------


def test_wages_are_those_of_the_books(two: Farm) -> None:
    """Worked out from hours by crew, they are the wages of the money table, overtime and missed days included."""
    pickers, packers = two.crew
    crews = (
        pickers.but(people=1, hours=shifts(2.0), absence=0.1, overtime=pickers.overtime.but(at_most=2.0)),
        packers.but(people=1, hours=shifts(2.0)),
    )
    shop, outlet = two.customer
    farm = two.but(crew=crews, customer=(shop.but(price=20.0), outlet))
    with Trials(farm, Brief(weeks=WEEKS, where=ALONE)) as trials:
        (run,) = trials.take([Case(farm, 3)], None)
    assert run["weekly"]["overtime_h"].sum() > 0
    booked = float(np.mean(run["money"]["wages"]))
    assert Pay.of(farm).of_run(farm, run, WEEKS) == pytest.approx(booked, abs=0.01)


def test_what_goes_on_top_of_wages_is_in_the_cost(two: Farm) -> None:
    """A week of 40 h paid, 5 of them overtime, at 20: 800 and half of 100 more, 850; 10 % on all of it: 935."""
    pickers, packers = (crew.but(wage=20.0) for crew in two.crew)
    crews: dict[str, list[str] | np.ndarray] = {
        "crew": [pickers.name, packers.name],
        "paid_h": np.array([2 * 40.0, 0.0]),
        "overtime_paid_h": np.array([2 * 5.0, 0.0]),
    }
    farm = two.but(crew=(pickers, packers), costs=Costs(on_costs=0.1, overtime_more=0.5))
    assert Pay.of(farm).of_run(farm, {"crews": crews}, 2) == pytest.approx(935.0)
    plain = farm.but(costs=None)
    assert Pay.of(plain).of_run(plain, {"crews": crews}, 2) == pytest.approx(800.0)
    hours = farm.but(crew=(pickers.but(wage=None), packers))
    assert Pay.of(hours).of_run(hours, {"crews": crews}, 2) == pytest.approx(40.0)


def test_what_goes_on_top_of_wages_is_that_of_the_books(two: Farm) -> None:
    pickers, packers = two.crew
    late = (pickers.but(people=1, hours=shifts(2.0), overtime=pickers.overtime.but(at_most=2.0)), packers)
    shop, outlet = two.customer
    costs = Costs(on_costs=0.2, overtime_more=0.5)
    farm = two.but(crew=late, customer=(shop.but(price=20.0), outlet), costs=costs)
    with Trials(farm, Brief(weeks=WEEKS, where=ALONE)) as trials:
        (run,) = trials.take([Case(farm, 3)], None)
    booked = float(np.sum(run["money"]["wages"]) + np.sum(run["money"]["other_costs"])) / WEEKS
    assert run["weekly"]["overtime_h"].sum() > 0
    assert Pay.of(farm).of_run(farm, run, WEEKS) == pytest.approx(booked, abs=0.01)


def test_with_prices_what_cheaper_crews_leave_is_told_beside_what_they_cost(two: Farm) -> None:
    shop, outlet = two.customer
    priced = two.but(customer=(shop.but(price=20.0), outlet))
    for farm, name in ((priced, "left for all else"), (priced.but(costs=Costs(on_costs=0.2)), "net operating income")):
        fewer = sized(farm, 1, 1, 3.0)
        with Trials(farm, Brief(weeks=4, where=ALONE)) as trials:
            search = Search(farm, trials, SHORT, Pay.of(farm))
            search.best, search.targets = fewer, (read("delivered 90 %"),)
            cases = ([Case(each, number) for number in range(3)] for each in (farm, fewer))
            before, after = (trials.take(each, (*TOLD, "money")) for each in cases)
            lines = {line.name: line for line in _beside(search, before, after)}
        taken = [np.mean([each["money"]["taken"] for each in runs]) for runs in (before, after)]
        assert lines[name].mean == pytest.approx(taken[1] - taken[0] - lines["wages"].mean, abs=0.05)
        assert lines["wages"].mean < 0.0 and {"left for all else", "net operating income"} & set(lines) == {name}


def test_what_strains_earn_with_the_crews_found_stands_beside_what_they_earn_now(two: Farm, found: Staffed) -> None:
    shop, outlet = two.customer
    priced = sized(two, 2, 2, 3.0).but(customer=(shop.but(price=20.0), outlet))
    told = search(priced, "delivered 50 %", effort=Effort(rounds=1, most=20, runs=3, slack=0.2))
    assert told.changes and told.earned and found.earned == ()
    with Trials(priced, Brief(1, WEEKS, ALONE)) as trials:
        runs = trials.take([Case(priced, 2 * BLOCK + number) for number in range(3)], (earns.TABLE,))
    now = earns.by_run(frames.frames(runs)[earns.TABLE], WEEKS)
    for each in told.earned:
        (a_year,) = [line for line in each.differences if line.name == "a year"]
        assert a_year.base == pytest.approx(now[each.strain].a_year.mean())
    assert list(told.earned_table["strain"].unique()) == [each.strain for each in told.earned]
    assert "earned_by_strain" in told.as_plain and "earned_by_strain" not in found.as_plain
    assert " ".join(screen(told, False).split()).count("By strain, before wages: ") == 1


def test_hours_are_counted_where_a_wage_is_missing(tiny: Farm) -> None:
    pay = Pay.of(tiny)
    assert (pay.no_wage, pay.line.unit) == (("owner",), "h/week")
    with Trials(tiny, Brief(weeks=4, where=ALONE)) as trials:
        (run,) = trials.take([Case(tiny, 0)], ("weekly", "crews"))
    assert pay.of_run(tiny, run, 4) == pytest.approx(19.5)


# --- what cannot be asked -------------------------------------------------------------------------------------------


def test_a_farm_that_changes_on_a_date_is_refused(tiny: Farm) -> None:
    later = tiny.but(changes=((168.0, tiny.but(farm=tiny.farm.but(weeks=20))),))
    with pytest.raises(NoSearch) as caught:
        search(later)
    assert str(caught.value) == (
        "One shed changes on a date, and crews are searched for a farm that stays as it is. Leave its phases and dates out, "
        "and ask for the farm as it is at first or in the end"
    )


def test_a_farm_that_pays_nobody_is_refused(tiny: Farm) -> None:
    with pytest.raises(NoSearch) as caught:
        search(tiny.but(crew=(tiny.crew[0].but(paid="as owner"),)))
    assert str(caught.value) == "One shed has no crew that is paid by the hour: there is no cost to search by"


def test_a_target_must_have_a_figure(tiny: Farm) -> None:
    with pytest.raises(NoTarget) as caught:
        search(tiny, "blocks delivered 95 %")
    assert (
        str(caught.value) == '"blocks delivered" cannot be judged: One shed has nothing of which that would be a share'
    )
    with pytest.raises(NoTarget) as caught:
        search(tiny.but(customer=tiny.customer[1:]))
    assert str(caught.value).startswith(
        "One shed promises nobody anything; name a target that it has, such as --target"
    )


def test_without_targets_service_is_what_is_wanted(tiny: Farm) -> None:
    """The farm sells no blocks, so mushrooms alone have to be delivered."""
    found = search(tiny, effort=Effort(rounds=1, most=10, runs=2))
    assert [(target.name, target.bound) for target in found.targets] == [("delivered", 0.95)]


@pytest.mark.parametrize(
    ("effort", "told"),
    [
        ({"rounds": 0}, "rounds is 0; needs a whole number from 1 to 20"),
        ({"most": 9}, "most is 9; needs a whole number from 10 to 1,000"),
        ({"runs": 1}, "runs is 1; needs a whole number from 2 to 10,000"),
        ({"slack": 0.0}, "slack is 0.0; needs a share between 0 and 1"),
        ({"zone": 1.0}, "zone is 1.0; needs a share between 0 and 1"),
    ],
)
def test_an_effort_that_cannot_be(effort: dict[str, float], told: str) -> None:
    with pytest.raises(NotAllowed) as caught:
        Effort(**effort)
    assert str(caught.value) == told
