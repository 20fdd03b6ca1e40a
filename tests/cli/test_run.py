"""`farmsim run` as a user meets it: the screen, the folder, what it says when something is wrong, and how it stops."""

import contextlib
import json
import os
import re
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim
from farmsim.cli import Left, main
from farmsim.cli.simulating import simulating
from farmsim.errors import RunStuck
from farmsim.record.measures import MEASURES
from farmsim.record.measures.page import TABLES
from farmsim.study import trials

ROOT = Path(farmsim.__file__).parents[1]
TINY = str(ROOT / "scenarios" / "tiny.toml")
QUICK = ("--runs", "2", "--weeks", "8")
HEADINGS = ("A WEEK", "8 WEEKS", "PROMISES", "LOOKS TIGHT", "NOT TIGHT", "LOST", "ON AVERAGES", "GUESSED",
            "HOW SURE", "WRITTEN")  # fmt: skip


def called(*words: str) -> int:
    """Exit code of a command that is called in this process."""
    with pytest.raises(SystemExit) as left:
        main(list(words), "farmsim")
    return int(left.value.code or 0)


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> tuple[CompletedProcess[str], Path]:
    folder = tmp_path_factory.mktemp("user")
    return farmsim_in(folder, "run", TINY, *QUICK, "--workers", "1"), folder


def test_one_screen_with_everything_in_its_order(ran: tuple[CompletedProcess[str], Path]) -> None:
    done, _ = ran
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) <= 55
    assert max(map(len, lines)) <= 100
    starts = [next(at for at, line in enumerate(lines) if line.startswith(heading)) for heading in HEADINGS]
    assert starts == sorted(starts)


def test_progress_is_one_plain_line_where_no_terminal_looks_on(
    ran: tuple[CompletedProcess[str], Path],
) -> None:
    assert ran[0].stderr == "Simulating One shed: 2 x 8 weeks\n"


def test_the_folder_is_named_after_the_file_and_the_first_day(
    ran: tuple[CompletedProcess[str], Path],
) -> None:
    done, folder = ran
    result = folder / "outputs" / "tiny-2027-01-04"
    assert {path.name for path in (folder / "outputs").iterdir()} == {result.name, "runs.sqlite"}
    assert "outputs/tiny-2027-01-04/" in done.stdout
    there = files(result)
    assert {"weekly.csv", "months.csv", "strains.csv", "places.csv", "crews.csv", "duties.csv", "losses.csv", "days.csv",
            "customers.csv", "deliveries.csv", "block_deliveries.csv", "summary.json", "screen.txt", "run.json", "about.json",
            "assumptions.csv", "strain_hours.csv", "report.html"} <= set(there)  # fmt: skip
    pictures = [name for name in there if name.startswith("figures/")]
    assert len([name for name in pictures if name.endswith(".png")]) == 6
    assert len([name for name in pictures if name.endswith(".svg")]) == 6
    assert there["scenario/tiny.toml"] == Path(TINY).read_bytes()
    assert json.loads(there["run.json"])["runs"] == 2
    assert done.stdout.startswith(there["screen.txt"].decode())
    assert done.stdout.rstrip().endswith("open report.html first")


def test_json_is_the_summary_and_nothing_else(ran: tuple[CompletedProcess[str], Path]) -> None:
    done = farmsim_in(ran[1], "run", TINY, *QUICK, "--json", "--workers", "1")
    assert done.returncode == 0
    assert done.stdout == (ran[1] / "outputs" / "tiny-2027-01-04" / "summary.json").read_text(encoding="utf-8")
    assert json.loads(done.stdout)["study"]["runs"] == 2


def test_every_file_the_report_points_at_lies_beside_it(
    ran: tuple[CompletedProcess[str], Path],
) -> None:
    result = ran[1] / "outputs" / "tiny-2027-01-04"
    page = (result / "report.html").read_text(encoding="utf-8")
    links = set(re.findall(r'href="([^"#]+)"', page))
    assert {"weekly.csv", "strain_hours.csv", "assumptions.csv", "scenario/", "figures/week.svg"} <= links
    assert [link for link in links if not (result / link).exists()] == []
    assert {path.name for path in result.glob("*.csv")} <= links


def test_every_column_of_every_table_is_explained_on_the_page_of_measures(
    ran: tuple[CompletedProcess[str], Path],
) -> None:
    measures = {one.name for one in MEASURES}
    told = {table.file: {name for name, _, _ in table.columns} for table in TABLES}
    page = (ROOT / "docs" / "measures.md").read_text(encoding="utf-8")
    files = sorted((ran[1] / "outputs" / "tiny-2027-01-04").glob("*.csv"))
    books = {"money_strains", "books_opening", "books_months", "books_years", "books_customers"}
    of_some = {"money", "money_months", "money_customers", "phases", "history", *books}  # this farm has none of these
    assert {file.stem for file in files} == set(told) - of_some and of_some <= set(told)
    for file in files:
        columns = file.read_text(encoding="utf-8").splitlines()[0].split(",")
        assert [column for column in columns if column not in measures | told[file.stem]] == [], file.name
        assert [column for column in columns if f"| `{column}` |" not in page] == [], file.name


