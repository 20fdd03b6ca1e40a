"""What README and DEVELOPERS show is what happens: every command and every Python example in them is run."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from farmsim.scenario.figure_at import Figures

ROOT = Path(__file__).resolve().parents[1]
PAGES = ("README.md", "DEVELOPERS.md", "docs/questions.md")
FENCED = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)
GO = ("python3", "go.py")
SET_UP_COMMANDS = ["python3 go.py run scenarios/four-rooms.toml", "python3 go.py test"]
QUICK = ("--runs", "2", "--weeks", "4", "--workers", "1", "--out", "shown")  # the last of two equal options counts

LEAST = {  # with which a question can be asked at all
    "limits": ("--runs", "4"),
    "plan": ("--runs", "5", "--tries", "1"),
    "staff": ("--rounds", "1", "--most", "10", "--runs", "2"),
    "ceiling": ("--runs", "5"),
    "sensitivity": ("--runs", "60", "--most", "1"),
}
SMALL = ("limits", "plan", "staff", "ceiling", "sensitivity", "pack", "--precision")
"""Asked of the small farm, which has another strain: of the shown one they take minutes."""
INSTEAD = {
    "four-rooms.toml": "tiny.toml",
    "strain.shiitake.": "strain.blue-oyster.",
    "four-rooms-books.toml": "shed-with-books.toml",
    "fifth-room-loan.toml": "lean-to.toml",
}
WITH_BOOKS = ("shed-with-books.toml", "lean-to.toml")  # small farms of the tests, put beside the shipped ones


class Shown(NamedTuple):
    """A piece of a page between fences."""

    page: str
    line: int
    text: str

    @property
    def name(self) -> str:
        """Where it stands."""
        return f"{self.page}:{self.line}"


def shown(page: str, language: str) -> list[Shown]:
    """The pieces of a page in one language."""
    text = (ROOT / page).read_text(encoding="utf-8")
    found = [match for match in FENCED.finditer(text) if match[1] == language]
    return [Shown(page, text.count("\n", 0, match.start()) + 1, match[2]) for match in found]


def pieces(language: str) -> list[Shown]:
    return [piece for page in PAGES for piece in shown(page, language)]


def commands(page: str) -> list[str]:
    lines = [line for piece in shown(page, "sh") for line in piece.text.splitlines()]
    return [line.split(" #")[0].strip() for line in lines if line.strip() and not line.startswith("#")]


def of_every_page() -> list[str]:
    return list(dict.fromkeys(command for page in PAGES for command in commands(page)))


def is_farmsim(command: str) -> bool:
    """Whether go.py hands the command on to farmsim, instead of checking or running a Python file."""
    words = tuple(shlex.split(command))
    return words[: len(GO)] == GO and words[2] != "test" and not words[2].endswith(".py")


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """A folder with the shipped farms, as a newcomer would have it."""
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    for name in WITH_BOOKS:
        text = (ROOT / "tests" / "study" / name).read_text(encoding="utf-8")
        (tmp_path / "scenarios" / name).write_text(text.replace("../../scenarios/", ""), encoding="utf-8")
    return tmp_path


def run(words: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    done = subprocess.run([sys.executable, *words], capture_output=True, text=True, timeout=900, cwd=folder)
    assert done.returncode == 0, f"{shlex.join(words)}\n{done.stdout}\n{done.stderr}"
    return done


def quick(words: list[str]) -> list[str]:
    """What makes a command quick to try; a precision is judged by twenty runs at least."""
    if words[0] in ("new", "check", "runs", "follow", "schema"):
        return []
    if words[0] in ("money", "pack"):  # they are asked for years, not weeks
        few = ["--stress-runs", "2"] if words[0] == "pack" else []
        return ["--runs", "2", "--years", "1", "--workers", "1", "--out", "shown", *few]
    if words[0] in LEAST:
        return [*QUICK, *LEAST[words[0]]]
    return [*QUICK, *(("--runs", "20", "--weeks", "1") if "--precision" in words else ())]


def test_readme_begins_with_the_two_commands() -> None:
    assert commands("README.md")[:2] == SET_UP_COMMANDS


def test_the_check_command_is_the_same_everywhere() -> None:
    check = SET_UP_COMMANDS[1]
    assert commands("DEVELOPERS.md")[0] == check
    assert check in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", list(filter(is_farmsim, of_every_page())))
def test_command(command: str, clone: Path) -> None:
    words = shlex.split(command)[len(GO) :]
    if words[0] == "runs":  # of something that was run
        run(["-m", "farmsim", "run", "scenarios/tiny.toml", *QUICK[:-2]], clone)
    if set(words) & set(SMALL):
        for here, there in INSTEAD.items():
            words = [word.replace(here, there) for word in words]
    run(["-m", "farmsim", *words, *quick(words)], clone)


@pytest.mark.parametrize("command", [command for command in of_every_page() if "=" in command])
def test_figures_that_are_named_are_in_the_farm_that_is_named(command: str) -> None:
    words = shlex.split(command)[len(GO) :]
    figures, named = Figures(ROOT / words[1]), [word for word in words if "=" in word]
    assert all(figures.find(each.split("=")[0]).now is not None for each in named)


@pytest.mark.parametrize("command", [command for command in of_every_page() if not is_farmsim(command)])
def test_other_command_names_files_that_are_there(command: str) -> None:
    files = [word for word in shlex.split(command) if "/" in word or word.endswith(".py")]
    assert files and all((ROOT / word).exists() for word in files)


@pytest.mark.parametrize("piece", pieces("python"), ids=lambda piece: piece.name)
def test_python_example(piece: Shown, clone: Path) -> None:
    run(["-W", "error", "-c", piece.text], clone)


@pytest.mark.parametrize("piece", pieces("toml"), ids=lambda piece: piece.name)
def test_change_set_is_one(piece: Shown, clone: Path) -> None:
    (clone / "scenarios" / "shown.toml").write_text(piece.text, encoding="utf-8")
    run(["-m", "farmsim", "check", "scenarios/shown.toml"], clone)


def test_the_answer_and_the_comparison_shown_are_the_real_ones(clone: Path) -> None:
    """When the answer is not: run the first command of the page and put what it prints into the page in its place.

    When the comparison is not: run the command above it and put what it prints of the first change into the page. The two
    are asked one after the other in one folder, as a reader does, so that the farm itself is run once.
    """
    words = shlex.split(SET_UP_COMMANDS[0])[len(GO) :]
    real = run(["-m", "farmsim", *words, "--workers", "2"], clone).stdout
    answer = shown("README.md", "text")[0].text
    assert without_time(answer) == without_time(real)
    assert re.search(r"^TOOK +20 runs in \d+ s$", answer, re.M)
    command = next(command for command in of_every_page() if " compare " in command)
    real = run(["-m", "farmsim", *shlex.split(command)[len(GO) :], "--workers", "2"], clone).stdout
    told = next(piece.text for piece in pieces("text") if piece.text.startswith("ONE MORE PICKER"))
    assert told in real and "(20 of them stored before)" in real


def without_time(text: str) -> list[str]:
    """An answer line by line, but for how long it took."""
    return [line for line in text.splitlines() if not line.startswith("TOOK ")]


def test_figures_named_beside_the_answer_are_in_it() -> None:
    answer = shown("README.md", "text")[0].text
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    section = text.split("How to read it:")[1].split("\n## ")[0]
    assert [figure for figure in re.findall(r"\d+,\d{3}", section) if figure not in answer] == []


def test_the_result_folder_holds_what_is_listed(clone: Path) -> None:
    words = shlex.split(SET_UP_COMMANDS[0])[len(GO) :]
    run(["-m", "farmsim", *words, *QUICK], clone)
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    section = text.split("## The results folder")[1].split("\n## ")[0]
    listed = {name for row in section.splitlines() if row.startswith("|") for name in re.findall(r"`([^`]+)`", row)}
    (folder,) = {path.parent for path in (clone / "shown").rglob("*.csv")}
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert listed == {name.replace(".svg", ".png") for name in there}
