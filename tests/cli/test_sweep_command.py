"""`farmsim sweep` as a user meets it: from where on no more is gained, the table, the folder, and what is wrong in a line."""

import json
from dataclasses import replace
from pathlib import Path
from subprocess import CompletedProcess

import pandas as pd
import pytest
from as_user import farmsim_in

import farmsim
from farmsim.report.sweep import screen, spread_of
from farmsim.study.compare import Difference
from farmsim.study.sweep import Axis, Best, Point, Swept

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
OVER, ENOUGH = "surely over", "no more is surely gained, at most 3 kg a week."
QUICK = ("--runs", "2", "--weeks", "6", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("user")


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "sweep", str(TINY), "crew.owner.people=0:2:1", *QUICK)


def test_sentences_come_before_the_table(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[:2] == [
        "One shed: 2 runs of each on the same luck",
        "  crew.owner.people: 0 to 2, 3 values; the farm has 1",
    ]
    assert ran.stdout.index("sold to orders") < ran.stdout.index("<- as it is") < ran.stdout.index("NOT POSSIBLE")
    assert "NOT POSSIBLE  0: crew.owner.people = 0, crew owner, people: is 0; needs 1 to 10,000." in ran.stdout
    assert "TOOK          4 runs in " in ran.stdout and "WRITTEN       outputs/tiny-swept/" in ran.stdout


def test_the_folder_holds_what_was_found(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "tiny-swept"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "sweep.csv", "answer.json", "runs.csv", "figures/sweep.png",
        "figures/sweep.svg", "scenario/tiny.toml",
    }  # fmt: skip
    assert (folder / "screen.txt").read_text() in ran.stdout
    assert len(pd.read_csv(folder / "runs.csv")) == 4


def test_json_says_the_same_and_nothing_else(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "sweep", str(TINY), "crew.owner.people=0:2:1", *QUICK, "--json", "--out", "again")
    told = json.loads(done.stdout)
    assert told == json.loads((here / "outputs" / "tiny-swept" / "answer.json").read_text())
    assert [point["values"] for point in told["points"]] == [["0"], ["1"], ["2"]]
    assert told["base"] == ["1"] and told["points"][0]["fault"].startswith("crew.owner.people = 0")


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ((), "Missing argument 'FIELD=VALUES...'"),
        (("crew.owners.people=1:2:1",), 'Error: "crew.owners.people": there is no "owners". Did you mean "owner"? In crew'),
        (("crew.owner.people=2:1:1",), '"crew.owner.people=2:1:1" never gets from 2 to 1 in steps of 1; write it from 1 to 2'),
        (("crew.owner.people=0:0.5:0.5",), "crew.owner.people = 0, crew owner, people: is 0; needs 1 to 10,000"),
        (("crew.owner.people=0,1",), "Error: only 1 of 2 farms can be run, so nothing can be put side by side."),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_in_a_line(here: Path, fields: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, "sweep", str(TINY), *fields, *QUICK, "--out", "nothing")
    assert done.returncode == 2 and told in done.stderr and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


# --- sentences ------------------------------------------------------------------------------------------------------


def swept(means: list[float], unbeaten: tuple[int, ...], unit: str = "kg/week", faults: tuple[int, ...] = ()) -> Swept:
    said = tuple(str(at + 1) for at in range(len(means)))
    axis = Axis("crew.pickers.people", "", said, tuple(float(each) for each in said), 1, "2")
    lines = [
        Difference("sold to orders", unit, means[1], mean, mean - means[1], None if at == 1 else 2.0, None)
        for at, mean in enumerate(means)
    ]
    points = tuple(
        Point((at,), "is not allowed", ()) if at in faults else Point((at,), "", (line,))
        for at, line in enumerate(lines)
    )
    start = min(at for at in range(len(means)) if at not in faults)
    first = unbeaten[0]
    gain = means[first] - means[start]
    gained = Difference("sold to orders", unit, means[start], means[first], gain, 4.0, None) if first != start else None
    best = Best("sold to orders", unit, unbeaten, tuple(means), gained, 3.0)
    return Swept("Farm", "metric", "EUR", "2027-01-04", 20, 52, 0, 1, 8, 0.95, (axis,), points, 1, True, (best,), 9,
                 pd.DataFrame())  # fmt: skip


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (
            swept([100, 120, 140, 141], (2, 3)),
            f"More up to 3: 140 kg a week, {OVER} 36 more than with 1. From 3 on {ENOUGH}",
        ),
        (
            swept([100, 120, 140, 160], (3,)),
            f"Best at 4: 160 kg a week, {OVER} 56 more than with 1. That is the last value tried: more of it may bring more.",
        ),
        (
            swept([160, 140, 120, 100], (0,)),
            "Best at 1: 160 kg a week. That is the first value tried: less of it may bring more.",
        ),
        (
            swept([100, 140, 141, 100], (1, 2)),
            f"More up to 2: 140 kg a week, {OVER} 36 more than with 1. From 2 on {ENOUGH} Beyond 3 it is surely less.",
        ),
        (
            swept([100, 140, 100, 90], (1,)),
            f"Best at 2: 140 kg a week, {OVER} 36 more than with 1. Beyond 2 it is surely less.",
        ),
        (swept([140, 141, 120, 100], (0, 1)), "From 1 to 2 no difference: 140 kg a week. Beyond 2 it is surely less."),
        (swept([140, 141, 140, 140], (0, 1, 2, 3)), "No difference found; none brings over 3 kg a week more than 1."),
        (swept([0.5, 0.9, 0.95, 0.95], (2, 3), "share"), "More up to 3: 95 %"),
    ],
)
def test_where_no_more_is_gained_has_its_sentence(found: Swept, told: str) -> None:
    assert told in " ".join(screen(found).split())


