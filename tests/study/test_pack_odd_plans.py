"""Packs of plans that are not the usual one: a farm that changes anyway, a change set on a change set, a crew alone."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.model.run import run
from farmsim.record.columns import TABLES
from farmsim.record.tables import Figures
from farmsim.report.pack import first_page
from farmsim.report.pack.said import Told
from farmsim.scenario.delayed import dates, expansion
from farmsim.scenario.farm import Farm
from farmsim.scenario.stress import Stress
from farmsim.study.pack import pack
from farmsim.study.pack_answers import Pack, Stressed
from farmsim.study.pack_refused import NoPack
from farmsim.study.pool import Where
from farmsim.study.trials import Brief

HERE = Path(__file__).parent
SCENARIOS = HERE.parents[1] / "scenarios"
A_POUND = 0.45359237
RUNS = 2
ONLY_PRICES = Stress(
    yield_=0.0, contaminated=0.0, wages=0.0, energy=0.0, interest=0.0, late=0, largest_customer=False, together=()
)
CAFE = """
based_on = "shed-with-books.toml"
name     = "with a cafe"

[change.customer."farm shop"]
price_varies = 0.1

[[phase]]
name = "cafe"
from = 2027-03-15
[phase.add.customer.cafe]
takes    = { blue-oyster = "8 lb a delivery" }
days     = ["tue"]
leave_by = "10:00"
price    = "$9/lb"
firm     = "by habit"
"""
DEARER = """
based_on = "cafe.toml"
name     = "dearer"

[change.customer."farm shop"]
price = "$11/lb"
"""
ASKS = """
based_on = "{base}"
name     = "more room"

[add.loan."new loan"]
amount        = "$1,000"
rate          = "8 % a year"
from          = 2027-01-04
first_payment = 2027-01-18
years         = 10
working_money = "$1,000"

[add.request]
purpose = "a lean-to"
loan    = "new loan"
opens   = 2027-03-15
"""
ROOM = """
[[phase]]
name = "open"
from = 2027-03-15
[phase.change.start.oyster]
blocks = "80 blocks a week"
[phase.add.room.Lean-to]
holds = "140 shelf places"
range = "60 to 66 degF"
"""
CREW = """
[[phase]]
name = "help"
from = 2027-03-15
[phase.add.crew.helper]
people = 1
days   = ["mon", "tue"]
hours  = { mon-fri = "07:00-10:00" }
duties = ["pick", "pack", "clear"]
wage   = "$15/h"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files of all farms beside one another."""
    found = tmp_path_factory.mktemp("farms")
    shed = (HERE / "shed-with-books.toml").read_text(encoding="utf-8").replace("../../scenarios/", "")
    tiny = (SCENARIOS / "tiny.toml").read_text(encoding="utf-8")
    texts = {
        "tiny": tiny, "shed-with-books": shed, "cafe": CAFE, "dearer": DEARER,
        "on-dearer": ASKS.format(base="dearer.toml") + ROOM, "crew": ASKS.format(base="shed-with-books.toml") + CREW,
        "undated": ASKS.format(base="cafe.toml"), "first": ASKS.format(base="cafe.toml") + "\n"
        '[[phase]]\nname = "as it is"\nfrom = 2027-01-04\n',
        "metric-tiny": tiny.replace('units = "us"', 'units = "metric"\ncurrency = "EUR"'),
        "metric": in_euros(shed.replace("tiny.toml", "metric-tiny.toml")),
        "crew-and-more": ASKS.format(base="shed-with-books.toml") + '[change.costs]\non_costs = "12 %"\n' + CREW,
        "metric-crew": in_euros(ASKS.format(base="metric.toml") + CREW),
    }  # fmt: skip
    for name, text in texts.items():
        (found / f"{name}.toml").write_text(text, encoding="utf-8")
    return found


def in_euros(text: str) -> str:
    return re.sub(r"\$([\d.,]+)", r"\1 EUR", text)


def both(folder: Path, base: str, change: str, stress: Stress = ONLY_PRICES) -> tuple[Farm, Farm]:
    one, other = (farmsim.load(folder / f"{name}.toml") for name in (base, change))
    return one, other.but(stress=stress)


def packed(folder: Path, base: str, change: str, stress: Stress = ONLY_PRICES) -> Pack:
    farms, brief = both(folder, base, change, stress), Brief(where=Where(1))
    return pack(*farms, folder / f"{change}.toml", RUNS, RUNS, 1, brief, matters=False)


@pytest.fixture(scope="module")
def on_dearer(folder: Path) -> Pack:
    """Prices vary, a cafe comes on the day on which the lean-to opens, and this is a change set on a change set."""
    return packed(folder, "dearer", "on-dearer")


def test_a_farm_that_changes_on_the_same_day_anyway_is_told_apart_from_its_expansion(on_dearer: Pack) -> None:
    cafe = next(each for each in on_dearer.buyers if each.name == "cafe")
    assert not cafe.is_new and cafe.a_week == pytest.approx(cafe.before_a_week, rel=0.05) and cafe.since == "2027-03-15"
    days = {each.what: each.day for each in on_dearer.steps}
    assert days["phase open begins"] == days["room Lean-to comes: 140 shelf places"] == "2027-03-15"
    assert "phase cafe begins" not in days


def test_what_is_sold_more_goes_to_those_who_take_what_they_are_promised_or_to_the_outlet(on_dearer: Pack) -> None:
    """Nobody is found for more than is said: a customer's week is at most what it takes, the rest is for the outlet."""
    most = {"farm shop": 2 * (66 + 16) * A_POUND, "cafe": 8 * A_POUND}
    for each in on_dearer.buyers:
        assert each.firm == "outlet" or each.a_week < 1.05 * most[each.name], each.name


