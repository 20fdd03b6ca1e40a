"""Pieces of the study behind the lender's pack, each by itself on figures made up for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import farmsim
from farmsim.record.measures import RunTables
from farmsim.scenario.assumed import OWN, Assumed
from farmsim.scenario.capital import Capital
from farmsim.scenario.doubt import Left
from farmsim.scenario.farm import Farm
from farmsim.scenario.figure_at import Figures
from farmsim.study import pack_matter
from farmsim.study.books import loan_told
from farmsim.study.effects import Effect, Kind
from farmsim.study.pack_answers import Unmoved
from farmsim.study.pack_asked import asked as asked_for
from farmsim.study.pack_given import assumptions, kind_of, topics
from farmsim.study.pack_matter import Asked, asked, matter
from farmsim.study.pack_steps import steps
from farmsim.study.pack_stress import COVERAGE, MARGIN, SIMPLE, stressed, worst_year
from farmsim.study.pool import Where
from farmsim.study.sensitivity import NothingToSense
from farmsim.study.sensitivity_answers import Mover, Sensed
from farmsim.study.trials import Brief

HERE = Path(__file__).parent
SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
CHANGE = HERE / "lean-to.toml"
NAN = float("nan")


# --- a blow -----------------------------------------------------------------------------------------------------------


def run(
    coverage: Sequence[float], margin: Sequence[float], lowest: Sequence[float], missing: Sequence[float]
) -> RunTables:
    """The books of a run by year."""
    columns = {
        "year": [1.0, 2.0], "term_debt_coverage": coverage, "simple_debt_service_coverage": coverage,
        "capital_debt_repayment_margin": margin, "lowest_cash": lowest, "line_most": missing, "not_covered": missing,
    }  # fmt: skip
    return {"books_years": {name: np.array(values, dtype=float) for name, values in columns.items()}}


def test_a_blow_is_told_of_its_worst_year_and_its_lowest_cash_of_all() -> None:
    runs = [
        run([1.5, 1.2], [500.0, 200.0], [-40.0, 60.0], [0.0, 0.0]),
        run([1.4, 0.9], [400.0, -100.0], [70.0, 50.0], [0.0, 0.0]),
        run([1.3, 0.8], [300.0, -200.0], [-90.0, -95.0], [10.0, 30.0]),
    ]
    found = stressed("prices", "Prices 5 % lower", runs, [runs[0], *runs[:2]], 1, COVERAGE, False)
    assert found.year == 2 and found.planned_coverage is not None
    assert found.planned_coverage.runs == (1.2, 1.2, 0.9) and found.simple_by_year == found.by_year
    assert found.coverage is not None and found.coverage.runs == (1.2, 0.9, 0.8)
    assert (found.margin.runs, found.short_in) == ((200.0, -100.0, -200.0), 2)
    assert (found.lowest.runs, found.lowest.usual) == ((-40.0, 50.0, -95.0), -40.0)
    assert (found.missing, found.missing_in, found.line_most) == (0.0, 1, 0.0)
    assert [each.usual for each in found.by_year if each is not None] == [1.4, 0.9]


def test_without_payments_nothing_is_covered_and_no_ratio_told() -> None:
    runs = [
        run([1.5, NAN], [500.0, 200.0], [1.0, 1.0], [0.0, 0.0]),
        run([1.5, 2.0], [500.0, 90.0], [1.0, 1.0], [0.0, 0.0]),
    ]
    found = stressed("late", "Opens late", runs, runs, 2, COVERAGE, True)
    assert found.year == 2 and found.coverage is None and found.simple is None and found.by_year[1] is None
    assert found.margin.runs == (200.0, 90.0) and found.by_year[0] is not None


def test_the_worst_year_is_one_from_the_opening_on_by_the_coverage_that_is_asked_for() -> None:
    """Year by year 0.8, 1.3 and 1.1 of term debt coverage, 0.9, 1.0 and 1.2 of the simple one"""
    table = pd.DataFrame({
        "run": [0.0] * 3, "year": [1.0, 2.0, 3.0], COVERAGE: [0.8, 1.3, 1.1], SIMPLE: [0.9, 1.0, 1.2],
        MARGIN: [-5.0, 9.0, 7.0],
    })  # fmt: skip
    assert [worst_year(table, COVERAGE, opens) for opens in (1, 2)] == [1, 3]
    assert worst_year(table, SIMPLE, 2) == 2
    assert worst_year(table.assign(**{COVERAGE: NAN}), COVERAGE, 2) == 3  # with the least left


# --- where figures come from ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("source", "kind"),
    [
        (OWN, "own"),
        ("P: 5 and 10 lb are usual (P11)", "published"),
        ("S: fresh mushrooms are kept at 0-4 degC", "published"),
        ("common practice, no source: 10 to 14 d", "common practice"),
        ("placeholder: noon", "placeholder"),
        ("from memory: half a minute a block", "placeholder"),
        ("the farm decides", "as usual"),
    ],
)
def test_what_stands_behind_a_figure(source: str, kind: str) -> None:
    assert kind_of(Assumed(("farm", "round"), "1 h", "how often", source)) == kind


def test_a_name_with_a_point_stands_in_quotes_as_in_any_path() -> None:
    shed = farmsim.load(SCENARIOS / "tiny.toml")
    (room,) = shed.room
    listed = assumptions(shed.but(room=(room.but(name="No. 2"),)))["figure"]
    assert 'room."No. 2".holds' in set(listed) and "crew.owner.people" in set(listed)


def test_a_figure_of_every_state_stands_once_with_all_its_values() -> None:
    """The rent ends and comes back lower; who works in between only is told too, with the source of its state."""
    farm = farmsim.load(HERE / "shed-with-books.toml")
    (rent,), (owner,) = farm.fixed_cost, farm.crew
    helped = farm.but(fixed_cost=(), crew=(owner, owner.but(name="helper", people=2)))
    cheaper = farm.but(fixed_cost=(rent.but(a_month=300.0),))
    rows = assumptions(farm.but(changes=((168.0, helped), (336.0, cheaper)))).set_index("figure")
    assert rows.index.is_unique and set(assumptions(farm)["figure"]) < set(rows.index)
    assert (
        rows.loc["fixed_cost.rent.a_month"]["value"]
        == "$400 a month; from 2027-01-11: no more; from 2027-01-18: $300 a month"
    )
    assert rows.loc["crew.helper.people"]["value"] == "2; from 2027-01-18: no more"
    assert rows.loc["crew.owner.people"]["value"] == "1"


def test_topics_of_safety_are_those_of_what_the_farm_has() -> None:
    whole, shed = farmsim.load(SCENARIOS / "four-rooms.toml"), farmsim.load(SCENARIOS / "tiny.toml")
    every = ("steam", "spores", "CO2", "wet floors", "lifting", "hours", "cold store", "food safety")
    assert topics(whole) == every
    assert topics(shed) == tuple(topic for topic in every if topic != "steam")
    assert topics(shed.but(walk_in={}, customer=())) == ("spores", "CO2", "wet floors", "lifting", "hours")


# --- the time line ----------------------------------------------------------------------------------------------------


def test_what_goes_and_what_is_changed_is_told_with_both_figures() -> None:
    farm = farmsim.load(SCENARIOS / "tiny.toml")
    shop = farm.customer[0]
    (room,), (owner,) = farm.room, farm.crew
    fridge = farm.walk_in["fridge"]
    then = farm.but(
        walk_in={"fridge": fridge.but(holds=60.0)},
        room=(room.but(name="Barn", holds=500.0),),
        crew=(owner.but(people=2),),
        start=farm.start[:1],
        customer=(shop.but(takes={"blue-oyster": shop.takes["blue-oyster"] / 2}),),  # type: ignore[index,operator]
    )
    found = steps(farm, farm.but(changes=((168.0, then),)))
    assert {step.day for step in found} == {"2027-01-11"}
    assert [step.what for step in found] == [
        "walk-in fridge: 60 crates instead of 40 crates",
        "room Shed is given up",
        "room Barn comes: 500 shelf places",
        "owner: 2 people instead of 1",
        "lion's mane: 0 instead of 20 blocks a week",
        "farm shop takes 33 lb a delivery of blue-oyster instead of 66 lb a delivery of blue-oyster and "
        "16 lb a delivery of lions-mane",
        "neighbours no longer buys",
    ]
    assert steps(farm, farm) == ()


def test_what_differs_from_the_start_on_is_told_on_the_first_day() -> None:
    farm = farmsim.load(SCENARIOS / "tiny.toml")
    (owner,) = farm.crew
    (step,) = steps(farm, farm.but(crew=(owner.but(people=3),)))
    assert (step.day, step.what) == ("2027-01-04", "owner: 3 people instead of 1")


# --- uses and sources -------------------------------------------------------------------------------------------------


def test_uses_and_sources_have_one_sum_where_prices_leave_parts_of_a_cent() -> None:
    """Three sheds of 333.333 with 3 % aside are paid with 1,029.99897: 333.33 each, and 30.01 aside."""
    farm = farmsim.load(HERE / "shed-with-books.toml")
    items = tuple(
        Capital(name=f"shed {at}", cost=333.333, contingency=0.03, bought=date(2027, 2, 1), life=10.0)
        for at in (1, 2, 3)
    )
    grown = farmsim.load(CHANGE).but(capital=(*farm.capital, *items))
    loan = grown.loan[-1].but(working_money=0.0)
    grown = grown.but(loan=(*farm.loan, loan))
    assert grown.request is not None
    found = asked_for(grown.request, farm, grown, [loan_told(loan, farm.farm.start, 100)])
    assert found.uses == (("shed 1", 333.33), ("shed 2", 333.33), ("shed 3", 333.33), ("Contingency", 30.01))
    assert found.sources == (("Farm's cash", 1_030.0),) and found.owner_share == 1.0


# --- what matters -----------------------------------------------------------------------------------------------------


def unnamed(farm: Farm) -> Farm:
    """The farm with all that is not asked about set alike."""
    return farm.but(changes=(), phases=(), farm=farm.farm.but(lead_in=None))


def test_guesses_are_moved_in_the_farm_as_it_will_be() -> None:
    book = Figures(CHANGE, at_last=True)
    last = farmsim.load(CHANGE).changes[-1][1]
    assert book.farm == unnamed(last) and book.find("start.oyster.blocks").value == 80.0
    grown = Figures(SCENARIOS / "growth.toml", at_last=True).farm
    assert (grown.farm.begin, grown.changes, len(grown.room)) == ("full swing", (), 2)


def test_the_question_takes_a_number_of_runs_not_a_time() -> None:
    found = asked(CHANGE, Brief(where=Where(1)), effort=60, most=3)
    assert found.plan is not None and found.brief.weeks == 52
    assert (found.plan.seconds, len(found.plan.doubts), found.plan.runs <= 110) == (None, 3, True)


def mover(name: str, size: float, kind: Kind = "more", is_guess: bool = True) -> Mover:
    effect = Effect(-size if kind == "less" else size / 10 if kind == "both ways" else size, 1.0, size, 2.0, kind)
    return Mover(name, f"meaning of {name}", 1, "1", "3", "2", "placeholder", is_guess, (effect,))


def test_at_most_eight_that_surely_matter_are_told_the_largest_first(monkeypatch: pytest.MonkeyPatch) -> None:
    movers = [mover(f"figure {at}", 10.0 + at) for at in range(8)]
    movers += [
        mover("falls", 100.0, "less"),
        mover("bends", 50.0, "both ways"),
        mover("nothing", 90.0, "no effect found"),
    ]
    question = asked(CHANGE, Brief(where=Where(1)), effort=60, most=3)

    def sensed(*_: object) -> Sensed:
        return Sensed("", "us", "USD", "", 1, 52, 0, 8, 0.95, (), tuple(movers), (), 4, 2, 0, 5, 0, 0, 60)

    monkeypatch.setattr(pack_matter, "sensitivity", sensed)
    found = matter(question)
    told = found.matter
    assert (found.of_matter, found.why_none, found.failed) == (10, "", False) and question.plan is not None
    assert [(each.name, each.why) for each in found.unmoved] == [(each.name, each.why) for each in question.plan.left]
    assert "only 3 are moved, those of most things first" in {each.why for each in found.unmoved}
    assert (len(told), [each.name for each in told[:3]]) == (8, ["falls", "bends", "figure 7"])
    assert [(each.moves, each.give) for each in told[:3]] == [(-100.0, 1.0), (50.0, 2.0), (17.0, 1.0)]
    assert told[0].meaning == "meaning of falls" and told[0].is_guess


def test_that_nothing_could_be_found_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> Sensed:
        raise NothingToSense("of 4 starting points 2 lead to farms that are not possible")

    monkeypatch.setattr(pack_matter, "sensitivity", fails)
    question = asked(CHANGE, Brief(where=Where(1)), effort=60, most=3)
    assert question.plan is not None
    found = matter(question._replace(plan=replace(question.plan, left=(Left("a", "b", "c"),) * 3)))
    assert (found.matter, found.of_matter, found.failed, found.unmoved) == ((), 0, True, (Unmoved("a", "b", "c"),) * 3)
    assert found.why_none == (
        "Which guesses matter most could not be found: of 4 starting points 2 lead to farms that are not possible."
    )
    none = matter(Asked(None, question.brief, (Left("a", "b", "is none", "give one"),)))
    assert (none.why_none, none.failed) == ("No figure of the farm is a guess that could be moved.", True)
    assert none.unmoved == (Unmoved("a", "b", "is none"),)


def test_that_no_guess_surely_matters_is_a_finding_and_told_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    question = asked(CHANGE, Brief(where=Where(1)), effort=60, most=3)

    def sensed(*_: object) -> Sensed:
        movers = (mover("nothing", 90.0, "no effect found"),)
        return Sensed("", "us", "USD", "", 1, 52, 0, 8, 0.95, (), movers, (), 4, 2, 0, 5, 0, 0, 60)

    monkeypatch.setattr(pack_matter, "sensitivity", sensed)
    found = matter(question)
    assert (found.matter, found.failed) == ((), False)
    assert found.why_none == "None of the 3 guesses that were moved surely moves net operating income."
    assert question.plan is not None
    one = question._replace(plan=replace(question.plan, doubts=question.plan.doubts[:1]))
    assert matter(one).why_none == "The one guess that was moved does not surely move net operating income."
