"""The lender's pack worked out by hand, from runs made up for it, figure by figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

import farmsim
from farmsim.model.build import place_list
from farmsim.record.measures import RunTables
from farmsim.record.measures.standing import BOOKED
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import Loan
from farmsim.scenario.stressed import Blow
from farmsim.study import pack_blown as study
from farmsim.study.books import loan_told
from farmsim.study.books_answers import Kept, Lowest, YearTold
from farmsim.study.headroom import headroom
from farmsim.study.pack_answers import largest
from farmsim.study.pack_asked import asked, past
from farmsim.study.pack_beside import alone, new_items, worth
from farmsim.study.pack_given import assumptions
from farmsim.study.pack_shown import loan_years
from farmsim.study.pack_sides import Side
from farmsim.study.pack_sold import bought, buyers
from farmsim.study.pack_steps import steps
from farmsim.study.pack_stress import COVERAGE, stressed
from farmsim.study.weeks import total

HERE = Path(__file__).parent
CHANGE = HERE / "lean-to.toml"
WEEK = 168.0
DAYS = {1: 365.0, 2: 366.0}


@pytest.fixture(scope="module")
def shed() -> Farm:
    return farmsim.load(HERE / "shed-with-books.toml")


@pytest.fixture(scope="module")
def leaned() -> Farm:
    return farmsim.load(CHANGE)


# --- sides made up ----------------------------------------------------------------------------------------------------


def year(number: int, sales: float = 1_000.0) -> YearTold:
    """The first year from 4 January 2027 on, and the next, which has a 29 February."""
    first, last = (("2027-01-04", "2028-01-03"), ("2028-01-04", "2029-01-03"))[number - 1]
    lines = {"days": DAYS[number], "sales": sales}
    return YearTold(number, first, last, True, {name: total([value] * 2) for name, value in lines.items()}, ())


def books(years: Sequence[YearTold], runs_years: pd.DataFrame | None = None) -> Kept:
    empty, lowest = pd.DataFrame(), Lowest(total([0.0, 0.0]), "2027-01", 2, 0, 0.0, 0, 0.0)
    rows = empty if runs_years is None else runs_years
    return Kept(
        "One shed", "metric", "USD", "2027-01-04", 2, 1, 8, tuple(years), {}, lowest, None, None, (), None, (), None, (),
        empty, empty, empty, empty, rows, empty, (),
    )  # fmt: skip


def side(farm: Farm, rows: Sequence[tuple[int, int, str, float, float]] = ()) -> Side:
    """Two years of a farm; rows: run, year, customer, kg, and what it pays."""
    table = pd.DataFrame(rows, columns=["run", "year", "customer", "goods", "paid"]).assign(unit="kg")
    return Side(farm, 105, (), {"books_customers": table}, books((year(1), year(2))))


def with_lines(farm: Farm, lines: Mapping[str, Sequence[float]]) -> Side:
    """One year of two runs; lines: of both."""
    rows = pd.DataFrame({"run": [1, 2], "year": [1, 1], **lines})
    return Side(farm, 53, (), {}, books((year(1),), rows))


def test_weeks_of_a_year_are_those_that_begin_in_it(shed: Farm) -> None:
    """The first year ends with day 364, a Monday: the 53rd week begins on it, and the second year has the others."""
    of = side(shed)
    assert of.weeks_of(of.kept.years[0]) == range(1, 54)
    assert of.weeks_of(of.kept.years[1]) == range(54, 106)


# --- who buys ---------------------------------------------------------------------------------------------------------


def test_goods_a_week_are_of_the_days_of_that_year(shed: Farm) -> None:
    """On average 549 kg in 366 days are 10.5 a week."""
    of = side(
        shed, [(1, 2, "farm shop", 366.0, 100.0), (2, 2, "farm shop", 732.0, 300.0), (1, 1, "farm shop", 9.0, 9.0)]
    )
    assert bought(of, of.kept.years[1]) == {("farm shop", "kg"): (pytest.approx(10.5), 200.0)}


def grown(shed: Farm) -> tuple[Farm, Farm]:
    """A cafe comes to the shed in any case; with the expansion an inn comes too, and another when all is over."""
    shop = shed.customer[0]
    cafe, inn, last = (shop.but(name=name, firm="letter") for name in ("cafe", "inn", "too late"))
    then = shed.but(customer=(*shed.customer, cafe))
    base = shed.but(changes=((9 * WEEK, then),))
    more = then.but(customer=(*then.customer, inn))
    signed = then.but(customer=(*then.customer, inn.but(firm="signed")))
    after = more.but(customer=(*more.customer, last))
    expanded = shed.but(changes=((9 * WEEK, then), (20 * WEEK, more), (60 * WEEK, signed), (105 * WEEK, after)))
    return base, expanded


def test_buyers_are_those_of_the_last_year_beside_the_same_year_without(shed: Farm) -> None:
    """Whom the farm has anyway is not new; who comes, or has not signed any more, when the books are over, is not told so."""
    base, expanded = grown(shed)
    week = 366.0 / 7
    before = side(base, [(1, 1, "cafe", 999.0, 1.0), (1, 2, "cafe", 10 * week, 100.0)])
    after = side(
        expanded, [(1, 2, "cafe", 12 * week, 120.0), (1, 2, "inn", 5 * week, 500.0), (1, 2, "too late", 0.0, 0.0)]
    )
    found = {each.name: each for each in buyers(before, after)}
    assert list(found) == ["inn", "cafe"]
    assert (found["cafe"].a_week, found["cafe"].before_a_week) == (pytest.approx(12.0), pytest.approx(10.0))
    assert [(each.is_new, each.firm, each.since, each.share) for each in found.values()] == [
        (True, "signed", "2027-05-24", 0.5), (False, "letter", "2027-03-08", 0.12)
    ]  # fmt: skip


def test_the_largest_customer_is_that_of_the_last_year(shed: Farm) -> None:
    of = side(shed, [(1, 1, "farm shop", 1.0, 90.0), (1, 1, "neighbours", 1.0, 10.0),
                     (1, 2, "farm shop", 1.0, 20.0), (1, 2, "neighbours", 1.0, 30.0)])  # fmt: skip
    assert (most := largest(buyers(of, of))) is not None and most.name == "neighbours"
    nothing = side(shed, [(1, 2, "farm shop", 1.0, 0.0)])
    assert largest(buyers(nothing, nothing)) is None


# --- what it brings ---------------------------------------------------------------------------------------------------


def test_alone_is_told_only_where_every_run_has_payments_of_its_own(shed: Farm) -> None:
    base = with_lines(shed, {"capital_debt_repayment_capacity": [100.0, 100.0], "payments": [50.0, 50.0]})
    paid = with_lines(shed, {"capital_debt_repayment_capacity": [130.0, 90.0], "payments": [70.0, 60.0]})
    once = with_lines(shed, {"capital_debt_repayment_capacity": [130.0, 90.0], "payments": [70.0, 50.0]})
    (found,) = alone(base, paid)
    assert found is not None and found.runs == (1.5, -1.0)
    assert list(alone(base, once)) == [None]


def flows(shed: Farm, bought_more: float) -> tuple[Side, Side]:
    names = ("operating_income", "paid_taxes", "end_equipment", "bought")
    before = dict(zip(names, ([500.0, 600.0], [40.0, 50.0], [300.0] * 2, [3_000.0] * 2), strict=True))
    after = dict(zip(names, ([900.0, 1_200.0], [60.0, 70.0], [800.0] * 2, [3_000.0 + bought_more] * 2), strict=True))
    return with_lines(shed, before), with_lines(shed, after)


def test_what_it_is_worth_hears_taxes_and_only_what_is_bought_more(shed: Farm) -> None:
    """Income is 400 and 600 higher, taxes 20: 480 on average; equipment is worth 500 more. 9,000 more is bought, not 12,000."""
    found = worth(*flows(shed, 9_000.0), 0.25)
    assert found.flows == (-9_000.0, pytest.approx(480.0 + 500.0))
    assert found.present_value == pytest.approx(-9_000.0 + 980.0 / 1.25)
    assert (found.rate, found.payback, found.book_value) == (pytest.approx(980.0 / 9_000.0 - 1.0), None, 500.0)


def test_nothing_is_paid_back_with_what_the_new_part_is_still_worth(shed: Farm) -> None:
    """Of 800 the year brings 480 in money; with 500 of book value it would have come back after 10 months."""
    found = worth(*flows(shed, 800.0), None)
    assert (found.flows[-1], found.payback) == (980.0, None)
    assert worth(*flows(shed, 240.0), None).payback == pytest.approx(0.5)


def test_where_nothing_more_is_bought_nothing_has_to_come_back(shed: Farm) -> None:
    found = worth(*flows(shed, 0.0), None)
    assert found.flows == (0.0, pytest.approx(980.0))
    assert (found.present_value, found.rate, found.payback) == (None, None, None)
    less = worth(*reversed(flows(shed, 2_000.0)), None)
    assert less.flows == (2_000.0, pytest.approx(-980.0)) and (less.rate, less.payback) == (None, None)


def test_what_the_farm_owns_already_is_not_bought_again(shed: Farm, leaned: Farm) -> None:
    """An oven of 2024 that is to last longer is paid for; the lean-to is not."""
    (oven,) = shed.capital
    other = leaned.but(capital=tuple(each.but(life=20.0) if each == oven else each for each in leaned.capital))
    assert [item.name for item in new_items(shed, other)] == ["lean-to"]


# --- blows ------------------------------------------------------------------------------------------------------------


def run(margin: float, lines: Sequence[float]) -> RunTables:
    columns = {
        "year": [1.0, 2.0],
        "capital_debt_repayment_margin": [margin] * 2,
        "line_most": lines,
        "not_covered": lines,
    }
    nothing = {name: [1.0, 1.0] for name in ("term_debt_coverage", "simple_debt_service_coverage", "lowest_cash")}
    return {"books_years": {name: pd.Series(value).to_numpy(float) for name, value in (columns | nothing).items()}}


def test_a_margin_of_nothing_is_not_short_and_the_most_is_no_sum() -> None:
    runs = [run(0.0, [30.0, 20.0]), run(-0.01, [10.0, 30.0])]
    found = stressed("prices", "Prices", runs, runs, 1, COVERAGE, is_simulated=False)
    assert (found.short_in, found.line_most, found.missing) == (1, 30.0, 30.0)


class NothingMore:
    """Stands for runs when no more are asked for."""

    weeks = 105

    def take(self, cases: Sequence[object], tables: object) -> list[RunTables]:
        assert not cases
        return []


def test_the_customer_that_is_lost_is_the_largest_of_the_last_year(
    shed: Farm, leaned: Farm, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert leaned.request is not None
    asked_for: list[str | None] = []

    def none(
        change: Path,
        farm: Farm,
        name: str | None,
        since: float,
        weeks: int,
        base: Path | None,
        late: Farm | None = None,
    ) -> list[Blow]:
        assert (since, base) == (10 * WEEK, HERE / "shed-with-books.toml")
        asked_for.append(name)
        return []

    monkeypatch.setattr(study, "blows", none)
    blown = study.blown(shed, leaned, CHANGE, leaned.request, 105)
    of = side(shed, [(1, 1, "farm shop", 1.0, 90.0), (1, 2, "farm shop", 1.0, 20.0), (1, 2, "neighbours", 1.0, 30.0)])
    runs = [run(5.0, [0.0, 0.0]), run(-1.0, [0.0, 0.0])]
    rows = blown.told(NothingMore(), (of, replace(of, runs=runs)), {study.HOPED: runs}, 2)  # type: ignore[arg-type]
    assert (asked_for, rows.stress) == ([None, "neighbours"], ())
    assert rows.hoped is not None and (rows.hoped.key, rows.hoped.year, rows.hoped.short_in) == ("hoped", 1, 1)


# --- what is asked ----------------------------------------------------------------------------------------------------


def test_payments_of_a_usual_year_are_as_many_as_are_due_in_one(shed: Farm, leaned: Farm) -> None:
    assert leaned.request is not None
    loan = leaned.loan[-1].but(every="quarter", kind="equal principal", interest_only=0, rate=0.0, years=5.0)
    grown = leaned.but(loan=(*shed.loan, loan))
    found = asked(leaned.request, shed, grown, [loan_told(loan, shed.farm.start, 100)])
    assert (found.loan.payment, found.a_year) == (650.0, 4 * 650.0)


def test_the_loan_that_is_asked_for_comes_first_and_a_changed_one_is_new(shed: Farm, leaned: Farm) -> None:
    """The old loan is to be 5,000 more, which is working money here; another comes before it by name."""
    assert leaned.request is not None
    (old,) = shed.loan
    raised = old.but(amount=25_000.0, working_money=5_000.0)
    aunt = Loan(name="aunt", amount=500.0, working_money=500.0, rate=0.0, from_=date(2027, 2, 1), years=1.0)
    grown = leaned.but(loan=(aunt, raised, leaned.loan[-1]))
    found = asked(leaned.request, shed, grown, [loan_told(leaned.loan[-1], shed.farm.start, 100)])
    assert [name for name, _ in found.sources] == ["lean-to loan", "aunt", "shed", "Farm's cash", "Owner's money"]
    assert sum(much for _, much in found.uses) == sum(much for _, much in found.sources) == 21_900.0


def test_a_past_year_without_all_payments_has_no_ratio(shed: Farm) -> None:
    whole = shed.past_year[-1]
    part = shed.but(past_year=(whole.but(paid_principal=None),))
    (found,) = past(part)
    assert (found.simple, found.coverage, found.lines["payments"]) == (None, None, None)


# --- loans, figures, days ---------------------------------------------------------------------------------------------


def test_a_payment_of_the_first_day_is_of_that_year_and_the_last_one_says_what_is_left() -> None:
    days = ("2028-01-03", "2028-01-04", "2028-06-04", "2029-01-03", "2029-01-04")
    rows = [("loan", at, day, 1.0, 10.0, 11.0, 100.0 - 10.0 * at) for at, day in enumerate(days, 1)]
    table = pd.DataFrame(rows, columns=["loan", "payment", "due", "interest", "principal", "paid", "left"])
    loan = loan_told(
        Loan(name="loan", amount=100.0, rate=0.0, from_=date(2027, 12, 3), years=1.0), date(2027, 1, 4), 100
    )
    kept = replace(books((year(1), year(2))), loans=(loan,), loans_table=table)
    assert [(each.year, each.paid, each.left) for each in loan_years(kept)] == [(1, 11.0, 90.0), (2, 33.0, 60.0)]


def test_the_day_of_an_offer_is_not_that_of_what_the_farm_left_as_usual(leaned: Farm) -> None:
    rows = assumptions(leaned).set_index("figure")
    assert rows.loc["loan.lean-to loan.rate"]["day"] == "2026-11-20"
    assert rows.loc["loan.lean-to loan.kind"]["day"] == "" and rows.loc["loan.lean-to loan.kind"]["kind"] == "as usual"


def test_phases_that_the_farm_has_anyway_are_not_told_as_the_expansions(shed: Farm) -> None:
    then = shed.but(fixed_cost=())
    base = shed.but(changes=((2 * WEEK, then),), phases=((0.0, "at first"), (2 * WEEK, "rent is over")))
    (owner,) = shed.crew
    more = then.but(crew=(owner.but(people=2),))
    grown = base.but(
        changes=((2 * WEEK, then), (3 * WEEK, more)),
        phases=((0.0, "at first"), (2 * WEEK, "rent is over"), (3 * WEEK, "two of us")),
    )
    assert [each.what for each in steps(base, grown)] == ["phase two of us begins", "owner: 2 people instead of 1"]


def test_of_a_customer_who_takes_as_much_as_before_it_is_told_what_else_differs(shed: Farm) -> None:
    shop, outlet = shed.customer
    then = shed.but(customer=(shop.but(price=21.0, firm="by habit"), outlet))
    first, second = steps(shed, shed.but(changes=((2 * WEEK, then),)))
    assert first.what == "farm shop: by habit instead of signed"
    assert second.what.startswith("customer farm shop, price: ") and "takes" not in second.what


def test_places_promised_are_no_place_of_their_own(shed: Farm) -> None:
    """Shelf places that a lot is promised are counted by the record; the shelf itself is told."""
    names = [(name, kind) for name, kind, _ in place_list([shed], ["Shed"])]
    booked = [name for name, kind in names if kind == BOOKED]
    places = pd.DataFrame(
        [(1, name, 1, 340.0, 0.5, 0.0) for name, _ in names],
        columns=["run", "place", "week", "capacity", "used_share", "hours_waiting_share"],
    )
    crews = pd.DataFrame(columns=["run", "crew", "week", "worked_h", "rostered_h"])
    found = headroom(tables := {"places_weeks": places, "crews_weeks": crews}, tables, 1, 1, shed, shed)
    assert booked and {each.name for each in found} == {name for name, _ in names if name not in booked}


def test_a_walk_in_comes_after_the_rooms_where_no_block_ever_comes_into_it(shed: Farm) -> None:
    """It holds packed crates alone; one that blocks come into stands where they do, whatever else is in it."""
    (fridge,) = shed.walk_in.values()
    both = fridge.but(uses=fridge.uses.but(ripe_blocks=0.1))
    two, later = shed.but(walk_in={"A": fridge, "B": both}), shed.but(walk_in={"A": both, "B": both})
    orders = {
        "one": (shed, ["racks", "opening benches", "Shed", "walk-in"]),
        "two": (two, ["racks", "walk-in B", "opening benches", "Shed", "walk-in A"]),
        "both later": (
            two.but(changes=((WEEK, later),)),
            ["racks", "walk-in A", "walk-in B", "opening benches", "Shed"],
        ),
    }
    crews = pd.DataFrame(columns=["run", "crew", "week", "worked_h", "rostered_h"])
    for farm, order in orders.values():
        rows = [(1, name, 1, 340.0, 0.5, 0.0) for name in order]
        columns = ["run", "place", "week", "capacity", "used_share", "hours_waiting_share"]
        tables = {"places_weeks": pd.DataFrame(rows, columns=columns), "crews_weeks": crews}
        found = headroom(tables, tables, 1, 1, farm, farm)
        assert [each.name for each in found] == order
        assert {each.kind for each in found if each.name == order[-1]} <= {"shelf", "walk-in, fresh crates"}


def test_a_place_that_grows_in_the_last_week_told_has_its_new_size(shed: Farm) -> None:
    (room,) = shed.room
    grown = shed.but(changes=((2 * WEEK, shed.but(room=(room.but(holds=400.0),))),))
    places = pd.DataFrame(
        [(1, "Shed", week, size, 0.5, 0.0) for week, size in ((1, 340.0), (2, 340.0), (3, 400.0))],
        columns=["run", "place", "week", "capacity", "used_share", "hours_waiting_share"],
    )
    crews = pd.DataFrame(columns=["run", "crew", "week", "worked_h", "rostered_h"])
    tables = {"places_weeks": places, "crews_weeks": crews}
    (found,) = headroom(tables, tables, 1, 3, grown, grown)
    assert found.after is not None and found.after.capacity == 400.0