def test_prices_that_vary_and_fall_cost_that_share_of_each_runs_own_sales(on_dearer: Pack) -> None:
    (prices,), plan = on_dearer.stress, on_dearer.planned
    assert plan is not None and not prices.simulated
    sales = on_dearer.expanded.runs_years["sales"].to_numpy()
    assert np.array(plan.margin.runs) - np.array(prices.margin.runs) == pytest.approx(0.05 * sales, abs=0.02)
    assert abs(sales[0] - sales[1]) > 1_000.0


def test_the_farm_with_the_expansion_and_without_have_the_same_luck_with_prices(folder: Path) -> None:
    lucks = []
    for farm in both(folder, "dearer", "on-dearer"):
        record = run(farm, 1, 0, 40)
        names = [record.names.customers[at] for at in record.numbers("price_luck", "customer")]
        rows = zip(names, record.figures("price_luck", "when"), record.figures("price_luck", "luck"), strict=True)
        lucks.append([(when, luck) for name, when, luck in rows if name == "farm shop"])
    assert len(lucks[0]) == 4 and lucks[0] == lucks[1]


def test_ratios_follow_from_the_lines_beside_them_in_every_run(on_dearer: Pack) -> None:
    for books in (on_dearer.base, on_dearer.expanded):
        year = books.runs_years
        earned = year["net_farm_income"] + year["depreciation"] + year["term_interest"] + year["off_farm_income"]
        capacity = earned - year["paid_taxes"] - year["family_living"]
        payments = year["term_interest_paid"] + year["paid_principal"]
        assert year["term_debt_coverage"].to_numpy() == pytest.approx((capacity / payments).to_numpy())
        simple = (year["sales"] - year["operating_costs"]) / payments
        assert year["simple_debt_service_coverage"].to_numpy() == pytest.approx(simple.to_numpy())
        assert year["prices_may_fall"].to_numpy() == pytest.approx(((capacity - payments) / year["sales"]).to_numpy())
        months = books.runs_months
        assert (months["end_assets"] - months["end_debts"]).to_numpy() == pytest.approx(months["end_equity"].to_numpy())


