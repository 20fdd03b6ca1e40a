"""The study behind the lender's pack, on a shed with a lean-to: everything adds up, and nothing depends on where it is run."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.scenario.history import History
from farmsim.scenario.stress import Stress
from farmsim.study.books_answers import Kept
from farmsim.study.pack import pack
from farmsim.study.pack_answers import Pack, largest
from farmsim.study.pack_beside import MONEY_LINES
from farmsim.study.pack_days import Arrival, Hired
from farmsim.study.pool import Where
from farmsim.study.trials import Brief, Tally

HERE = Path(__file__).parent
CHANGE, RUNS, BLOWS = HERE / "lean-to.toml", 3, 2
CENT = 100
COVERAGE, CAPACITY, PAYMENTS = "term_debt_coverage", "capital_debt_repayment_capacity", "payments"


@pytest.fixture(scope="module")
def base() -> Farm:
    return farmsim.load(HERE / "shed-with-books.toml")


@pytest.fixture(scope="module")
def expanded() -> Farm:
    return farmsim.load(CHANGE)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("runs") / "runs.sqlite"


@pytest.fixture(scope="module")
def found(base: Farm, expanded: Farm, store: Path) -> Pack:
    """One year, worked out by two workers and stored."""
    return pack(base, expanded, CHANGE, RUNS, BLOWS, 1, Brief(where=Where(2), store=store), matters=False)


def told(found: object) -> object:
    """A pack as texts and numbers that can be held against those of another."""
    if isinstance(found, Pack | Kept):
        return {each.name: told(getattr(found, each.name)) for each in fields(found)}
    return found.to_csv() if isinstance(found, pd.DataFrame) else repr(found)


# --- it adds up -------------------------------------------------------------------------------------------------------


def test_without_the_expansion_and_what_it_brings_add_up_to_the_cent_on_every_line(found: Pack) -> None:
    assert [each.line for each in found.beside] == list(MONEY_LINES)
    for each in found.beside:
        cents = [each.base * CENT, each.difference.value * CENT, each.expanded * CENT]
        assert [round(value) for value in cents] == pytest.approx(cents, abs=1e-6), each.line
        assert round(cents[0]) + round(cents[1]) == round(cents[2]), each.line
    lines = {each.line: each for each in found.beside}
    for line in ("sales", "payments", "end_cash"):
        books = [side.years[0].lines[line].mean.value for side in (found.base, found.expanded)]
        assert [lines[line].base, lines[line].expanded] == pytest.approx(books, abs=0.005)
    assert lines["sales"].difference.value > 0 and lines["bought"].expanded == 15_400.0


def test_how_far_off_a_difference_may_be_is_that_of_pairs_of_runs(found: Pack) -> None:
    """Student's t with 2 degrees of freedom, 4.3027 (tables)."""
    before, after = (side.runs_years["operating_income"].to_numpy() for side in (found.base, found.expanded))
    apart = after - before
    line = next(each for each in found.beside if each.line == "operating_income")
    assert line.difference.give == pytest.approx(4.30265 * apart.std(ddof=1) / np.sqrt(RUNS), rel=1e-5)


def test_what_the_expansion_earns_for_its_own_payments_is_told_run_by_run(found: Pack) -> None:
    """Its loan is paid from January on: three payments of interest, then nine of interest and principal."""
    (alone,) = found.alone
    assert alone is not None
    paid = 3 * 89.38 + 9 * 162.09
    assert [each.difference.value for each in found.beside if each.line == PAYMENTS] == [pytest.approx(paid, abs=0.02)]
    before, after = (side.runs_years[CAPACITY].to_numpy() for side in (found.base, found.expanded))
    assert alone.runs == pytest.approx((after - before) / paid, rel=1e-4)