def test_two_workers_give_the_same_bytes_and_the_old_result_is_replaced_as_a_whole(
    ran: tuple[CompletedProcess[str], Path],
) -> None:
    _, folder = ran
    result = folder / "outputs" / "tiny-2027-01-04"
    before = files(result)
    (result / "left-over.txt").write_text("of an older version", encoding="utf-8")
    (folder / "outputs" / "runs.sqlite").unlink()
    done = farmsim_in(folder, "run", TINY, *QUICK, "--workers", "2")
    assert done.returncode == 0, done.stderr
    after = files(result)
    assert before.keys() == after.keys()
    assert [name for name in before if before[name] != after[name] and name != "about.json"] == []


def test_a_change_set_keeps_the_farm_it_is_based_on(tmp_path: Path) -> None:
    (tmp_path / "tiny.toml").write_bytes(Path(TINY).read_bytes())
    change = 'based_on = "tiny.toml"\nname = "a second pair of hands"\n[change.crew.owner]\npeople = 2\n'
    (tmp_path / "two.toml").write_text(change, encoding="utf-8")
    words = ("--runs", "1", "--weeks", "2", "--workers", "1", "--out", str(tmp_path / "shown"))
    assert called("run", str(tmp_path / "two.toml"), *words) == 0
    assert {"two.toml", "tiny.toml"} == {path.name for path in (tmp_path / "shown" / "scenario").iterdir()}
    assert "One run cannot say" in (tmp_path / "shown" / "screen.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "words", [("--runs", "0"), ("--weeks", "521"), ("--workers", "0"), ("--seed", "-1"), ("--runs", "x")]
)
def test_a_bad_option_is_told_with_what_is_allowed(words: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert called("run", TINY, *words) == 2
    told = capsys.readouterr().err
    assert words[0] in told and words[1] in told


def test_a_missing_file_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert called("run", str(tmp_path / "none.toml")) == 2
    assert "there is no such file" in capsys.readouterr().err


def test_every_fault_of_a_file_is_told_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    text = Path(TINY).read_text(encoding="utf-8").replace('lot   = "20 blocks"', 'lot   = "20 lb"')
    (tmp_path / "broken.toml").write_text(text.replace("benches = 1", "benchs = 1"), encoding="utf-8")
    assert called("run", "broken.toml") == 2
    told = capsys.readouterr().err
    assert "broken.toml:" in told and "20 lb" in told and "benchs" in told
    assert [path.name for path in tmp_path.iterdir()] == ["broken.toml"]


def test_a_folder_with_other_things_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "diary.txt").write_text("mine", encoding="utf-8")
    assert called("run", TINY, "--out", str(tmp_path)) == 2
    assert "holds something that farmsim did not write" in capsys.readouterr().err
    assert files(tmp_path) == {"diary.txt": b"mine"}


