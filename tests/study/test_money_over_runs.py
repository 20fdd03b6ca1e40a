"""Money over all runs: what adds up to the cent, what is told of a change, and that farms without prices stay as they were."""

from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.report.screen import screen
from farmsim.scenario.farm import Farm
from farmsim.scenario.prices import Energy
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.study.replicate import Result

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


def priced(farm: Farm, **more: object) -> Farm:
    """The tiny farm with a price for every customer and a wage."""
    customers = tuple(each.but(price=20.0) for each in farm.customer)
    crew = tuple(each.but(wage=15.0) for each in farm.crew)
    return farm.but(customer=customers, crew=crew, energy=Energy(a_week=123.45), **more)


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


@pytest.fixture(scope="module")
def result(tiny: Farm) -> Result:
    return farmsim.run(priced(tiny), runs=3, weeks=6, workers=1)


def cents(values: object) -> int:
    return int(np.rint(np.asarray(values, dtype=float) * 100).sum())


def test_weeks_months_customers_and_lines_add_up_to_the_cent(result: Result) -> None:
    weekly, months, customers = (result.tables[name] for name in ("money", "money_months", "money_customers"))
    assert len(weekly) == 3 * 6
    for name in ("mushrooms", "blocks", "taken", "wages", "overtime_wages", "energy", "left"):
        assert cents(weekly[name]) == cents(months[name])
    assert cents(weekly["mushrooms"]) == cents(customers["brought"][customers["unit"] == "kg"])
    for _, row in weekly.iterrows():
        assert cents(row["taken"]) == cents(row["mushrooms"]) + cents(row["blocks"])
        assert cents(row["left"]) == cents(row["taken"]) - cents(row["wages"]) - cents(row["energy"])
    assert cents(weekly["energy"]) == 3 * 6 * 12345


def test_what_is_sold_at_one_price_brings_its_weight_times_the_price(result: Result) -> None:
    kg = result.tables["weekly"][["sold_kg", "outlet_kg"]].sum(axis=1)
    assert np.allclose(result.tables["money"]["mushrooms"], 20.0 * kg, atol=0.01)


def test_wages_are_the_paid_hours_at_the_wage(result: Result) -> None:
    weekly = result.tables["weekly"]
    assert np.allclose(result.tables["money"]["wages"], 15.0 * weekly["paid_h"], atol=0.01)
    assert np.allclose(result.tables["money"]["overtime_wages"], 15.0 * weekly["overtime_h"], atol=0.01)


def test_the_answers_hold_the_week_the_run_and_the_customers(result: Result) -> None:
    money, weekly = result.answers.money, result.tables["money"]
    assert money is not None
    assert money.weeks["left"].mean.value == pytest.approx(weekly["left"].mean())
    assert money.weeks["taken"].usual.value == pytest.approx(weekly["taken"].median())
    assert money.totals["taken"].runs == pytest.approx(tuple(weekly.groupby("run")["taken"].sum()))
    assert sum(each.brought.value for each in money.customers) == pytest.approx(weekly["taken"].mean())
    assert (money.no_price, money.no_wage, money.has_energy) == ((), (), True)


def written(farm: Farm, folder: Path) -> dict[str, bytes]:
    folder.mkdir()
    result = farmsim.run(farm, runs=2, weeks=3, workers=1)
    result.write(folder)
    (folder / "screen.txt").write_text(screen(result.answers), encoding="utf-8")
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_without_a_price_wages_and_energy_leave_nothing_behind(tiny: Farm, tmp_path: Path) -> None:
    plain = written(tiny, tmp_path / "plain")
    costs = written(priced(tiny).but(customer=tiny.customer, crew=tiny.crew), tmp_path / "costs")
    assert {name for name in plain if "money" in name} == set()
    assert b"money" not in plain["summary.json"] and b"MONEY" not in plain["screen.txt"]
    lists = ("assumptions.csv",)  # it lists every figure that is given
    assert {name: text for name, text in costs.items() if name not in lists} == {
        name: text for name, text in plain.items() if name not in lists
    }


def test_factors_of_one_change_nothing_byte_for_byte(tiny: Farm, tmp_path: Path) -> None:
    ones = Months(prices=AS_USUAL, block_prices=AS_USUAL, energy=AS_USUAL)
    plain = written(priced(tiny), tmp_path / "plain")
    assert "money.csv" in plain
    assert written(priced(tiny, months=ones), tmp_path / "ones") == plain
    other = written(priced(tiny, months=ones.but(prices=(1.1, *AS_USUAL[1:]))), tmp_path / "other")
    assert other["money.csv"] != plain["money.csv"] and other["weekly.csv"] == plain["weekly.csv"]


def test_money_gives_the_same_bytes_on_one_and_on_two_workers(tiny: Farm, tmp_path: Path) -> None:
    for workers in (1, 2):
        (tmp_path / str(workers)).mkdir()
        farmsim.run(priced(tiny), runs=2, weeks=3, workers=workers).write(tmp_path / str(workers))
    one, two = ({path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in ("1", "2"))
    assert one == two


def test_of_a_farm_that_changes_a_week_and_the_customers_are_told_since_the_change(tiny: Farm) -> None:
    before = priced(tiny)
    after = before.but(customer=tuple(each.but(price=30.0) for each in before.customer))
    result = farmsim.run(before.but(changes=((3 * 168.0, after),)), runs=2, weeks=6, workers=1)
    weekly, money = result.tables["money"], result.answers.money
    assert money is not None and len(weekly) == 2 * 6
    since = weekly[weekly["week"] > 3]
    assert money.weeks["taken"].mean.value == pytest.approx(since["taken"].mean())
    assert cents(since["mushrooms"]) == cents(result.tables["money_customers"]["brought"])
    kg = result.tables["weekly"][["sold_kg", "outlet_kg"]].sum(axis=1)
    price = np.where(weekly["week"] > 3, 30.0, 20.0)
    assert np.allclose(weekly["mushrooms"], price * kg, atol=0.01)