def test_what_is_nothing_or_says_nothing_is_not_told_as_a_figure() -> None:
    """Neither "at most 0 kg" nor "137 points more", which no share can be."""

    def said(found: Swept, most: float) -> str:
        return " ".join(screen(replace(found, best=(replace(found.best[0], open=most),))).split())

    rising, level = swept([100, 120, 140, 140], (2, 3)), swept([140, 140, 140, 140], (0, 1, 2, 3))
    assert "From 3 on nothing more is gained." in said(rising, 0.001) and "at most" not in said(rising, 0.001)
    assert "From 3 on nothing more is gained." in said(rising, -2.0)
    assert "No difference found; none brings more than 1." in said(level, 0.0)
    shares = swept([0.9, 0.9, 0.9, 0.9], (0, 1, 2, 3), "share")
    assert "No difference found; none brings over 80 points more than 1." in said(shares, 0.8)
    assert "No difference found; too few runs to say more." in said(shares, 1.37)
    lines = tuple(replace(point, differences=(replace(point.differences[0], needed=41),)) for point in shares.points)
    few = "too few runs to say how much there may be, about 41 would tell."
    assert few in said(replace(shares, points=lines), 1.37)


def test_of_which_weeks_it_is_told_when_the_farm_changes() -> None:
    found = swept([100, 120, 140, 141], (2, 3))
    heads = [screen(replace(found, since=since, weeks=weeks)).splitlines()[:2] for since, weeks in ((5, 25), (35, 1))]
    assert heads[0][0] == "Farm: 20 runs of each on the same luck, weeks 6 to 30" and "--weeks" not in heads[0][1]
    assert heads[1] == [
        "Farm: 20 runs of each on the same luck, week 36 alone",
        "  Only the week is told that follows the farm's last change: give more --weeks.",
    ]


def test_words_and_pairs_are_told_as_a_list() -> None:
    found = swept([100, 120, 140, 139], (2, 3))
    words = replace(found, axes=(replace(found.axes[0], numbers=None, said=("a", "b", "c", "d")),))
    assert "Most at c: 140 kg a week. Not surely less: d." in screen(words)
    alone = replace(words, best=(replace(words.best[0], unbeaten=(2,)),))
    assert "Most at c: 140 kg a week. Each of the others is surely less than one that was tried." in " ".join(
        screen(alone).split()
    )


def test_what_the_farm_has_and_what_is_not_possible_is_told() -> None:
    found = replace(swept([100, 120, 140, 141], (2, 3), faults=(0,)), is_own=False)
    text = screen(found)
    assert "What the farm has is not among them: all are held against 2." in text
    assert "<- base" in text and "NOT POSSIBLE  1: is not allowed" in text


@pytest.mark.parametrize(
    ("said", "told"),
    [(("5",), "5 people"), (("5", "6"), "5 and 6 people"), (("5", "6", "7"), "5 to 7 people, 3 values")],
)
def test_values_are_told_in_a_few_words(said: tuple[str, ...], told: str) -> None:
    assert spread_of(Axis("crew.owner.people", "people", said, tuple(map(float, said)), 0, "5")) == told
