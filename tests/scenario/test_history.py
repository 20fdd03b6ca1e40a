"""Twelve months of the farm's own books: how they are written, and what is said when they are not right."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from farmsim.scenario.assumed import assumed
from farmsim.scenario.farm import Farm
from farmsim.scenario.history import History
from farmsim.scenario.readback import read_back

from .farms import SMALL, change, faults_of, small, written

POUND = 0.45359237  # kg, exact by definition (international yard and pound, 1959)
TWELVE = "[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12.5]"
GOOD = f"""
[history]
from = "2026-03"
blocks_made = {TWELVE}
picked = {{ lb = {TWELVE} }}
sold = {{ kg = {TWELVE} }}
"""


def history(farm: Farm) -> History:
    assert farm.history is not None
    return farm.history


def test_counts_are_plain_and_weights_stand_under_their_unit(tmp_path: Path) -> None:
    own = history(written(tmp_path, SMALL + GOOD))
    counted = (*(float(number) for number in range(1, 12)), 12.5)
    assert own.totals == {
        "blocks_made": counted,
        "picked": pytest.approx(tuple(POUND * number for number in counted), rel=1e-15),
        "sold": counted,
    }


def test_months_go_on_over_the_turn_of_the_year(tmp_path: Path) -> None:
    own = history(written(tmp_path, SMALL + GOOD))
    assert own.months == (*(f"2026-{month:02d}" for month in range(3, 13)), "2027-01", "2027-02")
    assert (own.from_, own.end) == (date(2026, 3, 1), date(2027, 3, 1))


@pytest.mark.parametrize("first", ['"2026-03"', '"2026-3"', "2026-03-01"])
def test_the_first_month_may_be_written_as_a_month_or_as_its_first_day(first: str, tmp_path: Path) -> None:
    assert history(written(tmp_path, SMALL + GOOD.replace('"2026-03"', first))).from_ == date(2026, 3, 1)


def test_months_may_lie_before_within_and_after_the_simulated_weeks(tmp_path: Path) -> None:
    for first in ("2019-01", "2027-01", "2031-06"):
        assert history(written(tmp_path, SMALL + GOOD.replace("2026-03", first))).months[0] == first


def test_the_farms_own_months_are_read_back_and_are_no_figure_of_the_farm(tmp_path: Path) -> None:
    farm = written(tmp_path, SMALL + GOOD)
    assert dict(read_back(farm))["OWN BOOKS"] == [
        "The model is set beside the farm's own blocks made, picked and sold of 2026-03 to 2027-02, month by month."
    ]
    plain = small(tmp_path)
    assert "OWN BOOKS" not in dict(read_back(plain))
    assert assumed(farm) == assumed(plain)


def test_a_change_set_may_give_the_farms_own_months(tmp_path: Path) -> None:
    after = change(tmp_path, f'based_on = "small.toml"\n{GOOD.replace("[history]", "[add.history]")}')
    assert history(after).months[0] == "2026-03"
    assert after.but(history=None, farm=small(tmp_path).farm) == small(tmp_path)


HEAD = '[history]\nfrom = "2026-03"\n'
CASES = [
    ("eleven numbers", HEAD + "blocks_made = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]",
     "history, blocks_made: has 11; needs twelve numbers, one for each month from the first on. Write 0 for a month without "
     "any."),
    ("eleven weights", HEAD + "picked = { lb = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11] }",
     "history, picked, lb: has 11; needs twelve numbers, one for each month from the first on. Write 0 for a month without "
     "any."),
    ("a number below 0", HEAD + f"paid_hours = {TWELVE.replace('3', '-3')}",
     "history, paid_hours 3: is -3 for month 3; needs numbers from 0 up. Write 0 for a month without any."),
    ("no number", HEAD + f"paid_hours = {TWELVE.replace('12.5', 'inf')}",
     "history, paid_hours 12: is inf for month 12; needs numbers from 0 up. Write 0 for a month without any."),
    ("a text among the numbers", HEAD + "picked = { lb = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, \"12\"] }",
     "history, picked, lb 12: is \"12\" for month 12; needs twelve numbers, one for each month from the first on. Write 0 "
     "for a month without any."),
    ("one number", HEAD + "blocks_sold = 5",
     "history, blocks_sold: is 5; needs twelve numbers, one for each month from the first on. Write it like [1800, ...]."),
    ("weights without a unit", HEAD + f"picked = {TWELVE}",
     "history, picked: is a list of 12; needs a weight, lb or kg. Write it like { lb = [6800, ...] }."),
    ("a unit that is no weight", HEAD + f"sold = {{ hours = {TWELVE} }}",
     "history, sold, hours: \"hours\" is no weight; needs lb or kg. Write it like { lb = [6800, ...] }."),
    ("two units", HEAD + f"sold = {{ lb = {TWELVE}, kg = {TWELVE} }}",
     "history, sold: has 2 units; needs one weight, lb or kg. Write it like { lb = [6800, ...] }."),
    ("no totals at all", HEAD,
     "history: gives no totals; needs at least one of the five. Add one, such as picked = { lb = [6800, ...] }, or leave "
     "[history] out."),
    ("no first month", f"[history]\nblocks_made = {TWELVE}",
     "history, from: is not given; needs the first of the twelve months. Add from = \"2026-01\"."),
    ("a first month that is no month", GOOD.replace("2026-03", "March 2026"),
     "history, from: is \"March 2026\"; needs a year and a month. Write it like \"2026-01\", in quotes."),
    ("a thirteenth month", GOOD.replace("2026-03", "2026-13"),
     "history, from: is \"2026-13\"; needs a month from 01 to 12. Write it like \"2026-01\"."),
    ("a day within a month", GOOD.replace('"2026-03"', "2026-03-02"),
     "history, from: is 2026-03-02; needs a year and a month. Write it like \"2026-01\", in quotes."),
    ("a year far off", GOOD.replace("2026-03", "1026-03"),
     "history, from: is \"1026-03\"; needs a year from 1900 to 2200. Write it like \"2026-01\"."),
    ("an unknown total", HEAD + f"picket = {{ lb = {TWELVE} }}",
     "history, picket: \"picket\" is not known here; known are from, blocks_made, blocks_sold, picked, sold, paid_hours. "
     "Did you mean \"picked\"?"),
    ("months that no run reaches", GOOD.replace("2026-03", "2036-06"),
     "history, from: ends with 2037-05, the farm starts on 2027-01-04; needs months within 520 weeks of the start. Move the "
     "start of the farm nearer to these months."),
]  # fmt: skip


@pytest.mark.parametrize(("text", "says"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_months_that_are_not_right_are_told(text: str, says: str, tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(f"{SMALL}\n{text}\n", encoding="utf-8")
    said = [line.partition(", ")[2] for line in faults_of(tmp_path / "farm.toml")]
    assert said[0] == says


def test_a_farm_that_begins_empty_has_no_months_before_its_first_day(tmp_path: Path) -> None:
    empty = SMALL.replace("[farm]", '[farm]\nbegin = "empty"')
    (tmp_path / "farm.toml").write_text(empty + GOOD, encoding="utf-8")
    (said,) = faults_of(tmp_path / "farm.toml")
    assert said.endswith(
        "history, from: begins with 2026-03, the farm begins empty on 2027-01-04; needs months after the farm's first day. "
        'Begin with a later month, or let the farm begin in "full swing".'
    )
    assert history(written(tmp_path, empty + GOOD.replace("2026-03", "2027-02"))).months[0] == "2027-02"


def test_the_farms_own_months_do_not_change_on_a_date(tmp_path: Path) -> None:
    (tmp_path / "small.toml").write_text(SMALL + GOOD, encoding="utf-8")
    text = 'based_on = "small.toml"\nfrom = 2027-02-01\n[change.history]\nfrom = "2026-04"\n'
    (tmp_path / "change.toml").write_text(text, encoding="utf-8")
    (said,) = faults_of(tmp_path / "change.toml")
    assert said.endswith(
        "change, history: [history] is changed on a date; needs things that can change on a date. Change it from the start, "
        "without a date."
    )
