"""`--precision` of run and compare as a user meets it."""

from __future__ import annotations

import json
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim

ROOT = Path(farmsim.__file__).parents[1]
TINY = str(ROOT / "scenarios" / "tiny.toml")
FEWER = f'based_on = "{TINY}"\nname = "fewer blocks"\n[change.start.oyster]\nblocks = "45 blocks a week"\n'
SHORT = ("--weeks", "4", "--workers", "1")
TELLS_HOW = {"run.json", "screen.txt", "report.html"}


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def ran_json(folder: Path) -> dict[str, object]:
    return dict(json.loads((folder / "run.json").read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("user")
    (folder / "fewer-blocks.toml").write_text(FEWER, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "run", TINY, "--precision", "3%", *SHORT, "--out", "until")


def test_the_screen_tells_how_many_runs_it_took(here: Path, ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == "Simulating One shed: up to 200 x 4 weeks\n"
    about = ran_json(here / "until")
    runs, until = about["runs"], about["until"]
    assert isinstance(until, dict) and isinstance(runs, int) and 20 < runs < 100
    assert (until["precision"], until["most_runs"], until["runs"], until["reached"]) == (0.03, 200, runs, True)
    text = " ".join(ran.stdout.split())
    assert (
        "Ran until all these averages were known to 3 % or better, 95 in 100 sure of them together, which took" in text
    )
    assert f"{runs} runs: picked +-" in text and ran.stdout.startswith(f"One shed: {runs} runs of 4 weeks")
    worked_out = int(ran.stdout.split("TOOK ")[1].split()[0])
    assert worked_out >= runs + 5  # those it looked ahead to as well


def test_the_result_is_that_of_so_many_runs_byte_for_byte(here: Path, ran: CompletedProcess[str]) -> None:
    runs = ran_json(here / "until")["runs"]
    plain = farmsim_in(here, "run", TINY, "--runs", f"{runs}", *SHORT, "--out", "plain")
    assert plain.returncode == 0, plain.stderr
    assert f"({runs} of them stored before)" in plain.stdout
    one, other = files(here / "until"), files(here / "plain")
    assert set(one) == set(other)
    assert {name for name in one if one[name] != other[name] and name != "about.json"} == TELLS_HOW
    told, so_many = one["screen.txt"].decode(), other["screen.txt"].decode()
    assert told.startswith(so_many) and told[len(so_many) :].lstrip().startswith("Ran until")
    sentence = told[len(so_many) - 1 :].rstrip("\n")
    assert one["report.html"].decode().replace(sentence, "") == other["report.html"].decode()
    about = ran_json(here / "until")
    del about["until"]
    assert about == ran_json(here / "plain")


def test_the_same_bytes_on_two_workers(here: Path, ran: CompletedProcess[str]) -> None:
    apart = here / "apart"
    apart.mkdir()
    two = farmsim_in(apart, "run", TINY, "--precision", "3 %", *SHORT[:-1], "2", "--out", "until")
    assert two.returncode == 0, two.stderr
    one, other = files(here / "until"), files(apart / "until")
    assert [name for name in one if one[name] != other[name] and name != "about.json"] == []


def test_a_budget_that_ends_first_is_told(here: Path) -> None:
    done = farmsim_in(here, "run", TINY, "--precision", "1 %", "--runs", "22", *SHORT, "--out", "budget")
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    assert "Not as sure as asked for: 22 runs, the most allowed, do not make all averages known to 1 %" in text
    assert "runs would do)" in text and "Allow more with --runs; those that are done are kept." in text
    until = ran_json(here / "budget")["until"]
    assert isinstance(until, dict) and until["reached"] is False
    assert min(one["runs_needed"] for one in until["figures"] if not one["reached"]) > 22


def test_a_comparison_runs_until_its_changes_are_known(here: Path) -> None:
    words = ("compare", TINY, "fewer-blocks.toml", *SHORT)
    done = farmsim_in(here, *words, "--precision", "3 %", "--out", "changes")
    assert done.returncode == 0, done.stderr
    until = ran_json(here / "changes")["until"]
    assert isinstance(until, dict) and until["reached"] is True
    runs = until["runs"]
    text = " ".join(done.stdout.split())
    assert text.startswith(f"One shed and 1 change: {runs} runs of each on the same luck")
    assert f"was known to 3 % of the base's figure (shares to 3 points), which took {runs} runs of each farm" in text
    plain = farmsim_in(here, *words, "--runs", f"{runs}", "--out", "so-many")
    assert plain.returncode == 0, plain.stderr
    one, other = files(here / "changes"), files(here / "so-many")
    differ = {name for name in one if one[name] != other[name] and name != "about.json"}
    assert differ == {"run.json", "screen.txt", "answer.json"}
    answer = json.loads(one["answer.json"])
    assert answer.pop("until") == until and answer == json.loads(other["answer.json"])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("--precision", "0.02"),
            'Error: "0.02" is no precision: write how far off a figure may be, in percent of it, from 0.1 % to 50 %, such as '
            '"2 %". Did you mean "2 %"?',
        ),
        (
            ("--precision", "2 %", "--runs", "10"),
            "Error: a precision is judged by 20 runs at least, and only 10 are allowed: allow more, or leave the number of "
            "runs out",
        ),
    ],
)
@pytest.mark.parametrize("asked", [("run", TINY), ("compare", TINY, "fewer-blocks.toml")], ids=["run", "compare"])
def test_what_cannot_be_is_told_in_a_line(
    here: Path, asked: tuple[str, ...], words: tuple[str, ...], told: str
) -> None:
    done = farmsim_in(here, *asked, *words, "--out", "nothing")
    assert (done.returncode, done.stderr, done.stdout) == (2, f"{told}\n", "")
    assert not (here / "nothing").exists()