def test_uses_and_sources_have_one_sum(found: Pack) -> None:
    asked = found.asked
    assert asked.uses == (("lean-to", 14_000.0), ("Contingency", 1_400.0), ("Working money until it earns", 1_000.0))
    assert asked.sources == (("lean-to loan", 13_000.0), ("Farm's cash", 1_400.0), ("Owner's money", 2_000.0))
    assert asked.owner_share == pytest.approx(3_400 / 16_400)
    assert (asked.loan.payment, asked.a_year) == (162.09, pytest.approx(12 * 162.09))
    assert (asked.needed, asked.needed_ratio, asked.needed_from) == (
        1.25,
        "term debt coverage",
        "a loan officer, of 2026-11-20",
    )
    assert (asked.security, asked.security_worth, asked.opens) == ("the lean-to", 8_000.0, "2027-03-15")


def test_what_it_is_worth_is_the_differences_of_the_books(found: Pack) -> None:
    """It costs 15,400 with contingency; its last year brings what it is then worth too: 337 days of 20 years are worn."""
    gains = {each.line: each.difference.value for each in found.beside}
    last = gains["operating_income"] - gains["paid_taxes"] + gains["end_equipment"]
    assert found.worth.flows == pytest.approx((-15_400.0, last), abs=0.02)
    assert gains["end_equipment"] == pytest.approx(15_400 * (1 - 337 / (20 * 365.25)), abs=0.02)
    assert found.worth.present_value == pytest.approx(-15_400.0 + last / 1.06, abs=0.05)
    assert found.worth.discount == 0.06 and found.worth.payback is None


# --- who buys, who works, what happens --------------------------------------------------------------------------------


def test_buyers_are_told_with_how_firm_they_are_and_what_they_are_of_all_sales(found: Pack) -> None:
    kinds = {each.name: (each.firm, each.is_new, each.unit, each.since) for each in found.buyers}
    assert kinds == {
        "farm shop": ("signed", False, "kg", ""),
        "bistro": ("letter", True, "kg", "2027-03-15"),
        "deli": ("hoped for", True, "kg", "2027-04-05"),
        "neighbours": ("outlet", False, "kg", ""),
    }
    lines = found.expanded.years[0].lines
    assert sum(each.share for each in found.buyers) == pytest.approx(1.0)
    assert sum(each.a_year for each in found.buyers) == pytest.approx(lines["mushrooms"].mean.value)
    assert sum(each.a_week for each in found.buyers) * 365 / 7 == pytest.approx(lines["kg_sold"].mean.value)
    before = found.base.years[0].lines["kg_sold"].mean.value
    assert sum(each.before_a_week for each in found.buyers) * 365 / 7 == pytest.approx(before)
    assert found.largest is not None and found.largest.name == "farm shop"


def test_a_customer_for_mushrooms_and_blocks_is_one_the_largest_by_all_it_pays(found: Pack) -> None:
    """The largest of the rows alone is another; the blow of its loss means the same one."""
    shop = next(each for each in found.buyers if each.name == "farm shop")
    part = replace(shop, name="both", a_year=0.6 * shop.a_year, share=0.6 * shop.share)
    two = part, replace(part, unit="blocks")
    most = replace(found, buyers=(shop, *two)).largest
    assert most is not None and (most.name, most.share) == ("both", pytest.approx(1.2 * shop.share))
    assert largest([replace(shop, a_year=0.0)]) is None and largest([]) is None


def test_a_year_is_told_in_pounds_and_people(found: Pack) -> None:
    (year,) = found.grown
    lines = {name: (unit, before, after) for name, unit, before, after in year.lines}
    assert lines["blocks bought in"] == ("blocks", 80.0, pytest.approx((8 * 80 + 45 * 100) / 53))
    assert lines["paid hours"] == ("h", 0.0, pytest.approx(15.0 * 40 / 53))
    assert lines["picked"][2] > lines["picked"][1] > 0 and lines["delivered of promised"][0] == "share"
    assert "blocks sold" not in lines
    assert year.people == (("owner", 1.0, 1.0), ("helper", 0.0, 1.0))


