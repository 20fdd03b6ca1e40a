"""The lender's pack of made-up figures: what each chapter says, sums as printed, nothing empty, nothing unexplained."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pytest
from pack_sample import ASKED, BUYERS, POUND, pack, stressed, total

from farmsim.record.measures.page_books import YEARS
from farmsim.report import lender_pack
from farmsim.report.document import (
    Contents,
    Document,
    Heading,
    Listed,
    NewPage,
    OnePage,
    Pairs,
    Part,
    Picture,
    Sheet,
    Side,
    Words,
)
from farmsim.report.figures import cash
from farmsim.report.html import Table
from farmsim.report.pack import (
    assumptions,
    believed,
    capacity,
    cautions,
    checked,
    first_page,
    harvest,
    headings,
    loans,
    needed,
    owner,
    past,
    people,
    printed,
    ratios,
    reporting,
    statements,
    the_farm,
    time_line,
    why,
)
from farmsim.report.pack import stress as blows
from farmsim.report.pack.said import TO_WRITE, Told
from farmsim.report.pack.said import cents as cents_said
from farmsim.study.answers import Known, Total
from farmsim.study.pack_answers import Headroom, Level, OverAsked, Pack
from farmsim.study.pack_asked import OF_PAST
from farmsim.study.pack_shown import added, loan_years, plain, tables

PACK = pack()
LONG = 60  # letters
TOLD = Told(PACK)


def of(part: Part) -> Iterator[str]:
    """Every text of a part."""
    if isinstance(part, Words | Heading):
        yield part.words
    elif isinstance(part, Pairs):
        yield from (text for row in part.rows for text in row)
    elif isinstance(part, Listed):
        yield from part.rows
    elif isinstance(part, Picture):
        yield from (part.heading, part.instead, part.sees)
    elif isinstance(part, OnePage):
        yield from (each for inner in part.parts for each in of(inner))
    elif isinstance(part, Sheet | Side):
        for table in [part.table] if isinstance(part, Sheet) else [part.left, part.right]:
            yield from (table.caption, table.note)
            yield from (text for column in table.columns for text in (column.head, column.unit, column.means))
            yield from (cell for row in table.rows for cell in row)


def text(parts: Iterator[Part] | tuple[Part, ...]) -> str:
    return "\n".join(each for part in parts for each in of(part))


def flat(document: Document) -> Iterator[Part]:
    for part in document.parts:
        yield from part.parts if isinstance(part, OnePage) else [part]


def sheets(document: Document) -> Iterator[Table]:
    for part in flat(document):
        if isinstance(part, Sheet):
            yield part.table
        if isinstance(part, Side):
            yield from (part.left, part.right)


def number(cell: str) -> float:
    return float(cell.replace(",", ""))


def table(caption: str, one: Pack = PACK) -> dict[str, tuple[str, ...]]:
    found = next(each for each in sheets(lender_pack.document(one)) if each.caption.startswith(caption))
    return {row[0]: row[1:] for row in found.rows}


# --- the first page ---------------------------------------------------------------------------------------------------


def test_the_cover_says_what_it_is_and_leaves_blanks_for_who_and_when() -> None:
    document = lender_pack.document(PACK)
    assert document.title == "FIFTH FRUITING ROOM"
    assert document.under == "Farm capacity simulation: Four rooms. Prepared by: ________. Date: ________."
    by = replace(PACK, asked=replace(ASKED, prepared_by="A. Grower", prepared_on="2026-11-20"))
    assert lender_pack.document(by).under.endswith("Prepared by: A. Grower. Date: 20 Nov 2026.")


def test_amount_terms_payments_and_security_come_first() -> None:
    first = next(first_page.shown(PACK))
    assert first == Words(
        "We ask for $160,000 over 10 years at 8.25 % a year: $1,962.44 every month, $23,549 in a usual year. Security: room "
        "equipment, worth $90,000.",
        "strong",
    )
    bare = replace(PACK, asked=replace(ASKED, security="", security_worth=None))
    assert first_page.ask(bare, TOLD).endswith("Security: ________, worth ________.")
    equal = replace(PACK, asked=replace(ASKED, loan=replace(ASKED.loan, kind="equal principal")))
    assert "in a usual year, in equal parts of principal, so that payments fall." in first_page.ask(equal, TOLD)


def test_uses_and_sources_add_up_to_the_same_as_printed() -> None:
    """Each is rounded by itself to a sum of one unit more or less; printed they still add up."""
    both = [table(caption) for caption in ("Uses", "Sources")]
    for one in both:
        *amounts, together = [number(cells[0]) for cells in one.values()]
        assert sum(amounts) == together == 210_002
    assert [len(one) for one in both] == [7, 4]


def test_why_holds_the_farms_own_words_and_what_was_seen() -> None:
    assert first_page.why(PACK) == (
        "Today the rooms limit us: we turned away orders in 31 of the last 52 weeks (own order book). In the simulation the "
        "fruiting room is 92 % full without it in a usual week and 99 % in a bad one (1 in 10). What looks tight in the "
        'simulation: without it North, with it pickers (see "Capacity before and after").'
    )
    assert first_page.why(replace(PACK, tight_before=(), asked=replace(ASKED, why=""))).startswith(
        "________ (the farm's own words) In the simulation the fruiting room is 92 % full without it in a usual week"
    )
    other = replace(PACK.headroom[3], name="South", before=Level(900.0, 0.8, 0.85, 0.0))
    assert "fruiting rooms are 80 to 92 % full without it in a usual week and 85 to 99 % in a bad one (1 in 10)." in (
        first_page.why(replace(PACK, headroom=(*PACK.headroom, other)))
    )
    none = tuple(one for one in PACK.headroom if one.before is None or one.kind != "shelf")
    assert "full without it" not in first_page.why(replace(PACK, headroom=none))


def test_who_buys_what_is_added_by_firmness_adds_up() -> None:
    assert first_page.buyers(PACK, TOLD) == (
        "Of 420 lb a week more: signed 150, letters of interest 120, hoped for 150. Largest customer: restaurants (a name "
        "that may stand for several), 47 % of sales."
    )
    sure = replace(PACK, buyers=tuple(each for each in BUYERS if each.firm != "hoped for"))
    assert first_page.buyers(sure, TOLD).endswith("Nothing of it is only hoped for.")
    growers = BUYERS[-1]
    new = replace(growers, name="new growers", firm="hoped for", before_a_week=0.0, a_week=49.6)
    blocks = replace(PACK, buyers=(replace(growers, a_week=300.7), new))
    assert first_page.buyers(blocks, TOLD).startswith(
        "No mushrooms more are sold. Of 150 blocks a week more: by habit 101, hoped for 49. Largest customer: home growers "
    )
    assert not first_page.buyers(blocks, TOLD).endswith("Nothing of it is only hoped for.")
    fewer = first_page.buyers(replace(PACK, buyers=(replace(growers, a_week=180.0),)), TOLD)
    assert fewer.startswith("No mushrooms more are sold. 20 blocks a week less are sold.")


def test_where_no_more_is_sold_nobody_buys_nought_pounds_of_it() -> None:
    """The shop takes 0.1 kg more, the outlet as much less: no part of 0 lb. With 2 kg less it is 4 lb less."""
    shop, outlet = BUYERS[0], BUYERS[4]
    level = (replace(shop, a_week=shop.a_week + 0.1), replace(outlet, a_week=outlet.a_week - 0.1))
    level = tuple(
        replace(each, before_a_week=before.a_week) for each, before in zip(level, (shop, outlet), strict=True)
    )
    assert first_page.buyers(replace(PACK, buyers=level), TOLD) == (
        "No mushrooms more are sold. Largest customer: distributor (a name that may stand for several), 11 % of sales."
    )
    fewer = (level[0], replace(level[1], a_week=level[1].a_week - 2.0))
    assert first_page.buyers(replace(PACK, buyers=fewer), TOLD).startswith(
        "4 lb of mushrooms a week less are sold. Largest customer"
    )


def test_year_by_year_has_the_last_own_year_poor_years_and_what_the_lender_asks() -> None:
    found = first_page.by_year(PACK)
    assert [column.head for column in found.columns] == [
        "in USD", "own books", "year 1", "year 2", "year 3", "lender asks",
    ]  # fmt: skip
    assert found.columns[1].unit == "year to 31 Dec 2026"
    rows = {(row[0], at): row[1:] for at, row in enumerate(found.rows)}
    assert rows["Sales", 0] == ("620,000", "708,000", "791,000", "844,000", "")
    assert rows["Capacity to repay (*)", 2] == ("48,000", "84,000", "112,000", "133,000", "")
    assert rows["All debt payments, old and new", 3] == ("14,849", "28,049", "38,398", "38,398", "")
    assert rows["Simple debt-service coverage, usual year", 4] == ("6.06", "4.49", "4.01", "4.56", "")
    assert rows["Term debt coverage, usual year", 6] == ("3.23", "2.99", "2.92", "3.46", "1.25")
    assert rows["The same in a poor year (1 in 10)", 5][1:4] == ("3.85", "3.46", "3.93")
    assert rows["The same in a poor year (1 in 10)", 7] == ("", "2.35", "2.37", "2.84", "")
    assert rows["Without it: sales", 8][1:4] == tuple(f"{year.lines['sales'].usual:,.0f}" for year in PACK.base.years)
    assert rows["Without it: Term debt coverage", 9][1:4] == tuple(
        f"{year.lines['term_debt_coverage'].usual:.2f}" for year in PACK.base.years
    )
    assert rows["Term debt coverage, if those only hoped for never come", 10] == ("", "", "", "1.60", "")


def test_capacity_over_payments_is_coverage_as_printed() -> None:
    rows = {row[0]: row[2:5] for row in first_page.by_year(PACK).rows}
    for capacity_, payments, coverage in zip(
        rows["Capacity to repay (*)"],
        rows["All debt payments, old and new"],
        rows["Term debt coverage, usual year"],
        strict=True,
    ):
        assert f"{number(capacity_) / number(payments):.2f}" == coverage


def test_the_requirement_stands_beside_the_ratio_that_is_meant_and_nowhere_else() -> None:
    assert [row[0] for row in first_page.by_year(PACK).rows if row[-1]] == ["Term debt coverage, usual year"]
    simple = replace(PACK, asked=replace(ASKED, needed_ratio="simple debt-service coverage"))
    assert [row[0] for row in first_page.by_year(simple).rows if row[-1]] == [
        "Simple debt-service coverage, usual year"
    ]
    assert [column.head for column in first_page.stress(simple, TOLD).columns][1] == "Simple debt-service coverage"
    none = replace(PACK, asked=replace(ASKED, needed=None))
    assert [column.head for column in first_page.by_year(none).columns][-1] == "year 3"


def test_those_only_hoped_for_are_told_in_every_year_that_is_known() -> None:
    hoped = stressed("hoped", "gone", 1.6, 23_000.0, by_year=(total(1.1), None, total(1.6)))
    row = first_page.by_year(replace(PACK, hoped=hoped)).rows[-1]
    assert row[2:5] == ("1.10", "-", "1.60")


def test_what_the_new_part_earns_alone_and_lowest_cash() -> None:
    assert first_page.alone(PACK, TOLD) == (
        "In year 3 the new part alone brings $1.49 ($1.10 in a poor year) of capacity to repay for each $1 of its own payments."
    )
    assert first_page.alone(replace(PACK, alone=(None, None, None)), TOLD) == ""
    assert first_page.alone(replace(PACK, alone=(None, None, total(-2.5, -3.0))), TOLD) == (
        "In year 3 the new part alone earns nothing for its own payments: with it capacity to repay is $2.50 lower for each $1 "
        "of them ($3 lower in a poor year)."
    )
    assert first_page.lowest(PACK, TOLD) == (
        "Lowest cash: $11,200, most often in Jul 2027 (1 run in 10: -$4,300); credit line $25,000, drawn in 4 of 20 runs. "
        "Everything is paid in every run."
    )
    short = replace(PACK.expanded.lowest, not_covered=3, most_missing=8_000.0)
    bad = replace(PACK, expanded=replace(PACK.expanded, lowest=short, limit=None))
    assert first_page.lowest(bad, TOLD).endswith(
        "there is no credit line, and in 3 of 20 runs something is not covered, $8,000 at most: ________."
    )


def test_if_things_go_wrong_tells_its_year_beside_the_plan_what_is_short_and_what_covers_it() -> None:
    found = first_page.stress(PACK, TOLD)
    assert (
        found.caption
        == "If things go wrong: every row over the same 10 runs, told of its worst year from the opening on"
    )
    assert [f"{column.head}|{column.unit}" for column in found.columns] == [
        "what goes wrong|", "Term debt coverage|usual run", "the same|1 run in 10", "as planned|same year and runs",
        "short of payments|USD, that year alone", "over all years: what covers it|",
    ]  # fmt: skip
    rows = {row[0]: row[1:] for row in found.rows}
    assert rows["Prices 5 % lower (year 3)"] == ("1.47", "1.17", "1.77", "-", "-")
    assert rows["Largest customer lost (restaurants) (year 3)"] == (
        "0.90", "0.60", "1.77", "3,900", "cash, and at worst $8,000 of the credit line",
    )  # fmt: skip
    assert rows["Opening 17 weeks late (year 1)"] == ("1.03", "0.73", "1.77", "-", "-")
    assert rows["Prices 5 % and yield 10 % lower (year 3)"] == (
        "0.54", "0.24", "1.77", "17,900", "at worst $12,300 more than cash and credit line: ________",
    )  # fmt: skip
    few = first_page.stress(replace(PACK, stress_runs=9), TOLD)
    assert few.rows[0] == ("Prices 5 % lower (year 3)", "1.47", "1.77", "-", "-") and len(few.columns) == 5
    assert first_page.covers(stressed("x", "y", 0.9, -1.0), TOLD) == "cash"
    planned = stressed("planned", "As planned", 3.4, 90_000.0)
    assert first_page.stress(replace(PACK, planned=planned), TOLD).rows[0][:2] == ("As planned (year 3)", "3.40")


def test_how_far_sales_may_fall() -> None:
    """(133,000 - 38,398) / 844,000 = 0.112; in a poor year 24,000 less, 0.084."""
    assert first_page.may_fall(PACK) == (
        "Sales may fall 11 % (8 % in a poor year) from the plan of year 3, costs as they are, before the payments are not "
        "covered."
    )
    year = PACK.expanded.years[2]
    low = replace(year, lines={**year.lines, "prices_may_fall": total(-0.02)})
    bad = replace(PACK, expanded=replace(PACK.expanded, years=(*PACK.expanded.years[:2], low)))
    assert first_page.may_fall(bad).endswith("does not cover the payments, so sales may not fall at all.")


def test_where_no_payments_are_due_that_is_said() -> None:
    last = PACK.expanded.years[-1]
    free = replace(last, lines={**last.lines, "payments": total(0.0)})
    one = replace(PACK, expanded=replace(PACK.expanded, years=(*PACK.expanded.years[:-1], free)))
    assert first_page.may_fall(one) == "In year 3 no payments are due, so there is nothing to cover yet."


def test_why_believe_it_names_history_sources_and_what_matters() -> None:
    assert believed.believe(PACK, TOLD) == (
        "Given twelve months of our own books the same model says 81,900 lb picked; we had 80,600: inside what luck alone "
        'does (see "Own months beside the model\'s"). Without the expansion the model sells $690,000 in year 1; our own '
        "books of the year to 31 Dec 2026 say $620,000. Why they differ: ________. Of 38 figures 14 are our own, 11 "
        'published, 6 common practice and 7 placeholders (each by name: see "Every figure and where it comes from"). 2 of '
        'the 8 figures that matter most are not yet the farm\'s own (see "Which figures matter most").'
    )
    bare = replace(PACK, history=None, matter=(), past=())
    assert believed.believe(bare, TOLD).startswith("No records of past months were given to compare with. Of 38")
    assert believed.believe(bare, TOLD).endswith("Which figures matter most was not asked.")


def test_a_draft_says_how_many_of_the_figures_that_matter_most_are_placeholders() -> None:
    assert lender_pack.draft(PACK) == "DRAFT: 2 of the 8 figures that matter most are not yet the farm's own"
    own = replace(PACK, matter=tuple(replace(each, is_guess=False) for each in PACK.matter))
    assert lender_pack.draft(own) == ""
    one = replace(PACK, matter=(PACK.matter[0], *(replace(each, is_guess=False) for each in PACK.matter[1:])))
    assert lender_pack.draft(one).endswith("1 of the 8 figures that matter most is not yet the farm's own")
    all_of_them = replace(PACK, matter=PACK.matter[:2])
    assert lender_pack.draft(all_of_them).endswith("None of the 2 figures that matter most is the farm's own yet")
    single = replace(PACK, matter=PACK.matter[:1])
    assert lender_pack.draft(single) == "DRAFT: The figure that matters most is not yet the farm's own"


# --- chapters ---------------------------------------------------------------------------------------------------------


def test_the_picture_tells_what_grows() -> None:
    assert the_farm.grown(PACK) == [
        "soak tanks 8 tanks instead of 7", "Annex is new (1,500 blocks)", "pickers 133 h a week instead of 100",
        "helper is new (40 h a week)",
    ]  # fmt: skip
    gone = replace(PACK.headroom[0], after=None)
    assert the_farm.grown(replace(PACK, headroom=(gone,))) == ["sterilizer is no longer there"]


def test_capacity_tells_how_full_and_how_much_is_left() -> None:
    assert table("Places")["North"] == (
        "2,000 blocks", "2,000 blocks", "92 %", "99 %", "85 %", "95 %", "15 %", "5 %", "12 %",
    )  # fmt: skip
    assert table("Places")["Annex"][:4] == ("none", "1,500 blocks", "-", "-")
    assert table("Crews")["pickers"] == ("100 h a week", "133 h a week", "77 %", "95 %", "70 %", "90 %", "30 %", "10 %")
    assert capacity.tight(PACK) == [
        "What looks tight without the expansion: North; with it: pickers.",
        "With the expansion, next to no headroom is left in a bad week at North (95 %).",
    ]
    assert list(capacity.parts(replace(PACK, headroom=()))) == []
    assert capacity.fullest(PACK) == (
        "Taken most in a bad week with the expansion: North 95 %, racks 94 % and Annex 93 %; least: soak tanks 55 %."
    )
    assert "Weeks of year 3." in text(capacity.parts(PACK))


def test_a_crew_of_which_averages_ask_more_than_there_is_is_told_with_what_helps() -> None:
    one = replace(
        PACK, over_asked=(OverAsked("pickers", 1.08, ("packers",), True), OverAsked("helper", 1.2, (), False))
    )
    first, second = capacity.over_asked(one)
    assert first == (
        "By averages alone pickers would need 108 % of their hours with the expansion. In the runs 70 % are taken in a usual "
        "week and 90 % in a bad one, with help from packers and overtime."
    )
    assert second.endswith("70 % in a bad one: what they do not get done is left lying.")
    assert first in text(capacity.parts(one))
    assert 'get by: see "Capacity before and after".' in assumptions.bear_in_mind(one)[-1]


def test_what_needs_explaining_in_the_tables_of_capacity_is_explained_there_and_nowhere_else() -> None:
    def note(caption: str, of: Pack) -> str:
        return next(each.note for each in sheets(lender_pack.document(of)) if each.caption.startswith(caption))

    assert (note("Places", PACK), note("Crews", PACK)) == ("", "")
    van = Headroom("van", "van", "vans", None, Level(1.0, 0.11, 0.12, 0.0))
    over = replace(PACK.headroom[-1], after=Level(40.0, 0.9, 1.01, None))
    odd = replace(PACK, headroom=(*PACK.headroom[:-1], van, over))
    assert note("Places", odd) == capacity.ALL_HOURS and note("Crews", odd) == capacity.ABOVE_ALL
    assert table("Crews", odd)["helper"][-1] == "-1 %"


def test_no_paragraph_stands_twice() -> None:
    """Nor does a caption say what a paragraph says already; the first page is a summary, and so are its words in no chapter."""
    one = replace(PACK, asked=replace(ASKED, why="Few rooms."))  # which the reporting checklist quotes
    told = [each for part in flat(lender_pack.document(one)) for each in of(part) if len(each) > LONG]
    assert [each for each in set(told) if told.count(each) > 1] == []
    joined = " ".join(told)
    sentences = [each for text_ in told for each in re.split(r"(?<=\.) ", text_) if len(each) > LONG]
    assert [each for each in set(sentences) if joined.count(each) > 1 and "no engineering" not in each] == []


def test_the_time_line_has_every_step_with_its_day() -> None:
    assert table("Step by step")["1 Mar 2027"] == ("shiitake: 900 instead of 700 blocks a week",)
    assert (
        time_line.sees(PACK)
        == "4 steps from 1 Feb 2027 to 14 Jun 2027. The new part takes its first blocks on 7 Jun 2027."
    )


def test_harvest_and_sales_by_year() -> None:
    assert table("A week on average")["picked, lb"] == ("1,590", "1,730", "1,590", "1,870", "1,590", "2,010")
    sales = table("Sales by year")
    columns = list(zip(*(map(number, cells) for cells in sales.values()), strict=True))
    assert all(sum(column[:-1]) == column[-1] for column in columns)
    assert sales["Sales"][-1] == "844,000"
    assert table("Customers")["hotel (new)"] == (
        "letters of interest", "14 Jun 2027", "0 lb", "120 lb", "60,000", "7 %",
    )  # fmt: skip
    assert table("Customers")["home growers"][:2] == ("by habit", "the start")


def test_what_customers_take_and_pay_adds_up_as_printed() -> None:
    """In each unit to what they take together, and to the sales of the income statement."""
    thirds = tuple(
        replace(BUYERS[0], name=f"c{at}", unit=unit, a_week=many / 3, before_a_week=many / 6, a_year=100 / 3)
        for unit, many in (("kg", 200 * POUND), ("blocks", 500.0))
        for at in range(3)
    )
    year = PACK.expanded.years[-1]
    sales = {"sales": total(200.9), "mushrooms": total(200.9), "spent_blocks": total(0.0), "blocks": total(0.0)}
    last = replace(year, lines={**year.lines, **sales})
    kept = replace(PACK.expanded, years=(*PACK.expanded.years[:-1], last))
    one = replace(PACK, buyers=thirds, expanded=kept)
    rows = harvest.customers(one).rows
    assert sorted(row[4] for row in rows[:3]) == ["66 lb", "67 lb", "67 lb"]
    assert sorted(row[4] for row in rows[3:]) == ["166 blocks", "167 blocks", "167 blocks"]
    assert (
        sum(int(row[3].split()[0]) for row in rows[:3]) == 100
        and sum(int(row[3].split()[0]) for row in rows[3:]) == 250
    )
    assert "All days of the year count here" in harvest.customers(one).note
    printed_sales = printed.income(last)["sales"]
    assert sum(float(row[5]) for row in rows) == printed_sales == 201.0


def test_what_customers_are_of_all_sales_adds_up_as_printed() -> None:
    """Three who pay a third each are 34 + 33 + 33 % and 334 + 333 + 333 of 1,000; the first page says the same."""
    thirds = tuple(replace(each, a_year=1_000 / 3, share=1 / 3) for each in BUYERS[:3])
    one = replace(PACK, buyers=thirds)
    rows = list(table("Customers in the last year", one).values())
    assert [row[-1] for row in rows] == ["34 %", "33 %", "33 %"] and [row[-2] for row in rows] == ["334", "333", "333"]
    assert "Largest customer: distributor (a name that may stand for several), 34 % of" in first_page.buyers(one, TOLD)
    noted = next(each.note for each in sheets(lender_pack.document(one)) if each.caption.startswith("Customers in"))
    assert noted.endswith("One name may stand for several customers of a kind, such as all restaurants of a town")


def test_people_by_year() -> None:
    assert (
        people.hired(PACK) == "People with it at the end of year 3: pickers 4 instead of 3 and helper 1 instead of 0."
    )
    assert table("People in")["pickers"] == ("3", "3", "3", "4", "3", "4")
    assert table("Wages")["On average"] == ("387,000", "377,000", "388,000", "432,000", "389,000", "464,000")
    alike = replace(PACK, grown=(replace(PACK.grown[0], people=(("pickers", 3.0, 3.0),)),))
    assert people.hired(alike) == "Nobody is hired for it."


def cents(one: Pack) -> Pack:
    """The same pack with figures that are not whole, so that rounding one by one would not add up."""

    def odd(kept):  # type: ignore[no-untyped-def]
        years = []
        for year in kept.years:
            lines = dict(year.lines)
            for at, name in enumerate(("mushrooms", "blocks", "spent_blocks")):
                lines[name] = total(lines[name].mean.value + 0.4 + 0.05 * at)
            lines["sales"] = total(sum(lines[name].mean.value for name in ("mushrooms", "blocks", "spent_blocks")))
            for name in ("materials", "people", "energy", "fixed_costs", "depreciation", "interest"):
                lines[name] = total(lines[name].mean.value + 0.45)
            costs = sum(lines[name].mean.value for name in ("materials", "people", "energy", "fixed_costs"))
            lines["operating_income"] = total(lines["sales"].mean.value - costs)
            less = lines["depreciation"].mean.value + lines["interest"].mean.value
            lines["net_farm_income"] = total(lines["operating_income"].mean.value - less)
            for name in ("received", "paid_costs", "paid_interest", "paid_principal", "end_cash"):
                lines[name] = total(lines[name].mean.value + 0.47)
            for name in ("end_cash", "end_receivables", "end_stocks", "end_assets", "end_payables", "end_debts"):
                lines[name] = total(lines[name].mean.value + 0.49)
            lines["end_assets"] = total(sum(lines[f"end_{name}"].mean.value for name in OWNED))
            lines["end_debts"] = total(sum(lines[f"end_{name}"].mean.value for name in OWED))
            lines["end_equity"] = total(lines["end_assets"].mean.value - lines["end_debts"].mean.value)
            years.append(replace(year, lines=lines))
        return replace(kept, years=tuple(years))

    return replace(one, base=odd(one.base), expanded=odd(one.expanded))


OWNED = ("cash", "receivables", "stocks", "equipment", "land")
OWED = (
    "payables", "line_owed", "overdrawn", "interest_owed", "loans_within_a_year", "loans_later", "other_debts",
)  # fmt: skip


@pytest.mark.parametrize("one", [PACK, cents(PACK)])
def test_statements_add_up_as_printed(one: Pack) -> None:
    found = [table(caption, one) for caption in ("Income with the", "Income without", "What the expansion brings")]
    for rows in found:
        for column in zip(*(map(number, cells) for cells in rows.values()), strict=True):
            named = dict(zip(rows, column, strict=True))
            sales = sum(named[name] for name in ("Mushrooms", "Blocks", "Spent blocks"))
            costs = ("Materials and packaging", "Wages and what is on top", "Power and fuel", "Fixed costs")
            income = sales + sum(named[name] for name in costs)
            assert (named["= Sales"], named["= Net operating income"]) == (sales, income)
            assert named["= Net farm income"] == income + named["Wear (depreciation)"] + named["Interest"]
    more, base, brings = ([number(cell) for cells in rows.values() for cell in cells] for rows in found)
    assert [one - other for one, other in zip(more, base, strict=True)] == brings


@pytest.mark.parametrize("one", [PACK, cents(PACK)])
def test_cash_and_balance_add_up_as_printed(one: Pack) -> None:
    cash = list(zip(*(map(number, cells) for cells in table("Cash by year", one).values()), strict=True))
    for *flows, end in cash:
        assert sum(flows) == end
    assert [column[-1] for column in cash[:-1]] == [column[0] for column in cash[1:]]
    owned_in_cash = [number(cell) for cell in table("Owned and owed, with the", one)["Cash"]]
    assert owned_in_cash[1:] == [column[-1] for column in cash]
    for caption in ("Owned and owed, with the", "Owned and owed, without"):
        rows = table(caption, one)
        for column in zip(*(map(number, cells) for cells in rows.values()), strict=True):
            named = dict(zip(rows, column, strict=True))
            owned = sum(named[name] for name in list(rows)[: list(rows).index("= Assets")])
            owed = sum(
                named[name] for name in list(rows)[list(rows).index("= Assets") + 1 : list(rows).index("= Debts")]
            )
            assert (named["= Assets"], named["= Debts"]) == (owned, owed)
            assert named["= Equity (assets less debts)"] == owned - owed


def test_cash_in_the_balance_sheet_is_that_with_which_the_cash_flow_ends() -> None:
    """100.51, 200.6 and 300.55 are 601.66: of the two parts that are rounded up cash is one, as 101 stands in its own table."""
    none = dict.fromkeys((*OWNED, *OWED), 0.0)
    exact = {**none, "cash": 100.51, "receivables": 200.6, "equipment": 300.55, "loans_later": 50.0}
    found = printed.balance({**exact, "assets": 601.66, "debts": 50.0, "equity": 551.66})
    assert [found[name] for name in ("cash", "receivables", "equipment", "assets")] == [101.0, 201.0, 300.0, 602.0]


def test_cash_month_by_month_leaves_out_what_is_nothing() -> None:
    found = statements.months(PACK)
    assert len(found.rows) == 12
    assert "borrowed" not in [column.head for column in found.columns]
    assert found.rows[0][0] == "Jan 2027" and found.rows[0][-3:] == ("11,000", "9,000", "-4,000")
    assert [f"{column.head}|{column.unit}" for column in found.columns[-3:]] == [
        "cash at the end|USD, average", "lowest evening|USD, average", "lowest evening|USD, 1 run in 10",
    ]  # fmt: skip
    drawn = PACK.expanded.months.assign(end_line_owed=[0.0, 900.0] + [0.0] * 10)
    one = replace(FEW, expanded=replace(PACK.expanded, months=drawn))
    assert statements.months(one).rows[1][-3:] == ("11,001", "900", "9,001")
    assert [column.head for column in statements.months(one).columns[-3:]] == [
        "cash at the end", "owed on the line then", "lowest evening",
    ]  # fmt: skip


def test_shading_is_named_only_where_there_is_some() -> None:
    assert "Shaded" in cash.below(PACK.expanded) and "Shaded" not in cash.below(replace(PACK.expanded, runs=9))
    assert (
        "broken line" in cash.below(PACK.expanded)
        and "line " not in cash.below(replace(PACK.expanded, limit=None))[-30:]
    )
    few = replace(PACK, expanded=replace(PACK.expanded, runs=9))
    (instead,) = (part.instead for part in statements.cash(few) if isinstance(part, Picture))
    assert instead == "A line of the lowest evening of each month over all years."


def test_ratios_are_told_with_formulas_and_figures_put_in() -> None:
    assert ratios.example(PACK) == (
        "In a usual year 3: simple debt-service coverage = $175,000 / $38,398 = 4.56; term debt coverage = $133,000 / $38,398 "
        "= 3.46."
    )
    rows = table("What lenders look at")
    assert rows["Earned by the new part alone for each 1 of its own payments"] == ("0.20", "0.90", "1.49")
    assert rows["Debt to assets at the end of the year"] == ("39 %", "34 %", "29 %")


def test_loans_by_year_are_sums_of_their_payments() -> None:
    found = loan_years(PACK.expanded)
    assert [(each.loan, each.year, each.interest, each.principal, each.paid, each.left) for each in found[:2]] == [
        ("old loan", 1, 3_000.0, 5_000.0, 8_000.0, 30_000.0),
        ("old loan", 2, 2_999.0, 5_001.0, 8_000.0, 25_000.0),
    ]
    assert "room loan: $160,000 from 1 Feb 2027, over 10 years at 8.25 % a year" in text(loans.parts(PACK))
    assert "Terms from: ________ (who told these terms, and when)." in text(loans.parts(PACK))


def test_payments_by_year_are_all_told_to_the_cent_and_add_up_as_printed() -> None:
    found = next(each for each in sheets(lender_pack.document(PACK)) if each.caption == "Payments by year")
    assert [column.unit for column in found.columns[2:]] == ["USD"] * 4
    assert found.rows[0][2:] == ("3,000.00", "5,000.00", "8,000.00", "30,000.00")
    for _, _, interest, principal, paid, _ in found.rows:
        assert number(interest) + number(principal) == number(paid)
    assert (
        cents_said(-0.001, "USD") == "0.00" and cents_said(-1.5, "USD") == "-1.50" and cents_said(1e3, "JPY") == "1,000"
    )


def test_past_years_stand_beside_the_plan() -> None:
    rows = table("Past years beside")
    assert rows["Sales"] == ("600,000", "610,000", "620,000", "708,000", "791,000", "844,000")
    assert "Taxes" not in rows
    given = replace(
        PACK.past[-1],
        lines={
            **PACK.past[-1].lines,
            "taxes": 9_000.0,
            "interest": 7_000.0,
            "paid_interest": 7e3,
            "paid_principal": 8e3,
            "payments": 15e3,
        },
    )
    line = total(99_000.0)  # with the credit line's
    years = tuple(
        replace(each, lines={**each.lines, "interest": line, "paid_interest": line}) for each in PACK.expanded.years
    )
    one = replace(PACK, past=(given,), expanded=replace(PACK.expanded, years=years))
    rows = table("Past years beside", one)
    assert rows["Taxes"] == ("9,000", "12,000", "12,000", "12,000")
    interest, principal, payments = ([number(cell) for cell in rows[name][1:]] for name in (
        "Interest paid", "Principal paid", "All debt payments"))  # fmt: skip
    assert [first + then for first, then in zip(interest, principal, strict=True)] == pytest.approx(payments, abs=1.0)
    assert rows["Interest"][1:] == rows["Interest paid"][1:]
    assert PACK.history is not None
    months = text(past.months(PACK, PACK.history))
    assert "Picked: the model says 81,900 lb (9 runs in 10 between 79,400 and 84,100), the farm picked 80,600" in months
    assert text(past.parts(replace(PACK, history=None))).endswith(
        "No records of past months were given to compare with."
    )


def test_where_there_is_a_credit_line_its_interest_is_not_among_that_of_the_past_years_table() -> None:
    for limit, is_told in ((25_000.0, True), (None, False)):
        one = replace(PACK, expanded=replace(PACK.expanded, limit=limit))
        assert ("Interest of the plan is that of loans alone" in text(past.parts(one))) == is_told


def test_past_years_stand_beside_the_farm_without_the_expansion_too() -> None:
    rows = table("Past years beside the farm without")
    assert rows["Sales"] == ("600,000", "610,000", "620,000", "690,000", "690,000", "690,000")
    assert rows["All debt payments"][3:] == ("14,849", "14,849", "14,849")
    heads = [column.head for column in past.years(PACK, PACK.base, "", "without it").columns]
    assert heads[-1] == "without it, year 3"


def test_every_line_of_the_past_is_a_line_of_the_years_to_come() -> None:
    """Else it would be a minus sign in every year of the plan, and capacity would not add up."""
    to_come = {name for name, _, _ in YEARS}
    assert {past.OF_PLAN.get(line, line) for _, line in past.LINES} <= to_come
    assert (
        set(past.OF_PLAN)
        <= {line for _, line in past.LINES}
        <= {*OF_PAST, "payments", "capital_debt_repayment_capacity"}
    )


def test_no_chapter_is_begun_for_one_sentence() -> None:
    """What is said in one sentence stands where there is something else."""
    told = tuple(past.parts(replace(PACK, history=None)))
    assert [part.words for part in told if isinstance(part, Heading)] == ["Past years beside the plan"]
    assert tuple(past.parts(replace(PACK, history=None, past=()))) == ()
    assert len(tuple(blows.parts(replace(PACK, stress=(), hoped=None)))) == 2


def test_chapters_follow_one_another_so_that_no_page_stays_nearly_empty() -> None:
    """Only these begin a page: what comes after the first one, and what has a whole page of words and tables of its own."""
    parts = lender_pack.document(PACK).parts
    begun = [after for part, after in pairwise(parts) if isinstance(part, NewPage)]
    assert begun == [Contents(), headings.CAPACITY]


def test_the_owners_page() -> None:
    told = text(owner.parts(PACK))
    assert "Net present value at 8 % a year: $1,500." in told and "Internal rate of return: 8.4 % a year." in told
    assert "Payback: what it costs has come back after 2.9 years out of what they bring, without interest." in told
    with_value = replace(PACK, worth=replace(PACK.worth, book_value=500.4))
    rows = owner.flows(with_value).rows
    assert rows[-1] == ("then still worth in the books", "500") and len(rows) == len(PACK.worth.flows) + 1
    whole_sum, without = (sum(number(row[1]) for row in each) for each in (rows, owner.flows(PACK).rows))
    assert whole_sum == without == round(sum(PACK.worth.flows))
    none = replace(PACK.worth, discount=None, present_value=None, rate=None, payback=None)
    told = text(owner.parts(replace(PACK, worth=none)))
    assert (
        "Net present value is not told" in told and "Payback: not within 3 years out of what the years bring." in told
    )
    assert "Payback: not within 1 year out of what the years bring." in text(
        owner.parts(replace(PACK, worth=replace(none, flows=(-5.0, 1.0))))
    )
    free = text(owner.parts(replace(PACK, worth=replace(none, flows=(0.0, 90.0, 90.0, 90.0)))))
    assert "Nothing more is bought than without it, so there is no rate of return to tell" in free
    assert "Internal rate" not in free and "Payback" not in free


def test_what_is_for_the_owner_is_a_page_of_its_own_and_not_in_the_pack() -> None:
    page = lender_pack.of_owner(PACK)
    assert (page.title, page.draft) == (owner.TITLE, lender_pack.draft(PACK))
    assert page.foot.startswith("Four rooms: for the owner, not for the lender.")
    assert "Internal rate of return: 8.4 % a year." in text(page.parts)
    for words in ("Net present value", "Internal rate", "Payback:", "not for the lender", "for the owner"):
        assert words not in text(lender_pack.document(PACK).parts)
    written = lender_pack.answer(replace(PACK, headroom=(), steps=()), ["a.toml", "b.toml"], has_pdf=False).texts
    assert list(written) == ["pack.html", "owner.html"] and "Internal rate of return" in written["owner.html"]
    assert "owner.html" in lender_pack.screen(PACK)


def test_stress_in_full() -> None:
    assert table("Are the payments covered?")["Prices 5 % lower"] == (
        "3",
        "1.47",
        "1.17",
        "1.77",
        "2.47",
        "2.17",
        "2.77",
        "18,000",
        "2",
    )
    assert table("Is there cash?")["Prices 5 % and yield 10 % lower"][:6] == (
        "3,000", "-9,000", "25,000", "12,300", "9", "________",
    )  # fmt: skip
    assert "Nothing was asked for that may go wrong." in text(blows.parts(replace(PACK, stress=(), hoped=None)))


def test_every_figure_is_listed_with_its_source() -> None:
    guess, rest = (part.table for part in assumptions.every(PACK) if isinstance(part, Sheet))
    assert (guess.caption, rest.caption) == ("Figures that are placeholders: 1", "Figures that are no placeholders: 2")
    assert guess.rows == (("crew: pace", "pickers", "26 lb/h", "how quickly people pick", "placeholder"),)
    assert rest.rows[1] == ("room: holds", "North", "2,000 blocks", "shelf places", "the farm's file")
    told = text(assumptions.parts(PACK))
    assert "2 of the 8 figures that matter most are not yet the farm's own, so this is a draft." in told
    assert "Not in the books: prices of dried mushrooms." in told
    warned = replace(PACK, warnings=("Mind the gap.",))
    assert assumptions.bear_in_mind(warned) == ("Mind the gap.",)


def test_cautions_are_those_that_the_plan_touches() -> None:
    assert [each.split(" ")[0] for each in cautions.touched(PACK)] == ["Steam", "Lifting"]
    assert len(cautions.touched(replace(PACK, cautions=()))) == 8
    assert "no engineering, legal, tax or lending advice" in text(cautions.parts(PACK))


def test_the_appendix_has_the_whole_checklist_with_blanks_for_what_only_the_farm_can_write() -> None:
    items = [
        row[0].split(" ")[0] for part in reporting.parts(PACK) if isinstance(part, Sheet) for row in part.table.rows
    ]
    sections = {"1": 3, "2": 4, "3": 4, "4": 3, "5": 4, "6": 1}
    wanted = [f"{number}.{at}" for number, many in sections.items() for at in range(1, many + 1)]
    assert [item for item in items if not item.startswith("2.5")] == wanted
    assert [item for item in items if item.startswith("2.5")] == [f"2.5.{at}" for at in range(1, 6)]
    assert text(reporting.parts(PACK)).count(TO_WRITE) == 4
    assert text(reporting.parts(replace(PACK, asked=replace(ASKED, why="")))).count(TO_WRITE) == 5
    assert "157 weeks from 2027-01-04, 3 whole years of books." in text(reporting.parts(PACK))


def test_every_figure_of_the_first_page_has_its_interval_and_its_runs() -> None:
    rows = table("Average and how well")
    assert rows["Capacity to repay, year 3"] == ("133,000", "too few runs", "-", "too few runs", "3")
    runs = tuple(float(at) for at in range(10))
    more = replace(PACK.expanded.lowest, cash=replace(PACK.expanded.lowest.cash, runs=runs))
    of_ten = replace(PACK, expanded=replace(PACK.expanded, lowest=more))
    assert table("Average and how well", of_ten)["Lowest cash"] == ("11,200", "10", "-4,300", "too few runs", "10")
    of_five = replace(
        of_ten, expanded=replace(PACK.expanded, lowest=replace(more, cash=replace(more.cash, runs=runs[:5])))
    )
    assert table("Average and how well", of_five)["Lowest cash"][1:3] == ("10", "-")
    assert rows["Prices 5 % lower: term debt coverage, year 3"][0] == "1.47"
    known = replace(PACK.expanded.lowest.cash, low_lies=(-6_000.0, -2_000.0))
    sure = replace(PACK.expanded, lowest=replace(PACK.expanded.lowest, cash=known))
    assert table("Average and how well", replace(PACK, expanded=sure))["Lowest cash"][3] == "-6,000 to -2,000"
    assert table("Marks")["farmsim"] == ("1.0 (abcdefgh)",)
    assert "20 runs of 157 weeks" in checked.sure(PACK)


# --- the whole --------------------------------------------------------------------------------------------------------

FEW = replace(PACK, runs=3, stress_runs=2)
BARE = replace(
    PACK, history=None, past=(), hoped=None, matter=(), stress=(), alone=(None, None, None), headroom=(), steps=(), grown=(),
    buyers=(), tight_before=(), tight_after=(), counts={}, asked=replace(ASKED, needed=None, needed_ratio="", why=""),
    expanded=replace(PACK.expanded, limit=None), cautions=(),
)  # fmt: skip
METRIC = replace(PACK, system="metric", currency="EUR")


@pytest.mark.parametrize("one", [PACK, FEW, BARE, METRIC], ids=["whole", "few runs", "bare", "metric"])
def test_no_heading_without_a_body_no_empty_words_and_no_crooked_table(one: Pack) -> None:
    document = lender_pack.document(one)
    parts = [part for part in flat(document) if of_substance(part)]
    for part, after in zip(parts, [*parts[1:], None], strict=True):
        if isinstance(part, Heading):
            assert after is not None and not isinstance(after, Heading), part
        if isinstance(part, Words):
            assert part.words.strip()
    for each in sheets(document):
        assert each.rows and all(len(row) == len(each.columns) for row in each.rows), each.caption
    names = [part.name for part in document.parts if isinstance(part, Heading)]
    assert len(set(names)) == len(names)


def of_substance(part: Part) -> bool:
    return isinstance(part, Heading) or any(True for _ in of(part))


@pytest.mark.parametrize("one", [PACK, FEW, BARE, METRIC], ids=["whole", "few runs", "bare", "metric"])
def test_what_is_pointed_at_is_there(one: Pack) -> None:
    document = lender_pack.document(one)
    headings = {part.words for part in document.parts if isinstance(part, Heading)}
    pointed = set(re.findall(r'see "([^"]*)"', text(document.parts)))
    assert pointed <= headings


EXPLAINED = {
    "FFSC": "the Farm Financial Standards Council",
    "CO2": "carbon dioxide",
    "STRESS-DES": "Strengthening the Reporting of Empirical Simulation Studies",
}
NO_ABBREVIATIONS = {"USD", "EUR", "PDF"}


def test_every_abbreviation_is_explained() -> None:
    whole = text(lender_pack.document(replace(PACK, cautions=tuple(cautions.TOPICS))).parts)
    found = set(re.findall(r"\b[A-Z][A-Z0-9]+(?:-[A-Z]+)*\b", whole.replace("P1:", ""))) - NO_ABBREVIATIONS
    assert found <= set(EXPLAINED)
    assert all(EXPLAINED[each] in whole for each in found)
    for short in ("lb", "h"):
        assert re.search(rf"\b{short}\b", whole) and "h; lb; kg" in whole


def test_with_few_runs_no_poor_year_is_told() -> None:
    page = text(tuple(first_page.parts(FEW)))
    assert "poor" not in page and "1 run in 10" not in page
    assert "1 run in 10" in text(tuple(first_page.parts(PACK)))


def test_names_are_kept_on_one_line() -> None:
    """What a farm's file holds may have line breaks and signs that steer a screen."""
    odd = replace(PACK, base_name="Four\nrooms\x1b[31m", asked=replace(ASKED, why="we\nwant\x07 it"))
    assert "\x1b" not in lender_pack.screen(odd) and "\x07" not in text(tuple(first_page.parts(odd)))


