"""The farm's own months beside the model's, in words and as rows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from farmsim.report.history import rows, told, verdict
from farmsim.report.screen import screen
from farmsim.report.words import Weights
from farmsim.study.answers import Answers, Study
from farmsim.study.own_year import Beside, Compared, OwnYear

POUND = 0.45359237  # kg, exact by definition (international yard and pound, 1959)
MONTHS = tuple(f"2026-{month:02d}" for month in range(1, 13))
US = Weights("us")


def picked(own: float, *verdicts: tuple[int, str], whole: str = "inside", most: int | None = 3) -> Compared:
    """A year in which the model picks 81,900 lb and the farm so many."""
    months = [Beside(6700 * POUND, 6825 * POUND, 6500 * POUND, 7100 * POUND, "inside")] * 12
    for month, said in verdicts:
        months[month - 1] = replace(months[month - 1], verdict=said)
    year = Beside(own * POUND, 81_900 * POUND, 79_400 * POUND, 84_100 * POUND, whole)
    return Compared("picked", "kg", year, tuple(months), 1.2, most)


def year(*figures: Compared, runs: int = 20, is_own: bool = False) -> OwnYear:
    return OwnYear(MONTHS, runs, is_own, "2025-12-29", figures)


def test_a_figure_inside_is_told_with_the_months_that_are_not() -> None:
    one = picked(80_600, (1, "model too high"), (2, "model too high"))
    assert verdict(one, year(one), US) == (
        "Picked: the model says 81,900 lb (9 runs in 10 between 79,400 and 84,100), the farm picked 80,600: inside. "
        "Month by month 10 of 12 inside; model too high in Jan and Feb."
    )


def test_a_figure_outside_says_by_how_much_and_on_which_side() -> None:
    high = picked(65_520, *((month, "model too high") for month in range(1, 13)), whole="model too high")
    assert verdict(high, year(high), US) == (
        "Picked: the model says 81,900 lb (9 runs in 10 between 79,400 and 84,100), the farm picked 65,520: outside, the "
        "model is 25 % too high. Month by month 0 of 12 inside; model too high in every month: more than luck does, at "
        "most 3 in 19 years of 20."
    )
    low = picked(91_000, (3, "model too low"), (5, "model too low"), (6, "model too low"), whole="model too low")
    assert verdict(low, year(low), US).endswith(
        "outside, the model is 10 % too low. Month by month 9 of 12 inside; model too low in Mar, May and Jun."
    )


def test_nothing_in_the_books_is_told_without_a_share() -> None:
    none = picked(0.0, whole="model too high")
    assert "the farm picked 0: outside, the model is too high." in verdict(none, year(none), US)


def test_runs_that_do_not_differ_are_told_so() -> None:
    one = picked(80_600)
    alike = replace(one, whole=replace(one.whole, low=one.whole.mean, high=one.whole.mean))
    assert "(all runs alike)" in verdict(alike, year(alike), US)


def test_too_few_runs_give_no_verdict() -> None:
    one = picked(80_600, whole="too few runs", most=None)
    text = " ".join(" ".join(told(replace(STUDY, runs=8), year(one, runs=8))).split())
    assert "the model says 81,900 lb (runs between 79,400 and 84,100), the farm picked 80,600. A verdict needs" in text
    assert "inside" not in text


def test_where_the_months_were_simulated_is_told() -> None:
    one = picked(80_600)
    own, besides = (told(STUDY, year(one, is_own=is_own))[0] for is_own in (True, False))
    assert "Jan 2026 to Dec 2026 beside 20 runs of the same months." in own
    assert "Jan 2026 to Dec 2026 beside 20 runs from Mon 29 Dec 2025." in besides


@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_month_and_the_whole_year_are_rows(system: str) -> None:
    found = rows(replace(STUDY, system=system), year(picked(80_600)))
    unit, own = ("lb", "80,600") if system == "us" else ("kg", "36,560")
    assert [row[2] for row in found] == [*(f"{name} 2026" for name in NAMES), "all twelve"]
    assert found[-1][:4] == ("Picked", unit, "all twelve", own)


def test_the_farms_own_months_come_on_top_of_the_screen(answers: Answers) -> None:
    often = [(month, "model too low" if month % 2 else "model too high") for month in range(1, 13)]
    names = ("picked", "sold", "blocks_made", "blocks_sold", "paid_hours")
    found = year(*(replace(picked(70_000, *often, whole="model too high"), name=name) for name in names))
    plain, text = screen(answers), screen(replace(answers, own_year=found))
    assert text == plain + "\n".join(["", *told(answers.study, found)]) + "\n"
    assert max(map(len, text.splitlines())) <= 100
    for head in ("Picked", "Sold", "Blocks made", "Blocks sold", "Paid hours"):
        assert text.count(f"{head}: the model says") == 1


NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
STUDY = Study(farm="A", system="us", currency="USD", start="2027-01-04", weeks=52, runs=20, seed=1)