def test_the_time_line_tells_money_and_farm_in_the_order_of_its_days(found: Pack) -> None:
    assert [(step.day, step.what) for step in found.steps] == [
        ("2027-01-04", "lean-to loan paid out: $13,000"),
        ("2027-01-18", "first payment of lean-to loan, interest only: $89.38"),
        ("2027-02-01", "lean-to bought: $15,400, contingency included"),
        ("2027-03-01", "phase starts go up begins"),
        ("2027-03-01", "oyster: 80 instead of 60 blocks a week"),
        ("2027-03-15", "phase the lean-to is open begins"),
        ("2027-03-15", "room Lean-to comes: 140 shelf places"),
        ("2027-03-15", "bistro begins to buy (letter): 12 lb a delivery of blue-oyster"),
        ("2027-04-05", "phase help in the mornings begins"),
        ("2027-04-05", "crew helper comes: 1 person"),
        ("2027-04-05", "deli begins to buy (hoped for): 10 lb a delivery of blue-oyster"),
        ("2027-04-18", "first payment of lean-to loan with principal: $162.09"),
    ]


def test_whoever_comes_is_told_with_terms_and_how_firm_they_are(found: Pack) -> None:
    assert found.hired == (Hired("2027-04-05", "helper", 1, 0, "Mon to Fri, 07:00 to 10:00", "$15/h", ""),)
    assert found.arrivals == (
        Arrival("2027-03-15", "bistro", "12 lb a delivery of blue-oyster", "", "Thu", "$8/lb", "letter", ""),
        Arrival("2027-04-05", "deli", "10 lb a delivery of blue-oyster", "", "Sat", "$9/lb", "hoped for", ""),
    )


def test_what_looks_tight_is_told_with_what_was_seen_and_the_draw_with_what_it_counts_as(found: Pack) -> None:
    assert (
        found.seen is not None
        and found.tight_before == found.seen[0].tight
        and found.tight_after == found.seen[1].tight
    )
    assert {each.name for each in found.seen[1].places} >= {"Shed", "Lean-to"} and found.lives_on_draw


def test_headroom_is_told_of_the_last_year(found: Pack) -> None:
    rooms = {each.name: (each.before, each.after) for each in found.headroom}
    before, after = rooms["Lean-to"]
    assert before is None and after is not None and after.capacity == 140.0
    assert set(rooms) >= {"Shed", "owner", "helper"}


def test_past_years_have_a_ratio_only_where_all_of_it_was_given(found: Pack) -> None:
    """26,000 / 4,000; (23,000 - 2,400 + 1,300 + 750 - 9,000) / 4,000."""
    first, last = found.past
    assert (first.ends, first.simple, first.coverage) == ("2025-12-31", 6.0, None)
    assert (last.simple, last.coverage, last.source) == (6.5, pytest.approx(13_650 / 4_000), "tax return")
    assert first.lines["taxes"] is None and first.lines["payments"] == 4_000.0


def test_every_assumption_has_its_kind_its_source_and_its_day(found: Pack) -> None:
    rows = found.assumptions.set_index("figure")
    assert list(rows.loc["customer.farm shop.price"][["source", "day", "kind"]]) == ["invoices", "2026-11-30", "own"]
    assert list(rows.loc["customer.farm shop.leave_by"][["source", "day"]]) == ["the farm's file", ""]
    assert list(rows.loc["loan.lean-to loan.rate"][["source", "day"]]) == ["offer of a bank", "2026-11-20"]
    assert rows.loc["materials.bought"]["source"] == "suppliers' invoices"
    assert rows.loc["farm.round"]["kind"] == "placeholder" and rows.iloc[0]["kind"] == "placeholder"
    assert not any(name.endswith(("_from", "_of")) for name in rows.index)
    assert (
        sum(found.counts.values()) == len(rows) and found.counts["placeholder"] == (rows["kind"] == "placeholder").sum()
    )
    assert rows.loc["start.oyster.blocks"]["value"] == "60 blocks a week; from 2027-03-01: 80 blocks a week"
    assert rows.loc["room.Lean-to.holds"]["value"] == "140 shelf places" and rows.index.is_unique
    assert "steam" not in found.cautions and {"spores", "lifting", "cold store"} <= set(found.cautions)