# --- the screen, tables, JSON -----------------------------------------------------------------------------------------


def test_the_screen_begins_with_what_is_asked_and_how_safe_it_is() -> None:
    lines = lender_pack.screen(PACK).splitlines()
    assert lines[0] == "Fifth fruiting room: 3 years from 4 Jan 2027, 20 runs with it and without"
    heads = [line.split("  ")[0] for line in lines[2:] if line and not line.startswith(" ")]
    assert heads == ["ASKED", "WHO BUYS", "COVERAGE", "CASH", "GOES WRONG", "BELIEVE", "DRAFT", "READ FIRST", "FOR YOU"]
    assert all(len(line) <= 100 for line in lines)
    flat = " ".join(lender_pack.screen(PACK).split())
    assert "Term debt coverage, usual years: year 1 2.99, year 2 2.92, year 3 3.46." in flat
    assert "The same in a poor year (1 in 10): year 1 2.35, year 2 2.37, year 3 2.84." in flat
    assert "If those only hoped for never come, usual years: year 3 1.60." in flat
    assert needed.sentence(PACK) in flat
    assert flat.index("Prices 5 % and yield 10 % lower") < flat.index("Largest customer lost")


def test_tables_and_json_hold_what_the_pages_tell() -> None:
    found = tables(PACK)
    assert len(found["stress"]) == len(PACK.stress) + 1
    assert list(found["beside"].columns) == ["year", "line", "without", "difference", "give", "with"]
    row = found["headroom"].set_index("name").loc["Annex"]
    assert row["after_capacity"] == 1_500.0 and row["before_capacity"] != row["before_capacity"]
    held = json.loads(json.dumps(plain(PACK), allow_nan=False))
    assert held["asked"]["loan"]["payment"] == 1_962.44
    assert held["stress"][0]["coverage"] == {
        "average": 1.47, "give": 10.0, "low_1_in_10": pytest.approx(1.17), "usual": 1.47,
        "high_1_in_10": pytest.approx(1.77),
    }  # fmt: skip
    assert held["history"]["figures"][0]["whole"]["verdict"] == "inside"


