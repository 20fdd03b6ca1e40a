"""`farmsim compare` as a user meets it: sentences first, then the table; the folder; what it says when something is wrong."""

import json
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim
from farmsim.report.compare import floored, screen
from farmsim.study.compare import Compared, Comparison, Difference

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
FEWER = 'based_on = "{tiny}"\nname = "fewer blocks"\n[change.start.oyster]\nblocks = "45 blocks a week"\n'
QUICK = ("--runs", "2", "--weeks", "6", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("user")
    (folder / "fewer-blocks.toml").write_text(FEWER.format(tiny=TINY), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "compare", str(TINY), "fewer-blocks.toml", *QUICK)


def test_sentences_come_before_the_table(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0] == "One shed and 1 change: 2 runs of each on the same luck"
    assert ran.stdout.index("FEWER BLOCKS") < ran.stdout.index("picked, lb a week") < ran.stdout.index("HOW SURE")
    assert "TOOK          4 runs in " in ran.stdout and "WRITTEN       outputs/tiny-compared/" in ran.stdout


def test_the_folder_holds_what_was_found(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "tiny-compared"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "compare.csv", "answer.json", "weekly.csv", "figures/differences.png",
        "figures/differences.svg", "scenario/tiny.toml", "scenario/fewer-blocks.toml",
    }  # fmt: skip
    assert (folder / "screen.txt").read_text() in ran.stdout


def test_json_says_the_same_and_nothing_else(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "compare", str(TINY), "fewer-blocks.toml", *QUICK, "--json", "--out", "again")
    told = json.loads(done.stdout)
    assert told == json.loads((here / "outputs" / "tiny-compared" / "answer.json").read_text())
    assert told["changes"]["fewer blocks"]["figures"][0]["verdict"] in ("less", "no difference found")


def test_another_question_leaves_the_first_answer_where_it_is(here: Path, ran: CompletedProcess[str]) -> None:
    before = {path.name: path.read_bytes() for path in (here / "outputs" / "tiny-compared").iterdir() if path.is_file()}
    (here / "more-blocks.toml").write_text(FEWER.format(tiny=TINY).replace('"45 ', '"70 '), encoding="utf-8")
    for _ in range(2):  # the same question again takes its old place
        done = farmsim_in(here, "compare", str(TINY), "more-blocks.toml", *QUICK)
        assert "WRITTEN       outputs/tiny-compared-2/" in done.stdout, done.stderr
    after = {path.name: path.read_bytes() for path in (here / "outputs" / "tiny-compared").iterdir() if path.is_file()}
    assert after == before and not (here / "outputs" / "tiny-compared-3").exists()


def test_the_same_bytes_on_two_workers(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "compare", str(TINY), "fewer-blocks.toml", *QUICK[:-1], "2", "--out", "with-two/result")
    assert done.returncode == 0
    one, two = here / "outputs" / "tiny-compared", here / "with-two" / "result"
    for path in one.rglob("*"):
        if path.is_file() and path.name != "about.json":
            assert path.read_bytes() == (two / path.relative_to(one)).read_bytes(), path.name


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((str(TINY),), "Missing argument 'CHANGE...'"),
        ((str(TINY), str(TINY)), "Error: tiny is the same farm as One shed: there is nothing to compare"),
        ((str(TINY), "not-there.toml"), "not-there.toml"),
        ((str(TINY), "fewer-blocks.toml", "--runs", "1"), "1 is not in the range 2 to 10,000"),
    ],
)
def test_what_cannot_be_is_told_in_a_line(here: Path, words: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, "compare", *words, "--out", "nothing")
    assert done.returncode == 2 and told in done.stderr and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


def line(name: str, mean: float, give: float | None, unit: str = "kg/week", needed: int | None = None) -> Difference:
    return Difference(name, unit, 100.0, 100.0 + mean, mean, give, needed)


def test_an_interval_wider_than_a_share_can_be_is_withheld_with_the_runs_it_takes() -> None:
    """Of two runs a difference of shares may be known to 136 points, which says nothing; what is surely more stays told."""
    import pandas as pd

    lines = (
        line("kept", 0.011, 1.36, "share", needed=41),
        line("held", 0.0, 1.2, "share"),
        line("sure", 0.6, 0.5, "share"),
        line("nearly", 0.4, 0.6, "share", needed=30),
        line("picked", 0.3, 99.0, needed=900),
    )
    both = Compared(
        "Farm", "metric", "EUR", "2027-01-04", 2, 1, 8, 0.95, (Comparison("it", 52, 4, lines),), pd.DataFrame()
    )
    text = " ".join(screen(both).split())
    assert "kept (too few runs, about 41 runs would tell)" in text and "kept, % 10,000 too few runs" in text
    assert "held (too few runs, more runs than anybody makes would not tell)" in text
    assert "sure 60 points more, surely over 10" in text and "sure, % 10,000 +60 +-50" in text
    assert "nearly (-20 to +100 points, about 30 runs would tell)" in text
    assert "picked (-99 to +99 kg a week, about 900 runs would tell)" in text


def test_every_verdict_has_its_sentence() -> None:
    lines = (
        line("picked", 20.0, 5.0), line("overtime", -3.0, 1.0, "h/week"), line("sold", 0.4, 2.0, needed=120),
        line("outlet", 0.0, 2.0), line("blocks", 0.0, None, "blocks/week"), line("kept", 0.02, 0.01, "share"),
        line("taken in", 50.0, 20.0, "currency/week"),
    )  # fmt: skip
    import pandas as pd

    both = Compared(
        "Farm", "metric", "EUR", "2027-01-04", 20, 1, 8, 0.95, (Comparison("change", 52, 4, lines),), pd.DataFrame()
    )
    text = " ".join(screen(both).split())
    assert "CHANGE (weeks 5 to 56)" in text
    assert "picked 20 kg a week more, surely over 15 (100 -> 120)" in text
    assert "overtime 3 h a week less, surely over 2 (100 -> 97)" in text
    assert "sold (-1.6 to +2.4 kg a week, about 120 runs would tell)" in text
    assert "outlet (-2 to +2 kg a week, more runs than anybody makes would not tell)" in text
    assert "taken in 50 EUR a week more, surely over 30 (100 -> 150)" in text
    assert [floored(value) for value in (10.98, 9.99, 4.96, 0.04)] == ["10", "9", "4.9", "0"]  # never rounded up
    assert "kept 2 points more, surely over 1" in text
    assert "The same in every run: blocks." in text
