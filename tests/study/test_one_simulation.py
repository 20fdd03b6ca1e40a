"""Farms that differ in money only are simulated once, and each is told its own money."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.scenario.balance import Balance
from farmsim.scenario.costs import Costs, Drift, FixedCost
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import Loan
from farmsim.scenario.prices import Energy
from farmsim.study import job
from farmsim.study.job import one_run, one_run_in_monies
from farmsim.study.packed import pack
from farmsim.study.pool import Where
from farmsim.study.store import Store
from farmsim.study.trials import Brief, Case, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
WEEKS = 4


@pytest.fixture(scope="module")
def tiny() -> Farm:
    """The tiny farm with books and a dated change, from which on more is started and prices are others."""
    farm = farmsim.load(SCENARIOS / "tiny.toml")
    shop, outlet = farm.customer
    paid = farm.but(
        customer=(shop.but(price=22.0, firm="signed"), outlet.but(price=3.0)),
        crew=tuple(each.but(wage=16.0) for each in farm.crew),
        energy=Energy(a_week=40.0),
        fixed_cost=(FixedCost(name="rent", a_month=400.0),),
        balance=Balance(cash=1_000.0),
    )
    more = tuple(line.but(blocks=line.blocks + 10.0) for line in paid.start)
    return paid.but(changes=((2 * 168.0, paid.but(start=more, customer=(shop.but(price=20.0), outlet))),))


def each_state(farm: Farm, change: Callable[[Farm], Farm]) -> Farm:
    return change(farm).but(changes=tuple((since, change(state)) for since, state in farm.changes))


def cheaper(farm: Farm) -> Farm:
    shop, outlet = farm.customer
    return farm.but(customer=(shop.but(price=shop.price * 0.95), outlet))


@pytest.fixture(scope="module")
def monies(tiny: Farm) -> dict[str, Farm]:
    """The farm and others that differ from it in money only."""
    loan = Loan(name="shed", amount=20_000.0, rate=0.07, from_=date(2026, 12, 15), years=6.0)
    return {
        "as it is": tiny,
        "prices lower": each_state(tiny, cheaper),
        "wages higher": each_state(tiny, lambda farm: farm.but(crew=tuple(c.but(wage=18.0) for c in farm.crew))),
        "another loan": tiny.but(loan=(loan,), drift=Drift(prices=0.02), costs=Costs(on_costs=0.1)),
        "no books": tiny.but(balance=None, fixed_cost=()),
        "no money at all": each_state(
            tiny, lambda farm: farm.but(balance=None, customer=tuple(c.but(price=None) for c in farm.customer))
        ),
        "pays in another currency": tiny.but(farm=tiny.farm.but(currency="JPY", name="Other")),
    }


@pytest.fixture
def simulated(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Numbers of the runs that the model goes through."""
    numbers: list[int] = []
    whole = job.run

    def counted(farm: Farm, seed: int, number: int, weeks: int) -> object:
        numbers.append(number)
        return whole(farm, seed, number, weeks)

    monkeypatch.setattr(job, "run", counted)
    return numbers


def brief(file: Path | None = None) -> Brief:
    return Brief(weeks=WEEKS, where=Where(1), store=file)


def test_each_farm_is_told_what_it_is_told_alone_and_the_model_ran_once(
    monies: dict[str, Farm], simulated: list[int]
) -> None:
    farms = list(monies.values())
    alone = [pack(one_run(farm, 1, WEEKS, 3)) for farm in farms]
    assert simulated == [3] * len(farms)
    simulated.clear()
    together = [pack(tables) for tables in one_run_in_monies(farms, 1, WEEKS, 3)]
    assert simulated == [3]
    assert together == alone
    assert len(set(alone)) == len(farms)


def test_runs_of_one_number_are_simulated_once_for_all_that_differ_in_money(
    tiny: Farm, monies: dict[str, Farm], simulated: list[int]
) -> None:
    told: list[tuple[int, int]] = []
    asked = Brief(weeks=WEEKS, where=Where(1), progress=lambda done, of: told.append((done, of)))
    with Trials(tiny, asked) as trials:
        found = trials.by_farm(list(monies.values()), range(2))
    assert simulated == [0, 1]
    assert (asked.tally.done, asked.tally.stored, asked.tally.expected) == (2, 0, 2)
    assert told == [(1, 2), (2, 2)]
    left = [[float(tables["money"]["left"].sum()) if "money" in tables else None for tables in runs] for runs in found]
    by_name = dict(zip(monies, left, strict=True))
    assert by_name["prices lower"][0] < by_name["as it is"][0] and by_name["no money at all"] == [None, None]
    assert by_name["as it is"] == by_name["another loan"]
    assert by_name["as it is"][0] != by_name["as it is"][1]