def test_the_table_of_blows_holds_usual_and_poor_runs_no_averages() -> None:
    uneven = Total(Known(3.0, None), 1.0, 2.0, 8.0, (1.0, 2.0, 8.0))
    one = replace(PACK, stress=(replace(PACK.stress[0], coverage=uneven, simple=None),), hoped=None)
    (row,) = tables(one)["stress"].to_dict("records")
    assert (row["term_debt_coverage_usual"], row["term_debt_coverage_low_1_in_10"]) == (2.0, 1.0)
    assert row["simple_debt_service_coverage_usual"] is None


def test_what_is_added_is_told_by_firmness_and_unit() -> None:
    assert [(each.firm, each.unit) for each in added(BUYERS)] == [
        ("signed", "kg"), ("letter", "kg"), ("hoped for", "kg"),
    ]  # fmt: skip


def test_own_books_are_not_set_beside_the_model_where_there_are_none() -> None:
    assert "in year 1; our own books" not in believed.believe(replace(PACK, past=()), TOLD)


def test_who_told_the_coverage_is_a_blank_where_only_the_day_is_known() -> None:
    asked = replace(PACK.asked, needed_from="of 2026-11-20")
    assert "(told by: ________ of 2026-11-20)" in needed.sentence(replace(PACK, asked=asked))


def test_more_that_looks_tight_than_is_named_is_counted() -> None:
    found = why.why(replace(PACK, tight_before=("a", "b", "c", "d", "e"), tight_after=("a", "b", "c")))
    assert "without it a, b, c and 2 more, with it a, b and c" in found
