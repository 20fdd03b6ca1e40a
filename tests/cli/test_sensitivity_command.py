"""`farmsim sensitivity` as a user meets it: what to measure first, nothing ranked that is not sure, the time told before."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim
from farmsim.report.sensitivity import screen
from farmsim.scenario.doubt import Left
from farmsim.study.compare import Difference
from farmsim.study.effects import Effect, Kind, Share
from farmsim.study.sensitivity_answers import Asked, End, Mover, Sensed

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
QUICK = ("--weeks", "4", "--workers", "1", "--most", "1", "--runs", "60")
YIELD = ("--figure", "strain.*.yield.mean=1.8:2.4")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("user")


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "sensitivity", str(TINY), *YIELD, *QUICK, "--answer", "picked")


def test_the_time_is_told_before_and_the_sentences_before_the_table(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr.startswith("1 figure to move: at most 60 runs, about ")
    assert "The same again on any machine: --runs 60, the most runs that it may take." in " ".join(ran.stdout.split())
    assert int(ran.stdout.split("TOOK")[1].split()[0]) <= 60
    assert max(map(len, ran.stdout.splitlines())) <= 100
    assert ran.stdout.startswith(
        "One shed: what moves the answer, of 1 figure that may be otherwise\n  As it is: picked "
    )
    text = " ".join(ran.stdout.split())
    assert "MOVES IT TOO, though no guess 1 saleable weight a block" in text
    assert "between 1.8 and 2.4 lb saleable a block it moves picked by " in text
    assert (
        ran.stdout.index("MOVES IT TOO")
        < ran.stdout.index("from its low to its high end")
        < ran.stdout.index("HOW SURE")
    )


def test_the_folder_holds_what_was_found(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "tiny-sensitivity"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "answer.json", "sensitivity.csv", "figures/sensitivity.png",
        "figures/sensitivity.svg", "scenario/tiny.toml",
    }  # fmt: skip
    told = json.loads((folder / "answer.json").read_text())
    assert told["measure_first"] == [] and told["figures"][0]["answers"]["picked"]["verdict"] == "more"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "Missing argument 'FILE'"),
        ((str(TINY), "--figure", "strain.*.wings=1:2"), '"strain.*.wings" names no figure of this farm'),
        (
            (str(TINY), "--figure", "crew.owner.people=3:1"),
            "is no range for crew.owner.people; write two numbers, low:high",
        ),
        ((str(TINY), "--budget", "0.01"), "give more time (--budget "),
        ((str(TINY), "--cluster", "tcp://127.0.0.1:1"), "say with --runs about how many runs in all"),
        ((str(TINY), "--cluster", "tcp://127.0.0.1:1", "--workers", "2"), "exclude each other"),
        ((str(TINY), "--each", "1"), "1 is not in the range 2 to 100"),
        ((str(TINY), *QUICK, "--answer", "left"), "the farm has nothing of left; it has sold, picked, delivered"),
    ],
)
def test_what_cannot_be_is_told_in_a_line(here: Path, words: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, "sensitivity", *words, "--out", "nothing")
    assert done.returncode == 2 and told in done.stderr and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


def test_no_other_command_loads_what_only_this_one_needs() -> None:
    code = (
        "import sys, farmsim.cli.sweep, farmsim.study.sweep, farmsim.study.sensitivity; print('SALib' in sys.modules)"
    )
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, timeout=60)
    assert done.stdout == "False\n", done.stderr


# --- sentences ------------------------------------------------------------------------------------------------------

SOLD = Asked("sold to orders", "kg/week", 500.0)


def end(mean: float, give: float | None = 4.0) -> Difference:
    return Difference("sold to orders", "kg/week", 500.0, 500.0 + mean, mean, give, None)


def mover(meaning: str, kind: Kind, ends: tuple[End, End] | None = None, is_guess: bool = True) -> Mover:
    effect = Effect(30.0, 10.0 if kind in ("more", "less") else 50.0, 32.0, 5.0, kind)
    return Mover("strain.*.picking.pace", meaning, 6, "7 kg/h", "10 kg/h", "8 kg/h", "placeholder", is_guess, (effect,),
                 (ends,) if ends else ())  # fmt: skip


def sensed(*movers: Mover) -> Sensed:
    return Sensed(
        "Farm", "metric", "EUR", "2027-01-04", 1, 52, 0, 8, 0.95, (SOLD,), movers, (), 8, 2, 0, 5, 0, 384, 300
    )


def text(found: Sensed) -> str:
    return " ".join(screen(found).split())


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (
            mover("pace", "more", (end(-40), end(25))),
            "between 7 and 10 kg/h it moves sold to orders by -40 +-4 to +25 +-4 kg a week",
        ),
        (
            mover("pace", "more", (end(-40), end(2))),
            "by -40 +-4 kg a week at the low end (the other shows no difference)",
        ),
        (
            mover("pace", "more", (end(0, None), end(25))),
            "by +25 +-4 kg a week at the high end (the other is the same)",
        ),
        (
            mover("pace", "more", (end(1), end(2))),
            "sold to orders only together with other figures, by itself no difference",
        ),
        (
            mover("pace", "more", ("lots can never move", end(25))),
            "by +25 +-4 kg a week at the high end; left out at the low end: lots can never move",
        ),
        (
            mover("pace", "more", (end(2), "lots can never move")),
            "by +30 kg a week from end to end; left out at the high end: lots can never move",
        ),
        (mover("pace", "more"), "it moves sold to orders by +30 kg a week from end to end"),
        (mover("pace", "both ways"), "it moves sold to orders by about 32 kg a week one way or the other"),
    ],
)
def test_what_a_figure_does_has_its_sentence(one: Mover, told: str) -> None:
    found = text(sensed(one))
    assert told in found
    assert found.index("MEASURE FIRST 1 pace (6 strains, now 8 kg/h)") < found.index(told)


def test_what_is_no_guess_is_told_apart_and_what_has_no_effect_is_not_ranked() -> None:
    found = text(
        sensed(mover("pace", "more"), mover("wage", "less", is_guess=False), mover("colour", "no effect found"))
    )
    assert "MEASURE FIRST 1 pace" in found and "MOVES IT TOO, though no guess 1 wage" in found
    assert "The same again on any machine: --runs 300, the most runs that it may take." in found
    assert "No effect found: colour." in found and "2 colour" not in found
    assert "colour (+30 +-50)" in found and "In brackets: no effect found, and not ranked." in found


def test_when_nothing_matters_that_is_said() -> None:
    found = text(sensed(mover("colour", "no effect found")))
    assert "Of none of them an effect was found" in found and "MEASURE FIRST" not in found and "ITS SHARE" not in found


def test_shares_are_told_and_those_that_may_be_nothing_are_not_ranked() -> None:
    pace = replace(mover("pace", "more"), shares=(Share(0.6, 0.2, 0.7, 0.2),))
    window = replace(mover("window", "more"), shares=(Share(-0.05, 0.1, 0.2, 0.1),))
    found = text(replace(sensed(window, pace), rows=61, rows_dropped=3))
    assert (
        "Of the spread that these 2 together make in sold to orders: pace 60 % by itself (40 % to 80 %), 50 % to 90 %"
        in found
    )
    assert "No share found by itself: window." in found
    assert "From 61 rows of farms; 3 more were not possible and are left out." in found
    gone = text(replace(sensed(mover("pace", "more")), rows_dropped=40))
    assert "of 40 rows of farms one farm or more is not possible, and too few rows are left." in gone
    assert "the time was up" not in gone
    short = text(sensed(mover("pace", "more")))
    assert "it takes 384 runs more, and the time was up. --budget or --runs gives more." in short


def test_what_was_not_moved_is_told_with_its_reason() -> None:
    found = replace(
        sensed(mover("pace", "more")), left=(Left("a.b", "grades", "is a list, not one number"),), dropped=2
    )
    assert "NOT MOVED grades: is a list, not one number" in text(found)
    assert "At 2 further starting points a farm was not possible." in text(found)
