"""What the pack holds against what: blows against the plan, coverages against what is asked for, hopes against the plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from pack_sample import pack, total

from farmsim.report import lender_pack
from farmsim.report.document import Listed, Sheet, Words
from farmsim.report.pack import assumptions, believed, first_page, headings, needed, past, ratios, statements
from farmsim.report.pack import stress as blows
from farmsim.report.pack.said import Told
from farmsim.study.pack_answers import Stressed, Unmoved
from farmsim.study.pack_shown import plain, tables

PACK = pack()
TOLD = Told(PACK)
assert PACK.hoped is not None
HOPED = PACK.hoped
UNMOVED = (
    Unmoved("crew.*.absence", "share of person-days missed", "is 0 %, and a share of nothing is nothing"),
    Unmoved("start.oyster.arrives", "time of day of the delivery", "no span is known for a time of day"),
)


def test_the_table_of_blows_holds_the_plan_of_the_same_runs_and_every_year() -> None:
    plan = replace(PACK.stress[0], told="As planned", coverage=total(2.0), planned_coverage=total(2.0))
    hit = replace(PACK.stress[0], planned_coverage=total(1.7), by_year=(None, total(1.4), total(1.47)))
    rows = tables(replace(PACK, planned=plan, stress=(hit,), hoped=None))["stress"].to_dict("records")
    assert [row["blow"] for row in rows] == ["As planned", "Prices 5 % lower"]
    assert [row["term_debt_coverage_planned_usual"] for row in rows] == [2.0, 1.7]
    assert [rows[1][f"term_debt_coverage_year_{year}_usual"] for year in (2, 3)] == [1.4, 1.47]
    assert np.isnan(rows[1]["term_debt_coverage_year_1_usual"])
    held = plain(replace(PACK, planned=plan, warnings=("Not in the books: x.",), unmoved=UNMOVED))
    assert held["planned"]["told"] == "As planned" and held["warnings"] == ["Not in the books: x."]
    assert (held["of_matter"], held["why_none_matters"]) == (0, "")
    assert [each["name"] for each in held["unmoved"]] == ["crew.*.absence", "start.oyster.arrives"]


def test_whether_what_the_lender_asks_for_is_met_is_told_with_who_asks() -> None:
    """Between the weakest usual year and the next, so that one year is short."""
    usual = [year.lines["term_debt_coverage"].usual for year in PACK.expanded.years]
    poor = [year.lines["term_debt_coverage"].low for year in PACK.expanded.years]
    needed_now = (min(usual) + sorted(usual)[1]) / 2
    asked = replace(PACK.asked, needed=needed_now)
    hoped = replace(HOPED, by_year=(total(9.0), total(9.0), total(0.1)))
    one = replace(PACK, asked=asked, hoped=hoped)
    assert [each.usual for each in one.met] == [value >= needed_now for value in usual]
    assert [each.poor for each in one.met] == [value >= needed_now for value in poor]
    assert [each.hoped for each in one.met] == [True, True, False]
    weak = usual.index(min(usual)) + 1
    said = needed.sentence(one)
    who = f"Asked for is term debt coverage of {needed_now:.2f} (told by: a bank, 2 Nov 2026): "
    assert said.startswith(f"{who}not met in usual runs in year {weak}; ")
    assert said.endswith("not met without those only hoped for in year 3.")
    assert any(isinstance(part, Words) and said in part.words for part in first_page.shown(one))
    every = needed.sentence(replace(PACK, asked=replace(PACK.asked, needed=0.01, needed_from=""), hoped=None))
    assert every == (
        "Asked for is term debt coverage of 0.01 (who told it, and when: ________): met in usual runs; met in poor runs "
        "(1 in 10)."
    )
    none = replace(PACK, asked=replace(PACK.asked, needed=None))
    assert needed.sentence(none) == "" and none.met == ()
    simple = replace(one, asked=replace(asked, needed_ratio="simple debt-service coverage", needed=0.01))
    assert all(each.usual for each in simple.met) and simple.met[2].hoped is None


def test_those_only_hoped_for_stand_beside_the_plan_over_the_same_runs() -> None:
    years = tuple(total(value) for value in (1.3, 1.4, 1.5))
    hoped = replace(HOPED, runs=10, by_year=years)
    plan = replace(PACK.stress[0], runs=10, by_year=tuple(total(each.usual + 0.2) for each in years))
    rows = first_page.by_year(replace(PACK, hoped=hoped, planned=plan)).rows[-2:]
    assert [row[0] for row in rows] == [
        "Term debt coverage, if those only hoped for never come", "The same 10 runs as planned"
    ]  # fmt: skip
    assert [row[2:5] for row in rows] == [("1.30", "1.40", "1.50"), ("1.50", "1.60", "1.70")]
    whole_plan = first_page.by_year(replace(PACK, runs=10, hoped=hoped, planned=plan)).rows
    assert whole_plan[-1][0].startswith("Term debt coverage, if")


def test_why_nothing_is_told_to_matter_is_said_and_what_was_not_moved_is_named_with_why() -> None:
    none = replace(PACK, matter=(), why_none_matters="None of the 3 guesses surely moves it.", unmoved=UNMOVED[:1])
    assert believed.believe(none, TOLD).endswith(
        'None of the 3 guesses surely moves it. 1 guess could not be moved (every crew: absence): see "Which figures matter '
        'most".'
    )
    two = replace(none, unmoved=UNMOVED)
    assert believed.believe(two, TOLD).endswith('2 guesses could not be moved: see "Which figures matter most".')
    found = list(assumptions.parts(two))
    at = found.index(headings.MATTER)
    assert isinstance(found[at + 1], Words) and isinstance(found[at + 2], Sheet)
    assert assumptions.unmoved(two).rows == (
        ("every crew: absence", "share of person-days missed", "is 0 %, and a share of nothing is nothing"),
        ("start oyster: arrives", "time of day of the delivery", "no span is known for a time of day"),
    )
    assert headings.MATTER not in list(assumptions.parts(replace(none, unmoved=())))


def test_why_a_row_may_look_better_than_the_plan_is_said_where_one_does() -> None:
    """1.78 for 1.77 is better as printed, 1.7701 is not; it is said once, in the chapter where only a year of it shows it."""
    late = next(each for each in PACK.stress if each.key == "late")

    def notes(one: Stressed) -> tuple[str, str]:
        planned = replace(late, by_year=(total(1.0), total(1.77)), coverage=total(1.77))
        told = replace(PACK, stress=(one,), planned=planned, hoped=None)
        return first_page.stress(told, TOLD).note, blows.by_year(told, [planned, one]).note

    assert notes(late) == ("", "")
    assert notes(replace(late, coverage=total(1.7701), by_year=(total(1.0), total(1.7701)))) == ("", "")
    assert notes(replace(late, coverage=total(1.78), by_year=(total(1.0), total(1.78)))) == (first_page.BETTER, "")
    assert notes(replace(late, by_year=(total(1.01), total(1.03)))) == ("", first_page.BETTER)
    assert notes(replace(late, coverage=None, by_year=(None, total(1.03)))) == ("", "")
    assert first_page.BETTER == (
        "A row may look better than the plan: what goes wrong may spare more than it costs, as an opening that comes late "
        "puts off blocks, wages and power too"
    )


def test_where_the_owners_draw_counts_as_family_living_it_stands_beside_the_figure() -> None:
    drawn, said = replace(PACK, lives_on_draw=True), "what the owner draws"
    lived = tuple(replace(each, lines={**each.lines, "family_living": 9_000.0}) for each in PACK.past)
    for one, is_drawn in ((replace(drawn, past=lived), True), (replace(PACK, past=lived), False)):
        labels = [row[0] for row in past.years(one, one.expanded, "x", "plan").rows]
        assert ("Family living (of the plan: the owner's draw)" in labels) == is_drawn
        assert ("Family living" in labels) != is_drawn
        assert any(isinstance(part, Words) and said in part.words for part in first_page.shown(one)) == is_drawn
        assert any(isinstance(part, Listed) and ratios.OF_LIVING in part.rows for part in ratios.parts(one)) == is_drawn


def test_what_is_paid_has_a_minus_by_month_as_by_year_and_that_is_said_once() -> None:
    by_month = statements.months(PACK)
    tables_ = [part.table for part in statements.cash(PACK) if isinstance(part, Sheet)]
    by_year = next(each for each in tables_ if each.caption.startswith("Cash by year"))
    months = {column.head: cell for column, cell in zip(by_month.columns, by_month.rows[0], strict=True)}
    years = {row[0].lower(): row[1] for row in by_year.rows}
    for name in ("costs paid", "interest", "principal", "taxes", "owner's draw"):
        of_year = next(cell for label, cell in years.items() if label.startswith(name))
        assert months[name].startswith("-") and of_year.startswith("-"), name
    assert not months["from customers"].startswith("-") and not months["cash at the end"].startswith("-")
    whole = [part.words for part in lender_pack.document(PACK).parts if isinstance(part, Words)]
    assert sum("has a minus sign" in words for words in whole) == 1


def test_the_full_chapter_tells_the_coverage_of_every_year() -> None:
    hit = replace(PACK.stress[0], by_year=(None, total(1.4), total(1.47)), simple_by_year=(total(2.0),) * 3)
    found = blows.by_year(PACK, [hit, PACK.stress[1]])  # of the second it is not known year by year
    assert found.caption == "Term debt coverage, year by year" and found.rows == (
        ("Prices 5 % lower", "-", "1.40", "1.47"),
    )
    simple = replace(PACK, asked=replace(PACK.asked, needed_ratio="simple debt-service coverage"))
    assert blows.by_year(simple, [hit]).rows == (("Prices 5 % lower", "2.00", "2.00", "2.00"),)
    assert any(
        isinstance(part, Sheet) and part.table == found
        for part in blows.parts(replace(PACK, stress=(hit,), hoped=None))
    )