def test_before_the_first_day_of_the_expansion_both_farms_are_one_run(folder: Path, on_dearer: Pack) -> None:
    farms = both(folder, "dearer", "on-dearer")
    records = [run(farm.but(farm=farm.farm.but(lead_in=on_dearer.lead_in)), 1, 0, 14) for farm in farms]
    opens = 10 * 168.0
    for table in TABLES:
        assert records[0].rows(table.name, opens) == records[1].rows(table.name, opens), table.name
    assert records[0].rows("tasks") != records[1].rows("tasks")


def test_a_crew_alone_buys_nothing_and_is_judged_all_the_same(folder: Path) -> None:
    found = packed(folder, "shed-with-books", "crew")
    assert found.asked.uses == (("Working money until it earns", 1_000.0),)
    assert found.asked.sources == (("new loan", 1_000.0),) and found.asked.owner_share == 0.0
    assert (found.worth.flows[0], found.worth.rate, found.worth.payback) == (0.0, None, None)
    assert first_page.buyers(found, Told(found)).startswith("No mushrooms more are sold. Largest customer: farm shop")


def margins(one: Stressed | None) -> Figures:
    assert one is not None
    return np.array(one.margin.runs)


def payments(one: Stressed | None) -> Figures:
    """What is paid, from the two figures told: coverage is capacity over it, and margin capacity less it."""
    assert one is not None and one.coverage is not None
    return margins(one) / (np.array(one.coverage.runs) - 1.0)


def test_each_blow_costs_what_it_costs_by_hand(folder: Path) -> None:
    """Wages with 12 % on top; twelve payments on 1,000 from 18 January on, at 10 instead of 8 %; a helper who comes later.

    Level payments of 120 months on 1,000: 12.1328 at 8 %, 13.2151 at 10 % (tables).
    """
    hit = Stress(yield_=0.0, contaminated=0.0, prices=0.0, energy=0.5, largest_customer=False, together=())
    found = packed(folder, "shed-with-books", "crew-and-more", hit)
    year, (plan, after) = found.expanded.runs_years, (found.planned, {each.key: each for each in found.stress})
    assert list(after) == ["wages", "energy", "interest", "late"]
    fallen = {key: margins(plan) - margins(one) for key, one in after.items()}
    assert year["on_costs"].to_numpy() == pytest.approx(0.12 * year["shift_wages"].to_numpy(), abs=0.02)
    assert fallen["wages"] == pytest.approx(0.1 * year["people"].to_numpy(), abs=0.05)
    assert fallen["energy"] == pytest.approx(0.5 * year["energy"].to_numpy(), abs=0.05)
    assert fallen["interest"] == pytest.approx(12 * (13.2151 - 12.1328), abs=0.12)
    assert payments(after["late"]) == pytest.approx(payments(plan)) and (fallen["late"] < 0.0).all()
    assert payments(after["interest"]) - payments(plan) == pytest.approx(fallen["interest"])


def test_a_farm_in_kilograms_and_euros_is_told_in_them(folder: Path) -> None:
    found = packed(folder, "metric", "metric-crew")
    assert (found.system, found.currency) == ("metric", "EUR")
    assert first_page.ask(found, Told(found)).startswith(
        "We ask for 1,000 EUR over 10 years at 8 % a year: 12.13 EUR every month, 146 EUR in a usual year."
    )


def test_the_one_monday_of_a_change_set_is_a_day_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "change.toml").write_text('based_on = "farm.toml"\nfrom = 2027-03-15\n', encoding="utf-8")
    (tmp_path / "farm.toml").write_text("", encoding="utf-8")
    links = expansion(tmp_path / "change.toml")
    assert [each.since for each in dates(links, date(2027, 1, 4))] == [date(2027, 3, 15)]
    assert dates(links, date(2027, 3, 15)) == []


@pytest.mark.parametrize("change", ["undated", "first"])
def test_days_of_the_farm_itself_are_no_days_of_its_expansion(folder: Path, change: str) -> None:
    with pytest.raises(NoPack, match=f"^{change}.toml changes the farm on no day"):
        packed(folder, "cafe", change)