def test_a_folder_that_cannot_be_made_is_told_before_anything_is_simulated(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert called("run", TINY, "--out", str(tmp_path / "file" / "result")) == 2
    assert "is a file, not a folder" in capsys.readouterr().err


def test_a_run_that_cannot_go_on_says_who_waits_for_what(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stuck(*_: object) -> None:
        raise RunStuck("nothing moves any more", ["lot a/2027-01-04/00 waits for a shelf"])

    monkeypatch.setattr(trials, "one_run", stuck)
    assert called("run", TINY, "--runs", "1", "--workers", "1", "--out", str(tmp_path / "result")) == 3
    assert "waits for a shelf" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("sent", "code", "word"), [(signal.SIGINT, 130, "Stopped"), (signal.SIGTERM, 143, "Ended")])
@pytest.mark.parametrize("workers", ["1", "2"])
def test_being_stopped_leaves_nothing_behind_but_finished_runs(
    tmp_path: Path, workers: str, sent: signal.Signals, code: int, word: str
) -> None:
    command = [sys.executable, "-m", "farmsim", "run", TINY, "--runs", "500", "--workers", workers]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(command, cwd=tmp_path, env=env, stdout=-1, stderr=-1, text=True) as running:
        assert running.stderr is not None
        assert running.stderr.readline().startswith("Simulating")
        wait_for_runs(tmp_path / "outputs" / "runs.sqlite", 3)  # one may be stored and not be counted yet
        running.send_signal(sent)
        out, err = running.communicate(timeout=30)
    assert running.returncode == code
    assert out == ""
    assert re.fullmatch(rf"{word}\. \d+ finished runs kept in outputs/runs.sqlite: .* goes on from there\.\n", err)
    assert [path.name for path in (tmp_path / "outputs").iterdir()] == ["runs.sqlite"]


@pytest.mark.parametrize("workers", ["1", "2"])
def test_whoever_is_impatient_gets_the_same_sentence(tmp_path: Path, workers: str) -> None:
    command = [sys.executable, "-m", "farmsim", "run", TINY, "--runs", "500", "--workers", workers]
    with subprocess.Popen(
        command, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, stderr=-1, text=True
    ) as running:
        wait_for_runs(tmp_path / "outputs" / "runs.sqlite", 3)
        while running.poll() is None:
            running.send_signal(signal.SIGINT)
            time.sleep(0.01)
        assert running.stderr is not None
        told = running.stderr.read()
    assert running.returncode == 130
    assert re.fullmatch(r"Simulating .*\nStopped\. \d+ finished runs kept in .*\n", told)


def wait_for_runs(store: Path, runs: int) -> None:
    """Until so many finished runs are in the store."""
    for _ in range(600):
        with (
            contextlib.suppress(sqlite3.Error),
            contextlib.closing(sqlite3.connect(f"file:{store}?mode=ro", uri=True)) as db,
        ):
            if db.execute("SELECT count(*) FROM runs").fetchone()[0] >= runs:
                return
        time.sleep(0.05)
    pytest.fail("no run was finished in half a minute")


@pytest.mark.parametrize("words", [("run", TINY), ("compare", TINY, "later.toml")])
def test_a_study_that_was_killed_goes_on_and_ends_as_one_never_stopped(tmp_path: Path, words: tuple[str, ...]) -> None:
    """Killed with no chance to tidy up; what it had finished is not worked out again, and every byte comes out alike."""
    change = f'based_on = "{TINY}"\nname = "fewer"\n[change.start.oyster]\nblocks = "45 blocks a week"\n'
    asked = [*words, "--runs", "30", "--weeks", "8", "--workers", "2"]
    results = []
    for name in ("killed", "whole"):
        (folder := tmp_path / name).mkdir()
        (folder / "later.toml").write_text(change, encoding="utf-8")
        if name == "killed":
            command = [sys.executable, "-m", "farmsim", *asked]
            with subprocess.Popen(
                command, cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT)}, stderr=-1
            ) as running:
                wait_for_runs(folder / "outputs" / "runs.sqlite", 5)
                running.kill()
        done = farmsim_in(folder, *asked)
        assert done.returncode == 0, done.stderr
        assert ("of them stored before" in done.stdout) == (name == "killed")
        results.append(
            {file: content for file, content in files(folder / "outputs").items() if "about.json" not in file}
        )
    killed, whole = ({file: content for file, content in each.items() if "sqlite" not in file} for each in results)
    assert killed == whole and len(whole) > 8


HEARD_WHILE_LOADING = """
import click, farmsim.cli.check as check
check.command = click.Command("check", callback=lambda: exec("raise KeyboardInterrupt"))
from farmsim.cli import Left, main
from farmsim.cli.simulating import simulating
main(["check"], "farmsim")
"""


def test_ctrl_c_heard_while_a_module_loads_ends_with_the_same_code(tmp_path: Path) -> None:
    """Python would end itself by the signal: it takes an interrupt inside the run of a text for an unhandled one."""
    (tmp_path / "loads.py").write_text(HEARD_WHILE_LOADING, encoding="utf-8")
    command, env = [sys.executable, "-m", "loads"], {**os.environ, "PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT}"}
    done = subprocess.run(command, env=env, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr.strip()) == (130, "Stopped. Nothing was written.")


@pytest.fixture
def heard_again() -> Iterator[None]:
    """A program that was asked to stop hears no more of it; these tests go on, and do."""
    before = {each: signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)}
    yield
    for each, handler in before.items():
        signal.signal(each, handler)


@pytest.mark.usefixtures("heard_again")
@pytest.mark.parametrize(("sent", "told"), [(signal.SIGINT, "Stopped"), (signal.SIGTERM, "Ended")])
def test_a_stop_that_went_unheard_is_heard_at_the_next_run(sent: signal.Signals, told: str, tmp_path: Path) -> None:
    with (
        pytest.raises(Left, match=f"^{told}. Nothing was written.$"),
        simulating("a farm", 3, tmp_path / "result", 1, 8, 1) as (brief, _),
    ):
        done = brief.progress
        assert done is not None
        done(1, 3)
        with contextlib.suppress(BaseException):  # as where an object is cleared away
            signal.raise_signal(sent)
        done(2, 3)
        pytest.fail("the stop was not heard")
    assert {signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)} == {signal.SIG_IGN}


def test_whoever_was_not_stopped_hears_of_it_as_before(tmp_path: Path) -> None:
    before = [signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)]
    with simulating("a farm", 3, tmp_path / "result", 1, 8, 1):
        assert signal.getsignal(signal.SIGINT) != before[0]
    assert [signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)] == before
