"""`farmsim new` as a user meets it: on a terminal, from a file of answers, and when something is wrong."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import farmsim
from farmsim.cli import main
from farmsim.scenario.check_page import page
from farmsim.scenario.read import load
from farmsim.scenario.sheet import SHEET

pty = pytest.importorskip("pty")  # not on every system
ROOT = Path(farmsim.__file__).parents[1]
HILL = ROOT / "scenarios" / "answers" / "hill-farm.toml"
PROGRAM = [sys.executable, "-m", "farmsim"]
SOAKED, PLAIN = list(SHEET)[:2]


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100"}


def on_a_terminal(folder: Path, *said: str, end: bytes = b"\n") -> tuple[str, int]:
    """What a terminal shows, and the exit code; `end` is typed at every prompt after the last answer."""
    left = [answer.encode() + b"\n" for answer in said]
    ours, theirs = pty.openpty()
    command = [*PROGRAM, "new", "farm.toml"]
    child = subprocess.Popen(command, cwd=folder, env=environment(), stdin=theirs, stdout=theirs, stderr=theirs)
    os.close(theirs)
    shown = b""
    while select.select([ours], [], [], 20.0)[0]:
        try:
            more = os.read(ours, 65_536)
        except OSError:
            break
        if not more:
            break
        shown += more
        if shown.endswith(b"] "):
            os.write(ours, left.pop(0) if left else end)
    os.close(ours)
    return shown.decode().replace("\r\n", "\n"), child.wait(timeout=20)


def called(*words: str) -> int:
    """Exit code of a command that is called in this process."""
    with pytest.raises(SystemExit) as left:
        main(list(words), "farmsim")
    return int(left.value.code or 0)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_enter_all_the_way_gives_a_farm_that_runs(tmp_path: Path) -> None:
    shown, code = on_a_terminal(tmp_path)
    assert code == 0, shown
    assert "Written: farm.toml, in which " in shown
    assert max(map(len, shown.splitlines())) <= 100
    done = subprocess.run(
        [*PROGRAM, "run", "farm.toml", "--runs", "1", "--weeks", "4", "--workers", "1"],
        cwd=tmp_path, env=environment(), capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_a_question_explains_itself_and_asks_again_until_its_answer_will_do(tmp_path: Path) -> None:
    shown, code = on_a_terminal(tmp_path, "Hill farm", "metrics", "metric", "?", "2027-01-05", "2027-01-04")
    assert code == 0
    assert '    is "metrics"; needs "us" or "metric". Did you mean "metric"?\n' in shown
    assert '    A date such as 2027-01-04, or "next Monday".' in shown
    assert "is a Tuesday; needs a Monday. The Monday of that week is 2027-01-04." in shown
    assert "    [2.3 kg] " in shown
    assert load(tmp_path / "farm.toml").farm.name == "Hill farm"


def test_questions_that_do_not_apply_are_not_asked(tmp_path: Path) -> None:
    shown, _ = on_a_terminal(tmp_path, "", "", "", "", "", "", PLAIN)
    assert "soak tanks" not in shown and "Who takes those blocks" not in shown


def test_answers_that_do_not_go_together_are_told_and_asked_again(tmp_path: Path) -> None:
    shown, code = on_a_terminal(tmp_path, *[""] * 8, "North 300", *[""] * 9, "North 3000")
    assert code == 0
    assert "These answers do not go together:\n  on average the plan needs " in shown
    assert shown.count(" 9  Which fruiting rooms are there") == 2
    assert load(tmp_path / "farm.toml").room[0].holds == 3000


def test_the_end_of_input_leaves_nothing_written(tmp_path: Path) -> None:
    shown, code = on_a_terminal(tmp_path, "x", end=b"\x04")
    assert (code, list(tmp_path.iterdir())) == (2, [])
    assert shown.endswith("Error: the answers ended before the last question. Nothing was written.\n")


def test_ctrl_c_leaves_nothing_written(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [*PROGRAM, "new", "farm.toml"], cwd=tmp_path, env=environment(),
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert child.stdout is not None
    while not child.stdout.readline().startswith(" 1  What is the farm called?"):
        pass
    child.stdout.read(len("    [My farm] "))
    child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=20)
    assert (child.returncode, list(tmp_path.iterdir())) == (130, [])
    assert "Stopped. Nothing was written." in told


def test_a_file_of_answers_needs_no_terminal(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert called("new", "farm.toml", "--answers", str(HILL)) == 0
    farm = load("farm.toml")
    assert (farm.farm.name, [crew.people for crew in farm.crew]) == ("Hill farm", [2, 3])
    assert "Nothing stands out: every place and crew has room on average." in page(farm)
    assert "farmsim run farm.toml" in capsys.readouterr().out
    first = (here / "farm.toml").read_bytes()
    assert called("new", "farm.toml", "--answers", str(HILL), "--replace") == 0
    assert (here / "farm.toml").read_bytes() == first


def test_faults_of_a_file_of_answers_are_told_all_at_once(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "answers.toml").write_text('nme = "x"\nweeks = 0\n', encoding="utf-8")
    assert called("new", "farm.toml", "--answers", "answers.toml") == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(": ")[0] for line in lines] == ["answers.toml:1, nme", "answers.toml:2, weeks"]
    assert not (here / "farm.toml").exists()


def test_answers_that_can_never_fit_are_told_at_their_line(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "answers.toml").write_text('weeks = 10\nrooms = "North 300"\n', encoding="utf-8")
    assert called("new", "farm.toml", "--answers", "answers.toml") == 2
    assert capsys.readouterr().err.startswith("answers.toml:2, rooms: on average the plan needs ")


def test_what_is_tight_by_the_answers_is_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "answers.toml").write_text('rooms = "North 1800"\n', encoding="utf-8")
    assert called("new", "farm.toml", "--answers", "answers.toml") == 0
    assert "Fuller than 90 % on average, by your own answers: Room North 101 %." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("file", "told"),
    [
        ("there.toml", "there.toml is there already and is left alone. Name another file, or say --replace."),
        ("folder", "folder is a folder. Name a file, such as folder/my-farm.toml."),
        ("farm", "farm does not end in .toml, as a farm's file does. Name it farm.toml."),
        ("no/farm.toml", "no/farm.toml cannot be written: there is no folder no. Make it first, or name another."),
    ],
)
def test_where_nothing_may_be_written_nothing_is_asked(
    here: Path, capsys: pytest.CaptureFixture[str], file: str, told: str
) -> None:
    (here / "there.toml").write_text("mine", encoding="utf-8")
    (here / "folder").mkdir()
    assert called("new", file) == 2
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", f"Error: {told}\n")
    assert (here / "there.toml").read_text(encoding="utf-8") == "mine"


def test_the_questions_are_printed_as_a_file_to_be_filled_in(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert called("new", "--questions") == 0
    assert '# blocks = "300 blocks a week"\n' in capsys.readouterr().out
    assert called("new") == 2
    assert "Name it: farmsim new FILE.toml" in capsys.readouterr().err


@pytest.mark.parametrize("like", SHEET)
def test_schema_prints_the_page_of_a_strain(like: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert called("schema", "--strain", like) == 0
    assert f'like = "{like}"' in capsys.readouterr().out.splitlines()[0]
    assert called("schema", "--strain", f"{like}x") == 2
    assert f'Did you mean "{like}"?' in capsys.readouterr().err