def test_what_strains_earn_is_of_the_weeks_since_the_change(tiny: Farm) -> None:
    found = one_run(tiny, 1, WEEKS, 0)
    weeks, strains = (np.asarray(found[name]["mushrooms"], float) for name in ("money", "money_strains"))
    assert strains.sum() == pytest.approx(weeks[2:].sum(), abs=0.05) and weeks[:2].sum() > 1.0


def test_a_farm_that_differs_in_anything_else_is_simulated_by_itself(tiny: Farm, simulated: list[int]) -> None:
    slower = tiny.but(opening=tiny.opening.but(benches=tiny.opening.benches + 1))
    with Trials(tiny, brief()) as trials:
        trials.take([Case(tiny, 0), Case(slower, 0)])
    assert simulated == [0, 0]
    with pytest.raises(ValueError, match="alike in all but money"):
        one_run_in_monies([tiny, slower], 1, WEEKS, 0)


def test_where_the_dearest_is_picked_first_other_prices_are_another_run(tiny: Farm, simulated: list[int]) -> None:
    dearest = each_state(tiny, lambda farm: farm.but(rules=farm.rules.but(pick_first="dearest")))
    other, wages = each_state(dearest, cheaper), dearest.but(crew=tuple(c.but(wage=18.0) for c in dearest.crew))
    with Trials(dearest, brief()) as trials:
        trials.take([Case(dearest, 0), Case(wages, 0)])
        assert simulated == [0]
        trials.take([Case(dearest, 1), Case(other, 1)])
    assert simulated == [0, 1, 1]


def test_each_is_stored_as_its_own_and_only_what_is_missing_is_worked_out(
    tiny: Farm, monies: dict[str, Farm], simulated: list[int], tmp_path: Path
) -> None:
    file, farms = tmp_path / "runs.sqlite", list(monies.values())
    with Trials(tiny, brief(file)) as trials:
        trials.take([Case(tiny, 0)])
    again = brief(file)
    with Trials(tiny, again) as trials:
        first = trials.take([Case(farm, 0) for farm in farms], None)
    assert simulated == [0, 0]
    assert (again.tally.done, again.tally.stored, again.tally.expected) == (2, 1, 2)
    with Store(file) as store:
        assert [kept.runs for kept in store.kept()] == [1] * len(farms)
    with Trials(tiny, brief(file)) as trials:
        second = trials.take([Case(farm, 0) for farm in farms], None)
    assert simulated == [0, 0]
    assert [pack(dict(sorted(tables.items()))) for tables in second] == [
        pack(dict(sorted(tables.items()))) for tables in first
    ]


def test_a_stop_in_between_loses_nothing(tiny: Farm, monies: dict[str, Farm], tmp_path: Path) -> None:
    """Told of the second run's first farm, the asker stops: all farms of both runs are stored by then."""
    file, farms = tmp_path / "runs.sqlite", list(monies.values())

    def stop(done: int, _: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    asked = Brief(weeks=WEEKS, where=Where(1), store=file, progress=stop)
    with pytest.raises(KeyboardInterrupt), Trials(tiny, asked) as trials:
        trials.by_farm(farms, range(4))
    with Store(file) as store:
        assert [kept.runs for kept in store.kept()] == [2] * len(farms)


def test_what_was_expected_shrinks_by_what_is_shared(tiny: Farm, monies: dict[str, Farm]) -> None:
    asked, few = brief(), list(monies.values())[:3]
    with Trials(tiny, asked) as trials:
        trials.expect(6)
        trials.by_farm(few, range(1))
        assert (asked.tally.done, asked.tally.expected) == (1, 4)
        trials.by_farm(few, range(1, 2))
    assert (asked.tally.done, asked.tally.expected) == (2, 2)


def test_prices_that_vary_more_are_the_same_run_with_the_same_luck(tiny: Farm, simulated: list[int]) -> None:
    """Whether prices vary at all is heard, as luck is drawn for them only then; how much they vary is not."""
    shop, outlet = tiny.customer
    little, much = (tiny.but(customer=(shop.but(price_varies=cv), outlet)) for cv in (0.1, 0.3))
    alone = [pack(one_run(farm, 1, WEEKS, 0)) for farm in (little, much)]
    simulated.clear()
    with Trials(tiny, brief()) as trials:
        found = trials.take([Case(tiny, 0), Case(little, 0), Case(much, 0)], None)
    assert simulated == [0, 0]
    assert [pack(tables) for tables in found[1:]] == alone
    assert len({float(tables["money"]["mushrooms"].sum()) for tables in found}) == 3
