"""`farmsim pack` as a user meets it, its study stood in for by made-up figures: the screen, the folder, JSON, plain errors."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

import farmsim
from farmsim.cli import main

ROOT = Path(farmsim.__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "report"))
FARM, CHANGE = (str(ROOT / "tests" / "study" / name) for name in ("shed-with-books.toml", "lean-to.toml"))


def ran(*words: str) -> int:
    """The exit code of a command, run here."""
    with pytest.raises(SystemExit) as left:
        main(["pack", *words], "farmsim")
    return int(left.value.code or 0)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[tuple[object, ...]]:
    """What the study was asked; it answers with the made-up pack."""
    from pack_sample import pack

    from farmsim.study import pack as study

    calls: list[tuple[object, ...]] = []

    def stand_in(base, expanded, change, runs, stress_runs, years, brief):  # type: ignore[no-untyped-def]
        calls.append((base.farm.name, expanded.farm.name, change, runs, stress_runs, years, brief.seed, brief.weeks))
        return pack()

    monkeypatch.setattr(study, "pack", stand_in)
    monkeypatch.chdir(tmp_path)
    return calls


def test_numbers_come_first_and_then_where_the_files_are(
    asked: list[tuple[object, ...]], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert ran(FARM, CHANGE, "--years", "3", "--runs", "7", "--stress-runs", "4", "--seed", "9", "--workers", "1") == 0
    assert asked == [("One shed: with books", "One shed: with books: a lean-to", Path(CHANGE), 7, 4, 3, 9, 157)]
    out = capsys.readouterr().out
    places = [
        out.index(each)
        for each in ("We ask for $160,000", "Term debt coverage", "Lowest cash", "GOES WRONG", "WRITTEN")
    ]
    assert places == sorted(places) and out.rstrip().endswith("outputs/lean-to-pack/")
    folder = tmp_path / "outputs" / "lean-to-pack"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "answer.json", "pack.html", "owner.html", "pack.pdf", "years.csv",
        "years_without.csv", "months.csv", "loans.csv", "beside.csv", "buyers.csv",
        "stress.csv", "headroom.csv", "time_line.csv",
        "weeks_and_people.csv", "matters.csv", "assumptions.csv", "scenario/lean-to.toml", "scenario/shed-with-books.toml",
        "scenario/tiny.toml",
    }  # fmt: skip
    assert (folder / "pack.pdf").read_bytes().startswith(b"%PDF-")
    assert "FIFTH FRUITING ROOM" in (folder / "pack.html").read_text(encoding="utf-8")


def test_the_answer_as_json_without_a_pdf(
    asked: list[tuple[object, ...]], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert ran(FARM, CHANGE, "--no-pdf", "--json", "--out", "here") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["asked"]["loan"]["amount"] == 160_000.0 and told["with"]["loans"][1]["name"] == "room loan"
    assert (tmp_path / "here" / "pack.html").exists() and not (tmp_path / "here" / "pack.pdf").exists()
    assert asked[0][3:6] == (100, 20, 5)


def test_without_typst_nothing_is_simulated_and_it_says_what_to_do(
    asked: list[tuple[object, ...]], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)  # as if it were not installed, or could not be loaded
    assert ran(FARM, CHANGE) == 2 and asked == []
    assert capsys.readouterr().err == (
        'Error: the PDF needs Typst: pip install "farmsim[pack]". Without it, use the HTML page, which has the same '
        "content and can be printed (--no-pdf writes it alone)\n"
    )
    assert ran(FARM, CHANGE, "--no-pdf") == 0


def test_a_change_that_asks_for_nothing_is_refused_plainly(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert ran(FARM, FARM, "--runs", "2") == 2
    err = capsys.readouterr().err
    assert "Traceback" not in err and "shed-with-books.toml" in err and "asks for nothing. Add [add.request]" in err
    assert ran("none.toml", CHANGE) == 2
    assert "none.toml" in capsys.readouterr().err
    assert not (tmp_path / "outputs" / "shed-with-books-pack").exists()


def test_files_in_the_wrong_order_are_told_so_before_anything_is_simulated(
    asked: list[tuple[object, ...]], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert ran(CHANGE, FARM) == 2 and asked == []
    told = capsys.readouterr()
    assert told.err == (
        "Error: lean-to.toml is based on shed-with-books.toml, so it is the expansion and not the farm: change the order of "
        "the two, shed-with-books.toml first.\n"
    )
    assert "Simulating" not in told.err + told.out and not (tmp_path / "outputs").exists()
