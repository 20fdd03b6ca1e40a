"""How the number of runs was found, how well the ends of a year are known, and whether farms had filled up: in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import farmsim
from farmsim.report import until
from farmsim.report.compare import footnote
from farmsim.report.screen import screen
from farmsim.study.answers import Answers, Known, Settled
from farmsim.study.compare import BASE, Compared, Comparison, Difference
from farmsim.study.until import Reached, Stopped, Until

TINY = Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml"


def stopped(*figures: Reached, runs: int = 34) -> Stopped:
    return Stopped(Until(0.02), runs, figures)


def near(name: str, part: float, unit: str = "kg/week", change: str = "") -> Reached:
    return Reached(name, unit, change, part, True, None)


def far(name: str, part: float, needed: int | None, change: str = "") -> Reached:
    return Reached(name, "kg/week", change, part, False, needed)


PICKED, KEPT, PAID = near("picked", 0.01234), near("delivered of promised", 0.004, "share"), near("paid hours", 0.0)


def test_figures_are_never_rounded_to_more_than_is_known() -> None:
    assert [until.upward(value) for value in (0.0, 0.0121, 1.0, 1.91, 2.04, 1.2000000001, 12.1, 345.0)] == [
        "0", "0.013", "1", "2", "2.1", "1.2", "13", "350",
    ]  # fmt: skip


def test_enough_runs_tell_how_well_every_figure_is_known() -> None:
    assert until.of_run(stopped(PICKED, KEPT, PAID)) == (
        "Ran until all these averages were known to 2 % or better, 95 in 100 sure of them together, which took 34 runs: "
        "picked +-1.3 %, delivered of promised +-0.4 points and paid hours the same in every run."
    )


def test_a_budget_that_ended_tells_what_was_missed_and_what_it_would_take() -> None:
    one, two = far("picked", 0.031, 480), far("sold to orders", 0.024, None)
    assert until.of_run(stopped(two, one, KEPT, runs=200)) == (
        "Not as sure as asked for: 200 runs, the most allowed, do not make all averages known to 2 % (95 in 100 sure of them "
        "together). Missed: picked +-3.1 % (about 480 runs would do) and sold to orders +-2.4 % (more runs than anybody "
        "makes); well enough: delivered of promised +-0.4 points. Allow more with --runs; those that are done are kept."
    )
    assert "well enough" not in until.of_run(stopped(one))


def test_changes_tell_which_figure_is_known_least() -> None:
    found = stopped(near("picked", 0.012, change="a"), near("paid hours", 0.019, change="b"))
    whole = "2 % of the base's figure (shares to 2 points)"
    assert until.of_changes(found) == (
        f"Ran until what each change does to picked and paid hours was known to {whole}, which took 34 runs of each farm; "
        "known least is paid hours +-1.9 % by b."
    )
    alone = Stopped(Until(0.01), 34, (near("kept", 0.01, "share", "a"),))
    assert until.of_changes(alone).endswith(
        "to 1 % of the base's figure (shares to 1 point), which took 34 runs of each farm; known least is kept +-1 point."
    )


def test_changes_that_are_not_known_are_told_the_worst_first_and_not_without_end() -> None:
    many = [far(f"figure {at}", 0.03 + at / 100, 300, change="a") for at in range(8)]
    text = until.of_changes(stopped(*many, runs=200))
    assert text.startswith(
        "Not as sure as asked for: 200 runs of each farm, the most allowed, do not tell what each change"
    )
    assert "Missed: figure 7 +-10 % (a, about 300 runs would do), figure 6 +-9 % (a, about 300 runs would do)" in text
    assert text.endswith("and 2 more. Allow more with --runs; those that are done are kept.")


def test_nothing_to_judge_by_is_said() -> None:
    assert until.of_run(stopped(runs=20)) == (
        "Asked for figures known to 2 %, but there is nothing of any to judge by: 20 runs."
    )
    assert until.of_changes(stopped(runs=20)) == (
        "Asked for changes known to 2 %, but there is nothing of any to judge by: 20 runs of each farm."
    )


@pytest.fixture(scope="module")
def answers() -> Answers:
    return farmsim.run(farmsim.load(TINY), runs=29, weeks=2, workers=1).answers


def test_on_the_screen_it_stands_in_lines_of_its_own(answers: Answers) -> None:
    plain = screen(answers).splitlines()
    asked = screen(replace(answers, stopped=stopped(PICKED, KEPT, PAID))).splitlines()
    assert asked[: len(plain)] == plain
    assert " ".join(" ".join(asked[len(plain) :]).split()) == until.of_run(stopped(PICKED, KEPT, PAID))
    assert max(map(len, asked)) <= 100


def test_the_ends_of_a_year_are_told_with_29_runs_and_kept_apart_from_its_spread(answers: Answers) -> None:
    year = answers.totals["picked_kg"]
    assert year.low_lies is not None and year.high_lies is not None
    known = replace(year, low_lies=(45.359237, 90.718474), high_lies=(136.077711, 181.436948))
    text = " ".join(screen(replace(answers, totals={**answers.totals, "picked_kg": known})).split())
    sure = (
        "Of the two figures between which 8 runs in 10 lie, the lower is 100 to 200 lb and the higher 300 to 400 lb (each 95 "
        "in 100 sure)."
    )
    assert text.endswith(sure) and "2 WEEKS" in text[: text.index("HOW SURE")]
    fewer = replace(year, low_lies=None, high_lies=None)
    grows = Settled("did not settle", 0, 5, "picked_kg", Known(4.0, 1.0))
    unsettled = screen(replace(answers, settled=grows, stopped=stopped(PICKED)))
    assert "the lower is" not in unsettled and "HOW SURE      Ran until all these averages" in unsettled
    assert "the lower is" not in screen(replace(answers, totals={**answers.totals, "picked_kg": fewer}))


# --- whether farms that are compared had filled up ------------------------------------------------------------------


def told(settled: dict[str, Settled], units: str = "metric", found: Stopped | None = None) -> str:
    lines = (Difference("picked", "kg/week", 100.0, 120.0, 20.0, 5.0, None),)
    compared = Compared("Farm", units, "EUR", "2027-01-04", 20, 1, 8, 0.95, (Comparison("more", 52, 0, lines),),
                        pd.DataFrame(), settled, found)  # fmt: skip
    return " ".join(" ".join(footnote(compared)).split())


def test_farms_that_all_had_filled_up() -> None:
    both = {BASE: Settled("settled"), "more": Settled("settled")}
    assert told(both).endswith("a guess in it they do not see. All farms had filled up before these weeks.")


@pytest.mark.parametrize(
    ("verdict", "text"),
    [
        (
            Settled("did not settle", 8, 5, "blocks_inside", Known(12.0, 2.0)),
            "did not settle, blocks on the farm grow by 12 blocks a week to the very end: there is no usual week to compare.",
        ),
        (
            Settled("did not settle", 8, 5, "picked_kg", Known(-4.5359237, 1.0)),
            "did not settle, mushrooms picked shrink by 10 lb a week to the very end: there is no usual week to compare.",
        ),
        (
            Settled("slow start", 8, 10, "picked_kg"),
            "had not filled up in the first 10 of these weeks: a longer lead_in is needed.",
        ),
        (Settled("too short to tell"), "had too few runs or weeks to tell whether they had filled up."),
        (Settled("starts empty"), "began empty, and the weeks of filling up are in these figures."),
        (Settled("months differ"), "had months that differ, so the weeks cannot tell whether they had filled up."),
    ],
)
def test_each_farm_is_told_by_its_verdict(verdict: Settled, text: str) -> None:
    assert told({BASE: Settled("settled"), "more": verdict}, "us").endswith(
        f"Farm had filled up before these weeks. more {text}"
    )
    assert told({BASE: verdict, "more": verdict}, "us").endswith(f"All farms {text}")


def test_a_comparison_tells_how_many_runs_it_took() -> None:
    found = stopped(near("picked", 0.012, change="more"))
    assert told({}, found=found).endswith(until.of_changes(found))