# --- blows ------------------------------------------------------------------------------------------------------------


def test_blows_are_held_against_the_plan_on_the_same_runs(found: Pack) -> None:
    blows = {each.key: each for each in found.stress}
    plan, prices, late = found.planned, blows["prices"], blows["late"]
    assert plan is not None and plan.coverage is not None and prices.coverage is not None and late.coverage is not None
    assert plan.coverage.runs == tuple(found.expanded.runs_years[COVERAGE][:BLOWS])
    assert (prices.simulated, late.simulated) == (False, True)
    sales = found.expanded.runs_years["sales"][:BLOWS].to_numpy()
    fallen = np.array(plan.margin.runs) - np.array(prices.margin.runs)
    assert fallen == pytest.approx(0.05 * sales, abs=0.02)
    assert blows["largest_customer"].told.endswith("(farm shop)")
    assert blows["largest_customer"].short_in == BLOWS and blows["largest_customer"].missing > 0
    assert found.hoped is not None and found.hoped.margin.usual < plan.margin.usual
    assert all(each.runs == BLOWS and len(each.by_year) == 1 for each in found.stress)


def test_of_two_years_the_worse_is_told_and_the_plan_of_the_same_year_beside_it(base: Farm, expanded: Farm) -> None:
    """Two years of books, and beside them twelve months of the farm's own that lie before the start: so many runs more."""
    only = Stress(
        yield_=0.0, contaminated=0.0, wages=0.0, energy=0.0, interest=0.0, largest_customer=False, together=()
    )
    own = base.but(history=History(from_=date(2025, 12, 1), picked=(400.0,) * 12))
    tally = Tally()
    found = pack(own, expanded.but(stress=only), CHANGE, 2, 2, 2, Brief(where=Where(1), tally=tally), matters=False)
    assert found.told_year == 2 and {each.key for each in found.stress} == {"prices", "late"}
    assert found.planned is not None and found.hoped is not None
    for each in (*found.stress, found.planned, found.hoped):
        usual = [year.usual for year in each.by_year if year is not None]
        assert usual[each.year - 1] == min(usual) and len(usual) == 2 and each.coverage == each.by_year[each.year - 1]
        assert each.planned_coverage == found.planned.by_year[each.year - 1]
    assert found.history is not None and not found.history.is_own and found.history.months[0] == "2025-12"
    assert found.history.runs == 2 and [each.name for each in found.history.figures] == ["picked"]
    without, with_it, late, hoped, months = 2, 2, 2, 2, 2
    assert tally.done == without + with_it + late + hoped + months


# --- the same everywhere ----------------------------------------------------------------------------------------------


def test_the_second_time_it_comes_from_the_store(base: Farm, expanded: Farm, store: Path, found: Pack) -> None:
    tally = Tally()
    brief = Brief(where=Where(1), store=store, tally=tally)
    again = pack(base, expanded, CHANGE, RUNS, BLOWS, 1, brief, matters=False)
    assert told(again) == told(found)
    assert tally.stored == tally.done > 0


def test_one_worker_finds_the_same_as_two(base: Farm, expanded: Farm, store: Path, found: Pack) -> None:
    fewer = [
        pack(base, expanded, CHANGE, 2, 2, 1, brief, matters=False)
        for brief in (Brief(where=Where(1)), Brief(where=Where(2), store=store))
    ]
    assert told(fewer[0]) == told(fewer[1])


def test_no_evening_of_a_month_is_lower_than_its_lowest_on_average_either(found: Pack) -> None:
    """The table of months tells both as averages, with what is owed on the line beside the last evening."""
    for kept in (found.base, found.expanded):
        months = kept.months
        last = months["end_cash"] - months["end_line_owed"] - months["end_overdrawn"]
        assert (months["lowest_cash"] <= last + 1e-6).all()
